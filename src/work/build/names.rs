//! Names in a job to steps, and "did you mean" where one dangles.

use super::Builder;

/// Letters to change, add, drop or swap with the next to get from one word to the other.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![(0..=b.len()).collect::<Vec<_>>()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (rows[i - 1][j] + 1).min(row[j - 1] + 1).min(rows[i - 1][j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            row.push(best);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

/// The nearest of `all` to a name, if near enough to be meant.
pub fn nearest<'a>(name: &str, all: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let limit = (name.chars().count() / 3).clamp(1, 4);
    all.into_iter()
        .filter(|x| x.len().abs_diff(name.len()) <= 8 && name.len() <= 200)
        .map(|x| (distance(name, x), x))
        .filter(|&(d, _)| d <= limit)
        .min()
        .map(|(_, x)| x)
}

/// "did you mean" with the nearest name, else the plain advice.
pub(super) fn hint<'a>(name: &str, all: impl IntoIterator<Item = &'a str>, advice: &str) -> String {
    nearest(name, all).map_or(advice.to_string(), |n| format!("did you mean \"{n}\"?"))
}

impl Builder<'_> {
    /// Steps meant by a name: a step's id (its variants), `room:milestone`, or a milestone of
    /// every room. Twins and scuff-sands are not meant. Reports a name nobody has.
    pub(super) fn resolve(&mut self, name: &str, path: &str) -> Vec<usize> {
        let mut found = self.lookup(name);
        found.sort_unstable();
        found.dedup();
        if found.is_empty() {
            let ids = self.graph.steps.iter().filter(|s| s.role.planned()).map(|s| s.id.as_str());
            let marks: Vec<String> = self
                .milestones
                .keys()
                .flat_map(|(r, m)| [m.clone(), format!("{}:{m}", self.job.rooms[*r].id)])
                .collect();
            let remedy = hint(
                name,
                ids.chain(marks.iter().map(String::as_str)),
                "name a step's id, a delivery, a decision, a visit, or a milestone such as \"study:crown-hung\"",
            );
            self.problem(path, format!("there is no step \"{name}\""), remedy);
        }
        found
    }

    fn lookup(&self, name: &str) -> Vec<usize> {
        let ids: Vec<usize> = (0..self.graph.steps.len())
            .filter(|&i| {
                let s = &self.graph.steps[i];
                // `room/surface/row` means every batch `#1`, `#2` of it.
                let batch = s.id.split_once('#').is_some_and(|(head, _)| head == name);
                // A step of the user's own may have its room in front.
                let roomed = name.rsplit_once('/').is_some_and(|(r, id)| r == s.room && id == s.id);
                s.role.planned() && (s.id == name || batch || roomed)
            })
            .collect();
        if !ids.is_empty() {
            return ids;
        }
        let (room, mark) = match name.split_once(':') {
            Some((room, mark)) => (Some(room), mark),
            None => (None, name),
        };
        self.milestones
            .iter()
            .filter(|((r, m), _)| m == mark && room.is_none_or(|x| self.job.rooms[*r].id == x))
            .flat_map(|(_, steps)| steps.iter().copied())
            .collect()
    }

    /// Names in holds and in the kept order that no step, choice or person has.
    pub(super) fn named_elsewhere(&mut self) {
        let job = self.job;
        let known = |b: &Builder, n: &str| b.graph.steps.iter().any(|s| s.id == n);
        let mut wrong: Vec<(String, String)> = Vec::new();
        let mut look = |b: &Builder, path: String, n: &str| {
            if !known(b, n) {
                wrong.push((path, n.to_string()));
            }
        };
        let kept = job.kept.clone().unwrap_or_default();
        for (list, at) in [(&job.holds, "holds"), (&kept.holds, "kept.holds")] {
            for (i, h) in list.iter().enumerate() {
                look(self, format!("{at}[{i}].step"), &h.step);
                if let crate::job::Until::Begun(s) | crate::job::Until::Done(s) = &h.until {
                    look(self, format!("{at}[{i}].until"), s);
                }
            }
        }
        for (i, n) in kept.order.iter().enumerate() {
            look(self, format!("kept.order[{i}]"), n);
        }
        for (i, (n, _)) in kept.people.iter().enumerate() {
            look(self, format!("kept.people[{i}]"), n);
        }
        for (path, n) in wrong {
            let remedy =
                hint(&n, self.graph.steps.iter().map(|s| s.id.as_str()), "name a step of this job, or drop the entry");
            self.problem(path, format!("there is no step \"{n}\""), remedy);
        }
        for (i, (c, o)) in kept.methods.iter().enumerate() {
            let path = format!("kept.methods[{i}]");
            match self.graph.choices.iter().find(|x| x.id == *c) {
                None => {
                    let remedy = hint(c, self.graph.choices.iter().map(|x| x.id.as_str()), "drop the entry");
                    self.problem(path, format!("there is no choice \"{c}\""), remedy);
                }
                Some(x) if !x.options.contains(o) => {
                    let remedy = format!("one of: {}", x.options.join(", "));
                    self.problem(path, format!("\"{c}\" has no option \"{o}\""), remedy);
                }
                Some(_) => {}
            }
        }
        for (i, (_, people)) in kept.people.iter().enumerate() {
            for n in people.iter().filter(|n| !job.crew.iter().any(|p| p.id == **n)) {
                let remedy = hint(n, job.crew.iter().map(|p| p.id.as_str()), "name somebody of the crew");
                self.problem(format!("kept.people[{i}]"), format!("nobody in the crew is \"{n}\""), remedy);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_is_understood() {
        let all = ["study/walls/skim-1", "study/walls/skim-2", "crown-hung"];
        assert_eq!(nearest("study/walls/skim1", all), Some("study/walls/skim-1"));
        assert_eq!(nearest("crwon-hung", all), Some("crown-hung"));
        assert_eq!(nearest("kitchen", all), None);
    }
}
