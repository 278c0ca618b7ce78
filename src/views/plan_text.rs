//! A plan to read: the headline, what holds the date, the days, what can wait.

use std::collections::{BTreeMap, BTreeSet};

use super::days::{Portion, portions, trip_minutes};
use super::holds::{arrival_day, hours, plain_name, stage_words, step_name, stretches_text};
use super::{Almanac, PlanView, StepRow, as_of_line, broke, stands};
use crate::clock::At;
use crate::desk::Sound;
use crate::forecast::last_day;
use crate::measure::LaborHours;
use crate::search::{Found, Proven};
use crate::trade::Stage;
use crate::work::{Ask, Kind, Role};

/// The readable plan.
pub fn plan_text(sound: &Sound, found: &Found, view: &PlanView) -> String {
    let mut out = headline(sound, found, view);
    out += &broke_text(sound, found);
    if !view.stretches.is_empty() {
        out += "\nWhat holds the date\n";
        out += &stretches_text(sound, &found.plan, &view.stretches);
    }
    out += &days(sound, found, view);
    out += &waits(sound, found, view);
    let rates = super::rates_line(&sound.job);
    if rates.is_empty() { out } else { out + "\n" + &rates }
}

fn headline(sound: &Sound, found: &Found, view: &PlanView) -> String {
    let a = Almanac(&sound.job);
    let mut out = format!("{}\n", title(sound));
    let labor = LaborHours(view.labor_min);
    out += &format!("Clean run: {}, everything typical; {labor} of labor", a.end(found.plan.finish));
    let trips = trip_minutes(&found.plan);
    if trips > 0 {
        out += &format!(" and {} on the road", LaborHours(trips));
    }
    out += ".\n";
    if sound.job.study.is_none() {
        out += &as_of_line(sound);
    }
    if sound.setting.standing.is_some() {
        return out;
    }
    let bound = a.end(found.bound);
    out += &match found.proven {
        Proven::ByBound => format!("No faster order exists: no order can finish before {bound}.\n"),
        Proven::BySearch => "No faster order exists: every way to a sooner finish was ruled out.\n".to_string(),
        Proven::No => {
            let over = super::working_days(&sound.setting, found.bound, found.plan.finish);
            // Within a day of each other the clock says more than a share of a working day.
            let over = match found.plan.finish.0 - found.bound.0 {
                m if m < 12 * 60 => hours(m),
                _ => format!("{over:.1} working days"),
            };
            let line = format!(
                "No order can finish before {bound}. This one ends {over} later; a better order could win no more."
            );
            super::laid("", 0, &line)
        }
    };
    out
}

/// Facts that broke a rule, where there are any.
pub(super) fn broke_text(sound: &Sound, found: &Found) -> String {
    let all = broke(sound, found);
    if all.is_empty() {
        return String::new();
    }
    let mut out = "\nDone against the rules; look at it before going on\n".to_string();
    for b in all {
        out += "  ";
        out += super::laid("", 4, &b.sentence).trim_start();
    }
    out
}

pub(super) fn title(sound: &Sound) -> String {
    let j = &sound.job;
    if j.client.is_empty() { j.name.clone() } else { format!("{}, for {}", j.name, j.client) }
}

fn place(sound: &Sound, step: usize) -> &str {
    sound.graph.steps[step].place.and_then(|p| sound.job.places.get(p)).map_or("", |p| p.name.as_str())
}

