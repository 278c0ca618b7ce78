//! The work as the bound sees it: every step with the most favourable people, air and
//! minutes any plan could give it.
//!
//! Dust on wet coats, closed places and hands that cannot be in two steps at once stay as
//! pairs of steps that must stand apart, in whichever order is easier.
//!
//! Left out on purpose, because leaving it out only lets things happen sooner: racks,
//! most trips, picking up, the slower rate beside a helper elsewhere, scuff-sanding, damp from
//! wet skim coats (for moisture-curing products, which damp air helps, the faster of both
//! airs is taken instead), reservation.
//!
//! One file because a step's hands, gates, pieces and dates forward and backward are one
//! relaxation: what is left out in one direction must be left out in the other.
//!
//! Labor is counted in thousandths of a labor minute times 1,000, the micro-minutes of a
//! clock whose speed is the summed rate of those on shift.

use super::hands::{Hands, latest};
use crate::clock::{Clock, DAY, UNIT, skim_damp};
use crate::schedule::{LEAST_LEFT, Setting};
use crate::trade::Stage;
use crate::work::{Ask, Kind, Step, WorkGraph};

/// Most steps among which pairs that must stand apart are looked for.
const MOST_APART: usize = 300;
/// Most people of a step whose sets are looked at one by one.
const MOST_TOGETHER: usize = 4;
/// Nothing binds.
pub(super) const FREE: i64 = i64::MAX / 4;

/// Minutes of a week, or of the one date, in which a step may begin.
struct Gates {
    /// Allowed stretches by weekday, from air and windows.
    days: [Vec<(i64, i64)>; 7],
    /// Allowed stretches on single dates.
    dates: Vec<(i64, i64)>,
}

/// What a step is made of in the relaxation.
enum Body {
    /// Micro-minutes of labor on the clock of its most favourable hands; `pieces` must each
    /// lie within a stretch of work.
    Labor {
        total: i64,
        pieces: Vec<i64>,
    },
    Elapsed(i64),
    Business(i64),
    At(i64),
}

/// People, how many of them where any will do, whether house and noise hours bind, whether
/// in a place.
type HandsKey = (Vec<usize>, Option<(usize, usize)>, bool, bool, bool);

/// One step.
pub(super) struct Easy<'a> {
    body: Body,
    /// Those it may have at first minute by minute; then, where hands stay, each set of people.
    hands: Vec<usize>,
    /// Whoever is fastest in every minute.
    anybody: usize,
    earliest: i64,
    gates: Option<Gates>,
    /// Who might do it, as a bit set.
    pub who: u64,
    pub labor: i64,
    /// Nobody begins with no more than these minutes left of a stretch of work, unless all fits.
    least: i64,
    /// Whether all of those who might do it must.
    pub all_hands: bool,
    /// Then the minutes of each of them, each piece rounded up.
    pub minutes: Option<i64>,
    pub place: Option<usize>,
    /// At the house, whose closed days bind; and only in noise hours there.
    pub house: Option<usize>,
    pub noisy: bool,
    /// Where a trip begins or ends.
    pub base: Option<usize>,
    /// What it takes of pools while it lasts.
    pub pools: &'a [(usize, u32)],
}

/// A link.
pub(super) struct Tie {
    pub from: usize,
    pub to: usize,
    pub ask: TieAsk,
    pub lag: i64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum TieAsk {
    Done,
    /// Drying clock and micro-minutes after the end.
    Dry(usize, i64),
    Begun,
    EndEnd,
    BeginEnd,
}

/// Two steps of which one must be out of the way before the other begins.
pub(super) struct Apart {
    pub pair: [usize; 2],
    /// What the second must wait for when the first goes first, and the other way round.
    pub wait: [(TieAsk, i64); 2],
}

/// What the bound needs of a job whatever its methods: compiled once.
pub(super) struct Ground<'a> {
    graph: &'a WorkGraph,
    setting: &'a Setting,
    /// Per step of the graph; `None` where it is not planned.
    steps: Vec<Option<Easy<'a>>>,
    /// Per link of the graph: what it asks.
    asks: Vec<TieAsk>,
    /// Pairs that must stand apart, as steps of the graph.
    apart: Vec<Apart>,
    hands: Vec<Hands>,
    drying: Vec<Clock>,
    elapsed: Clock,
}

