//! Days that could be promised, with their odds; what a promise of one means; the promise made, followed, withdrawn.

use chrono::Datelike;
use serde_json::{Value, json};

use super::{Almanac, chance_words, day_words, in_ten, iso_day, workdays_between};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::job::{Job, KeptOrder, Promise, Target, TargetKind, public_holidays};

/// Working days shown before and after the day safe to promise.
const AROUND: (usize, usize) = (5, 4);
/// Odds up to whose day public holidays are offered.
const LATE: f64 = 0.95;
/// Days of the calendar up to which all working days to the client's day are shown.
const NEAR: i64 = 28;

/// A day that could be promised.
#[derive(Clone, Debug, PartialEq)]
pub struct PromiseDay {
    pub day: chrono::NaiveDate,
    /// `Wed 31 Mar 2027`.
    pub words: String,
    pub chance: String,
    /// Where the chance comes from.
    pub why: String,
    /// `safe to promise, 8 in 10`, `asked for`, `promised`.
    pub marks: String,
    /// What promising it means, a sentence.
    pub means: String,
}

/// Days on which somebody of the crew works around the one safe to promise, without a gap, and the
/// client's day among them.
pub fn promise_days(sound: &Sound, f: &Forecast) -> Vec<PromiseDay> {
    let job = &sound.job;
    let safe = f.day(job.confidence);
    let works = |d: &i64| sound.setting.workers.iter().any(|w| w.shifts.day(*d).minutes() > 0);
    let before = (0..=safe).rev().filter(|d| *d < safe && works(d)).take(AROUND.0);
    let after = (safe + 1..safe + 60).filter(works).take(AROUND.1);
    let target = job.target.map(|t| job.day_of(t.day)).filter(|d| *d >= 0);
    let mut days: Vec<i64> = before.chain([safe]).chain(after).collect();
    // After a promise the day asked for is still spoken of.
    let asked = job.asked_for().map(|d| job.day_of(d)).filter(|d| *d >= 0 && Some(*d) != target);
    for t in target.into_iter().chain(asked) {
        days.sort_unstable();
        let (first, last) = (days.first().copied().unwrap_or(t), days.last().copied().unwrap_or(t));
        let between = if t < first { t..first } else { last..t };
        days.push(t);
        days.extend(between.filter(|d| (t - d).abs() <= NEAR && (first - t).max(t - last) <= NEAR && works(d)));
    }
    days.sort_unstable();
    days.dedup();
    days.into_iter().map(|d| promise_day(sound, f, d)).collect()
}

/// Public holidays from the first day to the day safe at nearly any odds that fall on days of the
/// working week and are not in the calendar yet: in words, and the calendar's list with them.
pub fn holidays_offered(job: &Job, f: &Forecast) -> Option<(String, Vec<chrono::NaiveDate>)> {
    let last = job.date_of(f.day(LATE));
    let week = &job.calendar.week.days;
    let new: Vec<_> = public_holidays(job.start, last)
        .into_iter()
        .filter(|h| week.iter().any(|d| d.index() == h.0.weekday().num_days_from_monday() as usize))
        .filter(|h| !job.calendar.holidays.contains(&h.0))
        .collect();
    if new.is_empty() {
        return None;
    }
    let said: Vec<String> = new.iter().map(|h| format!("{}, {}", day_words(h.0), h.1)).collect();
    let mut days = job.calendar.holidays.clone();
    days.extend(new.iter().map(|h| h.0));
    days.sort_unstable();
    let said = said.join("; ");
    let stop = if said.ends_with('.') { "" } else { "." };
    Some((format!("Public holidays on working days (US federal): {said}{stop}"), days))
}

/// A chance in words; to the tenth where it would read like the confidence and is less.
fn near_words(share: f64, confidence: f64, trials: usize) -> String {
    let words = chance_words(share, trials);
    if share < confidence && words == chance_words(confidence, trials) && !words.starts_with("about") {
        return format!("{:.1} %", (share * 1000.0).floor() / 10.0);
    }
    words
}

/// One day as it would be promised.
pub fn promise_day(sound: &Sound, f: &Forecast, day: i64) -> PromiseDay {
    let job = &sound.job;
    let mut marks = Vec::new();
    if day == f.day(job.confidence) {
        marks.push(format!("safe to promise, {}", in_ten(job.confidence)));
    }
    if job.target.is_some_and(|t| job.day_of(t.day) == day) {
        let promised = job.target.is_some_and(|t| t.kind == TargetKind::Promised);
        marks.push(if promised { "promised" } else { "asked for" }.into());
    }
    if job.target.is_some_and(|t| t.kind == TargetKind::Promised && job.day_of(t.day) != day)
        && job.asked_for().is_some_and(|d| job.day_of(d) == day)
    {
        marks.push("asked for".into());
    }
    let (share, interval) = f.chance(day);
    PromiseDay {
        day: job.date_of(day),
        words: day_words(job.date_of(day)),
        chance: near_words(share, job.confidence, f.trials),
        why: super::strip::chance_why(Almanac(job).short_day(day), &interval, f.trials),
        marks: marks.join("; "),
        means: means(sound, f, day),
    }
}

