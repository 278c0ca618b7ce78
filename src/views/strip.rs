//! The figures that answer everything: likely, safe to promise, the client's day, slip, chance.
//!
//! Days are those of the text forecast at the same trials. While few trials are out a day
//! shown before stays as long as the interval of the new one holds it, so that no date
//! flickers; at rest the day is the forecast's own.

use super::forecast_text::in_ten;
use super::{Almanac, Figure, ForecastView, chance_words, forecast::in_hand};
use crate::clock::At;
use crate::desk::Sound;
use crate::forecast::stats::Interval;
use crate::forecast::{Forecast, last_day};
use crate::job::TargetKind;
use crate::work::Kind;

/// What a figure is about, for its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    Plain,
    /// Safe, odds.
    Safe,
    /// The client's day that is passed, and what passes it.
    Client,
}

/// One figure of the strip, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct StripFigure {
    /// `likely`, `safe to promise, 8 in 10`.
    pub caption: String,
    /// The same where there is little room: `safe to promise`.
    pub short: String,
    /// `Wed 31 Mar`; with a question asked `Wed 31 → Thu 1 Apr`.
    pub text: String,
    pub tone: Tone,
    /// Where it comes from, one sentence.
    pub why: String,
    /// What to leave out first where the window is narrow: 0 stays longest.
    pub rank: u8,
}

impl StripFigure {
    /// The figure with its why.
    pub fn figure(&self) -> Figure {
        Figure::new(self.text.clone(), self.why.clone())
    }
}

/// The days of one answer, steadied against those shown before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShownDays {
    pub likely: i64,
    pub safe: i64,
}

impl ShownDays {
    /// Days of a forecast; those of `before` stay where few trials cannot tell them from the
    /// new ones. `rest` says that all trials are out.
    pub fn new(f: &Forecast, confidence: f64, rest: bool, before: Option<ShownDays>) -> ShownDays {
        let steady = |p: f64, old: Option<i64>| {
            let (at, i) = f.quantile(p);
            match old {
                Some(d) if !rest && (last_day(i.low)..=last_day(i.high)).contains(&d) => d,
                _ => last_day(at),
            }
        };
        ShownDays { likely: steady(0.5, before.map(|b| b.likely)), safe: steady(confidence, before.map(|b| b.safe)) }
    }
}

/// One answer as the strip reads it.
#[derive(Clone, Copy)]
pub struct Reading<'a> {
    pub sound: &'a Sound,
    pub forecast: &'a Forecast,
    pub odds: &'a ForecastView,
    pub days: ShownDays,
}

/// Workdays (somebody of the crew works by his calendar) after `a` up to `b`; negative when
/// `b < a`.
pub fn workdays_between(sound: &Sound, a: i64, b: i64) -> i64 {
    if b < a {
        return -workdays_between(sound, b, a);
    }
    let works = |d: i64| sound.setting.workers.iter().any(|w| w.shifts.day(d).minutes() > 0);
    if sound.setting.workers.is_empty() { b - a } else { (a + 1..=b).filter(|&d| works(d)).count() as i64 }
}

fn days(n: i64) -> String {
    if n == 1 { "1 day".into() } else { format!("{n} days") }
}

/// A figure there is none of yet.
pub const NONE_YET: &str = "–";

/// Whether nobody has anything to do in this job: it has no date then.
pub fn nothing_to_do(sound: &Sound) -> bool {
    !sound.graph.steps.iter().any(|s| s.kind == Kind::Labor && s.labor.typical() > 0)
}

/// The last day of a job all of which is done by the moment it is asked at.
pub fn done_day(r: &Reading) -> Option<i64> {
    let at = r.sound.job.as_of.map(|t| r.sound.job.at_of(t))?;
    (r.forecast.clean_run <= at && !nothing_to_do(r.sound)).then(|| last_day(r.forecast.clean_run))
}

/// Slip in working days: before a promise the safe day against the day asked for, after it the
/// likely day against the promise.
fn slip(r: &Reading) -> Option<String> {
    let (t, day, _) = r.odds.target.as_ref()?;
    let words = match t.kind {
        TargetKind::Promised => match workdays_between(r.sound, *day, r.days.likely) {
            n if n > 0 => format!("{} late", days(n)),
            0 => "on the day".into(),
            n => format!("{} to spare", days(-n)),
        },
        TargetKind::Asked => match workdays_between(r.sound, *day, r.days.safe) {
            n if n > 0 => format!("{} short", days(n)),
            0 => "just enough".into(),
            n => format!("{} to spare", days(-n)),
        },
    };
    Some(words)
}