/// The relaxed work under some methods.
pub(super) struct Relaxed<'a> {
    ground: &'a Ground<'a>,
    /// The steps of the graph.
    pub of: Vec<usize>,
    pub steps: Vec<&'a Easy<'a>>,
    pub ties: Vec<Tie>,
    pub apart: Vec<Apart>,
    /// Ties grouped by their later and by their earlier step.
    pub into: Vec<Vec<usize>>,
    pub out_of: Vec<Vec<usize>>,
    /// Steps in an order that links lead forward in.
    pub order: Vec<usize>,
    /// Whether there is more than one base.
    pub trips: bool,
    /// Whether hands may work on anything once the open choices are made.
    pub worked: bool,
}

fn gates(graph: &WorkGraph, setting: &Setting, s: &Step) -> Option<Gates> {
    let week = s.place.map(|p| &setting.spots[p].week);
    let bound_by_air = week.is_some() && (s.rh_below.is_some() || s.coat.is_some());
    if s.windows.is_empty() && !bound_by_air {
        return None;
    }
    let fine = |air: crate::clock::Air| {
        s.rh_below.is_none_or(|h| air.rh() < h) && s.coat.is_none_or(|c| graph.products[c.product].dries_in(air))
    };
    let of_day = |weekday: usize, windows: &[(i64, i64)]| {
        let mut edges = vec![0, DAY];
        if let Some(w) = week {
            edges.extend([w.hours.0, w.hours.1]);
        }
        windows.iter().for_each(|&(a, b)| edges.extend([a, b]));
        edges.sort_unstable();
        edges.dedup();
        let mut out: Vec<(i64, i64)> = Vec::new();
        for e in edges.windows(2) {
            let open = windows.iter().any(|&(a, b)| a <= e[0] && e[1] <= b);
            // Air that changes on a day: open if it would be in either.
            let either = |w: &crate::clock::AirWeek| [0, i64::MAX].into_iter().any(|d| fine(w.at(d, weekday, e[0])));
            if open && (!bound_by_air || week.is_none_or(either)) {
                match out.last_mut() {
                    Some(last) if last.1 == e[0] => last.1 = e[1],
                    _ => out.push((e[0], e[1])),
                }
            }
        }
        out
    };
    let clip = |a: i64, b: i64| (a.clamp(0, DAY), b.clamp(0, DAY));
    let mut g = Gates { days: Default::default(), dates: Vec::new() };
    for weekday in 0..7 {
        let mut open: Vec<(i64, i64)> =
            s.windows.iter().filter(|w| w.day.is_none() && w.days[weekday]).map(|w| clip(w.from, w.to)).collect();
        if s.windows.is_empty() {
            open.push((0, DAY));
        }
        g.days[weekday] = of_day(weekday, &open);
    }
    for w in &s.windows {
        if let Some(day) = w.day {
            let weekday = (setting.first_weekday + day).rem_euclid(7) as usize;
            let open = of_day(weekday, &[clip(w.from, w.to)]);
            g.dates.extend(open.into_iter().map(|(a, b)| (day * DAY + a, day * DAY + b)));
        }
    }
    g.dates.sort_unstable();
    Some(g)
}

