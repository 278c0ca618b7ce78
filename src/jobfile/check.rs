//! Numbers and dates that are impossible together, beyond the range of a single field.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, Duration as Days, NaiveDate};

use super::values::plain;
use crate::job::{Hours, Job, Need, OwnStep, Problem, Scheme, Until, Week, Window};
use crate::trade::LinkKind;

/// Problems found beside those of reading; nothing is said twice of a value that could not
/// be read.
pub(super) struct Findings<'a> {
    bad: &'a BTreeSet<String>,
    offsets: &'a BTreeMap<String, usize>,
    pub out: Vec<Problem>,
}

impl<'a> Findings<'a> {
    pub fn new(bad: &'a BTreeSet<String>, offsets: &'a BTreeMap<String, usize>) -> Findings<'a> {
        Findings { bad, offsets, out: Vec::new() }
    }

    /// Adds a problem unless the value at its path, or one around it, could not be read.
    pub fn add(&mut self, path: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) {
        let path = path.into();
        if !inside(&path, self.bad) {
            self.out.push(Problem::new(path, what, remedy));
        }
    }

    /// Whether all names of a list could be read, so that a missing one is really missing.
    pub fn sure(&self, list: &str) -> bool {
        !self.bad.iter().any(|b| {
            b == list
                || b.strip_prefix(list).is_some_and(|rest| {
                    rest.starts_with('[') && (rest.ends_with(']') || rest.ends_with("].id") || rest.ends_with("].name"))
                })
        })
    }

    /// Whether the file has this field.
    pub fn written(&self, path: &str) -> bool {
        self.offsets.contains_key(path)
    }
}

/// Whether a path, or one around it, is among these.
pub(super) fn inside(path: &str, these: &BTreeSet<String>) -> bool {
    let mut around = path;
    while !around.is_empty() {
        if these.contains(around) {
            return true;
        }
        around = around.rfind(['.', '[']).map_or("", |i| &around[..i]);
    }
    false
}

/// Longest a job may reach past its first day, days.
const LONGEST: i64 = 3653;

struct Dates<'a, 'b> {
    start: NaiveDate,
    found: &'a mut Findings<'b>,
}

impl Dates<'_, '_> {
    /// A date that must not lie before the first day.
    fn after_start(&mut self, path: String, day: NaiveDate, what: &str) {
        if day < self.start {
            self.found.add(
                path,
                format!("{what} on {day} lies before the first day {}", self.start),
                "correct this date or start",
            );
        } else {
            self.near(path, day, what);
        }
    }
    /// A date that must only not lie too far off.
    fn near(&mut self, path: String, day: NaiveDate, what: &str) {
        if day - self.start > Days::days(LONGEST) {
            self.found.add(
                path,
                format!("{what} on {day} lies more than ten years after the start"),
                "correct the year",
            );
        }
    }
}

/// Checks every value against the others.
pub(super) fn values(job: &Job, found: &mut Findings) {
    if !found.written("start") && job.study.is_none() {
        found.add("", "the job lacks its field \"start\"", "add start: the first day, such as \"2027-03-01\"");
    }
    if job.rooms.is_empty() && job.steps.is_empty() && found.sure("rooms") && found.sure("steps") {
        found.add("", "the job has no rooms and no steps", "add rooms: [ ... ] with their surfaces, or steps: [ ... ]");
    }
    let hands = job.rooms.iter().any(|r| !r.surfaces.is_empty()) || job.steps.iter().any(|s| s.hands.most > 0);
    if job.crew.is_empty() && hands {
        let remedy = "add crew: [(name: \"Ana\", cost: 45)], or hands: none to steps that need nobody";
        found.add("crew", "there is nobody in the crew, and the work needs hands", remedy);
    }
    if let Some(year) = job.house.year_built
        && year > job.start.year()
    {
        found.add("house.year_built", format!("the house is built in {year}, after the job"), "correct the year");
    }
    dates(job, found);
    week(&job.calendar.week, "calendar.week", found);
    if let Some(noise) = &job.calendar.noise {
        hours(noise, "calendar.noise", found);
    }
    for (i, p) in job.crew.iter().enumerate() {
        if let Some(w) = &p.week {
            week(w, &format!("crew[{i}].week"), found);
        }
        for (j, d) in p.dates.iter().enumerate() {
            for (k, h) in d.hours.iter().enumerate() {
                hours(h, &format!("crew[{i}].dates[{j}].hours[{k}]"), found);
            }
        }
    }
    for (i, p) in job.places.iter().enumerate() {
        hours(&p.air_hours, &format!("places[{i}].air_hours"), found);
    }
    for (i, room) in job.rooms.iter().enumerate() {
        windows(&room.walk_through, &format!("rooms[{i}].walk_through"), found);
    }
    for (i, s) in job.steps.iter().enumerate() {
        step(s, &format!("steps[{i}]"), job.study.is_some(), found);
    }
    for (i, d) in job.deliveries.iter().enumerate() {
        late(d.late, &format!("deliveries[{i}].late"), found);
        needs(&d.needs, &format!("deliveries[{i}].needs"), job.study.is_some(), found);
    }
    for (i, d) in job.decisions.iter().enumerate() {
        late(d.late, &format!("decisions[{i}].late"), found);
    }
    for (i, v) in job.visits.iter().enumerate() {
        let path = format!("visits[{i}]");
        late(v.late, &format!("{path}.late"), found);
        windows(&v.windows, &format!("{path}.windows"), found);
        needs(&v.needs, &format!("{path}.needs"), job.study.is_some(), found);
        if v.hours > 0.0 && v.business_days > 0.0 {
            found.add(format!("{path}.business_days"), "a visit has hours and business days", "keep one of the two");
        } else if v.hours <= 0.0 && v.business_days <= 0.0 {
            found.add(path, "the visit takes no time", "add hours: or business_days: of the visit");
        }
    }
    trade_rows(job, found);
}

