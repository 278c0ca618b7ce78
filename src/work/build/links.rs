//! Links of recipe steps: inside their recipe, and across surfaces by the room's milestones.

use super::rows::Chosen;
use super::{Builder, When, ask, both, names};
use crate::trade::{Row, Stage};
use crate::work::Ask;

/// A need of a row with the conditions gathered on the way.
struct Wanted {
    row: usize,
    ask: Ask,
    lag: i64,
    longest: Option<f64>,
    when: When,
}

impl Builder<'_> {
    /// Links of all recipe steps.
    pub(super) fn link_rows(&mut self) {
        let all = std::mem::take(&mut self.rows);
        let recipes = std::mem::take(&mut self.recipes);
        for r in &all {
            let chosen = &recipes[&(r.room, r.surface)];
            let path = format!("rooms[{}].surfaces[{}].recipe", r.room, r.surface);
            let mut wanted = Vec::new();
            let mut after = Vec::new();
            self.wanted(chosen, r.row, &Vec::new(), &mut vec![], &mut wanted, &mut after, &path);
            for w in &wanted {
                for t in all.iter().filter(|t| (t.room, t.surface, t.row) == (r.room, r.surface, w.row)) {
                    self.link(t.step, r.step, w.ask, w.lag, w.longest, &w.when);
                }
            }
            for (milestone, stage, when) in after {
                let givers = self.milestones.get(&(r.room, milestone)).cloned().unwrap_or_default();
                for g in givers {
                    self.link(g, r.step, stage.map_or(Ask::Done, Ask::Dry), 0, None, &when);
                }
            }
        }
        self.rows = all;
        self.recipes = recipes;
    }

    /// What a row waits for inside its recipe and by milestones; rows left out hand on what
    /// they waited for.
    fn wanted(
        &mut self,
        chosen: &Chosen,
        row: usize,
        under: &When,
        open: &mut Vec<usize>,
        out: &mut Vec<Wanted>,
        after: &mut Vec<(String, Option<Stage>, When)>,
        path: &str,
    ) {
        if open.contains(&row) {
            return;
        }
        open.push(row);
        let x = &chosen.recipe.steps[row];
        let own = chosen.when(&x.when).unwrap_or_default();
        for a in &x.after {
            if let Some(w) = chosen.when(&a.when).and_then(|w| both(&w, under)) {
                after.push((a.milestone.clone(), a.dry, w));
            }
        }
        let mut put = |b: &mut Self, t: usize, ask: Ask, lag: i64, longest: Option<f64>, when: When| {
            if chosen.dropped[t] {
                b.wanted(chosen, t, &when, open, out, after, path);
            } else {
                out.push(Wanted { row: t, ask, lag, longest, when });
            }
        };
        for n in &x.needs {
            let Some(when) = chosen.when(&n.when).and_then(|w| both(&w, under)) else { continue };
            let found: Vec<usize> =
                (0..chosen.recipe.steps.len()).filter(|&t| chosen.recipe.steps[t].id == n.row).collect();
            if found.is_empty() {
                let remedy =
                    names::hint(&n.row, chosen.recipe.steps.iter().map(|s| s.id.as_str()), "name a step of the recipe");
                let what = format!(
                    "step \"{}\" of recipe \"{}\" waits for \"{}\", which it has not",
                    x.id, chosen.recipe.id, n.row
                );
                self.problem(path, what, remedy);
            }
            for t in found {
                let lag = self.minutes(n.lag);
                put(self, t, ask(n.link, n.dry), lag, n.longest, when.clone());
            }
        }
        if x.needs.is_empty() && !x.first {
            for t in (0..row).rev() {
                let y = &chosen.recipe.steps[t];
                let Some(w) = chosen.when(&y.when) else { continue };
                let Some(w) = both(&w, &own).and_then(|w| both(&w, under)) else { continue };
                put(self, t, self.default_ask(y), 0, None, w);
                // A row there under any option closes the search; a conditional one does not.
                if y.when.is_none() || y.when == x.when {
                    break;
                }
            }
        }
        open.pop();
    }

    /// What a row asks of the one before it where it says nothing.
    fn default_ask(&self, before: &Row) -> Ask {
        let product = before.leaves.as_ref().and_then(|l| self.product(&l.product));
        let has = |s: Stage| product.is_some_and(|p| p.hours.hours(s).is_some());
        [Stage::Recoat, Stage::Handle].into_iter().find(|&s| has(s)).map_or(Ask::Done, Ask::Dry)
    }
}
