//! Which causes of lateness act in a trial.

use crate::job::{Job, Switch};

/// A cause that may be taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CauseKind {
    Hours,
    Drying,
    LostDays,
    Holes,
    Unavailable,
    JobBefore,
    Redo,
    Surprises,
    Late,
    Unlisted,
}

impl CauseKind {
    pub const ALL: [CauseKind; 10] = [
        CauseKind::Hours,
        CauseKind::Drying,
        CauseKind::LostDays,
        CauseKind::Holes,
        CauseKind::Unavailable,
        CauseKind::JobBefore,
        CauseKind::Redo,
        CauseKind::Surprises,
        CauseKind::Late,
        CauseKind::Unlisted,
    ];

    /// Stable key for files and JSON.
    pub fn key(self) -> &'static str {
        match self {
            CauseKind::Hours => "hours",
            CauseKind::Drying => "drying",
            CauseKind::LostDays => "lost_days",
            CauseKind::Holes => "holes",
            CauseKind::Unavailable => "unavailable",
            CauseKind::JobBefore => "job_before",
            CauseKind::Redo => "redo",
            CauseKind::Surprises => "surprises",
            CauseKind::Late => "late",
            CauseKind::Unlisted => "unlisted",
        }
    }

    fn bit(self) -> u16 {
        1 << self as u16
    }
}

/// Which causes act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Acting(u16);

impl Acting {
    /// As the job's switches say; none in a study but its durations.
    pub fn of(job: &Job) -> Acting {
        let r = &job.risks;
        let on = |s: Switch, k: CauseKind| if s == Switch::On { k.bit() } else { 0 };
        if job.study.is_some() {
            return Acting(CauseKind::Hours.bit());
        }
        Acting(
            on(r.hours, CauseKind::Hours)
                | on(r.drying, CauseKind::Drying)
                | on(r.lost_days, CauseKind::LostDays)
                | on(r.holes, CauseKind::Holes)
                | on(r.unavailable, CauseKind::Unavailable)
                | on(r.job_before, CauseKind::JobBefore)
                | on(r.redo, CauseKind::Redo)
                | on(r.surprises, CauseKind::Surprises)
                | on(r.late, CauseKind::Late)
                | on(r.unlisted, CauseKind::Unlisted),
        )
    }
    /// Without one.
    pub fn without(self, k: CauseKind) -> Acting {
        Acting(self.0 & !k.bit())
    }
    /// Nothing acts.
    pub fn none() -> Acting {
        Acting(0)
    }
    /// Whether a cause acts.
    pub fn has(self, k: CauseKind) -> bool {
        self.0 & k.bit() != 0
    }
}
