//! The air of a place through a week: how warm and damp it is by the hour, what dries in it
//! tonight, what cannot, and what would help.
//!
//! Reads one plan. The week is the one from Monday to Sunday that holds the day asked for;
//! *tonight* is from the last working hour of that day to the first of the next working day.
//! Nothing here changes the plan: what would help is told for each coat by itself.

mod drying;
mod picture;

use serde_json::{Value, json};

pub use drying::{Help, Means, Stop};
pub use picture::{HIGH, picture};

use super::holds::{hours, plain_name, stage_words};
use super::section::usable;
use super::typed::humidity;
use super::{Almanac, Figure, PlanView, StepRow, temperature};
use crate::clock::{Air, At, DAY};
use crate::desk::Sound;
use crate::job::PlaceKind;
use crate::schedule::{Net, stage_ix};
use crate::search::Found;
use crate::trade::{Product, Stage};
use drying::{Around, Laid, Trial, stop};

/// An hour of the week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    pub at: At,
    pub air: Air,
    /// A skim coat damps it.
    pub damped: bool,
    /// Something laid in this place stands still in it.
    pub stops: Option<Stop>,
    /// Somebody is on shift.
    pub on: bool,
}

/// A coat wet at some time of the week.
#[derive(Clone, Debug, PartialEq)]
pub struct Wet {
    /// Index in the graph.
    pub step: usize,
    pub id: String,
    pub name: String,
    pub product: String,
    pub from: At,
    pub ready: At,
    pub stage: Stage,
}

/// A coat that dries tonight.
#[derive(Clone, Debug, PartialEq)]
pub struct Tonight {
    pub wet: Wet,
    /// `ready for sanding Wed 10 Mar 5:10, before work begins`.
    pub figure: Figure,
    pub before_work: bool,
}

/// A coat that stands still, is not dry by the next working hour, or never dries.
#[derive(Clone, Debug, PartialEq)]
pub struct Cannot {
    pub wet: Option<Wet>,
    pub name: String,
    /// `stands still for 15 h, below 50 F`.
    pub figure: Figure,
    /// Minutes it stands still.
    pub still: i64,
    pub helps: Vec<Help>,
}

/// The week of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceAir {
    /// Index into the job's places.
    pub place: usize,
    pub name: String,
    /// Monday of the week, and the day asked for.
    pub first: i64,
    pub day: i64,
    pub days: Vec<String>,
    pub work: Figure,
    pub off: Figure,
    pub hours: Vec<Hour>,
    pub wet: Vec<Wet>,
    /// `Tonight, Tue 9 Mar`.
    pub night: String,
    pub tonight: Vec<Tonight>,
    pub cannot: Vec<Cannot>,
    /// Words of the air's marks for the picture: warmest and coldest, dampest and driest.
    pub ends: [String; 4],
}

/// Monday of the week a day lies in.
pub fn monday(sound: &Sound, day: i64) -> i64 {
    day - (sound.setting.first_weekday + day).rem_euclid(7)
}

/// The day a sheet opens on: the first whose evening finds a coat wet, else the first.
pub fn first_day(sound: &Sound, found: &Found, plan: &PlanView) -> i64 {
    let net = sound.net(found);
    let wet = |r: &StepRow| {
        sound.graph.steps[r.step].coat?;
        let (_, ready) = usable(&net, r)?;
        let close = close(sound, r.end.day());
        (r.end.0 <= close && ready.0 > close).then_some(r.end.day())
    };
    plan.steps.iter().filter_map(wet).min().unwrap_or(0)
}

/// The last working minute of a day; its midnight where nobody works.
fn close(sound: &Sound, day: i64) -> i64 {
    let ends = |w: &crate::schedule::Worker| w.shifts.day(day).stretches().last().map(|s| i64::from(s.1));
    day * DAY + sound.setting.workers.iter().filter_map(ends).max().unwrap_or(DAY)
}