impl<'a> Ground<'a> {
    pub fn new(graph: &'a WorkGraph, setting: &'a Setting) -> Ground<'a> {
        let mut hands = Crews { setting, hands: Vec::new(), known: Vec::new() };
        let steps: Vec<Option<Easy<'a>>> =
            graph.steps.iter().map(|s| s.role.planned().then(|| easy(graph, s, &mut hands))).collect();
        let mut drying = Drying { clocks: Vec::new(), known: Vec::new() };
        let ask = |l: &crate::work::Link, drying: &mut Drying| match l.ask {
            Ask::Done => TieAsk::Done,
            Ask::Begun => TieAsk::Begun,
            Ask::EndAfterEnd => TieAsk::EndEnd,
            Ask::EndAfterBegin => TieAsk::BeginEnd,
            Ask::Dry(stage) => drying.ask(graph, setting, l.from, stage),
        };
        let asks = graph.links.iter().map(|l| ask(l, &mut drying)).collect();
        let mut apart = Vec::new();
        let planned: Vec<usize> = (0..graph.steps.len()).filter(|&i| steps[i].is_some()).collect();
        for (x, &i) in planned.iter().enumerate().take_while(|_| planned.len() <= MOST_APART) {
            for &j in &planned[x + 1..] {
                if both(&graph.steps[i].when, &graph.steps[j].when) {
                    apart_pair(graph, setting, &mut drying, [i, j], &mut apart);
                }
            }
        }
        let hands = hands.hands;
        Ground { graph, setting, steps, asks, apart, hands, drying: drying.clocks, elapsed: Clock::elapsed() }
    }
}

/// Whether two things may be there under the same methods.
fn both(a: &[(usize, usize)], b: &[(usize, usize)]) -> bool {
    !a.iter().any(|x| b.iter().any(|y| x.0 == y.0 && x.1 != y.1))
}

/// Hands compiled so far.
struct Crews<'a> {
    setting: &'a Setting,
    hands: Vec<Hands>,
    known: Vec<HandsKey>,
}

/// Labor of each piece of a step done in one go, cut at whole minutes as dispatch cuts it.
fn cut(s: &Step) -> Vec<i64> {
    let total = s.labor.typical();
    let to = |k: usize| match k + 1 {
        n if n == s.pieces.len() => total,
        n => libm::round(total as f64 * s.pieces[..n].iter().sum::<f64>()) as i64,
    };
    (0..s.pieces.len()).map(|k| (to(k) - k.checked_sub(1).map_or(0, to)) * UNIT).collect()
}

/// A step with the most any plan could give it.
fn easy<'a>(graph: &WorkGraph, s: &'a Step, crews: &mut Crews) -> Easy<'a> {
    let setting = crews.setting;
    let house = s.place.is_some_and(|p| setting.spots[p].house);
    let total = s.labor.typical() * UNIT;
    let body = match &s.kind {
        Kind::Labor if total > 0 => {
            let pieces = if s.flags.one_go && s.pieces.len() > 1 {
                cut(s)
            } else if s.flags.one_go {
                vec![total]
            } else {
                Vec::new()
            };
            Body::Labor { total, pieces }
        }
        Kind::Labor => Body::Elapsed(0),
        Kind::Elapsed(d) => Body::Elapsed(d.typical()),
        Kind::Business { minutes, .. } => Body::Business(minutes * UNIT),
        Kind::Decision { at, .. } => Body::At(at.0),
    };
    let worked = matches!(body, Body::Labor { .. });
    let (mut its_hands, mut anybody) = (Vec::new(), usize::MAX);
    if worked {
        let noisy = s.flags.noisy && house;
        let mut find = |who: Vec<usize>, any: Option<(usize, usize)>| {
            let key = (who, any, house, noisy, s.place.is_some());
            crews.known.iter().position(|k| *k == key).unwrap_or_else(|| {
                let place = s.place.filter(|_| house);
                crews.hands.push(match any {
                    Some(n) => Hands::of_any(setting, &key.0, n, place, noisy),
                    None => Hands::of_all(setting, &key.0, place, noisy, key.4),
                });
                crews.known.push(key);
                crews.hands.len() - 1
            })
        };
        anybody = find(s.crew.who.clone(), Some((s.crew.fewest, s.crew.most)));
        let n = s.crew.who.len();
        if n <= MOST_TOGETHER && stays(setting, s) {
            let (fewest, most) = (s.crew.fewest.max(1), s.crew.most.max(s.crew.fewest).max(1));
            for set in 1u32..1 << n {
                if (fewest..=most).contains(&(set.count_ones() as usize)) {
                    let who = (0..n).filter(|k| set >> k & 1 == 1).map(|k| s.crew.who[k]).collect();
                    its_hands.push(find(who, None));
                }
            }
        } else {
            its_hands.push(anybody);
        }
    }
    // Where nobody eligible may be missing, it takes these minutes of each of them.
    let all_hands = worked && s.crew.who.len() == s.crew.fewest.max(1);
    let minutes = all_hands
        .then(|| Hands::rate_of_all(setting, &s.crew.who, s.place.is_some()) * UNIT / 1000)
        .filter(|&r| r > 0)
        .map(|rate| match &body {
            Body::Labor { pieces, .. } if !pieces.is_empty() => pieces.iter().map(|p| (p + rate - 1) / rate).sum(),
            _ => (total + rate - 1) / rate,
        });
    Easy {
        body,
        hands: its_hands,
        anybody,
        earliest: s.earliest.map_or(0, |e| e.0),
        gates: gates(graph, setting, s),
        who: if worked { s.crew.who.iter().fold(0, |m, w| m | 1 << (w % 64)) } else { 0 },
        labor: if worked { total } else { 0 },
        least: LEAST_LEFT.max(s.setup_min),
        all_hands,
        minutes,
        place: s.place,
        house: s.place.filter(|_| house),
        noisy: s.flags.noisy && house,
        base: s.place.map(|p| setting.spots[p].base),
        pools: &s.pools,
    }
}

