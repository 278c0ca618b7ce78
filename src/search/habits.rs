//! How a search over lists goes about it: how many lists, how they are bred, when islands meet.
//!
//! The figures were tried on published instances and on random crew jobs; they change how soon
//! a search gets somewhere, never what a schedule is.

use super::breed::Breeder;

/// How a search goes about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habits {
    /// Lists on an island (on each side).
    pub people: usize,
    /// Meetings of the islands, the last at the end.
    pub rounds: usize,
    /// First lists that are drawn and built by dispatch, of 100.
    pub dispatched: u64,
    /// How lists are bred.
    pub breeder: Breeder,
    /// Children justified, of 100 (builders with one side).
    pub justified: u64,
    /// Children built serially, of 100 (builders with one side).
    pub serial: u64,
    /// Best distinct schedules handed back.
    pub hand_back: usize,
    /// Whether all lists are dealt out anew, best first, where islands meet.
    pub dealt: bool,
}

impl Habits {
    /// For `steps` steps within `budget` schedules.
    pub fn new(budget: usize, steps: usize) -> Habits {
        let people = if budget <= 2_000 {
            6
        } else if budget <= 10_000 {
            8
        } else {
            20
        };
        let moved = if steps <= 40 { 80 } else { 30 };
        Habits {
            people,
            rounds: 20,
            dispatched: 33,
            breeder: Breeder { moved, ..Breeder::default() },
            justified: 50,
            serial: 0,
            hand_back: 1,
            dealt: budget > 10_000,
        }
    }
}

impl Habits {
    /// For crew jobs. Dispatch lets a step wait its turn wherever it stands, so steps move
    /// anywhere; a child justified costs three schedules, so only one in five is.
    pub fn for_crews(budget: usize, hand_back: usize) -> Habits {
        let breeder = Breeder { moved: 80, moves: 2, swapped: 0, turned: 20, anywhere: true, ..Breeder::default() };
        Habits {
            people: if budget < 600 { 4 } else { 6 },
            rounds: 10,
            dispatched: 80,
            breeder,
            justified: 20,
            serial: 5,
            hand_back,
            dealt: false,
        }
    }
}