/// Where the chance of a day comes from.
pub(super) fn chance_why(day: String, chance: &Interval<f64>, trials: usize) -> String {
    format!(
        "share of {} trials done by the close of {day}; 95 % interval {} to {}",
        super::thousands(trials),
        chance_words(chance.low, 10_000),
        chance_words(chance.high, 10_000)
    )
}

/// Short day, the month left out where the next value says it.
pub(super) fn pair(a: String, b: Option<String>) -> String {
    match b {
        Some(b) if b != a => {
            let month = |s: &str| s.rsplit(' ').next().unwrap_or("").to_string();
            let day = |s: &str| s.rsplit_once(' ').map_or(s.to_string(), |x| x.0.to_string());
            if month(&a) == month(&b) { format!("{} → {b}", day(&a)) } else { format!("{a} → {b}") }
        }
        _ => a,
    }
}

/// The strip of one answer, with the figures of a question beside them where one is asked.
/// Both must be of as many trials.
pub fn strip(is: &Reading, asked: Option<&Reading>) -> Vec<StripFigure> {
    let a = Almanac(&is.sound.job);
    let with = asked.map(|r| (Almanac(&r.sound.job), r));
    let day = |f: &dyn Fn(&Reading) -> i64| pair(a.short_day(f(is)), with.map(|(b, r)| b.short_day(f(r))));
    if let Some(done) = done_day(is) {
        return ended(is, done);
    }
    let n = is.forecast.trials;
    let confidence = in_ten(is.odds.confidence);
    let other = with.map(|(_, r)| in_ten(r.odds.confidence)).filter(|x| *x != confidence);
    let wanted = match &other {
        None => confidence.clone(),
        Some(x) => format!("{} → {x}", confidence.trim_end_matches(" in 10")),
    };
    let mut out = vec![
        StripFigure {
            caption: "likely".into(),
            short: "likely".into(),
            text: day(&|r| r.days.likely),
            tone: Tone::Plain,
            why: format!("half of {} trials of this order are done by the close of that day", super::thousands(n)),
            rank: 1,
        },
        StripFigure {
            caption: format!("safe to promise, {wanted}"),
            short: other.map_or("safe to promise".into(), |_| format!("safe, {wanted}")),
            text: day(&|r| r.days.safe),
            tone: Tone::Safe,
            why: format!(
                "the first day by whose close {confidence} trials are done; {:.1} working days in hand after the clean run, {}",
                in_hand(is.sound, is.forecast, is.odds.confidence),
                a.short(is.forecast.clean_run)
            ),
            rank: 0,
        },
    ];
    if let Some((t, d, chance)) = &is.odds.target {
        let promised = t.kind == TargetKind::Promised;
        let late = slip(is).is_some_and(|s| s.ends_with("late") || s.ends_with("short"));
        let tone = if late { Tone::Client } else { Tone::Plain };
        out.push(StripFigure {
            caption: if promised { "promised" } else { "asked for" }.into(),
            short: if promised { "promised" } else { "asked for" }.into(),
            text: pair(a.short_day(*d), with.and_then(|(b, r)| r.odds.target.as_ref().map(|t| b.short_day(t.1)))),
            tone,
            why: match is.sound.job.asked_for().filter(|_| promised) {
                Some(day) => {
                    format!("the day the client was promised; asked for {}", super::day_words(day))
                }
                None if promised => "the day the client was promised".into(),
                None => "the day the client asked for".into(),
            },
            rank: 0,
        });
        if let Some(s) = slip(is) {
            let asked = with.and_then(|(_, r)| slip(r)).filter(|x| *x != s);
            out.push(StripFigure {
                caption: if promised { "slip, likely day" } else { "slip, safe day" }.into(),
                short: "slip".into(),
                text: asked.map_or(s.clone(), |x| format!("{s} → {x}")),
                tone,
                why: if promised {
                    "working days from the promised day to the likely one".into()
                } else {
                    format!("working days from the day asked for to the day safe to promise; asked for {}", a.day(*d))
                },
                rank: 2,
            });
        }
        let said = chance_words(chance.value, n);
        let asked = with
            .and_then(|(_, r)| r.odds.target.as_ref().map(|t| chance_words(t.2.value, r.forecast.trials)))
            .filter(|x| *x != said);
        out.push(StripFigure {
            caption: "chance".into(),
            short: "chance".into(),
            text: asked.map_or(said.clone(), |x| format!("{} → {x}", said.trim_end_matches(" %"))),
            tone: if chance.value < is.odds.confidence { Tone::Client } else { Tone::Safe },
            why: chance_why(a.short_day(*d), chance, n),
            rank: 0,
        });
    }
    if nothing_to_do(is.sound) && with.is_none_or(|(_, r)| nothing_to_do(r.sound)) {
        out.retain(|f| f.rank < 2);
        for f in out.iter_mut().filter(|f| !matches!(f.caption.as_str(), "asked for" | "promised")) {
            (f.text, f.tone) = (NONE_YET.into(), Tone::Plain);
            f.why = "nothing is to be done yet; choose what is done under Surfaces and their recipes".into();
        }
    }
    out
}

