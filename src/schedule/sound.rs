//! Whether every step of a work graph can be done at all: what dispatch could never start,
//! said before anything is scheduled, with what to do about it.
//!
//! It looks at each step by itself, at expected hours, over the dated weeks of the crew and
//! the plain weeks after them: hands, shared shifts, pieces in one go, products and the air
//! of their place, racks, humidity gates, windows, trips. It does not know orders: steps
//! that only together cannot be done are not found here.

use crate::clock::{Air, DAY, DayShift};
use crate::job::{Job, Problem};
use crate::schedule::{HELPED, LEAST_LEFT, LONG_PAUSE, Setting};
use crate::work::{Kind, Step, WorkGraph};

/// All steps that can never be done, each at the field it comes from.
pub fn sound(job: &Job, graph: &WorkGraph, setting: &Setting) -> Vec<Problem> {
    let mut out = Vec::new();
    let look = Look { job, graph, setting };
    for s in &graph.steps {
        let before = out.len();
        look.product(s, &mut out);
        look.humidity(s, &mut out);
        look.racks(s, &mut out);
        if out.len() > before {
            continue;
        }
        if matches!(s.kind, Kind::Labor) && s.labor.typical() > 0 {
            look.hands(s, &mut out);
        } else {
            look.gate(s, &mut out);
        }
    }
    look.trips(&mut out);
    let mut seen = std::collections::BTreeSet::new();
    out.retain(|p| seen.insert(p.clone()));
    out
}

struct Look<'a> {
    job: &'a Job,
    graph: &'a WorkGraph,
    setting: &'a Setting,
}

