//! What is eating the date: causes in working days, and the steps that hold it most often.

use super::holds::plain_name;
use super::{Figure, ForecastView, causes_words, chance_words, thousands};
use crate::desk::Sound;
use crate::forecast::{Cause, CauseKind, Forecast};

/// What the days of the causes are.
pub const CAUSES: &str = "working days won were it gone, always counted at 8 in 10";
/// Steps named as holding the date.
const STEPS: usize = 6;

/// A cause of lateness to show.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseRow {
    pub words: &'static str,
    /// `1.7 ± 0.1 days`, or `none`, and how it was counted.
    pub days: Figure,
    /// Length of its bar, 0 to 1; the largest single cause has 1.
    pub share: f64,
}

/// A step that holds the date.
#[derive(Clone, Debug, PartialEq)]
pub struct OnDate {
    pub id: String,
    pub name: String,
    pub chance: Figure,
}

/// Nothing to win, or less than its own error: no more than chance.
fn none(c: &Cause) -> bool {
    c.days < 0.05 || c.days < c.error
}

/// An error is never rounded to nothing.
fn error(c: &Cause) -> f64 {
    (c.error * 10.0).ceil() / 10.0
}

fn days(c: &Cause) -> String {
    if none(c) {
        "none".to_string()
    } else if c.error > 0.0 {
        format!("{:.1} ± {:.1} days", c.days, error(c))
    } else {
        // One block of trials has no error of its own.
        format!("{:.1} days", c.days)
    }
}

fn why(c: &Cause) -> String {
    let gone = match c.cause.as_str() {
        "together" => "Were none of these to happen",
        "hours" => "Were every step to take its typical hours",
        "drying" => "Were every coat to dry as its row and the usual air say",
        "lost_days" => "Were nobody to lose a day",
        "holes" => "Were no day to begin late",
        "unavailable" => "Were the room free on every working day",
        "job_before" => "Were the job before to end in time",
        "redo" => "Were nothing to be done again",
        "surprises" => "Were nothing found on opening up",
        "late" => "Were every delivery and decision in time",
        "unlisted" => "Were there no work that nobody listed",
        _ => "Were it gone",
    };
    if none(c) {
        return format!("{gone}, the day that holds 8 times in 10 would come no sooner than chance alone makes it");
    }
    let give = if c.error > 0.0 { format!(", give or take {:.1}", error(c)) } else { String::new() };
    format!(
        "{gone}, the day that holds 8 times in 10 would come {:.1} working days sooner{give}; \
         counted in the same trials with and without it",
        c.days
    )
}

/// The causes, largest first, all of them together last; none where they are not counted yet.
pub fn cause_rows(f: &Forecast) -> Vec<CauseRow> {
    let (all, single): (Vec<&Cause>, Vec<&Cause>) = f.causes.iter().partition(|c| c.cause == "together");
    let most = single.iter().map(|c| c.days).fold(0.0, f64::max);
    let row = |c: &Cause| CauseRow {
        words: words(&c.cause),
        days: Figure::new(days(c), why(c)),
        share: if none(c) || most <= 0.0 { 0.0 } else { (c.days / most).min(1.0) },
    };
    single.into_iter().chain(all).map(row).collect()
}

/// Its words, for a cause of the list; a key nobody knows has none.
fn words(cause: &str) -> &'static str {
    let mut keys = CauseKind::ALL.map(CauseKind::key).into_iter().chain(["together"]);
    keys.find(|k| *k == cause).map_or("something else", causes_words)
}

/// The steps that hold the date most often.
pub fn on_date_rows(sound: &Sound, view: &ForecastView, trials: usize) -> Vec<OnDate> {
    let row = |&(step, share): &(usize, f64)| OnDate {
        id: sound.graph.steps[step].id.clone(),
        name: plain_name(sound, step).to_string(),
        chance: Figure::new(
            chance_words(share, trials),
            format!("share of {} trials in which the last day hangs on this step", thousands(trials)),
        ),
    };
    view.on_date.iter().take(STEPS).map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::At;

    fn forecast(causes: &[(&str, f64, f64)]) -> Forecast {
        let cause = |&(cause, days, error): &(&str, f64, f64)| Cause { cause: cause.into(), days, error };
        Forecast {
            seed: 1,
            trials: 500,
            clean_run: At(0),
            finish: vec![],
            sorted: vec![],
            labor: vec![],
            paid: vec![],
            overtime: vec![],
            causes: causes.iter().map(cause).collect(),
            on_date: vec![],
            origin: 0,
        }
    }

    #[test]
    fn what_is_no_more_than_chance_is_called_none_and_has_no_bar() {
        let rows = cause_rows(&forecast(&[
            ("together", 4.0, 0.2),
            ("hours", 2.0, 0.04),
            ("drying", 0.5, 0.0),
            ("redo", 0.3, 0.4),
            ("late", -0.2, 0.1),
        ]));
        let said: Vec<_> = rows.iter().map(|r| (r.words, r.days.value.as_str(), r.share)).collect();
        assert_eq!(
            said,
            [
                ("hours that run long", "2.0 ± 0.1 days", 1.0),
                ("slow drying", "0.5 days", 0.25),
                ("work done again", "none", 0.0),
                ("late deliveries and decisions", "none", 0.0),
                ("all of them together", "4.0 ± 0.2 days", 1.0),
            ]
        );
        assert!(rows[0].days.why.contains("2.0 working days sooner, give or take 0.1"), "{}", rows[0].days.why);
        assert!(rows[2].days.why.contains("no sooner than chance"), "{}", rows[2].days.why);
        assert!(cause_rows(&forecast(&[])).is_empty());
    }
}