impl<'a> Relaxed<'a> {
    /// The steps and links that are there for certain, some choices made (`Some`) and the
    /// others open: what hangs on an open one is left out.
    pub fn new(ground: &'a Ground<'a>, chosen: &[Option<usize>]) -> Relaxed<'a> {
        let graph = ground.graph;
        let there = |when: &[(usize, usize)]| when.iter().all(|&(c, o)| chosen[c] == Some(o));
        let mut index = vec![usize::MAX; graph.steps.len()];
        let (mut of, mut steps) = (Vec::new(), Vec::new());
        for (i, s) in graph.steps.iter().enumerate() {
            if let Some(easy) = &ground.steps[i]
                && there(&s.when)
            {
                index[i] = steps.len();
                of.push(i);
                steps.push(easy);
            }
        }
        let mut ties = Vec::new();
        for (l, ask) in graph.links.iter().zip(&ground.asks) {
            let (from, to) = (index[l.from], index[l.to]);
            if from != usize::MAX && to != usize::MAX && there(&l.when) {
                ties.push(Tie { from, to, ask: *ask, lag: l.lag });
            }
        }
        let apart = ground
            .apart
            .iter()
            .map(|a| Apart { pair: a.pair.map(|i| index[i]), wait: a.wait })
            .filter(|a| a.pair.iter().all(|&i| i != usize::MAX))
            .collect();
        let mut into = vec![Vec::new(); steps.len()];
        let mut out_of = vec![Vec::new(); steps.len()];
        for (k, t) in ties.iter().enumerate() {
            into[t.to].push(k);
            out_of[t.from].push(k);
        }
        let order = forward_order(&into, &out_of, &ties);
        let trips = ground.setting.away.len() > 1;
        let may = |when: &[(usize, usize)]| when.iter().all(|&(c, o)| chosen[c].is_none_or(|x| x == o));
        let worked =
            graph.steps.iter().zip(&ground.steps).any(|(s, e)| e.as_ref().is_some_and(|e| e.labor > 0) && may(&s.when));
        Relaxed { ground, of, steps, ties, apart, into, out_of, order, trips, worked }
    }

    /// When a tie lets the later step begin, the earlier ending at `end`; `FREE` for never.
    pub fn dry_at(&self, clock: usize, need: i64, end: i64) -> i64 {
        self.ground.drying[clock].reach(end, need).unwrap_or(FREE)
    }

    /// Latest end of the earlier step for its coat to be ready at `t`.
    pub fn dry_before(&self, clock: usize, need: i64, t: i64) -> Option<i64> {
        if t < 0 { None } else { latest(&self.ground.drying[clock], t, need) }
    }

    /// Capacities of the pools.
    pub fn pools(&self) -> &[u32] {
        &self.ground.graph.pools
    }

    /// Minutes a step without hands lasts at least; 0 for any other.
    pub fn rests(&self, i: usize) -> i64 {
        if let Body::Elapsed(minutes) = self.steps[i].body { minutes } else { 0 }
    }

    fn hands(&self, i: usize) -> impl Iterator<Item = &Hands> {
        self.steps[i].hands.iter().map(|&h| &self.ground.hands[h])
    }

    /// First minute from `t` on at which step `i` might begin; `FREE` for never.
    pub fn may_begin(&self, i: usize, t: i64) -> i64 {
        let s = &self.steps[i];
        let mut t = t.max(s.earliest).max(0);
        for _ in 0..4000 {
            if t >= FREE {
                return FREE;
            }
            let was = t;
            if let Body::Labor { total, pieces } = &s.body {
                let soonest = self.hands(i).filter_map(|h| match pieces.first() {
                    Some(&first) => h.fit_from(t, first),
                    None => h.start_from(t, *total, s.least),
                });
                let Some(soonest) = soonest.min() else { return FREE };
                t = soonest;
            }
            t = self.gate_open(i, t);
            if t == was {
                return t;
            }
        }
        FREE
    }

    fn weekday(&self, day: i64) -> usize {
        (self.ground.setting.first_weekday + day).rem_euclid(7) as usize
    }

    fn gate_open(&self, i: usize, t: i64) -> i64 {
        let Some(g) = &self.steps[i].gates else { return t };
        let mut best = g.dates.iter().filter(|d| d.1 > t).map(|d| d.0.max(t)).min().unwrap_or(FREE);
        for day in t.div_euclid(DAY)..=t.div_euclid(DAY) + 7 {
            if let Some(w) = g.days[self.weekday(day)].iter().find(|w| day * DAY + w.1 > t) {
                best = best.min((day * DAY + w.0).max(t));
                break;
            }
        }
        best
    }

    /// Last minute up to `t` at which the gates of step `i` are open.
    fn gate_before(&self, i: usize, t: i64) -> Option<i64> {
        if t < self.steps[i].earliest.max(0) {
            return None;
        }
        let Some(g) = &self.steps[i].gates else { return Some(t) };
        if t >= FREE {
            return Some(t);
        }
        let mut best = g.dates.iter().filter(|d| d.0 <= t).map(|d| (d.1 - 1).min(t)).max();
        for day in (t.div_euclid(DAY) - 7..=t.div_euclid(DAY)).rev() {
            if let Some(w) = g.days[self.weekday(day)].iter().rev().find(|w| day * DAY + w.0 <= t) {
                best = best.max(Some((day * DAY + w.1 - 1).min(t)));
                break;
            }
        }
        best.filter(|&b| b >= self.steps[i].earliest.max(0))
    }

    /// Earliest end of step `i` begun at `t` (itself a minute it may begin at).
    pub fn end_from(&self, i: usize, t: i64) -> i64 {
        if t >= FREE {
            return FREE;
        }
        match &self.steps[i].body {
            Body::Elapsed(d) => self.ground.elapsed.reach(t, d * UNIT).unwrap_or(FREE),
            Body::Business(x) => self.ground.setting.business.reach(t, *x).unwrap_or(FREE),
            Body::At(at) => t.max(*at),
            Body::Labor { total, pieces } => {
                let mut u = t;
                for &p in pieces {
                    let ends = self.hands(i).filter_map(|h| h.clock.reach(h.fit_from(u, p)?, p).ok());
                    let Some(end) = ends.min() else { return FREE };
                    u = end;
                }
                let all = match pieces.len() {
                    0 | 1 => self.hands(i).filter_map(|h| h.clock.reach(t, *total).ok()).min(),
                    // Other people may take the next piece.
                    _ => self.ground.hands[self.steps[i].anybody].clock.reach(t, *total).ok(),
                };
                all.map_or(FREE, |e| e.max(u))
            }
        }
    }

    /// Earliest end of `j`, not begun before `begin`, with the trip from step `i` done at `done`
    /// or later, which must come first and shares the hands of `j`: on the same day the trip
    /// comes first, on another there is none. 0 where no trip is sure.
    pub fn end_after(&self, i: usize, j: usize, done: i64, begin: i64) -> i64 {
        let (a, b) = (self.steps[i], self.steps[j]);
        let (Some(x), Some(y), true) = (a.base, b.base, b.labor > 0) else { return 0 };
        let sure = x != y && a.all_hands && b.all_hands && a.who & b.who != 0;
        // What ends at midnight ends the day before.
        let day = (done - 1).div_euclid(DAY);
        if !sure || done >= FREE || begin.div_euclid(DAY) > day {
            return 0;
        }
        let away = &self.ground.setting.away;
        let trip = 2 * (away[x] + away[y]);
        let tomorrow = self.end_from(j, self.may_begin(j, (day + 1) * DAY));
        // Other work may stand between: the trip lies anywhere after the end of the first.
        let today = self.end_from(j, begin.max(done + trip));
        today.min(tomorrow)
    }

    /// Latest begin of step `i` that may end by `end`; `None` when there is none.
    pub fn begin_by(&self, i: usize, end: i64) -> Option<i64> {
        if end >= FREE {
            return Some(FREE);
        }
        if end < 0 {
            return None;
        }
        let s = self.steps[i];
        let t = match &s.body {
            Body::Elapsed(d) => Some(end - d),
            Body::Business(x) => latest(&self.ground.setting.business, end, *x),
            Body::At(at) => (*at <= end).then_some(end),
            Body::Labor { total, pieces } => {
                let mut u = end;
                for &p in pieces.iter().rev() {
                    u = self.hands(i).filter_map(|h| h.fit_before(u, p)).max()?;
                }
                let all = match pieces.len() {
                    0 => self
                        .hands(i)
                        .filter_map(|h| h.start_before(latest(&h.clock, end, *total)?, *total, s.least))
                        .max(),
                    1 => self.hands(i).filter_map(|h| latest(&h.clock, end, *total)).max(),
                    _ => latest(&self.ground.hands[self.steps[i].anybody].clock, end, *total),
                };
                all.map(|v| v.min(u))
            }
        }?;
        self.gate_before(i, t)
    }
}

