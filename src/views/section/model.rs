//! What the section shows, as plain data: no positions, no colours.
//!
//! One file because the chart's parts are filled from one plan and refer to each other.

use super::{Axis, Hours, bands, blocks, ribbon, why};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::job::TargetKind;
use crate::schedule::LONG_PAUSE;
use crate::search::Found;
use crate::trade::Part;
use crate::views::forecast::in_hand;
use crate::views::{Almanac, ForecastView, PlanView, chance_words};

/// Which of the places a step is worked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Site {
    Room,
    Shop,
    Booth,
    /// Nobody's place: deliveries, decisions, laboratories.
    Away,
}

/// A band: one height of the room, or what lies outside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Deliveries, decisions, other trades, the laboratory.
    Coming,
    Part(Part),
    Shop,
    Booth,
}

/// A band with its name.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    pub level: Level,
    /// Index into [`Model::rooms`]; `None` for bands all rooms share.
    pub room: Option<usize>,
    pub name: String,
    /// Labor of all its steps, minutes, and the words for it.
    pub labor_min: i64,
    pub hours: String,
    /// What the hours are the sum of.
    pub why: String,
}

/// A coat on its way: how much is still to dry, and what it is then good for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wedge {
    /// When the last piece was finished.
    pub from: At,
    /// When the next step may touch it.
    pub dry: At,
    /// The first working minute after it.
    pub ready: At,
    /// Share still to dry over time, 1 down to 0, by the product's own clock.
    pub left: Vec<(At, f32)>,
    /// `dry Sat 03:00, ready Mon 8:00`.
    pub words: String,
}

/// A step in its band.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Index in the graph.
    pub step: usize,
    pub id: String,
    pub name: String,
    /// The name cut to what fits beside a block.
    pub short: String,
    /// Index into [`Model::bands`] of the highest band it covers, and of the lowest.
    pub band: usize,
    pub lowest: usize,
    pub room: Option<usize>,
    pub site: Site,
    /// Whether hands work on it.
    pub hands: bool,
    pub begin: At,
    pub end: At,
    /// Stretches worked (or filled), pieces apart only by off hours joined.
    pub runs: Vec<(At, At)>,
    /// Labor minutes, and the words for them.
    pub labor_min: i64,
    pub hours: String,
    /// `Mara`, `Ada and Jon`.
    pub who: String,
    pub wedge: Option<Wedge>,
    /// Whether it holds the date.
    pub on_ribbon: bool,
    /// Whether the user holds it back.
    pub held_back: bool,
    pub done: bool,
    /// `Mon 1 Mar 8:15 to Mon 1 Mar 10:45`, or when it is ordered, there or settled.
    pub dates: String,
    /// Why it begins when it does.
    pub why: String,
    /// Where its figures come from.
    pub told: String,
    /// What is said of it, a line each: hours and place, dates, drying, why, what can wait.
    pub says: Vec<String>,
}

/// Why a stretch of the date is as long as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Hands,
    Drying,
    /// A delivery, a decision, a laboratory, another trade.
    Coming,
    /// Closed hours, an appointment, the first day.
    Closed,
    /// Dust that settles, a place not free, a hold.
    Place,
}

/// A piece of what holds the date.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub kind: Kind,
    pub from: At,
    pub to: At,
    /// What of it is worked or dries; the rest is closed hours.
    pub parts: Vec<(At, At)>,
    /// Steps of the piece in order; of a wait the step that waits.
    pub steps: Vec<usize>,
    /// Of a wait the step waited for.
    pub by: Option<usize>,
    /// `crown`, `drying`, `delivery`.
    pub word: String,
    pub sentence: String,
    /// Where its length comes from.
    pub why: String,
}

/// The chance that it is done by the close of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    pub day: i64,
    pub share: f64,
    /// `40`, the figure of the tape; the sheet's name says per cent.
    pub figure: String,
    /// `40 %`.
    pub words: String,
    pub why: String,
}

/// A person's lane.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    pub name: String,
    pub work: Vec<LaneWork>,
}

/// What a person does in a stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct LaneWork {
    pub step: usize,
    pub site: Site,
    pub from: At,
    pub to: At,
    /// On the road at its head, minutes.
    pub trip_min: i64,
    /// Tag of the room.
    pub tag: String,
}

/// A day with a name on the section: clean run, the client's day, the safe day.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub at: At,
    pub name: String,
    pub says: String,
    pub why: String,
}

/// Time everybody lost, or on which the house was not free.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    pub from: At,
    pub to: At,
    /// Begins at `from`; its name is the cause.
    pub line: Line,
}

