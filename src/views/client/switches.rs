//! What the client sees and what not: the switches of the page in words.

use super::wants::cause;
use crate::job::{ClientSwitches, Switch};

/// A switch of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// What it shows, in the words of the page.
    pub words: &'static str,
    pub on: bool,
    /// All switches with this one the other way.
    pub turned: ClientSwitches,
}

/// The field of a switch.
type Field = fn(&mut ClientSwitches) -> &mut Switch;

/// Keys of the causes in the order they are offered, with their fields.
const CAUSES: [(&str, Field); 10] = [
    ("hours", |s| &mut s.hours),
    ("drying", |s| &mut s.drying),
    ("lost_days", |s| &mut s.lost_days),
    ("holes", |s| &mut s.holes),
    ("unavailable", |s| &mut s.unavailable),
    ("job_before", |s| &mut s.job_before),
    ("redo", |s| &mut s.redo),
    ("surprises", |s| &mut s.surprises),
    ("late", |s| &mut s.late),
    ("unlisted", |s| &mut s.unlisted),
];

/// Every switch: the odds first, then each cause that could move the day.
pub fn seen(now: &ClientSwitches) -> Vec<Seen> {
    let one = |words: &'static str, field: Field| {
        let mut turned = now.clone();
        let at = field(&mut turned);
        let on = *at == Switch::On;
        *at = if on { Switch::Off } else { Switch::On };
        Seen { words, on, turned }
    };
    let mut out = vec![one("how likely the day is, in chances out of 10", |s| &mut s.odds)];
    out.extend(CAUSES.iter().filter_map(|(key, field)| cause(key).map(|w| one(w, *field))));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_switch_is_offered_and_turns_itself_alone() {
        let now = ClientSwitches::default();
        let all = seen(&now);
        assert_eq!(all.len(), 11);
        assert!(!all[0].on && all[1..].iter().all(|s| s.on));
        for (s, (key, _)) in all[1..].iter().zip(CAUSES) {
            assert!(now.says(key) && !s.turned.says(key), "{key}");
            // Turned twice it is as it was; every other one is as before.
            let again = seen(&s.turned);
            assert_eq!(again.iter().filter(|x| x.turned == now).count(), 1, "{key}");
        }
    }
}
