//! A text to a job that can be worked on, or to the page that tells what is wrong with it.

use std::path::{Path, PathBuf};

use crate::desk;
use crate::job::Job;
use crate::store::{self, StoreError};
use crate::ui::session::Session;
use crate::views::{self, ProblemRow};

/// The jobs that come with the program: name of the file, what it is, its text.
pub const SAMPLES: [(&str, &str, &str); 5] = [
    ("study", "a panelled study for one person", include_str!("../../../sample-jobs/study.ron")),
    ("hall", "a hall and stairwell of 1931 for two", include_str!("../../../sample-jobs/hall.ron")),
    ("nursery", "a nursery in January, a barely heated shop", include_str!("../../../sample-jobs/nursery.ron")),
    ("powder", "a tiny powder room", include_str!("../../../sample-jobs/powder.ron")),
    ("house", "six rooms for two people", include_str!("../../../sample-jobs/house.ron")),
];

/// A file that is no sound job: everything wrong with it, and what can be made of it.
#[derive(Clone, Debug)]
pub struct Broken {
    pub file: PathBuf,
    pub rows: Vec<ProblemRow>,
    /// How many there are and what that means.
    pub count: String,
    /// The job as far as it reads; none where the text is no job file at all.
    pub job: Option<Job>,
    /// The text of the file.
    pub text: String,
}

/// What came of opening a file.
#[derive(Debug)]
pub enum Opening {
    Job(Box<Session>),
    Broken(Box<Broken>),
}

/// Reads a job file.
///
/// # Errors
/// [`StoreError`] where the file itself cannot be read.
pub fn open(file: &Path) -> Result<Opening, StoreError> {
    let text = store::read(file)?;
    Ok(judged(file, text))
}

/// The text of a file, judged.
pub fn judged(file: &Path, text: String) -> Opening {
    let broken = |(rows, count), job, text| {
        Opening::Broken(Box::new(Broken { file: file.to_path_buf(), rows, count, job, text }))
    };
    match desk::open(&text) {
        Ok(opened) if opened.read.problems.is_empty() => {
            Opening::Job(Box::new(Session::new(opened.read.job, Some(file.to_path_buf()), text)))
        }
        Ok(opened) => broken(views::problem_rows(&text, &opened.read), Some(opened.read.job), text),
        Err(e) => {
            let (row, count) = views::syntax_row(&text, &e);
            broken((vec![row], count.to_string()), None, text)
        }
    }
}

/// A bundled text as a job without a file: a sample, or the one to begin with. It has
/// nothing to lose before it is changed.
pub fn bundled(text: &str) -> Session {
    let job = desk::open(text).map(|o| o.read.job).unwrap_or_default();
    Session::new(job, None, String::new())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bundled_job_is_sound() {
        for text in SAMPLES.iter().map(|s| s.2).chain([crate::jobfile::starter()]) {
            assert!(desk::open(text).unwrap().sound.is_some());
            let s = bundled(text);
            assert!(!s.job().name.is_empty() && !s.unsaved() && s.file.is_none());
        }
    }

    #[test]
    fn a_broken_text_gives_its_page() {
        let at = Path::new("x.ron");
        let Opening::Broken(page) = judged(at, "(\n  format: 1,\n  confidence: 7,\n)".into()) else {
            panic!("a job without a name and crew")
        };
        assert!(page.job.is_some() && page.rows.iter().any(|r| r.line == "confidence: 7,"));
        let Opening::Broken(page) = judged(at, "(\n  name: \"x\n".into()) else { panic!("no job file") };
        assert!(page.job.is_none() && page.rows.len() == 1 && page.count.starts_with("not a job file"));
    }
}