/// The first working minute at or after an instant.
fn opens(sound: &Sound, at: i64) -> i64 {
    sound.setting.workers.iter().filter_map(|w| w.clock.next_on(at).ok()).min().unwrap_or(at)
}

fn on_shift(sound: &Sound, minute: i64) -> bool {
    sound.setting.workers.iter().any(|w| w.clock.speed_at(minute) > 0 && minute >= 0)
}

/// One plan, read for its air.
pub struct Reader<'a> {
    sound: &'a Sound,
    plan: &'a PlanView,
    net: Net<'a>,
}

impl<'a> Reader<'a> {
    pub fn new(sound: &'a Sound, found: &'a Found, plan: &'a PlanView) -> Reader<'a> {
        Reader { sound, plan, net: sound.net(found) }
    }

    /// Ends of the skim coats that damp the air of a place, but for that of `step`.
    fn damps(&self, place: usize, step: Option<usize>) -> Vec<i64> {
        let (graph, spots) = (&self.sound.graph, &self.sound.setting.spots);
        if spots[place].fan {
            return Vec::new();
        }
        let damping = |r: &&StepRow| {
            let s = &graph.steps[r.step];
            Some(r.step) != step
                && s.coat.is_some_and(|c| graph.products[c.product].damps_room)
                && s.place.is_some_and(|p| spots[p].air == spots[place].air)
        };
        self.plan.steps.iter().filter(damping).map(|r| r.end.0).collect()
    }

    /// Coats laid in a place, in order of their end.
    fn coats(&self, place: usize) -> Vec<(&StepRow, &Product)> {
        let graph = &self.sound.graph;
        let coat = |r: &'a StepRow| {
            let s = &graph.steps[r.step];
            let c = s.coat.filter(|_| s.place == Some(place))?;
            Some((r, &graph.products[c.product]))
        };
        self.plan.steps.iter().filter_map(coat).collect()
    }

    fn wet(&self, row: &StepRow, p: &Product) -> Option<Wet> {
        let (stage, ready) = usable(&self.net, row)?;
        Some(Wet {
            step: row.step,
            id: self.sound.graph.steps[row.step].id.clone(),
            name: super::holds::step_name(self.sound, row.step),
            product: p.name.clone(),
            from: row.end,
            ready,
            stage,
        })
    }

    /// The week of a place that holds a day.
    pub fn place(&self, place: usize, day: i64) -> PlaceAir {
        let (sound, units) = (self.sound, self.sound.job.units);
        let (a, spot) = (Almanac(&sound.job), &sound.setting.spots[place]);
        let first = monday(sound, day);
        let damps = self.damps(place, None);
        let around = Around { week: &spot.week, first_weekday: sound.setting.first_weekday, damps: &damps };
        let coats = self.coats(place);
        let products: Vec<&Product> = coats.iter().fold(Vec::new(), |mut all, (_, p)| {
            if !all.iter().any(|q: &&Product| q.id == p.id) {
                all.push(p);
            }
            all
        });
        let hour = |k: i64| {
            let m = first * DAY + k * 60;
            let (air, damped) = around.at(m + 30);
            let stops = products.iter().filter_map(|p| stop(p, air)).min();
            Hour { at: At(m), air, damped, stops, on: on_shift(sound, m + 30) }
        };
        let hours: Vec<Hour> = (0..7 * 24).map(hour).collect();
        let (from, to) = (first * DAY, (first + 7) * DAY);
        let wet: Vec<Wet> =
            coats.iter().filter_map(|(r, p)| self.wet(r, p)).filter(|w| w.from.0 < to && w.ready.0 > from).collect();
        let shut = close(sound, day);
        let opens = opens(sound, shut);
        let rows = |w: &Wet| coats.iter().find(|c| c.0.step == w.step).copied();
        let tonight: Vec<Tonight> = wet
            .iter()
            .filter(|w| w.from.0 <= shut && w.ready.0 > shut)
            .map(|w| self.tonight(w, place, opens))
            .collect();
        let mut cannot: Vec<Cannot> =
            wet.iter().filter_map(|w| rows(w).and_then(|(r, p)| self.cannot(place, w, r, p))).collect();
        cannot.extend(self.never(place, &products));
        let words = |air: Air| format!("{}, {}", temperature(units, air.temp_f), humidity(air));
        let air = |air: Air, when: &str| {
            Figure::new(
                words(air),
                format!(
                    "{when}: {} with a dew point of {}; the humidity follows from the two (Magnus form, \
                     coefficients of Alduchov and Eskridge 1996, from memory)",
                    temperature(units, air.temp_f),
                    temperature(units, air.dew_f)
                ),
            )
        };
        let most = |of: &dyn Fn(&Hour) -> f64, up: bool| {
            hours.iter().map(of).reduce(|x, y| if (y > x) == up { y } else { x }).unwrap_or(0.0)
        };
        let share = |rh: f64| format!("{:.0} %", rh * 100.0);
        let ends = [
            temperature(units, most(&|h| h.air.temp_f, true)),
            temperature(units, most(&|h| h.air.temp_f, false)),
            share(most(&|h| h.air.rh(), true)),
            share(most(&|h| h.air.rh(), false)),
        ];
        PlaceAir {
            place,
            name: sound.job.places[place].name.clone(),
            first,
            day,
            days: (first..first + 7).map(|d| a.short_day(d)).collect(),
            work: air(spot.week.work, "in its work hours"),
            off: air(spot.week.off, "at other hours"),
            hours,
            wet,
            night: format!("Tonight, {}", a.short_day(day)),
            tonight,
            cannot,
            ends,
        }
    }