fn dates(job: &Job, found: &mut Findings) {
    let mut d = Dates { start: job.start, found };
    if let Some(t) = &job.target {
        d.after_start("target.day".into(), t.day, "the target");
    }
    for (i, x) in job.decisions.iter().enumerate() {
        d.after_start(format!("decisions[{i}].by"), x.by, "the decision");
    }
    for (i, x) in job.deliveries.iter().enumerate() {
        if let Some(day) = x.ordered {
            d.near(format!("deliveries[{i}].ordered"), day, "the order");
        }
    }
    for (i, x) in job.calendar.holidays.iter().enumerate() {
        d.near(format!("calendar.holidays[{i}]"), *x, "the holiday");
    }
    for (i, x) in job.calendar.house_closed.iter().enumerate() {
        d.near(format!("calendar.house_closed[{i}]"), *x, "the closed day");
    }
    for (i, p) in job.crew.iter().enumerate() {
        for (j, x) in p.days_off.iter().enumerate() {
            d.near(format!("crew[{i}].days_off[{j}]"), *x, "the day off");
        }
        for (j, x) in p.dates.iter().enumerate() {
            d.near(format!("crew[{i}].dates[{j}].day"), x.day, "the day");
        }
        if let Some(day) = p.stays_from {
            d.near(format!("crew[{i}].stays_from"), day, "the day from which nobody changes place");
        }
    }
    for (i, p) in job.places.iter().enumerate() {
        if let Some(a) = &p.later_air {
            d.near(format!("places[{i}].later_air.day"), a.day, "the change of air");
        }
    }
    for (i, t) in job.taken.iter().enumerate() {
        d.near(format!("taken[{i}].day"), t.day, "the day a way was taken");
    }
    for (i, s) in job.steps.iter().enumerate() {
        if let Some(t) = s.earliest {
            d.after_start(format!("steps[{i}].earliest"), t.date(), "the earliest begin");
        }
        d.windows(&format!("steps[{i}].windows"), &s.windows);
    }
    for (i, r) in job.rooms.iter().enumerate() {
        d.windows(&format!("rooms[{i}].walk_through"), &r.walk_through);
    }
    for (i, v) in job.visits.iter().enumerate() {
        d.windows(&format!("visits[{i}].windows"), &v.windows);
    }
    let kept = job.kept.iter().flat_map(|k| &k.holds).enumerate().map(|(i, h)| (format!("kept.holds[{i}].until"), h));
    for (path, h) in job.holds.iter().enumerate().map(|(i, h)| (format!("holds[{i}].until"), h)).chain(kept) {
        if let Until::At(t) = h.until {
            d.after_start(path, t.date(), "the hold");
        }
    }
    for (i, e) in job.log.iter().enumerate() {
        d.after_start(format!("log[{i}].day"), e.day, "the entry");
        if job.log[..i].iter().any(|x| x.day == e.day) {
            let what = format!("{} is written up twice", e.day);
            d.found.add(format!("log[{i}].day"), what, "put both into one entry");
        }
        for (j, w) in e.steps.iter().enumerate() {
            if let Some(day) = w.coming {
                d.after_start(format!("log[{i}].steps[{j}].coming"), day, "the new day");
            }
        }
    }
    for (i, two) in job.record.windows(2).enumerate() {
        if two[1].day <= two[0].day {
            let what = format!("{} does not come after {}", two[1].day, two[0].day);
            d.found.add(format!("record[{}].day", i + 1), what, "leave the record as the program wrote it");
        }
    }
    for (i, r) in job.redone.iter().enumerate() {
        d.after_start(format!("redone[{i}].day"), r.day, "the work done again");
        if r.share.is_some() && r.hours.is_some() {
            d.found.add(format!("redone[{i}]"), "a share and hours are both said", "keep one of share and hours");
        }
    }
    for (i, two) in job.changes.windows(2).enumerate() {
        if two[1].day < two[0].day {
            let what = format!("the change of {} stands after one of {}", two[1].day, two[0].day);
            d.found.add(format!("changes[{}].day", i + 1), what, "leave the changes as the program wrote them");
        }
    }
    for (i, c) in job.changes.iter().enumerate() {
        let sums = match (c.cents_before, c.cents_after, c.cents) {
            (Some(before), Some(after), Some(more)) => before.checked_add(more) == Some(after),
            (None, None, _) => true,
            _ => false,
        };
        if !sums {
            let what = "the prices before and after this change do not differ by what it costs";
            d.found.add(format!("changes[{i}].cents"), what, "leave the changes as the program wrote them");
        }
    }
    if let Some(c) = &job.closed {
        d.after_start("closed.day".into(), c.day, "the end");
        d.near("closed.finish".into(), c.finish.date(), "the last work");
    }
    for (i, l) in job.lost.iter().enumerate() {
        d.near(format!("lost[{i}].from"), l.from, "the lost time");
        if l.house && l.hours.is_some() {
            let remedy = "leave hours out, or say who could not work in them";
            d.found.add(format!("lost[{i}].hours"), "a house is lost by whole days", remedy);
        }
        if l.last() < l.from {
            let what = format!("the lost time ends on {}, before it begins on {}", l.last(), l.from);
            d.found.add(format!("lost[{i}].to"), what, "put the later of the two days into to, or leave it out");
        } else {
            d.near(format!("lost[{i}].to"), l.last(), "the end of the lost time");
        }
    }
}