fn days(sound: &Sound, found: &Found, view: &PlanView) -> String {
    let a = Almanac(&sound.job);
    let net = sound.net(found);
    let work = portions(&net, &found.plan);
    let mut events = events(sound, view);
    let asked: BTreeMap<usize, BTreeSet<Stage>> =
        net.deps.iter().enumerate().filter(|(s, _)| net.present[*s]).flat_map(|(_, d)| d).fold(
            BTreeMap::new(),
            |mut m, d| {
                if let Ask::Dry(s) = d.ask {
                    m.entry(d.from).or_default().insert(s);
                }
                m
            },
        );
    let row: BTreeMap<usize, &StepRow> = view.steps.iter().map(|r| (r.step, r)).collect();
    let mut all: BTreeSet<i64> = work.keys().copied().collect();
    all.extend(events.keys().copied());
    // Columns as wide as this plan's longest names.
    let names = |w: &Vec<usize>| {
        let each = w.iter().filter_map(|&w| sound.job.crew.get(w)).map(|c| c.name.chars().count() + 2).sum::<usize>();
        each.saturating_sub(2)
    };
    let wide = (
        found.plan.runs.iter().map(|r| names(&r.people)).max().unwrap_or(0),
        found.plan.runs.iter().map(|r| place(sound, r.step).chars().count()).max().unwrap_or(0),
    );
    let mut out = String::new();
    for day in all {
        let list = work.get(&day).map_or(&[][..], Vec::as_slice);
        out += &format!("\n{}", a.day(day));
        let labor: i64 = list.iter().map(|p| (p.minutes - p.trip) * p.people.len() as i64).sum();
        out += &if labor > 0 { format!("  {}\n", LaborHours(labor)) } else { "\n".to_string() };
        for e in events.remove(&day).unwrap_or_default() {
            out += &format!("  {e}\n");
        }
        for p in &joined(list) {
            out += &line(sound, p, wide);
            if !p.goes_on {
                let stages = asked.get(&p.step);
                let ready = row.get(&p.step).map_or(&[][..], |r| r.ready.as_slice());
                for (s, at) in ready.iter().filter(|(s, _)| stages.is_some_and(|x| x.contains(s))) {
                    let what = stage_words(*s).trim_start_matches("to be ");
                    out += &format!("{:>w$}{what} {}\n", "", a.short(*at), w = wide.0 + wide.1 + 22);
                }
            }
        }
    }
    out
}

/// Pieces of one step by the same people, one right after the other, as one portion; a pause
/// of theirs in between (lunch) does not part them.
fn joined(list: &[Portion]) -> Vec<Portion> {
    let mut out: Vec<Portion> = Vec::new();
    for p in list {
        // Whatever else these people did since would stand between the two in the list.
        let last = out.iter_mut().rev().find(|o| o.people.iter().any(|w| p.people.contains(w)));
        match last {
            Some(o) if o.step == p.step && o.people == p.people && p.trip == 0 && p.begin.0 - o.end.0 <= 60 => {
                o.end = p.end;
                o.minutes += p.minutes;
                o.overtime += p.overtime;
                o.goes_on = p.goes_on;
            }
            _ => out.push(p.clone()),
        }
    }
    out
}

fn line(sound: &Sound, p: &Portion, wide: (usize, usize)) -> String {
    let a = Almanac(&sound.job);
    let s = &sound.graph.steps[p.step];
    let mut out = String::new();
    if p.trip > 0 {
        out += &format!("  {:>5}          trip to the {}, {} min\n", a.time(p.begin), place(sound, p.step), p.trip);
    }
    let who: Vec<&str> = p.people.iter().filter_map(|&w| sound.job.crew.get(w)).map(|c| c.name.as_str()).collect();
    let begin = crate::clock::At(p.begin.0 + p.trip);
    // A trip may end at lunch; the step's own time is then said by its end alone.
    let begin = if p.trip > 0 && begin >= p.end { p.begin } else { begin };
    let name = plain_name(sound, p.step);
    let name = if s.surface.is_empty() || name.contains(&s.surface) {
        name.to_string()
    } else {
        format!("{name} ({})", s.surface)
    };
    let labor = match (p.minutes - p.trip) * p.people.len() as i64 {
        m if m < 6 => format!("{m} min"),
        m => LaborHours(m).to_string(),
    };
    let at = place(sound, p.step);
    out += &format!(
        "  {:>5} {labor:>7}  {:<w0$}  {at:<w1$}  {name}",
        a.time(begin),
        who.join(", "),
        w0 = wide.0,
        w1 = wide.1
    );
    let known = sound.setting.standing.as_deref().map_or(i64::MIN, |f| f.as_of.0);
    if p.end.0 <= known {
        out += if p.goes_on || stands(sound, p.step) != Some(true) { "  done so far" } else { "  done" };
    } else if p.goes_on {
        out += "  goes on";
    }
    if p.overtime > 0 {
        out += &format!("  {} min after hours", p.overtime);
    }
    out.trim_end().to_string() + "\n"
}