/// `In 2 of 10 jobs like this you would be late, in half of those by 3 days or more.`
fn means(sound: &Sound, f: &Forecast, day: i64) -> String {
    let n = f.sorted.len().max(1);
    let met = f.sorted.partition_point(|&x| x <= (day + 1) * DAY);
    let late = n - met;
    let share = late as f64 / n as f64;
    if share < 0.005 {
        return "In fewer than 1 of 200 jobs like this you would be late.".into();
    }
    let few = share < 0.095;
    let of = |x: f64| match few {
        true => format!("{:.0} of 100", (x * 100.0).max(1.0)),
        false => format!("{:.0} of 10", x * 10.0),
    };
    // The later half of the late ones.
    let half = f.sorted[(met + late / 2).min(n - 1)];
    let days = workdays_between(sound, day, last_day(At(half)));
    let by = if days == 1 { "a day".to_string() } else { format!("{days} days") };
    if days < 1 {
        return format!("In {} jobs like this you would be late, hardly ever by a whole working day.", of(share));
    }
    format!("In {} jobs like this you would be late, in half of those by {by} or more.", of(share))
}

/// The promise of a day on the order the job has now.
pub fn promise_of(
    sound: &Sound,
    f: &Forecast,
    kept: KeptOrder,
    day: chrono::NaiveDate,
    made_on: chrono::NaiveDate,
    reason: &str,
) -> Promise {
    let job = &sound.job;
    Promise {
        day,
        made_on,
        confidence: job.confidence,
        // No finer than its trials.
        chance: (f.chance(job.day_of(day)).0 * 1e4).round() / 1e4,
        reason: reason.trim().to_string(),
        kept: Some(kept),
        trials: f.trials as u32,
        asked: job.asked_for(),
        withdrawn: false,
    }
}

/// The record that the promise in force is withdrawn, with the chance its day has now. None where none is in force.
pub fn withdrawal_of(sound: &Sound, f: &Forecast, on: chrono::NaiveDate, reason: &str) -> Option<Promise> {
    let day = sound.job.promised_day()?;
    // Records stand in the order they were made.
    let on = sound.job.promises.last().map_or(on, |p| p.made_on.max(on));
    let made = promise_of(sound, f, KeptOrder::default(), day, on, reason);
    Some(Promise { kept: None, withdrawn: true, ..made })
}

/// What stands against withdrawing the promise in force, if anything.
///
/// # Errors
/// A sentence with its remedy.
pub fn may_withdraw(job: &Job, reason: &str) -> Result<(), String> {
    match job.promised_day() {
        None => Err("nothing is promised, so there is nothing to withdraw".into()),
        Some(day) if reason.trim().is_empty() => {
            Err(format!("{} is promised; say why the promise is withdrawn", day_words(day)))
        }
        Some(_) => Ok(()),
    }
}

/// What stands against promising a day, if anything.
///
/// # Errors
/// A sentence with its remedy.
pub fn may_promise(job: &Job, day: chrono::NaiveDate, reason: &str) -> Result<(), String> {
    if day < job.start {
        return Err(format!(
            "{} lies before the first day, {}; name a later one",
            day_words(day),
            day_words(job.start)
        ));
    }
    let promised = job.target.filter(|t| t.kind == TargetKind::Promised);
    match promised {
        Some(Target { day: before, .. }) if before == day => {
            Err(format!("{} is promised already; nothing to change", day_words(day)))
        }
        Some(Target { day: before, .. }) if reason.trim().is_empty() => {
            Err(format!("{} is promised; say why the day changes", day_words(before)))
        }
        _ => Ok(()),
    }
}

/// The promises made and withdrawn, first to last, a line each.
pub fn promise_lines(job: &Job) -> Vec<String> {
    let one = |(i, p): (usize, &Promise)| {
        let stands = match job.promises.get(i + 1) {
            None => "in force",
            Some(next) if next.withdrawn => "withdrawn since",
            Some(_) => "replaced",
        };
        let why = if p.reason.is_empty() { String::new() } else { format!(": {}", p.reason) };
        let asked =
            p.asked.filter(|d| *d != p.day).map_or(String::new(), |d| format!(" ({} was asked for)", day_words(d)));
        let (day, on) = (day_words(p.day), day_words(p.made_on));
        let chance = chance_words(p.chance, p.trials as usize);
        match p.withdrawn {
            true => format!("{day} withdrawn on {on} at {chance}{why}"),
            false => format!("{day}{asked} promised on {on} at {chance}, {stands}{why}"),
        }
    };
    job.promises.iter().enumerate().map(one).collect()
}

