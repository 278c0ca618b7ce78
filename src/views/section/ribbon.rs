//! What holds the date as one ribbon: pieces of work and the waits between them.
//!
//! The plan's stretches name for each begin what held it; here the time between two of them
//! is told apart: a coat drying until it was ready, then hours in which nobody works. Work
//! that follows in one band without a wait is one piece. Pieces lie end to end, never over
//! each other, from the first stretch to the finish.

use super::bands::level_name;
use super::{Band, Block, Hours, Kind, Level, Piece};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::schedule::{Plan, Reason, Stretch};
use crate::trade::Part;
use crate::views::{chain_words, sentence};

use super::blocks::capital;
use crate::work;

/// The part of a stretch in which anybody is on shift.
fn on_shift(hours: &Hours, from: At, to: At) -> Vec<(At, At)> {
    let mut out = Vec::new();
    for d in from.day()..=to.day() {
        for &(a, b) in hours.of(d) {
            let (a, b) = ((d * DAY + a).max(from.0), (d * DAY + b).min(to.0));
            if a < b {
                out.push((At(a), At(b)));
            }
        }
    }
    // Work after hours is work.
    if out.is_empty() && from < to {
        out.push((from, to));
    }
    out
}

/// A wait between two stretches, cut where its reason changes.
fn wait(sound: &Sound, plan: &Plan, from: At, s: &Stretch, out: &mut Vec<Piece>) {
    let to = s.from;
    if from >= to {
        return;
    }
    let said = capital(&sentence(sound, plan, s));
    let mut push = |kind, a: At, b: At, word: &str| {
        if let Some(last) = out.last_mut()
            && kind == Kind::Closed
            && last.kind == Kind::Closed
            && last.to == a
        {
            last.to = b;
        } else if a < b {
            let parts = if kind == Kind::Closed { Vec::new() } else { vec![(a, b)] };
            let steps = vec![s.step];
            out.push(Piece {
                kind,
                from: a,
                to: b,
                parts,
                steps,
                by: s.held.by,
                word: word.into(),
                sentence: said.clone(),
                why: String::new(),
            });
        }
    };
    let until = At(s.held.released.0.clamp(from.0, to.0));
    // Before closed hours something else may have taken its time.
    let reached = s
        .held
        .by
        .and_then(|b| plan.timed(b))
        .is_some_and(|t| t.ready.iter().any(|(_, at)| *at == s.held.released && *at > t.end));
    match s.held.reason {
        Reason::Drying(_) => push(Kind::Drying, from, until, "drying"),
        Reason::Clock if reached => push(Kind::Drying, from, until, "drying"),
        Reason::Clock => push(Kind::Closed, from, until, "closed"),
        Reason::Place => push(Kind::Place, from, until, "dust"),
        Reason::Hold => push(Kind::Place, from, until, "held back"),
        Reason::Delivery => push(Kind::Coming, from, until, "delivery"),
        Reason::Decision => push(Kind::Coming, from, until, "decision"),
        // A rest asked for beyond the end of the step before.
        Reason::Done | Reason::Hands => push(Kind::Place, from, until, "wait"),
    }
    push(Kind::Closed, until, to, "closed");
}

/// What kind of stretch a step fills, with the word for it if hands are not at it.
fn filled(step: &work::Step) -> (Kind, Option<&'static str>) {
    match step.kind {
        work::Kind::Labor => (Kind::Hands, None),
        work::Kind::Business { .. } if step.origin.starts_with("deliveries") => (Kind::Coming, Some("delivery")),
        work::Kind::Business { .. } => (Kind::Coming, Some("laboratory")),
        work::Kind::Decision { .. } => (Kind::Coming, Some("decision")),
        work::Kind::Elapsed(_) if step.origin.starts_with("visits") => (Kind::Coming, Some("other trade")),
        work::Kind::Elapsed(_) => (Kind::Drying, Some("rest")),
    }
}