    fn tonight(&self, w: &Wet, place: usize, opens: i64) -> Tonight {
        let a = Almanac(&self.sound.job);
        let before_work = w.ready.0 <= opens;
        let what = stage_words(w.stage).trim_start_matches("to be ");
        let then = if before_work {
            format!("before work begins {}", a.short(At(opens)))
        } else {
            format!("{} after work begins {}", hours(w.ready.0 - opens), a.short(At(opens)))
        };
        let words = format!("{what} {}, {then}", a.short(w.ready));
        Tonight { wet: w.clone(), figure: Figure::new(words, self.how(w, place)), before_work }
    }

    /// How long a coat takes, from its product and the air.
    fn how(&self, w: &Wet, place: usize) -> String {
        let (sound, units) = (self.sound, self.sound.job.units);
        let step = &sound.graph.steps[w.step];
        let Some(c) = step.coat else { return String::new() };
        let p = &sound.graph.products[c.product];
        let minutes = self.net.stage_min[w.step][stage_ix(w.stage)];
        format!(
            "{}: {} at {}, {:.0} % RH, {} from {} on in the air of the {}; {}",
            p.name,
            hours(minutes),
            temperature(units, p.ref_temp_f),
            p.ref_rh * 100.0,
            hours(w.ready.0 - w.from.0),
            Almanac(&sound.job).short(w.from),
            sound.job.places[place].name,
            super::inspect::source(p.tag, &p.source, false)
        )
    }

