//! The questions of a new job: what was answered so far, and the job of the answers.
//! No egui in here.
//!
//! An empty answer takes the usual value, which stands beside it. What cannot be read is said
//! and asked again; nothing typed is lost. The job at hand stays until the last is answered.

use chrono::NaiveDate;

use crate::desk::begin::{Answers, NOTHING_YET, begun, measures, next_monday};
use crate::job::{Job, Units};
use crate::sheet::Read;
use crate::trade::sets;
use crate::views::{day_words, said_day};

/// The five questions, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asks {
    Room,
    Measures,
    Work,
    /// The first day of work.
    Begin,
    /// The day it is wanted by.
    By,
    /// All are answered, the job is at hand.
    Date,
}

/// The questions under way.
#[derive(Clone, Debug)]
pub struct Beginning {
    pub at: Asks,
    pub name: String,
    pub line: String,
    pub work: usize,
    pub begin: String,
    pub by: String,
    /// What is wrong with the answer, and lines that would be right.
    pub said: String,
    pub offers: Vec<String>,
    /// The field of the question is to have the keyboard.
    pub fresh: bool,
    /// How far down the question being asked has reached, points: its buttons do not come up again.
    pub reached: f32,
    units: Units,
    today: NaiveDate,
}

impl Beginning {
    /// The first question.
    pub fn new(units: Units, today: NaiveDate) -> Beginning {
        let none = String::new;
        let (name, line, begin, by, said) = (none(), none(), none(), none(), none());
        Beginning {
            at: Asks::Room,
            name,
            line,
            work: 0,
            begin,
            by,
            said,
            offers: Vec::new(),
            fresh: true,
            reached: 0.0,
            units,
            today,
        }
    }