/// A room of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomInfo {
    /// Index into the job's rooms.
    pub room: usize,
    pub name: String,
    /// One or two letters.
    pub tag: String,
    pub section: RoomSection,
    /// Work, drying and the next usable moment, for the row it folds to.
    pub work: Vec<(At, At)>,
    pub drying: Vec<(At, At)>,
    /// `done Fri 8 Oct`, of the last hands in it.
    pub done: String,
    pub done_why: String,
}

/// A room's own heights, feet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomSection {
    pub height: f32,
    /// Width of the stretch of wall drawn.
    pub width: f32,
    pub crown: bool,
    /// Head and sill over the floor, and width, of the window (or door) shown.
    pub window: Option<(f32, f32, f32)>,
    pub door: Option<(f32, f32)>,
    pub panels: Option<f32>,
    pub base: bool,
    /// Casing width.
    pub casing: f32,
}

/// Everything the section shows of one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    pub first_weekday: i64,
    /// Days the section spans, first to last.
    pub days: (i64, i64),
    /// Names of the days spanned.
    pub day_names: Vec<DayName>,
    pub hours: Hours,
    pub rooms: Vec<RoomInfo>,
    /// The job has several rooms, also where only one of them is drawn.
    pub many: bool,
    pub bands: Vec<Band>,
    pub blocks: Vec<Block>,
    pub pieces: Vec<Piece>,
    pub clean_run: Line,
    pub target: Option<Line>,
    pub promised: bool,
    pub safe: Option<Line>,
    /// The moment asked at, of a job under way.
    pub now: Option<Line>,
    /// Time lost, first to last.
    pub lost: Vec<Gap>,
    /// `days in hand`, with how many.
    pub in_hand: String,
    pub in_hand_why: String,
    pub odds: Vec<Odds>,
    pub lanes: Vec<Lane>,
    /// Block of each step of the graph, if it has one.
    pub by_step: Vec<Option<usize>>,
}

/// A day as the header writes it.
#[derive(Clone, Debug, PartialEq)]
pub struct DayName {
    pub day: i64,
    /// `Mo`.
    pub weekday: String,
    /// `1`.
    pub number: String,
    /// `Mon 1 Mar`.
    pub long: String,
    /// `March 2027`.
    pub month: String,
}

impl Model {
    /// The axis of the model at a scale.
    pub fn axis(&self, scale: super::Scale) -> Axis {
        Axis::new(&self.hours, self.days, scale)
    }

    /// The block of a step.
    pub fn block_of(&self, step: usize) -> Option<usize> {
        self.by_step.get(step).copied().flatten()
    }

    /// The first piece of what holds the date a step works on.
    pub fn piece_of(&self, step: usize) -> Option<usize> {
        let own = |p: &Piece| p.kind == Kind::Hands || p.kind == Kind::Coming;
        self.pieces.iter().position(|p| own(p) && p.steps.contains(&step))
    }
}

