//! Days written up in one go: as planned, nothing done, or as it went; and which ask for it.
//!
//! A day written up puts the evening of it, and of every day written up before it, on record
//! where the record lacks it. The job keeps the order it is worked by from then on.

use chrono::NaiveDate;

use super::Sound;
use super::evening::{day_as_planned, recorded, works};
use crate::job::{DayLog, Edit, How, Job, LostCause, LostTime, Problem, Worked, edited};

/// Days asked about at most, the oldest first.
pub const MOST_ASKED: usize = 400;

/// What is said of a day, or of days.
#[derive(Clone, Debug, PartialEq)]
pub enum Said {
    /// Each of these days, first to last, went as the evening before had it planned. Of several
    /// those on which nobody was to work are left out.
    AsPlanned { days: Vec<NaiveDate>, note: String },
    /// Nobody worked on this job; with a cause the day is lost time for everybody as well.
    Nothing { day: NaiveDate, cause: Option<(LostCause, String)>, note: String },
    /// As the entry says.
    Entry(Box<DayLog>),
}

/// The job with days written up and their evenings on record. It must keep an order already.
///
/// # Errors
/// Everything that stands against a plan.
pub fn written_up(job: &Job, said: &Said) -> Result<Job, Vec<Problem>> {
    written_up_telling(job, said, &mut |_, _| ())
}

/// [`written_up`], telling of several days how many are written up and of how many, as it goes.
///
/// # Errors
/// Everything that stands against a plan.
pub fn written_up_telling(job: &Job, said: &Said, tell: &mut dyn FnMut(usize, usize)) -> Result<Job, Vec<Problem>> {
    match said {
        Said::AsPlanned { days, note } => {
            let mut is = job.clone();
            for (n, &day) in days.iter().enumerate() {
                if days.len() > 1 {
                    tell(n, days.len());
                }
                let (mut entry, works) = day_as_planned(&is, day)?;
                if entry.steps.is_empty() && !works && days.len() > 1 {
                    continue;
                }
                entry.note.clone_from(note);
                entry.steps.extend(news(&is, day));
                is = edited(&is, &[Edit::Day(day, Some(Box::new(entry)))]);
                is = recorded(&is, day)?;
            }
            Ok(is)
        }
        Said::Nothing { day, cause, note } => {
            let mut is = job.clone();
            let mut note = note.clone();
            if let Some((cause, words)) = cause {
                let lost = LostTime {
                    from: *day,
                    to: None,
                    hours: None,
                    who: String::new(),
                    house: false,
                    cause: *cause,
                    note: words.clone(),
                };
                let whole = |l: &LostTime| l.on(*day) && l.who.is_empty() && !l.house && l.hours.is_none();
                if !is.lost.iter().any(whole) {
                    is = edited(&is, &[Edit::Lost(is.lost.len(), Some(lost))]);
                }
                if note.is_empty() {
                    note.clone_from(words);
                }
            }
            let entry = DayLog { day: *day, how: How::Nothing, steps: news(&is, *day), note };
            is = edited(&is, &[Edit::Day(*day, Some(Box::new(entry)))]);
            recorded(&is, *day)
        }
        Said::Entry(entry) => {
            let mut entry = entry.clone();
            let heard = news(job, entry.day).into_iter().filter(|w| !entry.steps.iter().any(|x| x.step == w.step));
            let heard: Vec<Worked> = heard.collect();
            entry.steps.extend(heard);
            let is = edited(job, &[Edit::Day(entry.day, Some(entry.clone()))]);
            recorded(&is, entry.day)
        }
    }
}

/// What was heard on a day of deliveries, decisions and visits: it stays when the day is written up.
fn news(job: &Job, day: NaiveDate) -> Vec<Worked> {
    let all = job.log.iter().filter(|d| d.day == day).flat_map(|d| &d.steps);
    all.filter(|w| w.coming.is_some()).cloned().collect()
}

/// Days from the job's first through `today` on which somebody was to work and that nobody wrote
/// up, oldest first.
pub fn to_write_up(sound: &Sound, today: NaiveDate) -> Vec<NaiveDate> {
    let job = &sound.job;
    let asked = |d: &NaiveDate| !job.log.iter().any(|x| x.day == *d && !x.news_only()) && works(sound, job.day_of(*d));
    job.start.iter_days().take_while(|d| *d <= today).filter(asked).take(MOST_ASKED).collect()
}
