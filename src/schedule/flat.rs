//! A net and an order laid out for many dispatches: flags, followers and first states in flat
//! tables, worked out once instead of in every trial.

use super::state::is_end_rule;
use super::{Net, Order};
use crate::clock::UNIT;
use crate::work::{Ask, Kind, Role};

/// What a step is and which rules it must ask.
pub(super) mod flag {
    /// Hands work on it.
    pub const LABOR: u32 = 1;
    pub const ONE_GO: u32 = 1 << 1;
    /// May be set down: `set_down` and not in one go.
    pub const SET_DOWN: u32 = 1 << 2;
    pub const DUSTY: u32 = 1 << 3;
    pub const WETS: u32 = 1 << 4;
    pub const CLOSES: u32 = 1 << 5;
    pub const NOISY: u32 = 1 << 6;
    pub const RACKS: u32 = 1 << 7;
    pub const EARLIEST: u32 = 1 << 8;
    pub const WINDOWS: u32 = 1 << 9;
    pub const RH: u32 = 1 << 10;
    /// Its product may not be put on at every hour.
    pub const AIR_STOPS: u32 = 1 << 11;
    pub const SCUFF: u32 = 1 << 12;
    /// Its end waits for others, by end-to-end links.
    pub const ENDS_BOUND: u32 = 1 << 13;
    /// Others' ends wait for it.
    pub const BINDS_ENDS: u32 = 1 << 14;
    /// Its coat damps the air.
    pub const DAMPS: u32 = 1 << 15;
    /// A hold of the plan is on it.
    pub const HELD: u32 = 1 << 16;
    /// It takes of pools.
    pub const POOLS: u32 = 1 << 17;

    /// A scuff-sand.
    pub const SCUFFS: u32 = 1 << 18;

    /// Rules of the clock besides the needs.
    pub const CLOCK: u32 = EARLIEST | WINDOWS | RH | AIR_STOPS | HELD;
    /// These are judged even while nobody is free: reservations, patience of holds and recoat
    /// windows count from then.
    pub const ALWAYS: u32 = CLOSES | HELD | SCUFF;
}

/// Marks "none" among indices.
pub(super) const NONE: u32 = u32::MAX;

/// A follower, told at the begin or at the end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub to: u32,
    /// Needs met by it.
    pub count: u32,
    pub begun: bool,
}

/// The net in flat tables.
#[derive(Clone, Debug, Default)]
pub(super) struct Flat {
    pub flags: Vec<u32>,
    pub place: Vec<u32>,
    pub air: Vec<u32>,
    edges: Vec<Edge>,
    edges_of: Vec<(u32, u32)>,
    /// Shares of the labor done at the end of each piece but the last.
    shares: Vec<f64>,
    shares_of: Vec<(u32, u32)>,
    /// Per air, the steps that leave a coat in it.
    pub coats: Vec<Vec<u32>>,
    /// Workers whose hours never stop for good, whatever the place and its noise hours.
    pub sure: u32,
    /// Some step closes a place; is dusty; leaves something dust would spoil.
    pub closing: bool,
    pub dusting: bool,
    pub wetting: bool,
    /// Some end waits for others, by end-to-end links.
    pub ends_bound: bool,
    /// What may begin changes only at ends, wakes and begins of shifts of those who may do it:
    /// no end-to-end links, nothing for two pairs of hands, no helpers, no trips to weigh.
    pub plain: bool,
    /// Expected labor of each piece as told when it begins, thousandths of a minute.
    expected: Vec<i64>,
    expected_of: Vec<(u32, u32)>,
    /// Steps that come only when needed: redo and surprises.
    pub unplanned: Vec<u32>,
    pub total_pools: Vec<i64>,
}

