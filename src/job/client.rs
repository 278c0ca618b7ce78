//! What the client's page says: switches of the odds and of each cause that could move the day.

use serde::{Deserialize, Serialize};

use super::Switch;

/// Switches of the client's page. The odds are off until they are wanted; every cause is on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct ClientSwitches {
    /// The chance of the day, as chances in ten.
    pub odds: Switch,
    /// Work that takes longer than planned.
    pub hours: Switch,
    /// Cool, damp weather.
    pub drying: Switch,
    /// Days lost to illness.
    pub lost_days: Switch,
    /// Mornings that begin late.
    pub holes: Switch,
    /// Days on which the room cannot be worked in.
    pub unavailable: Switch,
    /// The job before this one.
    pub job_before: Switch,
    /// Something done again.
    pub redo: Switch,
    /// What opening up finds.
    pub surprises: Switch,
    /// Deliveries and decisions that come late.
    pub late: Switch,
    /// Small work nobody listed.
    pub unlisted: Switch,
}

impl Default for ClientSwitches {
    fn default() -> Self {
        ClientSwitches {
            odds: Switch::Off,
            hours: Switch::On,
            drying: Switch::On,
            lost_days: Switch::On,
            holes: Switch::On,
            unavailable: Switch::On,
            job_before: Switch::On,
            redo: Switch::On,
            surprises: Switch::On,
            late: Switch::On,
            unlisted: Switch::On,
        }
    }
}

impl ClientSwitches {
    /// Whether a cause is said, by its key in the forecast; a key without a switch is not.
    pub fn says(&self, cause: &str) -> bool {
        let switch = match cause {
            "hours" => self.hours,
            "drying" => self.drying,
            "lost_days" => self.lost_days,
            "holes" => self.holes,
            "unavailable" => self.unavailable,
            "job_before" => self.job_before,
            "redo" => self.redo,
            "surprises" => self.surprises,
            "late" => self.late,
            "unlisted" => self.unlisted,
            _ => Switch::Off,
        };
        switch == Switch::On
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odds_are_off_and_causes_on_until_told_otherwise() {
        let s = ClientSwitches::default();
        assert_eq!(s.odds, Switch::Off);
        for cause in [
            "hours",
            "drying",
            "lost_days",
            "holes",
            "unavailable",
            "job_before",
            "redo",
            "surprises",
            "late",
            "unlisted",
        ] {
            assert!(s.says(cause), "{cause}");
        }
        assert!(!s.says("together") && !s.says(""));
        assert!(!ClientSwitches { drying: Switch::Off, ..s }.says("drying"));
    }
}
