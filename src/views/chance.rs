//! A chance in words, no sharper than the trials behind it.

use crate::forecast::stats;

/// Trials under which a chance is only said as "about", to the nearest 5 %.
const FEW: usize = 2_000;

/// `62 %`; `about 40 %` under 2,000 trials; for no trial at all `under 0.1 %` with 10,000,
/// `under 0.2 %` with 2,000 (upper end of the 95 % interval of none, rounded up to a tenth).
pub fn chance_words(share: f64, trials: usize) -> String {
    if trials == 0 {
        return "not known".into();
    }
    let hits = (share.clamp(0.0, 1.0) * trials as f64).round() as usize;
    let none = (stats::share(0, trials).high * 1000.0).ceil() / 10.0;
    if hits == 0 {
        return format!("under {none:.1} %");
    }
    if hits == trials {
        return format!("over {:.1} %", 100.0 - none);
    }
    let percent = share * 100.0;
    if trials < FEW {
        let five = (percent / 5.0).round() * 5.0;
        return match five as i64 {
            0 => "under 5 %".into(),
            100 => "over 95 %".into(),
            n => format!("about {n} %"),
        };
    }
    if (0.95..99.05).contains(&percent) {
        format!("{percent:.0} %")
    } else {
        format!("{:.1} %", percent.clamp(none.min(0.1), 99.9))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_no_sharper_than_its_trials() {
        assert_eq!(chance_words(0.0, 2_000), "under 0.2 %");
        assert_eq!(chance_words(0.0, 10_000), "under 0.1 %");
        assert_eq!(chance_words(1.0, 10_000), "over 99.9 %");
        assert_eq!(chance_words(0.412, 500), "about 40 %");
        assert_eq!(chance_words(0.01, 500), "under 5 %");
        assert_eq!(chance_words(0.412, 2_000), "41 %");
        assert_eq!(chance_words(0.004, 10_000), "0.4 %");
        assert_eq!(chance_words(0.996, 10_000), "99.6 %");
        assert_eq!(chance_words(0.5, 0), "not known");
    }
}