impl Flat {
    pub fn new(net: &Net) -> Flat {
        let graph = net.graph;
        let n = graph.steps.len();
        let mut out = Flat { coats: vec![Vec::new(); net.set.airs], ..Flat::default() };
        let binds: Vec<bool> = {
            let mut b = vec![false; n];
            net.deps.iter().flatten().filter(|d| is_end_rule(d.ask)).for_each(|d| b[d.from] = true);
            b
        };
        for (s, step) in graph.steps.iter().enumerate() {
            let spot = step.place.map(|p| &net.set.spots[p]);
            let f = step.flags;
            let mut flags = 0;
            let mut on = |yes: bool, bit: u32| flags |= if yes { bit } else { 0 };
            on(net.labor(s), flag::LABOR);
            on(f.one_go, flag::ONE_GO);
            on(f.set_down && !f.one_go, flag::SET_DOWN);
            on(f.dusty && spot.is_some(), flag::DUSTY);
            on(f.closes && spot.is_some(), flag::CLOSES);
            on(f.noisy, flag::NOISY);
            on(step.racks > 0 && spot.is_some(), flag::RACKS);
            on(step.earliest.is_some(), flag::EARLIEST);
            on(!step.windows.is_empty(), flag::WINDOWS);
            on(step.rh_below.is_some() && spot.is_some(), flag::RH);
            on(net.scuff[s].is_some(), flag::SCUFF);
            on(net.deps[s].iter().any(|d| is_end_rule(d.ask)), flag::ENDS_BOUND);
            on(binds[s], flag::BINDS_ENDS);
            on(!step.pools.is_empty(), flag::POOLS);
            on(matches!(step.role, Role::Scuff { .. }), flag::SCUFFS);
            if let (Some(c), Some(spot)) = (step.coat, spot) {
                let product = &graph.products[c.product];
                on(product.wet_to_dust, flag::WETS);
                on(product.damps_room && !spot.fan, flag::DAMPS);
                let may = step.place.and_then(|p| net.set.dry(c.product, p)).map(|d| &d.may);
                on(may.is_some_and(|m| !m.always(UNIT)), flag::AIR_STOPS);
                if net.present[s] {
                    out.coats[spot.air].push(s as u32);
                }
            }
            if net.present[s] {
                out.closing |= flags & flag::CLOSES != 0;
                out.dusting |= flags & flag::DUSTY != 0;
                out.wetting |= flags & flag::WETS != 0;
                out.ends_bound |= flags & flag::ENDS_BOUND != 0;
                if matches!(step.role, Role::Redo { .. } | Role::Surprise { .. }) {
                    out.unplanned.push(s as u32);
                }
            }
            let from = out.shares.len() as u32;
            let mut sum = 0.0;
            for share in step.pieces.iter().take(step.pieces.len().saturating_sub(1)) {
                sum += share;
                out.shares.push(sum);
            }
            out.shares_of.push((from, out.shares.len() as u32));
            let first = out.expected.len() as u32;
            if f.one_go && step.pieces.len() > 1 {
                let typ = net.typical[s];
                let ends =
                    out.shares[from as usize..].iter().map(|share| (typ as f64 * share + 0.5) as i64).chain([typ]);
                let mut before = 0;
                for end in ends {
                    out.expected.push((end - before) * 1000);
                    before = end;
                }
            }
            out.expected_of.push((first, out.expected.len() as u32));
            out.flags.push(flags);
            out.place.push(step.place.map_or(NONE, |p| p as u32));
            out.air.push(spot.map_or(NONE, |x| x.air as u32));
        }
        for s in 0..n {
            let from = out.edges.len() as u32;
            for &f in &net.followers[s] {
                for begun in [false, true] {
                    let mine = |d: &&super::Dep| d.from == s && !is_end_rule(d.ask) && begun == (d.ask == Ask::Begun);
                    let count = net.deps[f].iter().filter(mine).count() as u32;
                    if count > 0 {
                        out.edges.push(Edge { to: f as u32, count, begun });
                    }
                }
            }
            out.edges_of.push((from, out.edges.len() as u32));
        }
        for (p, w) in net.set.workers.iter().enumerate() {
            let n = w.shifts.weeks() * 7;
            let quiet = |d: i64| match net.set.noise {
                Some(hours) => w.shifts.day(d).and(&crate::clock::DayShift::new(&[hours])).minutes(),
                None => w.shifts.day(d).minutes(),
            };
            if w.rate > 0 && (n - 7..n).any(|d| quiet(d) > 0) {
                out.sure |= 1 << p;
            }
        }
        let alone = (0..n).all(|s| !net.present[s] || graph.steps[s].crew.fewest <= 1);
        let trips = net.trips && net.set.workers.len() > 1;
        out.plain = !out.ends_bound && alone && net.helpers == 0 && !trips;
        out.total_pools = graph.pools.iter().map(|&c| i64::from(c)).collect();
        out
    }

