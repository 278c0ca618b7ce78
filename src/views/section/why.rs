//! Why the figures of the section are what they are: sums, shares, and where a stretch of
//! what holds the date gets its length.

use super::{Band, Block, Kind, Piece, RoomInfo};
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::views::forecast_text::in_ten;
use crate::views::holds::hours;
use crate::views::{Almanac, Figure, ForecastView, thousands};
use crate::work::Step;

/// Summands named before the rest is counted.
const NAMED: usize = 6;

/// The hours of each band as the sum of its steps.
pub fn bands(bands: &mut [Band], blocks: &[Block]) {
    for (i, b) in bands.iter_mut().enumerate() {
        let here: Vec<&Block> = blocks.iter().filter(|x| x.band == i && x.labor_min > 0).collect();
        let mut parts: Vec<String> = here.iter().take(NAMED).map(|x| format!("{} {}", x.short, x.hours)).collect();
        if here.len() > NAMED {
            let rest: i64 = here[NAMED..].iter().map(|x| x.labor_min).sum();
            parts.push(format!("{} more steps {}", here.len() - NAMED, hours(rest)));
        }
        b.why = format!("labor of one person, typical: {}", parts.join(" + "));
    }
}

/// The day a room is done.
pub fn done(r: &RoomInfo) -> String {
    if r.done.is_empty() {
        return String::new();
    }
    "end of the last labor in this room in the clean run, everything typical; coats may still harden after it".into()
}

/// The chance of a day's close.
pub fn odds(share: f64, trials: usize) -> String {
    let done = libm::round(share * trials as f64) as usize;
    format!(
        "{} of {} trials of this order are done by the close of that day; the same trials as the figures on top",
        thousands(done),
        thousands(trials)
    )
}

/// The safe day.
pub fn safe((f, v): (&Forecast, &ForecastView)) -> String {
    format!("the first day by whose close {} of {} trials are done", in_ten(v.confidence), thousands(f.trials))
}

/// Days in hand.
pub fn in_hand(sound: &Sound, f: &Forecast, v: &ForecastView) -> String {
    format!(
        "working time from the clean run, {}, to the hour by which {} trials are done, {}; kept for what goes wrong, \
         not hidden in the steps",
        Almanac(&sound.job).short(f.clean_run),
        in_ten(v.confidence),
        Almanac(&sound.job).short(f.quantile(v.confidence).0)
    )
}

fn coat(sound: &Sound, step: &Step) -> Option<String> {
    let p = &sound.graph.products[step.coat?.product];
    let place = sound.job.places.get(step.place?)?;
    Some(format!(
        "{}: its hours at {}, {:.0} % RH, run by the air of the {} hour by hour, nights and days off too; {}",
        p.name,
        crate::views::temperature(sound.job.units, p.ref_temp_f),
        p.ref_rh * 100.0,
        place.name,
        crate::views::inspect::source(p.tag, &p.source, false)
    ))
}

/// Where each piece gets its length.
pub fn pieces(sound: &Sound, pieces: &mut [Piece], blocks: &[Block]) {
    let block = |s: usize| blocks.iter().find(|b| b.step == s);
    for p in pieces.iter_mut() {
        let first = p.by.or(p.steps.first().copied());
        let dries = first.and_then(|s| coat(sound, &sound.graph.steps[s]));
        p.why = match p.kind {
            Kind::Hands => {
                let all: Vec<String> = p
                    .steps
                    .iter()
                    .filter_map(|s| block(*s))
                    .take(NAMED)
                    .map(|b| format!("{} {}", b.short, b.hours))
                    .collect();
                format!("hands: {}; each from how much there is times its rate, typical", all.join(", "))
            }
            Kind::Drying => dries.unwrap_or_else(|| "time by the clock, nights and days off too".into()),
            Kind::Coming => "business days of the supplier, or the day agreed; they stand with the step".into(),
            Kind::Closed => "hours outside the working week, days off, and days the house is closed".into(),
            Kind::Place => {
                "a rule of the room (dust settling, a coat open to dust, racks) or a hold of your own".into()
            }
        };
    }
}

impl super::Model {
    /// The figure behind a part of the section that carries one, with its caption.
    pub fn figure(&self, of: super::Target) -> Option<(String, Figure)> {
        use super::Target as T;
        let line = |l: &super::Line| (l.name.clone(), Figure::new(l.says.clone(), l.why.clone()));
        Some(match of {
            T::Band(b) => {
                let b = self.bands.get(b).filter(|b| !b.hours.is_empty())?;
                (b.name.clone(), Figure::new(format!("{}: {}", b.name, b.hours), b.why.clone()))
            }
            T::Odds(i) => {
                let o = self.odds.get(i)?;
                let day = self.day_names.iter().find(|d| d.day == o.day)?;
                let words = format!("done by the close of {}: {}", day.long, o.words);
                (format!("chance for {}", day.long), Figure::new(words, o.why.clone()))
            }
            T::InHand => ("days in hand".into(), Figure::new(self.in_hand.clone(), self.in_hand_why.clone())),
            T::CleanRun => line(&self.clean_run),
            T::Client => line(self.target.as_ref()?),
            T::Safe => line(self.safe.as_ref()?),
            T::Now => line(self.now.as_ref()?),
            T::Lost(i) => line(&self.lost.get(i)?.line),
            T::Done(r) => {
                let r = self.rooms.get(r).filter(|r| !r.done.is_empty())?;
                (r.name.clone(), Figure::new(format!("{}: {}", r.name, r.done), r.done_why.clone()))
            }
            _ => return None,
        })
    }
}