impl Dates<'_, '_> {
    fn windows(&mut self, path: &str, list: &[Window]) {
        for (i, w) in list.iter().enumerate() {
            if let Some(day) = w.date {
                self.after_start(format!("{path}[{i}].date"), day, "the window");
            }
        }
    }
}

fn hours(h: &Hours, path: &str, found: &mut Findings) {
    if h.from >= h.to {
        found.add(path, format!("the hours from {} to {} are none", h.from, h.to), "write the earlier time as from");
    }
}

fn windows(list: &[Window], path: &str, found: &mut Findings) {
    for (i, w) in list.iter().enumerate() {
        let path = format!("{path}[{i}]");
        if w.from >= w.to {
            let what = format!("the window from {} to {} never opens", w.from, w.to);
            found.add(path.clone(), what, "write the earlier time as from");
        }
        if w.days.is_empty() && w.date.is_none() {
            found.add(path, "the window has no day", "add days: [mon, tue] or date:");
        }
    }
}

fn week(w: &Week, path: &str, found: &mut Findings) {
    if w.days.is_empty() {
        found.add(format!("{path}.days"), "the week has no working day", "write days: [mon, tue, wed, thu, fri]");
    }
    if w.open >= w.close {
        let what = format!("the day opens at {} and closes at {}", w.open, w.close);
        found.add(path, what, "write the earlier time as open");
        return;
    }
    let mut left = w.close.0 - w.open.0 - w.opening - w.closing;
    if let Some(lunch) = &w.lunch {
        hours(lunch, &format!("{path}.lunch"), found);
        if lunch.from < lunch.to && (lunch.from < w.open || lunch.to > w.close) {
            let what = format!("lunch from {} to {} lies outside the working day", lunch.from, lunch.to);
            found.add(format!("{path}.lunch"), what, "move it, or write lunch: None");
        } else {
            left -= (lunch.to.0 - lunch.from.0).max(0);
        }
    }
    if left <= 0 {
        let what = "opening up, closing and lunch leave no time to work";
        found.add(path, what, "make the day longer or opening and closing shorter");
    }
}

fn late(late: Option<(f64, f64)>, path: &str, found: &mut Findings) {
    if let Some((chance, days)) = late {
        if !(0.0..=1.0).contains(&chance) {
            let what = format!("the chance {} of being late is impossible", plain(chance));
            found.add(format!("{path}[0]"), what, "write a chance from 0 to 1, such as 0.2");
        }
        if !(0.0..=365.0).contains(&days) {
            let what = format!("{} days late are out of range", plain(days));
            found.add(format!("{path}[1]"), what, "write days from 0 to 365");
        }
    }
}