    /// The question in words.
    pub fn words(at: Asks) -> &'static str {
        match at {
            Asks::Room => "What room is it?",
            Asks::Measures => "What are its measures?",
            Asks::Work => "What is to be done?",
            Asks::Begin => "When would you begin?",
            Asks::By => "By when is it wanted?",
            Asks::Date => "The date",
        }
    }

    /// What holds where nothing is answered, or how an answer looks.
    pub fn usual(&self, at: Asks) -> String {
        match at {
            Asks::Room => "such as kitchen; left out, it is Bedroom".into(),
            Asks::Measures if self.units == Units::Metric => {
                "such as 4 x 3.5 x 2.5, door 80x200, 2 windows 90x135; left out, a room of common size".into()
            }
            Asks::Measures => "such as 13' x 11'6 x 8'4, door 32x80, 2 windows 36x54; left out, 12' × 10' × 8'".into(),
            Asks::Begin => {
                let such = if self.metric() { "15 Mar, 15/3, Mon" } else { "15 Mar, Mon" };
                format!("such as {such}; left out, {}", day_words(next_monday(self.today)))
            }
            Asks::By if self.metric() => "such as 1 Apr, 1/4; left out, no day is asked for".into(),
            Asks::By => "such as 1 Apr; left out, no day is asked for".into(),
            Asks::Work => format!("left out, {}", sets().first().map_or("", |s| &s.name)),
            Asks::Date => String::new(),
        }
    }

    /// What can be chosen to be done: the whole-room sets, and nothing yet.
    pub fn works() -> impl Iterator<Item = &'static str> {
        sets().iter().map(|s| s.name.as_str()).chain([NOTHING_YET])
    }

    /// An answer already given, in words.
    pub fn answered(&self, at: Asks) -> String {
        let or = |text: &str, usual: String| if text.trim().is_empty() { usual } else { text.trim().to_string() };
        let units = self.read().1;
        let day = |text: &str, usual: String| said_day(text, self.today, units).map_or(usual, day_words);
        match at {
            Asks::Room => or(&self.name, "Bedroom".into()),
            Asks::Measures => or(&self.echo(), "a room of common size, to be measured".into()),
            Asks::Work => Self::works().nth(self.work).unwrap_or_default().to_string(),
            Asks::Begin => day(&self.begin, day_words(next_monday(self.today))),
            Asks::By => day(&self.by, "no day is asked for".into()),
            Asks::Date => String::new(),
        }
    }

    /// The line of measures as it stands, and its units.
    fn read(&self) -> (Read, Units) {
        measures(&self.name, &self.line, self.units)
    }

    fn metric(&self) -> bool {
        self.read().1 == Units::Metric
    }

    /// What the line of measures says as it stands; nothing while it is empty.
    pub fn echo(&self) -> String {
        if self.line.trim().is_empty() { String::new() } else { self.read().0.echo }
    }

    /// Goes back to a question already answered.
    pub fn back(&mut self, to: Asks) {
        if to < self.at && self.at != Asks::Date {
            (self.at, self.fresh, self.reached) = (to, true, 0.0);
            self.quiet();
        }
    }

    /// Whether an answer would be lost with it.
    pub fn answered_some(&self) -> bool {
        self.at != Asks::Date && (self.at > Asks::Room || !self.name.trim().is_empty())
    }

    /// Taken up again where it was left.
    pub fn again(self) -> Beginning {
        Beginning { fresh: true, ..self }
    }

    /// Goes to the question before this one, its answer as it was; whether there is one.
    pub fn step_back(&mut self) -> bool {
        let to = match self.at {
            Asks::Room | Asks::Date => return false,
            Asks::Measures => Asks::Room,
            Asks::Work => Asks::Measures,
            Asks::Begin => Asks::Work,
            Asks::By => Asks::Begin,
        };
        self.back(to);
        true
    }

    fn quiet(&mut self) {
        self.said.clear();
        self.offers.clear();
    }

    /// Takes the answer as it stands and goes on; stays where it cannot be read. Whether all are answered.
    pub fn next(&mut self) -> bool {
        self.quiet();
        let units = self.read().1;
        let day =
            |text: &str, today| if text.trim().is_empty() { Ok(()) } else { said_day(text, today, units).map(|_| ()) };
        let wrong = match self.at {
            Asks::Measures if !self.line.trim().is_empty() => {
                let (read, _) = self.read();
                let first = read.questions.into_iter().next();
                self.offers = first.as_ref().map(|q| q.offers.clone()).unwrap_or_default();
                match (read.room, first) {
                    (_, Some(q)) => Err(q.ask),
                    (None, None) => Err("No measures in this line; leave it empty to measure later.".into()),
                    (Some(_), None) => Ok(()),
                }
            }
            Asks::Begin => day(&self.begin, self.today),
            Asks::By => day(&self.by, self.today).and_then(|()| self.in_order()),
            _ => Ok(()),
        };
        if let Err(said) = wrong {
            (self.said, self.fresh) = (said, true);
            return false;
        }
        (self.at, self.fresh) = (
            match self.at {
                Asks::Room => Asks::Measures,
                Asks::Measures => Asks::Work,
                Asks::Work => Asks::Begin,
                Asks::Begin => Asks::By,
                Asks::By | Asks::Date => Asks::Date,
            },
            true,
        );
        self.reached = 0.0;
        self.at == Asks::Date
    }

    /// Leaves the answer out and goes on. Whether all are answered.
    pub fn leave_out(&mut self) -> bool {
        match self.at {
            Asks::Room => self.name.clear(),
            Asks::Measures => self.line.clear(),
            Asks::Work => self.work = 0,
            Asks::Begin => self.begin.clear(),
            Asks::By => self.by.clear(),
            Asks::Date => {}
        }
        self.next()
    }

    fn in_order(&self) -> Result<(), String> {
        let a = self.answers();
        let begin = a.begin.unwrap_or_else(|| next_monday(self.today));
        match a.by {
            Some(by) if by < begin => Err(format!("That is before work begins on {}.", day_words(begin))),
            _ => Ok(()),
        }
    }

    fn answers(&self) -> Answers {
        let (read, units) = self.read();
        let day = |text: &str| said_day(text, self.today, units).ok();
        Answers {
            name: self.name.clone(),
            room: if self.line.trim().is_empty() { None } else { read.room },
            work: self.work,
            begin: day(&self.begin),
            by: day(&self.by),
            units,
        }
    }

    /// The job of the answers, and the job of none: what undo goes back to.
    pub fn jobs(&self) -> (Job, Job) {
        let answers = self.answers();
        let none = Answers { units: answers.units, ..Answers::default() };
        (begun(&answers, self.today), begun(&none, self.today))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn begin() -> Beginning {
        Beginning::new(Units::FeetInches, NaiveDate::from_ymd_opt(2026, 11, 25).unwrap())
    }

    #[test]
    fn five_answers_make_the_job() {
        let mut b = begin();
        b.name = "Kitchen".into();
        assert!(!b.next() && b.at == Asks::Measures);
        b.line = "13' x 11'6 x 8'4, door 32x80".into();
        assert!(!b.next() && b.at == Asks::Work, "{}", b.said);
        b.work = 1;
        assert!(!b.next());
        b.begin = "1 Mar".into();
        assert!(!b.next() && b.at == Asks::By);
        b.by = "19 Mar".into();
        assert!(b.next());
        let (job, _) = b.jobs();
        let room = &job.rooms[0];
        assert_eq!((job.name.as_str(), room.name.as_str()), ("Kitchen", "Kitchen"));
        assert_eq!(room.size.unwrap().width, crate::measure::Length::from_inches(138.0));
        assert_eq!((room.openings.len(), room.surfaces.len()), (1, 5));
        assert_eq!(job.start.to_string(), "2027-03-01");
        assert_eq!(job.target.unwrap().day.to_string(), "2027-03-19");
    }

    #[test]
    fn each_can_be_left_out() {
        let mut b = begin();
        for _ in 0..4 {
            b.line = "what is this".into();
            assert!(!b.leave_out());
        }
        assert!(b.leave_out());
        let (job, none) = b.jobs();
        assert!(job == none && crate::desk::judge(&job).is_ok());
    }

    #[test]
    fn what_cannot_be_read_is_said_and_stays() {
        let mut b = begin();
        b.next();
        b.line = "thirteen by something".into();
        assert!(!b.next() && b.at == Asks::Measures && !b.said.is_empty() && b.line == "thirteen by something");
        b.leave_out();
        b.next();
        b.begin = "soon".into();
        assert!(!b.next() && b.at == Asks::Begin && b.said.contains("soon"));
        b.begin = "1 Mar".into();
        b.next();
        b.by = "28 Feb".into();
        assert!(!b.next() && b.said.contains("before work begins"), "{}", b.said);
        assert!(b.step_back() && b.at == Asks::Begin && b.by == "28 Feb" && b.said.is_empty());
        b.back(Asks::Work);
        assert!(b.at == Asks::Work && b.said.is_empty() && b.by == "28 Feb");
        assert!(b.step_back() && b.step_back() && b.at == Asks::Room && !b.step_back());
    }

    #[test]
    fn measures_in_metres_make_the_job_metric() {
        let mut b = begin();
        b.next();
        b.line = "4,2 x 3,6 x 2,5".into();
        assert!(!b.next() && b.at == Asks::Work, "{} {:?}", b.said, b.offers);
        assert!(b.answered(Asks::Measures).contains("4.2 m x 3.6 m, 2.5 m high"), "{}", b.answered(Asks::Measures));
        let (job, none) = b.jobs();
        assert_eq!((job.units, none.units), (Units::Metric, Units::Metric));
        // Days as the fields of a metric job take them.
        b.next();
        b.begin = "1/3".into();
        assert!(!b.next() && b.at == Asks::By, "{}", b.said);
        b.by = "26/3".into();
        assert!(b.next(), "{}", b.said);
        let (job, _) = b.jobs();
        assert_eq!(
            (job.start.to_string(), job.target.unwrap().day.to_string()),
            ("2027-03-01".into(), "2027-03-26".into())
        );
    }
}