    fn trial<'b>(
        &'b self,
        place: usize,
        laid: &'b Laid<'b>,
        around: &'b Around<'b>,
        places: &'b [(&'b str, &'b crate::clock::AirWeek)],
        words: &'b dyn Fn(At) -> String,
    ) -> Vec<Help> {
        // Trim dries where it is laid; only what stands in shop or booth can stand elsewhere.
        let movable = self.sound.setting.spots[place].kind != PlaceKind::Room;
        let places = if movable { places } else { &[] };
        let products = crate::trade::tables().products.as_slice();
        Trial { laid, around, units: self.sound.job.units, places, products, words }.helps()
    }

    fn others(&self, place: usize) -> Vec<(&str, &crate::clock::AirWeek)> {
        let spots = self.sound.setting.spots.iter().enumerate();
        let other = spots.filter(|(k, s)| *k != place && s.kind != PlaceKind::Room);
        other.map(|(k, s)| (self.sound.job.places[k].name.as_str(), &s.week)).collect()
    }

    /// What stands in the way of a coat of the plan: hours it stands still in, or not being
    /// dry when the next working day begins.
    fn cannot(&self, place: usize, w: &Wet, row: &StepRow, p: &Product) -> Option<Cannot> {
        let a = Almanac(&self.sound.job);
        let damps = self.damps(place, Some(row.step));
        let spot = &self.sound.setting.spots[place];
        let around = Around { week: &spot.week, first_weekday: self.sound.setting.first_weekday, damps: &damps };
        let minutes = self.net.stage_min[row.step][stage_ix(w.stage)];
        if minutes <= 0 {
            return None;
        }
        let laid = Laid { product: p, stage: w.stage, minutes, from: w.from };
        let still = laid.ready(&around).map_or(0, |r| r.1);
        let morning = opens(self.sound, close(self.sound, w.from.day()));
        let late = w.ready.0 - morning;
        if still == 0 && late <= 0 {
            return None;
        }
        let mut parts = Vec::new();
        if still > 0 {
            parts.push(format!("stands still for {}, {}", hours(still), self.limits(p)));
        }
        if late > 0 {
            let what = stage_words(w.stage).trim_start_matches("to be ");
            parts.push(format!("not {what} by {}, {} after", a.short(At(morning)), hours(late)));
        }
        let words = |at: At| a.short(at);
        let helps = self.trial(place, &laid, &around, &self.others(place), &words);
        Some(Cannot {
            name: w.name.clone(),
            figure: Figure::new(parts.join("; "), self.how(w, place)),
            still,
            helps,
            wet: Some(w.clone()),
        })
    }

    /// `below 50 F, above 85 % RH`.
    fn limits(&self, p: &Product) -> String {
        let units = self.sound.job.units;
        let dew = |d: f64| match units {
            crate::job::Units::FeetInches => format!("within {d:.0} F of the dew point"),
            crate::job::Units::Metric => format!("within {:.0} C of the dew point", d / 1.8),
        };
        let all = [
            p.least_temp_f.map(|t| format!("below {}", temperature(units, t))),
            p.most_rh.map(|h| format!("above {:.0} % RH", h * 100.0)),
            p.above_dew_f.map(dew),
        ];
        all.into_iter().flatten().collect::<Vec<_>>().join(" or ")
    }

    /// Products of the plan that make no progress here at some hours of any week.
    fn never(&self, place: usize, products: &[&Product]) -> Option<Cannot> {
        let spot = &self.sound.setting.spots[place];
        let stops = |air: Air| products.iter().filter(|p| stop(p, air).is_some()).map(|p| p.name.as_str()).collect();
        let work: Vec<&str> = stops(spot.week.work);
        let off: Vec<&str> = stops(spot.week.off);
        let (when, names) = match (work.is_empty(), off.is_empty()) {
            (true, true) => return None,
            (false, _) => ("in its work hours", work),
            (true, false) => ("at other hours", off),
        };
        let list: Vec<String> = products
            .iter()
            .filter(|p| names.contains(&p.name.as_str()))
            .map(|p| format!("{} {}", p.name, self.limits(p)))
            .collect();
        let figure = Figure::new(format!("no progress {when}: {}", names.join(", ")), list.join("; "));
        Some(Cannot { wet: None, name: "the air of the place".into(), figure, still: 0, helps: Vec::new() })
    }

    /// Indices of places in which anything is laid, in the job's order.
    pub fn places(&self) -> Vec<usize> {
        (0..self.sound.setting.spots.len()).filter(|&p| !self.coats(p).is_empty()).collect()
    }
}

