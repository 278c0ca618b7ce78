//! What a plan and a trial differ in: how long things take and which hours are lost.

use super::{Net, Setting};
use crate::clock::DayShift;

/// Drying factors are in millionths.
pub const PAR: i64 = 1_000_000;

/// One way the job may go. Everything is asked at the minute it becomes known.
pub trait World {
    /// Labor minutes of a step (elapsed minutes of a gate, business minutes of a delivery,
    /// the instant of a decision), as it turns out.
    fn takes(&self, step: usize) -> i64;
    /// Whether an unplanned step (redo, surprise) is needed.
    fn needed(&self, step: usize) -> bool;
    /// The shift of a worker on a day, lost time out.
    fn shift<'a>(&'a mut self, set: &'a Setting, worker: usize, day: i64) -> &'a DayShift;
    /// The same for work at the client's house, which may be closed.
    #[inline]
    fn house_shift<'a>(&'a mut self, set: &'a Setting, worker: usize, day: i64) -> &'a DayShift {
        if !self.open(day) || set.closed(day) { &DayShift::OFF } else { self.shift(set, worker, day) }
    }
    /// Whether the house is open to work on a day it is not closed by plan.
    fn open(&mut self, day: i64) -> bool;
    /// Drying speed of a step's coat on a day, millionths; `None` where always [`PAR`].
    fn drying(&mut self, step: usize, day: i64) -> Option<i64>;
}

/// What is known on a day: what has turned out up to it, the calendar from then on.
#[derive(Debug)]
pub struct Known<'w, W> {
    pub w: &'w mut W,
    /// The last day that has turned out.
    pub today: i64,
}

impl<W: World> World for Known<'_, W> {
    fn takes(&self, step: usize) -> i64 {
        self.w.takes(step)
    }
    fn needed(&self, step: usize) -> bool {
        self.w.needed(step)
    }
    fn shift<'a>(&'a mut self, set: &'a Setting, worker: usize, day: i64) -> &'a DayShift {
        if day <= self.today { self.w.shift(set, worker, day) } else { set.workers[worker].shifts.day(day) }
    }
    fn open(&mut self, day: i64) -> bool {
        day > self.today || self.w.open(day)
    }
    fn drying(&mut self, step: usize, day: i64) -> Option<i64> {
        self.w.drying(step, day)
    }
}

/// Everything as planned.
#[derive(Clone, Debug)]
pub struct Typical<'a>(pub &'a Net<'a>);

impl World for Typical<'_> {
    fn takes(&self, step: usize) -> i64 {
        self.0.typical[step]
    }
    fn needed(&self, _step: usize) -> bool {
        false
    }
    fn shift<'a>(&'a mut self, set: &'a Setting, worker: usize, day: i64) -> &'a DayShift {
        set.workers[worker].shifts.day(day)
    }
    fn open(&mut self, _day: i64) -> bool {
        true
    }
    fn drying(&mut self, _step: usize, _day: i64) -> Option<i64> {
        None
    }
}