/// A promise as something to lose: `the promise of Wed 21 Apr 2027`.
pub fn promise_lost(p: &Promise) -> String {
    let day = day_words(p.day);
    if p.withdrawn { format!("that the promise of {day} is withdrawn") } else { format!("the promise of {day}") }
}

/// What a promise does beside naming a day, before it is made.
pub fn promise_notes(job: &Job, quoted: bool) -> String {
    let mut out = "A promise goes on record: it can be changed or withdrawn with a reason, not undone.".to_string();
    let open = super::walkround::unasked(job);
    if open > 0 && job.as_of.is_none() {
        out += &format!(" {} of the walk-round not asked yet.", super::ending::count(open, "question"));
    }
    if !quoted && job.as_of.is_none() && job.study.is_none() {
        out += " No quote is kept with it: there is no price.";
    }
    out
}

/// Days that could be promised, as text.
pub fn promise_text(sound: &Sound, f: &Forecast) -> String {
    let mut out = format!("{}\n\nDays to promise, with the chance of being done by their end\n", sound.job.name);
    for d in promise_days(sound, f) {
        let line = format!("  {:<16} {:>12}  {}", d.words, d.chance, d.marks);
        out += &format!("{}\n", line.trim_end());
    }
    let safe = promise_day(sound, f, f.day(sound.job.confidence));
    out += &format!("\n{}: {}\n", safe.words, safe.means);
    // What was promised is told as well, where that is another day.
    let promised = sound.job.target.filter(|t| t.kind == TargetKind::Promised).map(|t| sound.job.day_of(t.day));
    if let Some(day) = promised.filter(|d| *d >= 0 && *d != f.day(sound.job.confidence)) {
        let said = promise_day(sound, f, day);
        out += &format!("{}, promised: {}\n", said.words, said.means);
    }
    let lines = promise_lines(&sound.job);
    if !lines.is_empty() {
        out += "\nPromises made\n";
        lines.iter().for_each(|l| out += &format!("  {l}\n"));
    }
    out
}