fn needs(list: &[Need], path: &str, study: bool, found: &mut Findings) {
    for (i, n) in list.iter().enumerate() {
        if n.lag < 0.0 && !study {
            found.add(
                format!("{path}[{i}].lag"),
                format!("the lag {} is negative", plain(n.lag)),
                "write 0 or more hours",
            );
        }
        if n.dry.is_some() && n.link != LinkKind::Fs {
            let what = "a coat is waited for with a link other than fs";
            found.add(format!("{path}[{i}].dry"), what, "leave link out, or dry");
        }
        if n.longest.is_some() && n.dry.is_none() {
            let what = "a longest wait needs a stage it counts for";
            found.add(format!("{path}[{i}].longest"), what, "add dry: recoat, or leave longest out");
        }
    }
}

/// A split lognormal has no logarithm of 0.
fn split_low(values: (f64, f64, f64), path: &str, found: &mut Findings) {
    if values.0 <= 0.0 && values.2 > 0.0 {
        found.add(path, "the low value 0 leaves the spread without a lower end", "write a low value above 0");
    }
}

fn step(s: &OwnStep, path: &str, study: bool, found: &mut Findings) {
    let given = [s.hours.is_some(), s.duration.is_some(), s.rate.is_some()].iter().filter(|g| **g).count();
    let written = ["hours", "duration", "rate"].iter().any(|f| found.written(&format!("{path}.{f}")));
    if given > 1 {
        found.add(path, "the step has more than one of hours, duration and rate", "keep one of them");
    } else if !written && s.hands.most > 0 && s.methods.iter().all(|m| m.hours.is_none()) {
        found.add(path, "the step has no hours", "add hours: (low, typical, high), duration: or rate:, or hands: none");
    }
    if let Some(h) = s.hours {
        split_low(h, &format!("{path}.hours"), found);
    }
    if let Some(d) = &s.duration {
        let at = format!("{path}.duration.values");
        match (d.scheme, d.values.as_slice()) {
            (Scheme::Fixed, [_]) => {}
            (Scheme::Fixed, v) => {
                found.add(at, format!("a fixed duration has {} values", v.len()), "write one value, as in [8]");
            }
            (scheme, &[low, typ, high]) => {
                if !(low <= typ && typ <= high) {
                    let what =
                        format!("low {}, typical {}, high {} are not in order", plain(low), plain(typ), plain(high));
                    found.add(at, what, "write the low value first and the high one last");
                } else if scheme == Scheme::Split {
                    split_low((low, typ, high), &at, found);
                }
            }
            (_, v) => {
                let what = format!("a duration has {} values where three are wanted", v.len());
                found.add(at, what, "write [low, typical, high], or scheme: fixed with one value");
            }
        }
    }
    if let Some((quantity, _)) = &s.rate
        && *quantity < 0.0
    {
        found.add(
            format!("{path}.rate[0]"),
            format!("the quantity {} is negative", plain(*quantity)),
            "write 0 or more",
        );
    }
    for (i, m) in s.methods.iter().enumerate() {
        if let Some(h) = m.hours {
            split_low(h, &format!("{path}.methods[{i}].hours"), found);
        }
        needs(&m.needs, &format!("{path}.methods[{i}].needs"), study, found);
    }
    windows(&s.windows, &format!("{path}.windows"), found);
    needs(&s.needs, &format!("{path}.needs"), study, found);
}

fn trade_rows(job: &Job, found: &mut Findings) {
    for (i, r) in job.rates.iter().enumerate() {
        let path = format!("rates[{i}]");
        if !(r.low <= r.typ && r.typ <= r.high) {
            let what = format!(
                "low {}, typical {}, high {} of the rate \"{}\" are not in order",
                plain(r.low),
                plain(r.typ),
                plain(r.high),
                r.id
            );
            found.add(path, what, "write the quick rate as low and the slow one as high");
        } else {
            split_low((r.low, r.typ, r.high), &format!("{path}.low"), found);
        }
    }
    let risks = &job.risks;
    let squares = risks.pace_weight * risks.pace_weight
        + risks.trade_weight * risks.trade_weight
        + risks.house_weight * risks.house_weight;
    if squares > 1.0 + 1e-12 {
        let what = format!("the squares of the three weights sum to {squares:.2}, above 1");
        found.add("risks.pace_weight", what, "make one of the weights smaller");
    }
    let mut before = (0.0, 0.0);
    for (i, q) in risks.overrun.iter().enumerate() {
        if q.0 > 1.0 || q.0 < before.0 || q.1 < before.1 {
            let what = format!("the overrun ({}, {}) does not rise from the one before", plain(q.0), plain(q.1));
            found.add(format!("risks.overrun[{i}]"), what, "write (chance up to, workdays) in rising order, up to 1");
        }
        before = *q;
    }
}