/// `7 h 20 min`.
fn hours(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Names joined as one says them.
fn listed(names: &[&str], last: &str) -> String {
    match names {
        [] => "nobody".into(),
        [one] => (*one).into(),
        [some @ .., end] => format!("{} {last} {end}", some.join(", ")),
    }
}

/// What some people can do for a step.
#[derive(Default)]
struct Team {
    /// They are on shift together at some time.
    shared: bool,
    /// And at some time the step may then begin.
    opens: bool,
    /// The longest stretch they have together, minutes, pauses of up to an hour bridged.
    longest: i64,
    /// The longest left from a minute at which the step may begin.
    from_begin: i64,
    /// Thousandths of labor a minute.
    rate: i64,
}

impl Look<'_> {
    fn airs(&self, place: usize) -> [Air; 2] {
        let week = &self.setting.spots[place].week;
        let used = week.days.iter().any(|&d| d) && week.hours.1 > week.hours.0;
        let always = week.days.iter().all(|&d| d) && week.hours.0 <= 0 && week.hours.1 >= DAY;
        match (used, always) {
            (true, true) => [week.work; 2],
            (true, false) => [week.work, week.off],
            _ => [week.off; 2],
        }
    }

    /// Whether air and windows let a step begin, air and windows apart from people, at `t`.
    fn open(&self, s: &Step, t: i64) -> bool {
        let weekday = (self.setting.first_weekday + t.div_euclid(DAY)).rem_euclid(7) as usize;
        let (day, minute) = (t.div_euclid(DAY), t.rem_euclid(DAY));
        let window = |w: &crate::work::BeginWindow| {
            w.day.map_or(w.days[weekday], |d| d == day) && w.from <= minute && minute < w.to
        };
        let air = s.place.map(|p| self.setting.spots[p].week.at(weekday, minute));
        s.earliest.is_none_or(|e| e.0 <= t)
            && (s.windows.is_empty() || s.windows.iter().any(window))
            && air.is_none_or(|a| {
                s.rh_below.is_none_or(|h| a.rh() < h)
                    && s.coat.is_none_or(|c| self.graph.products[c.product].dries_in(a))
            })
    }

    /// Minutes of a day at which [`Look::open`] may change.
    fn edges(&self, s: &Step) -> Vec<i64> {
        let mut out = vec![0];
        out.extend(
            s.place.iter().flat_map(|&p| [self.setting.spots[p].week.hours.0, self.setting.spots[p].week.hours.1]),
        );
        out.extend(s.windows.iter().flat_map(|w| [w.from, w.to]));
        out.extend(s.earliest.map(|e| e.minute()));
        out.retain(|e| (0..DAY).contains(e));
        out
    }

    /// Days to look through: all dated ones, those of the step, and two plain weeks.
    fn days(&self, s: &Step) -> std::ops::Range<i64> {
        let mut weeks = self.setting.workers.iter().map(|w| w.shifts.weeks()).max().unwrap_or(1);
        weeks = weeks.max(self.setting.house_closed.last().map_or(0, |d| d / 7 + 1));
        weeks = weeks.max(s.earliest.map_or(0, |e| e.day() / 7 + 1));
        weeks = weeks.max(s.windows.iter().filter_map(|w| w.day).max().map_or(0, |d| d.clamp(0, 4000) / 7 + 1));
        0..(weeks + 2) * 7
    }

    fn team(&self, s: &Step, people: &[usize]) -> Team {
        let setting = self.setting;
        let slowed = |w: usize| s.place.is_some() && people.iter().any(|&h| h != w && setting.workers[h].helper);
        let rate = |w: usize| {
            let r = setting.workers[w].rate;
            if slowed(w) { r * HELPED / 1000 } else { r }
        };
        let mut team = Team { rate: people.iter().map(|&w| rate(w)).sum(), ..Team::default() };
        let days = self.days(s);
        let mut spans: Vec<(i64, i64)> = Vec::new();
        for d in days.clone() {
            let joint = people.iter().map(|&w| setting.hours(w, s.place, s.flags.noisy, d)).reduce(|a, b| a.and(&b));
            for &(a, b) in joint.unwrap_or(DayShift::OFF).stretches() {
                spans.push((d * DAY + i64::from(a), d * DAY + i64::from(b)));
            }
        }
        // Backward, so that what is left of a stretch is known at each of its minutes.
        let edges = self.edges(s);
        let (mut after, mut next) = (0, i64::MAX / 2);
        for &(a, b) in spans.iter().rev() {
            let bridged = if next - b <= LONG_PAUSE { after } else { 0 };
            let in_span = edges.iter().map(|e| a.div_euclid(DAY) * DAY + e).filter(|&t| a < t && t < b);
            for t in in_span.chain([a]) {
                if self.open(s, t) {
                    team.opens = true;
                    team.from_begin = team.from_begin.max(b - t + bridged);
                }
            }
            (after, next) = (b - a + bridged, a);
            team.shared = true;
            team.longest = team.longest.max(after);
        }
        team
    }

    /// Every set of eligible people the step may have.
    fn teams(&self, s: &Step) -> Vec<Vec<usize>> {
        let who = &s.crew.who;
        let (fewest, most) = (s.crew.fewest.max(1), s.crew.most.max(s.crew.fewest).max(1));
        if who.len() > 8 {
            // Crews that large are looked at by neighbours in crew order.
            return who.windows(fewest.min(who.len())).map(<[usize]>::to_vec).collect();
        }
        (1u32..1 << who.len())
            .filter(|set| (fewest..=most).contains(&(set.count_ones() as usize)))
            .map(|set| (0..who.len()).filter(|k| set >> k & 1 == 1).map(|k| who[k]).collect())
            .collect()
    }

    fn hands(&self, s: &Step, out: &mut Vec<Problem>) {
        let names: Vec<&str> = s.crew.who.iter().map(|&w| self.setting.workers[w].id.as_str()).collect();
        let fewest = s.crew.fewest.max(1);
        if names.is_empty() {
            let what = format!("nobody in the crew may do \"{}\"", s.id);
            out.push(Problem::new(&s.origin, what, "name somebody for it, or give somebody the skill it asks for"));
            return;
        }
        if names.len() < fewest {
            let what = format!("\"{}\" needs {fewest} people and only {} may do it", s.id, listed(&names, "and"));
            out.push(Problem::new(&s.origin, what, "add somebody to the crew, or let fewer hands do it"));
            return;
        }
        let teams: Vec<Team> = self.teams(s).iter().map(|t| self.team(s, t)).collect();
        if !teams.iter().any(|t| t.shared) {
            let why = match (fewest, s.flags.noisy && self.setting.noise.is_some()) {
                (1, false) => format!("{} is never on shift", listed(&names, "or")),
                (1, true) => format!("{} is never on shift in the hours noise is allowed", listed(&names, "or")),
                _ => format!("{} never share a shift", listed(&names, "and")),
            };
            let remedy =
                if fewest > 1 { "let their hours overlap, or name others" } else { "give them hours, or name others" };
            out.push(Problem::new(&s.origin, format!("\"{}\" can never be worked on: {why}", s.id), remedy));
            return;
        }
        if !teams.iter().any(|t| t.opens) {
            let what = format!("\"{}\" can never begin: {}", s.id, self.shut(s, &listed(&names, "or")));
            out.push(Problem::new(&s.origin, what, "widen the window, or let somebody work at those hours"));
            return;
        }
        self.pieces(s, &teams, out);
    }

    /// What keeps a step from beginning while its people are on shift.
    fn shut(&self, s: &Step, who: &str) -> String {
        if s.windows.is_empty() {
            return match s.coat {
                Some(c) => {
                    format!("{} may be put on there only at hours {who} is off", self.graph.products[c.product].name)
                }
                None => format!("the air there is dry enough only at hours {who} is off"),
            };
        }
        format!("its window never opens while {who} is on shift")
    }

    /// Pieces in one go, and the least that must be left of a shift to begin.
    fn pieces(&self, s: &Step, teams: &[Team], out: &mut Vec<Problem>) {
        let minutes = |t: &Team, share: f64| {
            let milli = libm::round(share * (s.labor.typical() * 1000) as f64) as i64;
            (milli + t.rate - 1) / t.rate.max(1)
        };
        let longest = teams.iter().map(|t| t.longest).max().unwrap_or(0);
        if s.flags.one_go {
            let largest = s.pieces.iter().copied().fold(0.0, f64::max);
            let first = s.pieces.first().copied().unwrap_or(1.0);
            let able = |t: &&Team| minutes(t, largest) <= t.longest;
            if !teams.iter().any(|t| able(&t)) {
                let best = teams.iter().filter(|t| t.longest > 0).map(|t| minutes(t, largest)).min().unwrap_or(0);
                let piece = if s.pieces.len() > 1 { "a piece of " } else { "" };
                let (need, longest) = (hours(best), hours(longest));
                let what =
                    format!("{piece}\"{}\" needs {need} in one go and the longest shift for it is {longest}", s.id);
                out.push(Problem::new(
                    &s.origin,
                    what,
                    "split it into more pieces, put more hands on it, or lengthen a shift",
                ));
            } else if !teams.iter().filter(able).any(|t| minutes(t, first) <= t.from_begin) {
                let best = teams.iter().filter(able).map(|t| (t.from_begin, minutes(t, first))).max().unwrap_or((0, 0));
                let (left, need) = (hours(best.0), hours(best.1));
                let what = format!("\"{}\" needs {need} in one go and at most {left} is left when it may begin", s.id);
                out.push(Problem::new(
                    &s.origin,
                    what,
                    "let it begin earlier in the day, or split it into more pieces",
                ));
            }
            return;
        }
        let least = LEAST_LEFT.max(s.setup_min);
        if !teams.iter().any(|t| t.from_begin > least || minutes(t, 1.0) <= t.from_begin) {
            let best = teams.iter().map(|t| t.from_begin).max().unwrap_or(0);
            let what = format!(
                "\"{}\" begins only with more than {} left of a shift and there is never more than {}",
                s.id,
                hours(least),
                hours(best)
            );
            out.push(Problem::new(
                &s.origin,
                what,
                "shorten its set-up, let it begin earlier in the day, or lengthen a shift",
            ));
        }
    }

    fn gate(&self, s: &Step, out: &mut Vec<Problem>) {
        if s.windows.is_empty() {
            return;
        }
        let edges = self.edges(s);
        let mut minutes = self.days(s).flat_map(|d| edges.iter().map(move |e| d * DAY + e));
        if !minutes.any(|t| self.open(s, t)) {
            let what = format!("the window of \"{}\" never opens", s.id);
            out.push(Problem::new(&s.origin, what, "give it a day and hours that are still to come"));
        }
    }

    /// A product that never dries in its place.
    fn product(&self, s: &Step, out: &mut Vec<Problem>) {
        let (Some(coat), Some(place)) = (s.coat, s.place) else { return };
        let product = &self.graph.products[coat.product];
        let airs = self.airs(place);
        let moves = |a: Air| {
            let stages = crate::trade::Stage::ALL.into_iter().filter(|&x| product.hours.hours(x).is_some());
            product.dries_in(a) && stages.map(|x| product.speed(x, a)).all(|v| libm::round(v * 1e6) >= 1.0)
        };
        if airs.iter().any(|&a| moves(a)) {
            return;
        }
        let warmest = airs.iter().map(|a| a.temp_f).fold(f64::MIN, f64::max);
        let driest = airs.iter().map(Air::rh).fold(f64::MAX, f64::min);
        let spread = airs.iter().map(|a| a.temp_f - a.dew_f).fold(f64::MIN, f64::max);
        let cold = product.least_temp_f.filter(|&t| warmest < t);
        let (why, heat) = if let Some(t) = cold {
            (
                format!("it needs {t:.0} F and the place reaches {warmest:.0} F"),
                format!("heat the place to {t:.0} F or more"),
            )
        } else if let Some(h) = product.most_rh.filter(|&h| driest > h) {
            let (most, there) = (percent(h), percent(driest));
            (
                format!("it needs humidity of {most} or less and the place has {there} at its driest"),
                "run a heater or a dehumidifier there".into(),
            )
        } else if let Some(d) = product.above_dew_f.filter(|&d| spread < d) {
            (
                format!("it needs air {d:.0} F above the dew point and the place has {spread:.0} F"),
                "heat the place or dry its air".into(),
            )
        } else {
            ("the air there is never warm and dry enough at once".into(), "heat the place and dry its air".into())
        };
        let elsewhere: Vec<&str> = (0..self.setting.spots.len())
            .filter(|&p| p != place && self.airs(p).iter().any(|&a| moves_in(product, a)))
            .map(|p| self.setting.spots[p].id.as_str())
            .collect();
        let others: Vec<&str> = self
            .job
            .products
            .iter()
            .filter(|o| o.id != product.id && o.law == product.law && airs.iter().any(|&a| moves_in(o, a)))
            .map(|o| o.name.as_str())
            .take(3)
            .collect();
        let mut remedy = heat;
        if !elsewhere.is_empty() {
            remedy += &format!(", do it in {}", listed(&elsewhere, "or"));
        }
        remedy += &match others.is_empty() {
            true => ", or take another product".into(),
            false => format!(", or take {}", listed(&others, "or")),
        };
        let spot = &self.setting.spots[place].id;
        out.push(Problem::new(
            &s.origin,
            format!("{} of \"{}\" never dries in {spot}: {why}", product.name, s.id),
            remedy,
        ));
    }

    fn humidity(&self, s: &Step, out: &mut Vec<Problem>) {
        let (Some(limit), Some(place)) = (s.rh_below, s.place) else { return };
        let driest = self.airs(place).iter().map(Air::rh).fold(f64::MAX, f64::min);
        if driest >= limit {
            let what = format!(
                "\"{}\" waits for humidity under {} and {} has {} at its driest",
                s.id,
                percent(limit),
                self.setting.spots[place].id,
                percent(driest)
            );
            out.push(Problem::new(&s.origin, what, "heat the place or run a dehumidifier, so that its air says so"));
        }
    }

    fn racks(&self, s: &Step, out: &mut Vec<Problem>) {
        let Some(place) = s.place else { return };
        let spot = &self.setting.spots[place];
        if let Some(there) = spot.racks.filter(|&r| s.racks > r) {
            let what = format!("\"{}\" needs {} racks and {} has {there}", s.id, s.racks, spot.id);
            out.push(Problem::new(&s.origin, what, "add racks, or split the step into batches"));
        }
    }

    /// A change of place that takes longer than anybody's longest stretch of work.
    fn trips(&self, out: &mut Vec<Problem>) {
        let spots = &self.setting.spots;
        let longest = self.setting.workers.iter().map(|w| w.shifts.longest(LONG_PAUSE)).max().unwrap_or(0);
        let used = |p: usize| self.graph.steps.iter().any(|s| s.place == Some(p) && s.crew.fewest > 0);
        for p in (0..spots.len()).filter(|&p| used(p)) {
            let trip = (0..spots.len()).filter(|&q| used(q)).map(|q| self.setting.trip(q, p)).max().unwrap_or(0);
            let away = self.job.places.get(p).map_or(0, |x| x.away_min);
            if trip > 0 && trip >= longest && away > 0 {
                let what = format!(
                    "the trip to {} and back takes {} and the longest shift is {}",
                    spots[p].id,
                    hours(trip),
                    hours(longest)
                );
                out.push(Problem::new(format!("places[{p}].away_min"), what, "check the minutes one way"));
            }
        }
    }
}

fn moves_in(product: &crate::trade::Product, air: Air) -> bool {
    product.dries_in(air) && air.rh() < 1.0 - 1e-6
}