/// Days and promises with stable names.
pub fn promise_json(sound: &Sound, f: &Forecast) -> Value {
    let job = &sound.job;
    let a = Almanac(job);
    let day =
        |d: &PromiseDay| json!({"day": iso_day(d.day), "chance": f.chance(job.day_of(d.day)).0, "means": d.means});
    let made = |p: &Promise| {
        json!({"day": iso_day(p.day), "made_on": iso_day(p.made_on), "confidence": p.confidence, "chance": p.chance,
            "reason": p.reason, "trials": p.trials, "asked": p.asked.map(iso_day), "withdrawn": p.withdrawn})
    };
    json!({
        "job": job.name, "safe_day": a.json_day(f.day(job.confidence)), "confidence": job.confidence,
        "days": promise_days(sound, f).iter().map(day).collect::<Vec<_>>(),
        "promises": job.promises.iter().map(made).collect::<Vec<_>>(), "trials": f.trials, "problems": [],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Chain, Desk};

    fn powder() -> Desk {
        let job = crate::desk::open(include_str!("../../sample-jobs/powder.ron")).expect("a job").read.job;
        let mut last = None;
        Chain::default().answer(&job, 2000, &|| false, &mut |d| last = Some(d.clone())).expect("sound");
        last.expect("an answer")
    }

    #[test]
    fn days_stand_around_the_safe_one_with_the_day_asked_for_marked() {
        let desk = powder();
        let (sound, f) = (&desk.sound, &desk.forecast);
        let days = promise_days(sound, f);
        assert!(days.windows(2).all(|w| w[0].day < w[1].day) && days.len() >= 8);
        let marked = |m: &str| days.iter().find(|d| d.marks.contains(m)).expect("marked").day;
        // Every day somebody works between the first and the last, and no other but the client's.
        let works = |d: i64| sound.setting.workers.iter().any(|w| w.shifts.day(d).minutes() > 0);
        let asked = sound.job.target.map(|t| t.day);
        let (first, last) = (sound.job.day_of(days[0].day), sound.job.day_of(days[days.len() - 1].day));
        for d in first..=last {
            let listed = days.iter().any(|x| x.day == sound.job.date_of(d));
            assert_eq!(listed, works(d) || asked == Some(sound.job.date_of(d)), "{}", sound.job.date_of(d));
        }
        assert_eq!(marked("safe to promise"), sound.job.date_of(f.day(0.8)));
        assert_eq!(Some(marked("asked for")), sound.job.target.map(|t| t.day));
        // 8 in 10 are done by the safe day: at most 2 of 10 late.
        let safe = promise_day(sound, f, f.day(0.8));
        let late: f64 = safe.means.split(' ').nth(1).and_then(|n| n.parse().ok()).expect("a number");
        assert!(
            safe.means.contains("jobs like this") && late <= if safe.means.contains("of 100") { 20.0 } else { 2.0 }
        );
    }

    #[test]
    fn public_holidays_of_the_span_are_offered_once() {
        let desk = powder();
        let start: chrono::NaiveDate = "2026-12-21".parse().expect("a day");
        let job = Job { start, ..desk.sound.job.clone() };
        let (words, days) = holidays_offered(&job, &desk.forecast).expect("Christmas");
        assert!(words.contains("Fri 25 Dec 2026, Christmas Day"), "{words}");
        let mut with = job.clone();
        with.calendar.holidays = days;
        assert_eq!(holidays_offered(&with, &desk.forecast), None);
        // A week without Fridays has nothing to take off that day.
        let mut short = job;
        short.calendar.week.days.retain(|d| *d != crate::job::Day::Fri);
        assert!(holidays_offered(&short, &desk.forecast).is_none_or(|h| !h.0.contains("Christmas")));
    }

    #[test]
    fn a_second_promise_wants_a_reason_and_another_day() {
        let desk = powder();
        let job = &desk.sound.job;
        let day = job.date_of(20);
        assert!(may_promise(job, day, "").is_ok());
        assert!(may_promise(job, job.start.pred_opt().expect("a day"), "").is_err());
        let p = promise_of(&desk.sound, &desk.forecast, KeptOrder::default(), day, job.start, "");
        let made = crate::job::edited(job, &[crate::job::Edit::Promised(Box::new(p))]);
        assert!(may_promise(&made, day, "why").unwrap_err().contains("already"));
        let later = day.succ_opt().expect("a day");
        assert!(may_promise(&made, later, " ").unwrap_err().contains("say why"));
        assert!(may_promise(&made, later, "a shelf more").is_ok());
        assert!(promise_lines(&made)[0].contains("in force"));
        // The day he asked for is in the record, in the list and in the next promise.
        let asked = job.target.expect("a day asked for").day;
        assert_eq!((made.promises[0].asked, made.asked_for()), (Some(asked), Some(asked)));
        assert!(promise_lines(&made)[0].contains(&format!("({} was asked for)", day_words(asked))));
        let sound = Sound { job: made.clone(), ..(*desk.sound).clone() };
        let marked = |word: &str| {
            let days = promise_days(&sound, &desk.forecast);
            days.iter().find(|d| d.marks.contains(word)).map(|d| d.day)
        };
        assert_eq!((marked("promised"), marked("asked for")), (Some(day), Some(asked)));
        let next = promise_of(&sound, &desk.forecast, KeptOrder::default(), later, job.start, "a shelf more");
        assert_eq!(next.asked, Some(asked));
    }

    #[test]
    fn a_promise_is_withdrawn_with_a_reason_and_said_so() {
        let desk = powder();
        let job = &desk.sound.job;
        let asked = job.target.expect("a day asked for");
        assert!(may_withdraw(job, "why").unwrap_err().contains("nothing is promised"));
        assert_eq!(withdrawal_of(&desk.sound, &desk.forecast, job.start, "why"), None);
        let day = job.date_of(20);
        let p = promise_of(&desk.sound, &desk.forecast, KeptOrder::default(), day, job.date_of(-3), "");
        let made = crate::job::edited(job, &[crate::job::Edit::Promised(Box::new(p))]);
        assert!(may_withdraw(&made, "  ").unwrap_err().contains("say why"));
        assert!(may_withdraw(&made, "a wall is wet").is_ok());
        let sound = Sound { job: made.clone(), ..(*desk.sound).clone() };
        // On a clock set back it still stands behind the promise.
        let w = withdrawal_of(&sound, &desk.forecast, job.date_of(-9), " a wall is wet ").expect("a promise in force");
        assert_eq!(
            (w.day, w.made_on, w.reason.as_str(), w.asked),
            (day, job.date_of(-3), "a wall is wet", Some(asked.day))
        );
        let after = crate::job::edited(&made, &[crate::job::Edit::Withdrawn(Box::new(w))]);
        assert_eq!(after.target, Some(asked));
        let lines = promise_lines(&after);
        assert!(lines[0].ends_with("withdrawn since") && lines.len() == 2, "{lines:?}");
        assert!(lines[1].starts_with(&day_words(day)) && lines[1].ends_with(": a wall is wet"), "{lines:?}");
        assert!(lines[1].contains(" withdrawn on "), "{lines:?}");
        // The days to promise are marked as if nothing had been promised.
        let sound = Sound { job: after, ..sound };
        let marks: String = promise_days(&sound, &desk.forecast).iter().map(|d| d.marks.as_str()).collect();
        assert!(marks.contains("asked for") && !marks.contains("promised"), "{marks}");
    }
}
