//! Text to job and back: the job file, a RON text made to be read and edited by a person.
//!
//! [`read`] refuses a text that is not RON with the first fault of syntax. Anything that
//! parses gives a job, as good as it can be made, and **all** problems that can be seen
//! without the work graph, each at its field path; the [`SourceMap`] turns paths into lines
//! and columns, also for problems found by later modules. [`write()`] gives the text back in
//! a fixed order with everything equal to its default left out.
//!
//! It refuses to know the disk, the graph of steps and the meaning of any recipe. Fields,
//! units, ranges and defaults: `docs/job-file.md`.

mod check;
mod fill;
mod layout;
mod names;
mod near;
mod node;
mod options;
mod people;
mod place;
mod priced;
mod reader;
mod rows;
mod scalar;
mod scope;
mod shorthand;
mod taken;
mod values;

pub(crate) use near::nearest;
pub use place::SourceMap;
pub use reader::Field;
pub use values::YEARS;

use std::collections::BTreeSet;
use std::fmt;
use std::path::{Path, PathBuf};

use crate::job::{FORMAT, Job, Problem};
use crate::trade::Tables;
use node::Kind;
use reader::{Reader, Record, Value};

/// The first fault of a text that is not RON.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxError {
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub col: usize,
    pub expected: String,
    pub found: String,
    /// What to do, where it can be told; else empty.
    pub hint: String,
}

impl SyntaxError {
    fn with(mut self, hint: &str) -> SyntaxError {
        self.hint = hint.to_string();
        self
    }
}

impl fmt::Display for SyntaxError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}  expected {}, found {}", self.line, self.col, self.expected, self.found)?;
        if self.hint.is_empty() { Ok(()) } else { write!(f, "; {}", self.hint) }
    }
}

impl std::error::Error for SyntaxError {}

/// A job as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// As good as it can be made; sound only if there are no problems.
    pub job: Job,
    /// In the order of the text.
    pub problems: Vec<Problem>,
    pub map: SourceMap,
    /// Paths of values that could not be read and stand at a default.
    unread: BTreeSet<String>,
}

impl Read {
    /// Adds what later modules find in this job: take-off, work graph. What they say of a
    /// value that could not be read, or where a problem stands already, is dropped.
    pub fn add(&mut self, later: Vec<Problem>) {
        // An entry of these lists holds much: a problem inside it says nothing of the whole.
        const LARGE: [&str; 7] = ["rooms", "surfaces", "steps", "deliveries", "decisions", "visits", "recipes"];
        let before: Vec<String> = self.problems.iter().map(|p| p.path.clone()).collect();
        for p in later {
            let list = p.path.rsplit('.').next().and_then(|end| end.split_once('[')).map_or("", |end| end.0);
            let said = before.iter().any(|b| *b == p.path || (!LARGE.contains(&list) && within(b, &p.path)));
            if !said && !check::inside(&p.path, &self.unread) && !self.hangs_on_unread(&p.path) {
                self.problems.push(p);
            }
        }
        self.problems = locate(&self.problems, &self.map).into_iter().map(|l| l.problem).collect();
    }

    /// Whether a problem around an unread value, or one that compares with unread walls of
    /// its room, may come from the default standing there.
    fn hangs_on_unread(&self, path: &str) -> bool {
        let room = path.strip_prefix("rooms[").and_then(|r| r.split_once(']'));
        let compared = [".height", ".width", ".from_corner"].iter().any(|end| path.ends_with(end));
        self.unread.iter().any(|u| {
            let around = within(u, path);
            let of_walls = compared
                && room.is_some_and(|(i, _)| {
                    [format!("rooms[{i}].walls"), format!("rooms[{i}].size")].iter().any(|w| u == w || within(u, w))
                });
            around || of_walls
        })
    }

    /// All problems as text, a line each: `12:7  what; remedy`.
    pub fn report(&self) -> String {
        report(&self.problems, &self.map)
    }
}

/// A problem with its line and column, both from 1.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Located {
    pub line: usize,
    pub col: usize,
    pub problem: Problem,
}

/// `12:7  what; remedy`.
impl fmt::Display for Located {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}  {}; {}", self.line, self.col, self.problem.what, self.problem.remedy)
    }
}

/// Whether `path` lies inside `around`, which is not the whole job.
fn within(path: &str, around: &str) -> bool {
    !around.is_empty() && path.strip_prefix(around).is_some_and(|rest| rest.starts_with(['.', '[']))
}

/// Problems with their places, in the order of the text, each once.
pub fn locate(problems: &[Problem], map: &SourceMap) -> Vec<Located> {
    let mut out: Vec<Located> = Vec::new();
    for p in problems {
        let (line, col) = map.place(&p.path);
        let located = Located { line, col, problem: p.clone() };
        if !out.contains(&located) {
            out.push(located);
        }
    }
    out.sort_by_key(|l| (l.line, l.col));
    out
}

/// Problems as text, a line each: `12:7  what; remedy`.
pub fn report(problems: &[Problem], map: &SourceMap) -> String {
    locate(problems, map).iter().map(|l| format!("{l}\n")).collect()
}