/// The word for work in a band, small within a line.
fn work_word(bands: &[Band], b: &Block) -> String {
    match bands[b.band].level {
        _ if b.lowest > b.band => "trim".into(),
        Level::Part(Part::Room) => "room".into(),
        l => level_name(l).to_lowercase(),
    }
}

/// The pieces, first to last.
pub fn pieces(
    sound: &Sound,
    plan: &Plan,
    stretches: &[Stretch],
    blocks: &[Block],
    bands: &[Band],
    hours: &Hours,
) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    // Which stretches the last piece of work is made of.
    let mut chain: Vec<Stretch> = Vec::new();
    let block = |step: usize| blocks.iter().find(|b| b.step == step);
    for (i, s) in stretches.iter().enumerate() {
        let next = stretches.get(i + 1).map_or(s.to, |n| n.from.max(s.from));
        let (kind, word) = filled(&sound.graph.steps[s.step]);
        let mut from = s.from;
        if let Some(last) = out.last() {
            if kind == Kind::Hands
                && last.kind == Kind::Hands
                && chain.last().is_some_and(|c| {
                    let one = c.step == s.step || block(c.step).map(|b| b.band) == block(s.step).map(|b| b.band);
                    one && hours.next_on(last.to).is_none_or(|on| on >= s.from)
                        && !matches!(s.held.reason, Reason::Drying(_))
                        && (s.held.reason != Reason::Clock || c.step == s.step)
                })
            {
                chain.push(*s);
                let to = s.to.min(next).max(last.to);
                let parts = on_shift(hours, s.from.max(last.to), to);
                let p = out.len() - 1;
                out[p].to = to;
                out[p].parts.extend(parts);
                if !out[p].steps.contains(&s.step) {
                    out[p].steps.push(s.step);
                    out[p].word = block(s.step).map(|b| work_word(bands, b)).unwrap_or_default();
                }
                out[p].sentence = capital(&chain_words(sound, &chain));
                continue;
            }
            wait(sound, plan, last.to, s, &mut out);
            from = from.max(out.last().map_or(from, |p| p.to));
        }
        let to = s.to.min(next);
        if from >= to {
            continue;
        }
        let (word, parts) = match word {
            Some(w) => (w.to_string(), vec![(from, to)]),
            None => (block(s.step).map(|b| b.short.clone()).unwrap_or_default(), on_shift(hours, from, to)),
        };
        let said = capital(&sentence(sound, plan, s));
        chain = vec![*s];
        out.push(Piece {
            kind,
            from,
            to,
            parts,
            steps: vec![s.step],
            by: None,
            word,
            sentence: said,
            why: String::new(),
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use crate::views::section::{Kind, Model};

    #[test]
    fn pieces_lie_end_to_end_from_the_start_to_the_finish() {
        for text in crate::views::section::model::samples() {
            let m: &Model = &text.1;
            assert!(m.pieces.len() > 10, "{}", text.0);
            for w in m.pieces.windows(2) {
                assert!(w[0].to <= w[1].from && w[0].from < w[0].to, "{}: {:?} {:?}", text.0, w[0], w[1]);
                assert!(w[0].to == w[1].from, "{}: a gap between {:?} and {:?}", text.0, w[0], w[1]);
            }
            assert_eq!(m.pieces.last().unwrap().to, m.clean_run.at, "{}", text.0);
            assert!(m.pieces.iter().all(|p| !p.word.is_empty() && !p.sentence.is_empty() && !p.steps.is_empty()));
            assert!(m.pieces.iter().all(|p| p.parts.iter().all(|s| s.0 >= p.from && s.1 <= p.to && s.0 < s.1)));
            for kind in [Kind::Hands, Kind::Drying, Kind::Closed] {
                assert!(m.pieces.iter().any(|p| p.kind == kind), "{} {kind:?}", text.0);
            }
        }
    }
}
