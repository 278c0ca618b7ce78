//! Which ways are worth a closer look: those no other beats at the same cost or less, those close
//! to them, and what may be put together.

/// What a way is judged by. Greater `won` is better; less `cents` is better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    pub cents: i64,
    /// Chance won, a share; where there is no day to make, working days.
    pub won: f64,
    /// Chance it comes to, a share; 0 where there is no day to make.
    pub chance: f64,
}

/// Whether each way stands on the edge: none costs no more and wins no less, one of them strictly.
/// Of ways alike the first stands.
pub fn on_the_edge(ways: &[Worth]) -> Vec<bool> {
    let beats = |i: usize, j: usize| {
        let (a, b) = (&ways[i], &ways[j]);
        let no_worse = a.cents <= b.cents && a.won >= b.won;
        no_worse && (a.cents < b.cents || a.won > b.won || i < j)
    };
    (0..ways.len()).map(|j| (0..ways.len()).all(|i| i == j || !beats(i, j))).collect()
}

/// At most `most` ways for a closer look, by their place: those on the edge that win something,
/// then those whose chance falls short of it least. In the order of their cost.
pub fn closest(ways: &[Worth], most: usize, least: f64) -> Vec<usize> {
    let edge = on_the_edge(ways);
    // How far a way falls short of the best that costs no more.
    let short = |j: usize| {
        let best = ways.iter().filter(|w| w.cents <= ways[j].cents).map(|w| w.won).fold(f64::MIN, f64::max);
        best - ways[j].won
    };
    let mut all: Vec<(bool, f64, usize)> =
        (0..ways.len()).filter(|&j| ways[j].won >= least).map(|j| (!edge[j], short(j), j)).collect();
    // Of too many on the edge those are kept that win the most more than the one before.
    let mut on: Vec<usize> = all.iter().filter(|x| !x.0).map(|x| x.2).collect();
    on.sort_by_key(|&j| ways[j].cents);
    while on.len() > most {
        let step = |k: usize| ways[on[k]].won - if k > 0 { ways[on[k - 1]].won } else { 0.0 };
        // The last, which wins most, stays.
        let Some(out) = (0..on.len() - 1).min_by(|&a, &b| step(a).total_cmp(&step(b))) else { break };
        on.remove(out);
    }
    all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut out = on.clone();
    out.extend(all.into_iter().filter(|x| x.0).map(|x| x.2).take(most.saturating_sub(on.len())));
    out.truncate(most);
    out.sort_by_key(|&j| (ways[j].cents, j));
    out
}

/// All pairs and triples of `n` things that may go together.
pub fn combinations(n: usize, together: &dyn Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let mut out = Vec::new();
    for a in 0..n {
        for b in a + 1..n {
            if together(a, b) {
                out.push(vec![a, b]);
            }
        }
    }
    let pairs = out.clone();
    for p in &pairs {
        for c in p[1] + 1..n {
            if together(p[0], c) && together(p[1], c) {
                out.push(vec![p[0], p[1], c]);
            }
        }
    }
    out
}

/// The one way to take: the cheapest that reaches `chance`, else the one that comes nearest; of
/// ways alike the cheaper. None where nothing wins `least`.
pub fn best_for(ways: &[Worth], chance: f64, least: f64) -> Option<usize> {
    let reaching = (0..ways.len()).filter(|&i| ways[i].chance >= chance && ways[i].won >= least);
    reaching.min_by_key(|&i| (ways[i].cents, i)).or_else(|| {
        let winning = (0..ways.len()).filter(|&i| ways[i].won >= least);
        winning.max_by(|&a, &b| {
            ways[a].won.total_cmp(&ways[b].won).then(ways[b].cents.cmp(&ways[a].cents)).then(b.cmp(&a))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn w(cents: i64, won: f64) -> Worth {
        Worth { cents, won, chance: 0.4 + won }
    }

    #[test]
    fn what_costs_more_and_wins_no_more_is_off_the_edge() {
        let ways = [w(0, 0.05), w(100, 0.20), w(100, 0.15), w(200, 0.20), w(300, 0.40), w(-50, 0.0), w(0, 0.05)];
        assert_eq!(on_the_edge(&ways), [true, true, false, false, true, true, false]);
        // The one at no cost that wins nothing is not worth a look; a close one is.
        assert_eq!(closest(&ways, 4, 0.01), [0, 1, 3, 4]);
        assert_eq!(closest(&ways, 2, 0.01), [1, 4]);
        assert_eq!(closest(&[], 3, 0.01), [] as [usize; 0]);
    }

    #[test]
    fn the_cheapest_that_is_enough_is_best_else_the_nearest() {
        let ways = [w(0, 0.05), w(900, 0.45), w(500, 0.42), w(100, 0.20)];
        assert_eq!(best_for(&ways, 0.8, 0.01), Some(2));
        assert_eq!(best_for(&ways, 0.95, 0.01), Some(1));
        assert_eq!(best_for(&ways, 0.95, 0.9), None);
    }

    #[test]
    fn eight_give_every_pair_and_triple_once() {
        assert_eq!(combinations(8, &|_, _| true).len(), 28 + 56);
        // Two of a kind never go together.
        let kind = [0, 0, 1, 2];
        let all = combinations(4, &|a, b| kind[a] != kind[b]);
        assert_eq!(all, [vec![0, 2], vec![0, 3], vec![1, 2], vec![1, 3], vec![2, 3], vec![0, 2, 3], vec![1, 2, 3]]);
    }
}
