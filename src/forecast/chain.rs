//! Days lost in runs: illness comes in spells, not as lone days.
//!
//! A two-state chain per person, one transition per planned workday (Monday to Friday, not
//! his day off). With `rate` the share of workdays lost in the long run and `spell` the mean
//! run in workdays: a sick man is well the next day with chance `q = 1/spell`, a well one
//! sick with `p = rate q / (1 - rate)`. Spells have no upper end; a long illness is a risk of
//! its own. It refuses to know dates: the caller keys the uniform numbers.

/// The chain of one person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    rate: f64,
    falls_ill: f64,
    recovers: f64,
}

impl Chain {
    /// `rate` 0 to below 1, `spell` at least 1 workday. Values outside are moved to the
    /// nearest possible one; the two together cannot lose more than `spell` days in
    /// `spell + 1`, a higher rate is taken as that.
    pub fn new(rate: f64, spell: f64) -> Chain {
        let spell = if spell > 1.0 { spell.min(1e6) } else { 1.0 };
        let rate = if rate > 0.0 { rate.min(spell / (spell + 1.0)) } else { 0.0 };
        let recovers = 1.0 / spell;
        Chain { rate, falls_ill: (rate * recovers / (1.0 - rate)).min(1.0), recovers }
    }

    /// Share of workdays lost in the long run.
    pub fn rate(&self) -> f64 {
        self.rate
    }

    /// State on the day before the first, from a uniform number: sick with chance `rate`.
    pub fn first(&self, u: f64) -> bool {
        u < self.rate
    }

    /// State on the next planned workday, from a uniform number.
    pub fn step(&self, sick: bool, u: f64) -> bool {
        // Low numbers are sick from either state, so a pair of chains on the same numbers
        // never differs for longer than it must.
        u < if sick { 1.0 - self.recovers } else { self.falls_ill }
    }

    /// Chances to fall ill from well, and to recover from sick, per workday.
    pub fn chances(&self) -> (f64, f64) {
        (self.falls_ill, self.recovers)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_long_run_is_the_rate() {
        for (rate, spell) in [(0.02, 3.0), (0.05, 3.0), (0.3, 1.0), (0.0, 3.0)] {
            let c = Chain::new(rate, spell);
            let (p, q) = c.chances();
            // Balance of the two flows.
            assert!((rate * q - (1.0 - rate) * p).abs() < 1e-15);
            assert_eq!(q, 1.0 / spell);
        }
    }

    #[test]
    fn nonsense_is_harmless() {
        for rate in [-1.0, 0.0, 0.5, 0.999, 1.0, 7.0, f64::NAN, f64::INFINITY] {
            for spell in [-1.0, 0.0, 1.0, 2.0, f64::NAN, f64::INFINITY] {
                let (p, q) = Chain::new(rate, spell).chances();
                assert!((0.0..=1.0).contains(&p) && q > 0.0 && q <= 1.0, "{rate} {spell} {p} {q}");
            }
        }
        assert!(!Chain::new(0.0, 3.0).step(false, 1e-300) && !Chain::new(0.0, 3.0).first(1e-300));
        // The most a spell of one day allows is every other day.
        assert_eq!(Chain::new(0.9, 1.0).chances(), (1.0, 1.0));
    }
}