impl Model {
    /// Reads a plan, and a forecast once there is one.
    pub fn new(sound: &Sound, found: &Found, view: &PlanView, odds: Option<(&Forecast, &ForecastView)>) -> Model {
        let job = &sound.job;
        let finish = found.plan.finish;
        let target_day = job.target.map(|t| job.day_of(t.day));
        // What is done has no odds: no safe day, and no days in hand before it.
        let now = job.as_of.map(|t| job.at_of(t)).filter(|t| t.0 > 0);
        let odds = odds.filter(|_| now.is_none_or(|t| finish > t));
        let safe_day = odds.map(|(_, v)| v.safe);
        let last = [Some(last_day(finish)), target_day, safe_day].into_iter().flatten().max().unwrap_or(0);
        let begin = view.steps.iter().map(|s| s.begin.day()).chain(target_day).min().unwrap_or(0).min(0);
        // Two days more, that what passes the last line is seen to pass it; the last a working day.
        let mut end = last + 2;
        let known = hours(sound, begin, end + 14);
        while known.of(end).is_empty() && end < last + 10 {
            end += 1;
        }
        let hours = Hours { days: known.days[..(end - begin + 1) as usize].to_vec(), ..known };
        let stood: Vec<_> = sound.graph.steps.iter().map(|s| bands::stood(sound, s)).collect();
        let planned: Vec<_> = view.steps.iter().map(|r| stood[r.step]).collect();
        let mut list = bands::bands(sound, &planned);
        let all = blocks::blocks(sound, found, view, &stood, &list, &hours);
        for b in &all {
            list[b.band].labor_min += b.labor_min;
        }
        for b in list.iter_mut().filter(|b| b.labor_min > 0) {
            b.hours = crate::views::holds::hours(b.labor_min);
        }
        why::bands(&mut list, &all);
        let mut rooms = bands::rooms(sound);
        for (i, r) in rooms.iter_mut().enumerate() {
            (r.work, r.drying) = blocks::folded(&all, i, &hours);
            let last = r.work.last().map(|w| Almanac(job).short_day(last_day(w.1)));
            r.done = last.map(|d| format!("done {d}")).unwrap_or_default();
            r.done_why = why::done(r);
        }
        let mut pieces = ribbon::pieces(sound, &found.plan, &view.stretches, &all, &list, &hours);
        why::pieces(sound, &mut pieces, &all);
        let lanes = lanes(sound, found, &all, &rooms);
        let a = Almanac(job);
        let close = |day: i64| At(day * DAY + hours.of(day).last().map_or(DAY, |s| s.1));
        let line =
            |day: i64, name: &str, says: String, why: String| Line { at: close(day), name: name.into(), says, why };
        let promised = job.target.is_some_and(|t| t.kind == TargetKind::Promised);
        let day_names = (begin..=end)
            .map(|day| {
                let d = job.date_of(day);
                let weekday = d.format("%a").to_string().chars().take(2).collect();
                DayName {
                    day,
                    weekday,
                    number: d.format("%-d").to_string(),
                    long: a.short_day(day),
                    month: d.format("%B %Y").to_string(),
                }
            })
            .collect();
        let lost = gaps(sound);
        // A day lost is as wide as it would have been.
        let mut wide = hours.clone();
        for day in lost.iter().flat_map(|g| g.from.day()..g.to.0.div_euclid(DAY)) {
            let usual = [7, -7, 14, -14].map(|w| self::hours(sound, day + w, day + w).days.remove(0));
            if let (true, Some(usual)) = (wide.of(day).is_empty(), usual.into_iter().find(|u| !u.is_empty()))
                && let Some(at) = usize::try_from(day - wide.first).ok().filter(|i| *i < wide.days.len())
            {
                wide.days[at] = usual;
            }
        }
        Model {
            first_weekday: job.first_weekday(),
            days: (begin, end),
            day_names,
            many: rooms.len() > 1,
            rooms,
            bands: list,
            pieces,
            lanes,
            clean_run: Line {
                at: finish,
                name: "clean run".into(),
                says: format!("Clean run: {}", a.end(finish)),
                why: "the end of this order with every step at its typical hours and nothing going wrong".into(),
            },
            target: target_day.map(|d| {
                let name = if promised { "promised" } else { "asked for" };
                let why = format!("the day the client {}", if promised { "was promised" } else { "asked for" });
                line(d, name, format!("{} {}", blocks::capital(name), a.day(d)), why)
            }),
            promised,
            safe: safe_day.map(|d| {
                line(d, "safe", format!("Safe to promise: {}", a.day(d)), odds.map_or_else(String::new, why::safe))
            }),
            now: now.map(|at| Line {
                at,
                name: "now".into(),
                says: format!("Now: {}", job.as_of.map(crate::views::moment_words).unwrap_or_default()),
                why: "the evening of the last day written up; what stands before it is as it was written".into(),
            }),
            lost,
            in_hand: odds.map_or(String::new(), |(f, v)| in_hand_words(sound, f, v)),
            in_hand_why: odds.map_or(String::new(), |(f, v)| why::in_hand(sound, f, v)),
            odds: odds.map_or(Vec::new(), |(f, _)| day_odds(f, end)),
            by_step: by_step(&all),
            blocks: all,
            hours: wide,
        }
    }
}

/// Time lost by everybody, or on which the house was not free; days that follow upon each other
/// for the same reason are one.
fn gaps(sound: &Sound) -> Vec<Gap> {
    let job = &sound.job;
    let mut out: Vec<Gap> = Vec::new();
    let all = |l: &&crate::job::LostTime| l.house || l.who.is_empty() || job.crew.len() == 1;
    for l in job.lost.iter().filter(all) {
        let says = crate::views::site::lost_words(job, l);
        let name =
            if l.note.is_empty() { crate::views::site::cause_words(l.cause).to_string() } else { l.note.clone() };
        let (first, last) = (job.day_of(l.from), job.day_of(l.last()));
        let mut put = |from: i64, to: i64| {
            let line = Line {
                at: At(from),
                name: format!("lost: {name}"),
                says: format!("Lost: {says}"),
                why: "time lost, as it was written down; drying went on".into(),
            };
            out.push(Gap { from: At(from), to: At(to), line });
        };
        match l.hours {
            None => put(first * DAY, (last + 1) * DAY),
            Some(h) => (first..=last).for_each(|d| put(d * DAY + h.from.0, d * DAY + h.to.0)),
        }
    }
    out.sort_by_key(|g| (g.from, g.to));
    out
}

pub(super) fn by_step(blocks: &[Block]) -> Vec<Option<usize>> {
    let mut out = vec![None; blocks.iter().map(|b| b.step + 1).max().unwrap_or(0)];
    for (i, b) in blocks.iter().enumerate() {
        out[b.step].get_or_insert(i);
    }
    out
}

