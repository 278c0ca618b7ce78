//! A forecast to read: three days, the odds by day, what is eating the date.

use super::eating::{CAUSES, cause_rows, on_date_rows};
use super::forecast::{in_hand, labor_figures};
use super::plan_text::title;
use super::{Almanac, ForecastView, cautions, cautions_text, chance_words, thousands, units};
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::job::TargetKind;

/// Rows of the tape at most, and the width of its bar.
const ROWS: usize = 24;
const BAR: usize = 25;

/// `8 in 10`, or a percentage where the confidence is no tenth.
pub fn in_ten(p: f64) -> String {
    let tenths = p * 10.0;
    if (tenths - tenths.round()).abs() < 1e-9 {
        format!("{} in 10", tenths.round())
    } else {
        format!("{:.0} %", p * 100.0)
    }
}

/// The readable forecast.
pub fn forecast_text(sound: &Sound, f: &Forecast, view: &ForecastView) -> String {
    let a = Almanac(&sound.job);
    let n = f.sorted.len();
    let mut out = format!("{}\n", title(sound));
    if sound.job.study.is_none() {
        out += &super::as_of_line(sound);
    }
    out.push('\n');
    let mut row = |what: &str, when: &str, note: &str| {
        out += format!("  {what:<18} {when:<22}  {note}").trim_end();
        out += "\n";
    };
    let safe = in_ten(view.confidence);
    row("Likely", &a.day(view.likely), "half of the trials are done by then");
    row(
        "Safe to promise",
        &a.day(view.safe),
        &format!("{safe}{} trials are done by then", if safe.ends_with('%') { " of the" } else { "" }),
    );
    row("Clean run", &a.end(f.clean_run), "everything typical");
    let hand = in_hand(sound, f, view.confidence);
    if sound.job.study.is_none() {
        row(
            "Days in hand",
            &format!("{hand:.1} working days"),
            &format!("from clean run to safe to promise at {safe}"),
        );
    }
    if let Some((t, _, chance)) = &view.target {
        let kind = if t.kind == TargetKind::Promised { "Promised" } else { "Asked for" };
        let day = a.day(sound.job.day_of(t.day));
        row(kind, &day, &format!("{} in time", chance_words(chance.value, n)));
        if let Some(asked) = sound.job.asked_for().filter(|_| t.kind == TargetKind::Promised) {
            let chance = f.chance(sound.job.day_of(asked)).0;
            row("Asked for", &a.day(sound.job.day_of(asked)), &format!("{} in time", chance_words(chance, n)));
        }
    }
    out += &tape(sound, f, view);
    out += &causes(f);
    let (mean, p80) = labor_figures(f);
    out += &format!("\nLabor: {mean:.1} h on average, 8 in 10 within {p80:.1} h.\n");
    if let Some(u) = units(sound, f) {
        out += &format!(
            "In the network's units: mean {:.3}, sd {:.3}, p50 {:.3}, p80 {:.3}, p90 {:.3}.\n",
            u["mean"].as_f64().unwrap_or(0.0),
            u["sd"].as_f64().unwrap_or(0.0),
            u["p50"].as_f64().unwrap_or(0.0),
            u["p80"].as_f64().unwrap_or(0.0),
            u["p90"].as_f64().unwrap_or(0.0),
        );
    }
    out += &on_date(sound, view, n);
    out += &format!("\n{} trials, seed {}.", thousands(f.trials), f.seed);
    out += "\n";
    out + &cautions_text(&cautions(sound))
}

/// The days with odds, with the marks always among them.
fn tape(sound: &Sound, f: &Forecast, view: &ForecastView) -> String {
    let a = Almanac(&sound.job);
    let n = f.sorted.len();
    let clean = last_day(f.clean_run);
    let target = view.target.as_ref().map(|t| t.1);
    let marked = |d: i64| {
        let mut marks = Vec::new();
        if d == clean {
            marks.push("clean run");
        }
        if d == view.likely {
            marks.push("likely");
        }
        if d == view.safe {
            marks.push("safe to promise");
        }
        if Some(d) == target {
            marks.push(if view.target.as_ref().is_some_and(|t| t.0.kind == TargetKind::Promised) {
                "promised"
            } else {
                "asked for"
            });
        }
        marks.join(", ")
    };
    // Days nobody finishes on (weekends) say nothing new; the thin tails are cut.
    let mut rows: Vec<(i64, f64)> = Vec::new();
    for (d, chance) in f.by_day() {
        let told = rows.last().map_or(0.0, |r| r.1);
        let thin = chance < 0.005 || told >= 0.99;
        if !marked(d).is_empty() || (chance > told && !thin) {
            rows.push((d, chance));
        }
    }
    for d in [Some(clean), target].into_iter().flatten() {
        if !rows.iter().any(|r| r.0 == d) {
            rows.push((d, f.chance(d).0));
        }
    }
    rows.sort_by_key(|r| r.0);
    let every = rows.len().div_ceil(ROWS).max(1);
    let mut out = "\nChance of being done by the end of\n".to_string();
    for (i, &(d, chance)) in rows.iter().enumerate() {
        let marks = marked(d);
        if i % every != 0 && marks.is_empty() {
            continue;
        }
        let full = (chance * BAR as f64).round() as usize;
        let bar = "#".repeat(full) + &".".repeat(BAR - full.min(BAR));
        let line = format!("  {:<16} {bar} {:>12}  {marks}", a.day(d), chance_words(chance, n));
        out += line.trim_end();
        out += "\n";
    }
    out
}

fn causes(f: &Forecast) -> String {
    if f.causes.is_empty() {
        return String::new();
    }
    let mut out = format!("\nWhat is eating the date ({CAUSES})\n");
    for c in cause_rows(f) {
        out += &format!("  {:<36} {:>18}\n", c.words, c.days.value);
    }
    out
}

fn on_date(sound: &Sound, view: &ForecastView, trials: usize) -> String {
    if view.on_date.is_empty() {
        return String::new();
    }
    let mut out = "\nSteps that hold the date most often\n".to_string();
    for r in on_date_rows(sound, view, trials) {
        out += &format!("  {:>12}  {} ({})\n", r.chance.value, r.name, r.id);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn confidence_is_said_in_tenths_where_it_is_tenths() {
        assert_eq!(in_ten(0.8), "8 in 10");
        assert_eq!(in_ten(0.85), "85 %");
    }
}