    /// Shares of the labor of a step done at the end of each piece but the last.
    pub fn shares(&self, s: usize) -> &[f64] {
        let (a, b) = self.shares_of[s];
        &self.shares[a as usize..b as usize]
    }

    /// Expected labor of each piece, thousandths; empty where it is done in one.
    pub fn expected(&self, s: usize) -> &[i64] {
        let (a, b) = self.expected_of[s];
        &self.expected[a as usize..b as usize]
    }

    /// Those told by a step.
    pub fn edges(&self, s: usize) -> &[Edge] {
        let (a, b) = self.edges_of[s];
        &self.edges[a as usize..b as usize]
    }
}

/// An order made ready to be dispatched again and again.
#[derive(Clone, Debug)]
pub struct Prepared<'a, 'n> {
    pub(super) net: &'a Net<'n>,
    pub(super) order: &'a Order,
    pub(super) flags: Vec<u32>,
    pub(super) rank: Vec<u32>,
    /// The people the plan allows.
    pub(super) who: Vec<u32>,
    pub(super) active: Vec<bool>,
    pub(super) unmet: Vec<u32>,
    pub(super) first: Vec<u32>,
    pub(super) left: usize,
}

impl<'a, 'n> Prepared<'a, 'n> {
    /// Lays an order out.
    pub fn new(net: &'a Net<'n>, order: &'a Order) -> Prepared<'a, 'n> {
        let n = net.present.len();
        let mut flags = net.flat.flags.clone();
        for h in &order.holds {
            flags[h.step] |= flag::HELD;
        }
        let mut rank = vec![NONE; n];
        for (r, &s) in order.order.iter().enumerate() {
            rank[s] = r as u32 + 1;
        }
        // What was left in the middle and may not be set down is gone on with first.
        if let Some(facts) = net.set.standing.as_deref() {
            let held = |s: usize| facts.steps[s].open() && flags[s] & flag::SET_DOWN == 0;
            rank.iter_mut().enumerate().filter(|(s, r)| **r < NONE && held(*s)).for_each(|(_, r)| *r = 0);
        }
        let active: Vec<bool> =
            (0..n).map(|s| net.present[s] && matches!(net.graph.steps[s].role, Role::Plain | Role::Unlisted)).collect();
        // What is not planned has no place of its own in an order: a redo comes with its step,
        // a find right behind what it waits for, a scuff-sand right before its step.
        for s in (0..n).filter(|&s| net.present[s]) {
            match net.graph.steps[s].role {
                Role::Redo { of, .. } | Role::Scuff { of } => rank[s] = rank[of],
                Role::Surprise { .. } => {
                    let behind = net.deps[s].iter().map(|d| rank[d.from]).filter(|&r| r < NONE).max();
                    rank[s] = behind.unwrap_or(1);
                }
                Role::Plain | Role::Unlisted => {}
            }
        }
        let who = (0..n)
            .map(|s| match order.people.get(s) {
                Some(Some(only)) => net.who[s] & only.iter().fold(0, |m, &p| m | 1 << p),
                _ => net.who[s],
            })
            .collect();
        let mut unmet = vec![0; n];
        for s in 0..n {
            if active[s] {
                for e in net.flat.edges(s) {
                    unmet[e.to as usize] += e.count;
                }
            }
        }
        let first = (0..n).filter(|&s| active[s] && unmet[s] == 0).map(|s| s as u32).collect();
        let left = active.iter().filter(|a| **a).count();
        Prepared { net, order, flags, rank, who, active, unmet, first, left }
    }

    #[inline]
    pub(super) fn has(&self, s: usize, bits: u32) -> bool {
        self.flags[s] & bits != 0
    }

    #[inline]
    pub(super) fn labor(&self, s: usize) -> bool {
        self.flags[s] & flag::LABOR != 0
    }
}

/// Minutes from a gate's begin to its expected end; a decision's end is no matter of its begin.
pub(super) fn gate_minutes(kind: Kind, typical: i64) -> i64 {
    match kind {
        Kind::Decision { .. } => 0,
        _ => typical,
    }
}