/// The strip of a job all of which is done: the day, the client's day, and how far apart they are.
fn ended(r: &Reading, done: i64) -> Vec<StripFigure> {
    let a = Almanac(&r.sound.job);
    let one = |caption: &str, text: String, tone: Tone, why: &str| StripFigure {
        caption: caption.into(),
        short: caption.into(),
        text,
        tone,
        why: why.into(),
        rank: 0,
    };
    let mut out =
        vec![one("done", a.short_day(done), Tone::Plain, "the day the last of the work was written up as done")];
    if let Some((t, day, _)) = &r.odds.target {
        let late = workdays_between(r.sound, *day, done);
        let tone = if late > 0 { Tone::Client } else { Tone::Plain };
        let (caption, why) = match t.kind {
            TargetKind::Promised => ("promised", "the day the client was promised"),
            TargetKind::Asked => ("asked for", "the day the client asked for"),
        };
        out.push(one(caption, a.short_day(*day), tone, why));
        let words = match late {
            0 => "on the day".to_string(),
            n if n > 0 => format!("{} late", days(n)),
            n => format!("{} early", days(-n)),
        };
        out.push(one("it came", words, tone, "working days between that day and the day it was done"));
    }
    out
}

/// Of what the second of two figures speak: `what if: a helper`.
pub fn what_if_words(of: &str) -> String {
    format!("what if: {of}")
}

/// How a question is counted.
pub const COUNTED: &str = "the same trials with and without it, so that what chance does to both falls out; \
likely is the day half of them are done by, in working days";

/// What a question costs, in words: `likely +1 day, 40 → 28 %`.
pub fn cost_words(is: &Reading, asked: &Reading) -> String {
    let days = working(is, is.forecast.quantile(0.5).0, asked.forecast.quantile(0.5).0);
    let mut out = if days.abs() < 0.05 {
        "costs nothing".to_string()
    } else {
        let n = format!("{days:+.1} days").replace('-', "−");
        let n = if n.len() == "+1.0 days".len() { n.replace("+1.0 days", "+1 day") } else { n };
        format!("likely {}", n.replace(".0 days", " days"))
    };
    if let (Some(a), Some(b)) = (&is.odds.target, &asked.odds.target) {
        let n = is.forecast.trials;
        let (x, y) = (chance_words(a.2.value, n), chance_words(b.2.value, asked.forecast.trials));
        out += &if x == y { format!(", chance stays {x}") } else { format!(", {} → {y}", x.trim_end_matches(" %")) };
    }
    out
}

fn working(r: &Reading, a: At, b: At) -> f64 {
    super::working_days(&r.sound.setting, a, b)
}

/// Where the line under the job's name comes from.
pub const JOB_LINE: &str = "measures as entered, everybody in the crew, and the labor of all steps of this order by \
one person, everything typical, trips left out";

/// The line under the job's name: `13' x 11'-6" x 8'-4" · one person · 134 h`.
pub fn job_line(sound: &Sound, labor_min: i64) -> String {
    let job = &sound.job;
    let style = job.units.style();
    let mut out = match job.rooms.as_slice() {
        [] => String::new(),
        [room] => match &crate::sheet::rectangle(room) {
            Some(s) => format!("{} × {} × {} · ", s.length.print(style), s.width.print(style), s.height.print(style)),
            None => format!("{} walls · ", room.walls.len()),
        },
        rooms => format!("{} rooms · ", rooms.len()),
    };
    let helpers = job.crew.iter().filter(|p| p.helper).count();
    out += &match (job.crew.len(), helpers) {
        (1, _) => "one person".to_string(),
        (2, 1) => "one person and a helper".into(),
        (n, _) => format!("{n} people"),
    };
    out + &format!(" · {:.0} h", labor_min as f64 / 60.0)
}

#[cfg(test)]
#[path = "strip_tests.rs"]
mod tests;