/// Reads a job file. Rows of rates, products and recipes the job uses and the file lacks
/// are copied from `tables`; the file's own rows win.
///
/// # Errors
/// The first fault of syntax, where the text is not RON.
pub fn read(text: &str, tables: &Tables) -> Result<Read, SyntaxError> {
    let root = node::parse(text)?;
    let mut r = Reader::default();
    r.offsets.insert(String::new(), root.at);
    if let Some((at, format)) = newer_format(&root) {
        r.offsets.insert("format".into(), at);
        let problem = Problem::new(
            "format",
            format!("this file has format {format}, and this program reads formats up to {FORMAT}"),
            "open it with a newer version of the program; nothing else in it was looked at",
        );
        let map = SourceMap::new(text, &r.offsets);
        return Ok(Read { job: Job::default(), problems: vec![problem], map, unread: BTreeSet::new() });
    }
    let mut job = Job::read(&mut r, &root).unwrap_or_default();
    let whole = options::whole(&job);
    fill::ids(&mut job);
    fill::places(&mut job);
    fill::rows(&mut job, tables);
    let mut problems = std::mem::take(&mut r.problems);
    let mut findings = check::Findings::new(&r.bad, &r.offsets);
    check::values(&job, &mut findings);
    names::check(&job, tables, &mut findings);
    options::promises(&job, &mut findings);
    priced::check(&job, &mut findings);
    let mut found = findings.out;
    found.extend(options::read(&mut job, whole, tables, &r, &found));
    problems.extend(found);
    fill::expand(&mut job, tables);
    let map = SourceMap::new(text, &r.offsets);
    problems = locate(&problems, &map).into_iter().map(|l| l.problem).collect();
    Ok(Read { job, problems, map, unread: r.bad })
}

/// Where a format above [`FORMAT`] is written, and which.
fn newer_format(root: &node::Node) -> Option<(usize, i128)> {
    let Kind::Record(_, entries) = &root.kind else { return None };
    let value = &entries.iter().find(|e| e.name == "format")?.value;
    match value.kind {
        Kind::Int(n) if n > i128::from(FORMAT) => Some((value.at, n)),
        _ => None,
    }
}

/// Writes a job file: fields in a fixed order, those equal to their default left out, short
/// records on one line, lengths in the job's style where that is exact.
pub fn write(job: &Job) -> String {
    job.write(job.units.style()).file()
}

/// What a save does with the comments of the text it replaces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SaveNotice {
    /// There are none.
    NoComments,
    /// They are not carried into the new text; the old one is kept whole in this file.
    CommentsGoTo(PathBuf),
}

/// Comments do not survive a save. Says so, and where the old text is to be kept: beside the
/// file, as `NAME.with-comments.ron`.
pub fn keep_comments(old_text: &str, file: &Path) -> SaveNotice {
    if !node::has_comments(old_text) {
        return SaveNotice::NoComments;
    }
    let stem = file.file_stem().map_or_else(|| "job".into(), |s| s.to_os_string());
    let mut name = stem;
    name.push(".with-comments.ron");
    SaveNotice::CommentsGoTo(file.with_file_name(name))
}

/// A commented job to begin with: a small bedroom repainted.
pub fn starter() -> &'static str {
    include_str!("../../assets/starter.ron")
}

/// Every record of the job file with its fields, for `docs/job-file.md` and its test.
pub fn schema() -> Vec<(&'static str, &'static [Field])> {
    macro_rules! list {
        ($($ty:ty),* $(,)?) => { vec![ $( (<$ty as Record>::TYPE, <$ty as Record>::FIELDS) ),* ] };
    }
    use crate::{clock, job, trade};
    list![
        job::Job,
        job::Target,
        job::House,
        job::Person,
        job::Week,
        job::Hours,
        job::DateHours,
        job::Calendar,
        job::Place,
        job::AirFrom,
        clock::Air,
        job::Room,
        job::Size,
        job::Wall,
        job::Opening,
        job::Boxes,
        job::Surface,
        job::Change,
        job::OwnStep,
        job::Duration,
        job::Hands,
        trade::Flags,
        trade::Leaves,
        job::Window,
        job::Need,
        job::OwnMethod,
        job::Delivery,
        job::Decision,
        job::Visit,
        job::Hold,
        job::KeptOrder,
        job::JobOption,
        job::Promise,
        job::ClientSwitches,
        job::Letterhead,
        job::PriceTerms,
        job::Payment,
        job::Allowance,
        job::Quote,
        job::QuoteLine,
        job::QuotePayment,
        trade::Risks,
        trade::RedoRow,
        trade::SurpriseRow,
        job::Study,
        job::LostTime,
        job::DayLog,
        job::Evening,
        job::MovedBy,
        job::Redone,
        job::ChangeOrder,
        job::Closing,
        job::Worked,
        trade::Extra,
        job::TakenWay,
        job::Records,
        job::RoomSurface,
        trade::Rate,
        trade::Product,
        trade::Stages,
        trade::Recipe,
        trade::Say,
        trade::RecipeChoice,
        trade::Row,
        trade::Term,
        trade::RowNeed,
        trade::After,
        trade::Material,
        trade::Pack,
        trade::Use,
    ]
}