/// Orders, arrivals, decisions, visits: by day, in order of time.
fn events(sound: &Sound, view: &PlanView) -> BTreeMap<i64, Vec<String>> {
    let a = Almanac(&sound.job);
    let mut list: Vec<(i64, crate::clock::At, String)> = Vec::new();
    for r in &view.steps {
        let s = &sound.graph.steps[r.step];
        let mut put = |at: crate::clock::At, day: i64, what: &str| {
            // A supplier's day has no hour.
            let time = if matches!(s.kind, Kind::Business { .. }) { String::new() } else { a.time(at) };
            list.push((day, at, format!("{time:>5}          {}: {what}", step_name(sound, r.step))));
        };
        match s.kind {
            Kind::Labor => {}
            Kind::Decision { .. } => put(r.end, last_day(r.end), "to be settled by the client"),
            Kind::Business { .. } => {
                put(r.begin, r.begin.day(), "ordered or sent");
                put(r.end, arrival_day(r.begin, r.end), "there");
            }
            Kind::Elapsed(_) if r.begin == r.end => {}
            Kind::Elapsed(_) => {
                put(r.begin, r.begin.day(), "begins");
                put(r.end, last_day(r.end), "done");
            }
        }
    }
    list.sort();
    let mut out: BTreeMap<i64, Vec<String>> = BTreeMap::new();
    for (day, _, text) in list {
        out.entry(day).or_default().push(text);
    }
    out
}

/// `2.0 days`, `1.9 h`: working time a step that begins at `begin` can wait; `nothing waits
/// for it` where that is longer than the rest of the job.
pub fn wait_words(sound: &Sound, found: &Found, minutes: i64, begin: At) -> String {
    let longest = sound.setting.workers.iter().map(|w| w.shifts.longest(60)).max().unwrap_or(0);
    if minutes > found.plan.finish.0 - begin.0 {
        "nothing waits for it".to_string()
    } else if longest > 0 && minutes >= longest {
        format!("{:.1} days", minutes as f64 / longest as f64)
    } else {
        hours(minutes)
    }
}

/// Float of the steps that hold nothing up. A step of the chain has float only within hours
/// nobody works or by a minute before its follower: it is named above and left out here.
fn waits(sound: &Sound, found: &Found, view: &PlanView) -> String {
    let chain: BTreeSet<usize> = view.stretches.iter().map(|s| s.step).collect();
    let mut rows: Vec<(i64, &StepRow)> = view
        .steps
        .iter()
        .filter_map(|r| r.float.map(|f| (f, r)))
        .filter(|(_, r)| stands(sound, r.step).is_none())
        .filter(|(f, r)| *f > 0 && sound.graph.steps[r.step].role != Role::Unlisted && !chain.contains(&r.step))
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    rows.sort_by_key(|(f, r)| (*f, r.begin, r.step));
    let said: Vec<String> = rows.iter().map(|(f, r)| wait_words(sound, found, *f, r.begin)).collect();
    let wide = said.iter().map(String::len).max().unwrap_or(0);
    let mut out = "\nWhat can wait (besides the chain above), working time\n".to_string();
    for ((_, r), time) in rows.iter().zip(&said) {
        out += &format!("  {time:<wide$}  {} ({})\n", plain_name(sound, r.step), sound.graph.steps[r.step].id);
    }
    out
}