/// The sheet as text.
pub fn air_text(sound: &Sound, found: &Found, plan: &PlanView, day: i64) -> String {
    let (r, a) = (Reader::new(sound, found, plan), Almanac(&sound.job));
    let first = monday(sound, day);
    let mut out = format!("{}\n", super::plan_text::title(sound));
    out += &format!("Air of its places, {} to {}\n", a.day(first), a.day(first + 6));
    let places = r.places();
    if places.is_empty() {
        out += "\nNothing that dries is laid anywhere.\n";
    }
    for p in places {
        let x = r.place(p, day);
        out += &format!("\n{}\n", x.name);
        let fan = if sound.setting.spots[p].fan { "; a fan runs" } else { "" };
        let air = format!("{} in its work hours, {} at other hours{fan}", x.work.value, x.off.value);
        out += &super::laid("  ", 2, &air);
        out += &format!("  {}\n", x.night);
        if x.tonight.is_empty() {
            out += "    nothing is drying\n";
        }
        for t in &x.tonight {
            out += &super::laid("    ", 6, &format!("{}: {}", plain_name(sound, t.wet.step), t.figure.value));
        }
        if !x.cannot.is_empty() {
            out += "  What dries there too late this week, or not at all, and what would help\n";
        }
        for c in &x.cannot {
            out += &super::laid("    ", 6, &format!("{}: {}", c.name, c.figure.value));
            for h in &c.helps {
                out += &super::laid("        ", 10, &h.figure.value);
            }
        }
    }
    out
}

/// The sheet with the stable names of `docs/text-commands.md`.
pub fn air_json(sound: &Sound, found: &Found, plan: &PlanView, day: i64) -> Value {
    let (r, a) = (Reader::new(sound, found, plan), Almanac(&sound.job));
    let air = |air: Air| json!({"temp_f": air.temp_f, "dew_f": air.dew_f, "rh": air.rh()});
    let word = |s: Stage| serde_json::to_value(s).unwrap_or_default();
    let wet = |w: &Wet| json!({"step": w.id, "product": w.product, "from": a.json(w.from), "ready": a.json(w.ready), "stage": word(w.stage)});
    let stops = |s: Option<Stop>| match s {
        None => Value::Null,
        Some(Stop::Cold) => json!("cold"),
        Some(Stop::Damp) => json!("damp"),
    };
    let place = |p: usize| {
        let (x, week) = (r.place(p, day), &sound.setting.spots[p].week);
        let hour = |h: &Hour| {
            json!({"at": a.json(h.at), "temp_f": h.air.temp_f, "rh": h.air.rh(), "damped": h.damped,
                   "on_shift": h.on, "stops": stops(h.stops)})
        };
        let help = |h: &Help| {
            json!({"means": h.means.key(), "ready": a.json(h.ready), "hours_sooner": h.gain.map(|g| g as f64 / 60.0),
                   "words": h.figure.value, "why": h.figure.why})
        };
        let cannot = |c: &Cannot| {
            json!({"step": c.wet.as_ref().map(|w| w.id.as_str()), "words": c.figure.value, "why": c.figure.why,
                   "still_h": c.still as f64 / 60.0, "helps": c.helps.iter().map(help).collect::<Vec<_>>()})
        };
        let tonight = |t: &Tonight| {
            json!({"step": t.wet.id, "ready": a.json(t.wet.ready), "before_work": t.before_work,
                   "words": t.figure.value, "why": t.figure.why})
        };
        json!({
            "place": sound.job.places[p].id, "work_air": air(week.work), "off_air": air(week.off),
            "hours": x.hours.iter().map(hour).collect::<Vec<_>>(),
            "coats": x.wet.iter().map(wet).collect::<Vec<_>>(),
            "tonight": x.tonight.iter().map(tonight).collect::<Vec<_>>(),
            "cannot": x.cannot.iter().map(cannot).collect::<Vec<_>>(),
        })
    };
    let first = monday(sound, day);
    json!({
        "job": sound.job.name, "day": a.json_day(day), "week": {"first": a.json_day(first), "last": a.json_day(first + 6)},
        "places": r.places().into_iter().map(place).collect::<Vec<_>>(), "problems": [],
    })
}

#[cfg(test)]
mod tests;