/// Drying clocks in use: the faster of plain and damp air for every minute.
struct Drying {
    clocks: Vec<Clock>,
    known: Vec<(usize, usize, Stage)>,
}

impl Drying {
    /// What waiting for a stage of a step's coat asks; its end where it has none.
    fn ask(&mut self, graph: &WorkGraph, setting: &Setting, step: usize, stage: Stage) -> TieAsk {
        let s = &graph.steps[step];
        let (Some(c), Some(p)) = (s.coat, s.place) else { return TieAsk::Done };
        let product = &graph.products[c.product];
        let Some(hours) = product.hours.hours(stage) else { return TieAsk::Done };
        let key = (c.product, p, stage);
        let at = self.known.iter().position(|d| *d == key).unwrap_or_else(|| {
            self.clocks.push(setting.spots[p].week.clock(setting.first_weekday, |air| {
                let plain = product.speed(stage, air);
                // Damp slows every law but one.
                if setting.spots[p].fan { plain } else { plain.max(product.speed(stage, skim_damp(air))) }
            }));
            self.known.push(key);
            self.known.len() - 1
        });
        TieAsk::Dry(at, (libm::round(hours * 60.0 * c.thick) as i64).max(1) * UNIT)
    }
}

/// Whether the hands that begin a piece, or a step that may not be set down, are at it to its end.
/// Others take over only what somebody began who is slower than he thought and then stays away:
/// that is left out where a helper beside him can make him so and there are other hands.
fn stays(setting: &Setting, s: &Step) -> bool {
    let slowed = setting.workers.iter().any(|w| w.helper);
    let others = s.crew.who.len() > s.crew.fewest.max(1);
    s.flags.one_go || !(s.flags.set_down || slowed && others)
}