/// When anybody is on shift, evenings and half days of single dates in it.
fn hours(sound: &Sound, from: i64, to: i64) -> Hours {
    let day = |d: i64| {
        let mut all: Vec<(i64, i64)> = Vec::new();
        if d >= 0 {
            for w in &sound.setting.workers {
                all.extend(w.shifts.day(d).stretches().iter().map(|&(a, b)| (i64::from(a), i64::from(b))));
            }
        }
        crate::clock::DayShift::new(&all).stretches().iter().map(|&(a, b)| (i64::from(a), i64::from(b))).collect()
    };
    let closed = sound.setting.house_closed.iter().copied().filter(|d| (from..=to).contains(d)).collect();
    Hours { first: from, days: (from..=to).map(day).collect(), closed }
}

fn in_hand_words(sound: &Sound, f: &Forecast, v: &ForecastView) -> String {
    let days = in_hand(sound, f, v.confidence);
    if days <= 0.0 { String::new() } else { format!("{days:.1} days in hand") }
}

/// The tape's figures up to a day, from the first with a chance to speak of.
fn day_odds(f: &Forecast, last: i64) -> Vec<Odds> {
    let odds = |(day, share): (i64, f64)| {
        let words = chance_words(share, f.finish.len());
        let figure = words.trim_end_matches(" %").trim_start_matches("about ");
        let figure = match figure.strip_prefix("under ").or(figure.strip_prefix("over ")) {
            Some(_) if share < 0.5 => "<1".to_string(),
            Some(_) => ">99".to_string(),
            None if figure.starts_with("0.") => "<1".to_string(),
            None if figure.starts_with("99.") => ">99".to_string(),
            None => figure.to_string(),
        };
        let why = why::odds(share, f.finish.len());
        Odds { day, share, figure, words, why }
    };
    let all: Vec<Odds> = f.by_day().into_iter().filter(|&(d, share)| d <= last && share > 0.0).map(odds).collect();
    // Of the days before there is a chance to speak of only the last, of those after only the first.
    let from = all.iter().rposition(|o| o.figure == "<1").unwrap_or(0);
    let to = all.iter().position(|o| o.figure == ">99").map_or(all.len(), |i| i + 1);
    all.into_iter().take(to).skip(from).collect()
}

/// Who does what, a lane a person, where there are several.
fn lanes(sound: &Sound, found: &Found, blocks: &[Block], rooms: &[RoomInfo]) -> Vec<Lane> {
    if sound.job.crew.len() < 2 {
        return Vec::new();
    }
    let by_step = by_step(blocks);
    let lane = |(i, p): (usize, &crate::job::Person)| {
        let mut work: Vec<LaneWork> = Vec::new();
        for r in found.plan.runs.iter().filter(|r| r.people.contains(&i)) {
            let b = by_step.get(r.step).copied().flatten().map(|b| &blocks[b]);
            let tag = b.and_then(|b| b.room).and_then(|r| rooms.get(r)).map_or(String::new(), |r| r.tag.clone());
            let (site, trip_min) = (b.map_or(Site::Room, |b| b.site), r.trip_min);
            match work.last_mut() {
                // One stay in one room; nights between days stay visible.
                Some(w) if w.site == site && w.tag == tag && trip_min == 0 && r.from.0 - w.to.0 < LONG_PAUSE => {
                    w.to = w.to.max(r.to);
                }
                _ => work.push(LaneWork { step: r.step, site, from: r.from, to: r.to, trip_min, tag }),
            }
        }
        Lane { name: p.name.clone(), work }
    };
    sound.job.crew.iter().enumerate().map(lane).collect()
}

/// Every sample job as a model, with a forecast of few trials.
#[cfg(test)]
pub fn samples() -> &'static [(String, Model)] {
    static ALL: std::sync::OnceLock<Vec<(String, Model)>> = std::sync::OnceLock::new();
    ALL.get_or_init(|| {
        let text = |n: &str| {
            std::fs::read_to_string(format!("{}/sample-jobs/{n}.ron", env!("CARGO_MANIFEST_DIR"))).expect("a sample")
        };
        ["study", "powder", "nursery", "hall", "house"]
            .iter()
            .map(|n| {
                let sound = crate::desk::open(&text(n)).unwrap().sound.expect("sound");
                let found = sound.plan(false).unwrap();
                let view = PlanView::new(&sound, &found);
                let o = crate::forecast::Options { trials: 500, seed: sound.job.seed, cause_trials: 0 };
                let f = sound.forecast(&found, o).unwrap();
                let v = ForecastView::new(&sound, &f, sound.job.confidence);
                (n.to_string(), Model::new(&sound, &found, &view, Some((&f, &v))))
            })
            .collect()
    })
}