/// Why two steps must stand apart, if they must.
fn apart_pair(graph: &WorkGraph, setting: &Setting, drying: &mut Drying, pair: [usize; 2], out: &mut Vec<Apart>) {
    let [i, j] = pair;
    let (a, b) = (&graph.steps[i], &graph.steps[j]);
    // Gates that take of one pool, which cannot serve both.
    let taken = |s: &Step, pool: usize| s.pools.iter().filter(|x| x.0 == pool).map(|x| x.1).sum::<u32>();
    let rests = |s: &Step| matches!(s.kind, Kind::Elapsed(d) if d.typical() > 0);
    if rests(a) && rests(b) && (0..graph.pools.len()).any(|k| taken(a, k) + taken(b, k) > graph.pools[k]) {
        out.push(Apart { pair, wait: [(TieAsk::Done, 0), (TieAsk::Done, 0)] });
    }
    // Gates rest in a place without filling it.
    let lasts = |s: &Step| matches!(s.kind, Kind::Labor) && s.labor.typical() > 0;
    if !lasts(a) || !lasts(b) {
        return;
    }
    // Hands that stay from begin to end, too few for both.
    let solid = |s: &Step| matches!(s.kind, Kind::Labor) && s.pieces.len() == 1 && stays(setting, s);
    if solid(a) && solid(b) {
        let mut who = [a.crew.who.clone(), b.crew.who.clone()].concat();
        who.sort_unstable();
        who.dedup();
        if a.crew.fewest.max(1) + b.crew.fewest.max(1) > who.len() {
            out.push(Apart { pair, wait: [(TieAsk::Done, 0), (TieAsk::Done, 0)] });
        }
    }
    let (Some(p), Some(q)) = (a.place, b.place) else { return };
    let mut free = |s: usize| drying.ask(graph, setting, s, Stage::DustFree);
    if p == q && (a.flags.closes || b.flags.closes) {
        let mut until = |s: usize| if graph.steps[s].flags.closes { free(s) } else { TieAsk::Done };
        out.push(Apart { pair, wait: [(until(i), 0), (until(j), 0)] });
    }
    let wet = |s: &Step| s.coat.is_some_and(|c| graph.products[c.product].wet_to_dust);
    if setting.spots[p].air == setting.spots[q].air {
        for (dusty, open, from, to) in [(a, b, 0, 1), (b, a, 1, 0)] {
            if dusty.flags.dusty && wet(open) {
                let mut wait = [(TieAsk::Done, 0), (TieAsk::Done, 0)];
                wait[from] = (TieAsk::Done, setting.spots[[p, q][from]].settle);
                wait[to] = (free(pair[to]), 0);
                out.push(Apart { pair, wait });
            }
        }
    }
}

/// Topological order of the relaxed steps; every link leads forward in it.
fn forward_order(into: &[Vec<usize>], out_of: &[Vec<usize>], ties: &[Tie]) -> Vec<usize> {
    let mut open: Vec<usize> = into.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..into.len()).filter(|&i| open[i] == 0).collect();
    let mut k = 0;
    while k < order.len() {
        for &t in &out_of[order[k]] {
            open[ties[t].to] -= 1;
            if open[ties[t].to] == 0 {
                order.push(ties[t].to);
            }
        }
        k += 1;
    }
    order
}
