//! What the commands take.
//!
//! One file because the words of the help are read one after the other.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

/// The date a finish carpenter and painter can promise for a room, with its odds.
///
/// Without a command: the window, on the last job or the sample that comes with it; `roomback
/// JOB.ron` opens that job in it, and `--today DAY` has the window take it to be that day. Where no window can be opened, the forecast in text.
#[derive(Debug, Parser)]
#[command(name = "roomback", version, disable_help_subcommand = true)]
pub struct Args {
    #[command(subcommand)]
    pub command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say everything that is wrong with a job file; exit code 1 if anything is.
    Check(JobArg),
    /// Quantities of every room with their formulas.
    Takeoff(JobArg),
    /// What a line of the measure sheet says, or the lines of a job; exit code 1 if something is asked.
    Measure(MeasureArgs),
    /// The clean run: every step with its day and hour, and what holds the date.
    Plan(PlanArgs),
    /// The odds of every finish day, and what is eating the date.
    Forecast(ForecastArgs),
    /// The air of each place through a week: what dries tonight, what cannot, what would help.
    Air(AirArgs),
    /// The job and its options side by side: hours, clean run, likely, safe, chance.
    Options(JobArg),
    /// Promise a day: written into the job file with the order it was made on; or withdraw the
    /// promise in force. Without either: the days around the safe one with their odds.
    Promise(PromiseArgs),
    /// The price line by line, the chance of losing money at it, the payments.
    Price(JobArg),
    /// What to buy: sticks and how to cut them, sheets, cans, with the days to order by.
    Buying(BuyingArgs),
    /// The quote in plain words: price, payments, days, what is in it and what is not.
    Quote(QuoteArgs),
    /// What papers say above their title: who does the work, the client's address, the quote's number, how long it
    /// holds. With anything named it is written into the job file.
    Letterhead(LetterheadArgs),
    /// Write a commented job to begin with, or the job of five answers; print it where no file is named.
    New(NewArgs),
    /// Write up a day: as planned, nothing done, or a step at a time. A step written up again on the
    /// same day takes the place of what was said of it.
    Log(LogArgs),
    /// Time lost, past or to come: what it costs, in days and in odds.
    Lost(LostArgs),
    /// Today and the next workday: what, where, ready when, what to load and order, what dries tonight.
    Today(TodayArgs),
    /// How the date has moved: each evening on record, why, and the slip.
    Moved(TodayArgs),
    /// A begun or finished step has to be done again, all of it or in part: hours, dollars, days
    /// and odds before and after.
    Redo(RedoArgs),
    /// A change agreed with the client: a step added, a step or surface left out; hours, dollars,
    /// days and odds before and after, kept in the job with what was promised.
    Change(ChangeArgs),
    /// A delivery, decision or visit is said to come on another day: what that does to the date.
    Late(LateArgs),
    /// The job is done: promised, likely and come; hours against the estimate, rates it shows.
    Close(CloseArgs),
    /// Your own rates by closed jobs, and how good the dates have been; beside a job's rates.
    Book(BookArgs),
    /// What could be done to get days back: each way with its cost, what it wins and what the client
    /// would notice; makes one so, takes one back, writes to the client.
    WaysBack(WaysBackArgs),
    /// The client's page: when the room is theirs again, what is needed from them, in their words.
    Show(JobArg),
    /// Write a paper: the client's page, or a sheet for each day of work.
    Print(PrintArgs),
    /// Write the client's days as a calendar file (iCalendar).
    Calendar(CalendarArgs),
    /// Write a table for a spreadsheet (CSV).
    Table(TableArgs),
}

#[derive(Debug, ClapArgs)]
pub struct PrintArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Which paper: client, section, days, quote, change, buying, closing.
    #[arg(long, value_name = "PAGE")]
    pub page: String,
    /// The file to write, ending in .pdf (all pages in one), .png or .svg; further pages get a number: week.png,
    /// week-2.png.
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
    /// Paper: a4, letter, or screen (1920 x 1080); where left out a4 in a metric job, else letter.
    #[arg(long, value_name = "PAPER")]
    pub paper: Option<String>,
    /// Which change order, by the number on it; the last where left out.
    #[arg(long, value_name = "NUMBER")]
    pub id: Option<usize>,
    /// Of the change order: the note on work done again instead, counted from 1.
    #[arg(long, value_name = "NUMBER", conflicts_with = "id")]
    pub note: Option<usize>,
    /// Of the section: this room alone, by its id or name.
    #[arg(long, value_name = "ROOM")]
    pub room: Option<String>,
    /// Of the day sheets: none before this day.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub from: Option<chrono::NaiveDate>,
    /// Of the day sheets: none after this day.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub through: Option<chrono::NaiveDate>,
}

#[derive(Debug, ClapArgs)]
pub struct CalendarArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The file to write, ending in .ics.
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
    /// The days of work too, each from its first hour to its last.
    #[arg(long)]
    pub work_days: bool,
}

#[derive(Debug, ClapArgs)]
pub struct TableArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Which table: takeoff, plan, days.
    #[arg(long, value_name = "TABLE")]
    pub what: String,
    /// The file to write, ending in .csv.
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("what").args(["take", "take_back", "message"]))]
pub struct WaysBackArgs {
    #[command(flatten)]
    pub job: JobArg,
    #[command(flatten)]
    pub as_of: AsOf,
    /// Nothing that costs more.
    #[arg(long, value_name = "DOLLARS", value_parser = dollars)]
    pub budget: Option<f64>,
    /// Makes the way of this number so: written into the job file with its order.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub take: Option<u32>,
    /// Takes the way taken of this number back; days written up since stay.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..), conflicts_with = "budget")]
    pub take_back: Option<u32>,
    /// Takes it back although what it changed was changed again since.
    #[arg(long, requires = "take_back")]
    pub anyway: bool,
    /// The message to the client, to copy: the new date, why, two priced choices.
    #[arg(long)]
    pub message: bool,
}

fn dollars(s: &str) -> Result<f64, String> {
    let d = s.trim_start_matches('$').parse::<f64>().map_err(|_| "not dollars such as 400".to_string())?;
    if (0.0..=1e6).contains(&d) { Ok(d) } else { Err("dollars from 0 to a million, such as 400".into()) }
}

#[derive(Debug, ClapArgs)]
pub struct TodayArgs {
    #[command(flatten)]
    pub job: JobArg,
    #[command(flatten)]
    pub as_of: AsOf,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["as_planned", "nothing", "step"]))]
pub struct LogArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The day, such as 2027-03-09.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: chrono::NaiveDate,
    /// It went as the evening before had it planned.
    #[arg(long)]
    pub as_planned: bool,
    /// And so every day through this one.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day, conflicts_with = "step")]
    pub through: Option<chrono::NaiveDate>,
    /// Nobody worked on this job.
    #[arg(long)]
    pub nothing: bool,
    /// Why: illness, child_ill, family, other_job, weather, vehicle, client, or any text.
    #[arg(long, value_name = "TEXT", requires = "nothing")]
    pub cause: Option<String>,
    /// A step, delivery, decision or visit, by its id.
    #[arg(long, value_name = "ID")]
    pub step: Option<String>,
    /// Hours each of them spent, trips left out.
    #[arg(long, value_name = "H", requires = "step", value_parser = hours)]
    pub hours: Option<f64>,
    /// Who worked, by id or name; the first who may where left out.
    #[arg(long, value_name = "NAME", requires = "step")]
    pub who: Vec<String>,
    /// Begun at; right after the entry before where left out.
    #[arg(long, value_name = "TIME", requires = "step", value_parser = crate::views::typed::read_time)]
    pub from: Option<crate::job::Hm>,
    /// Finished at, or left at; when the hours are over where left out.
    #[arg(long, value_name = "TIME", requires = "step", value_parser = crate::views::typed::read_time)]
    pub at: Option<crate::job::Hm>,
    /// Share of the whole step done by the end of the day, 0 to 1.
    #[arg(long, value_name = "S", requires = "step", value_parser = share)]
    pub share: Option<f64>,
    /// Finished; a delivery arrived, a decision was settled.
    #[arg(long, requires = "step")]
    pub done: bool,
    /// A delivery, decision or visit: the day it is now said to come.
    #[arg(long, value_name = "DAY", requires = "step", value_parser = crate::views::typed::read_day)]
    pub coming: Option<chrono::NaiveDate>,
    /// A note.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub note: String,
}

#[derive(Debug, ClapArgs)]
pub struct RedoArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The step, by its id.
    #[arg(long, value_name = "ID")]
    pub step: String,
    /// The day it was found.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: chrono::NaiveDate,
    /// Share of the step's hours; all of them where left out.
    #[arg(long, value_name = "S", conflicts_with = "hours", value_parser = part_of)]
    pub share: Option<f64>,
    /// Labor hours instead.
    #[arg(long, value_name = "H", value_parser = more_hours)]
    pub hours: Option<f64>,
    /// Why.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub cause: String,
    /// Only show what it comes to.
    #[arg(long)]
    pub dry: bool,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("what").required(true).multiple(true).args(["add", "drop"]))]
pub struct ChangeArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The day it was agreed.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: chrono::NaiveDate,
    /// What was agreed, in words.
    #[arg(long, value_name = "TEXT")]
    pub words: String,
    /// A step to add, by its name.
    #[arg(long, value_name = "NAME", requires = "hours")]
    pub add: Option<String>,
    /// Its labor hours: 4, or low, typical, high as 3,4,6.
    #[arg(long, value_name = "H", requires = "add", value_parser = three_hours)]
    pub hours: Option<(f64, f64, f64)>,
    /// The room it belongs to; the only one where left out.
    #[arg(long, value_name = "ROOM", requires = "add")]
    pub room: Option<String>,
    /// The place it is done in; the room's where left out.
    #[arg(long, value_name = "PLACE", requires = "add")]
    pub place: Option<String>,
    /// A step it comes after.
    #[arg(long, value_name = "ID", requires = "add")]
    pub after: Vec<String>,
    /// A step that waits for it.
    #[arg(long, value_name = "ID", requires = "add")]
    pub before: Vec<String>,
    /// A step, or a surface as room/surface, to leave out.
    #[arg(long, value_name = "ID")]
    pub drop: Vec<String>,
    /// The day promised with the change.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub promise: Option<chrono::NaiveDate>,
    /// Only show what it comes to.
    #[arg(long)]
    pub dry: bool,
}

#[derive(Debug, ClapArgs)]
pub struct LateArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The delivery, decision or visit, by its id.
    #[arg(long, value_name = "ID")]
    pub id: String,
    /// The day it is now said to come.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub coming: chrono::NaiveDate,
    /// The day it was heard; the day after the last one written up where left out.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: Option<chrono::NaiveDate>,
    /// Only show what it comes to.
    #[arg(long)]
    pub dry: bool,
}

#[derive(Debug, ClapArgs)]
pub struct CloseArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The day it is closed; today, or the last day written up if later, where left out.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: Option<chrono::NaiveDate>,
    /// A rate row to leave out of what your book learns.
    #[arg(long, value_name = "ROW")]
    pub exclude: Vec<String>,
    /// A rate row far outside its range that is right all the same.
    #[arg(long, value_name = "ROW")]
    pub include: Vec<String>,
    /// Write the rates and the evening forecasts into your book.
    #[arg(long)]
    pub learn: bool,
    /// Another file than your own book.
    #[arg(long, value_name = "FILE")]
    pub book: Option<PathBuf>,
    /// Only show; the job is not marked as closed.
    #[arg(long, conflicts_with = "learn")]
    pub dry: bool,
}

#[derive(Debug, ClapArgs)]
pub struct BookArgs {
    /// A job whose rates stand beside those of the book.
    pub job: Option<PathBuf>,
    /// Copy the book's newer rates into the job.
    #[arg(long, requires = "job")]
    pub take: bool,
    /// Another file than your own book.
    #[arg(long, value_name = "FILE")]
    pub book: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
pub struct LostArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The first day.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: chrono::NaiveDate,
    /// The last day; the first where left out.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub to: Option<chrono::NaiveDate>,
    /// Whom it befell, by id or name; everybody where left out.
    #[arg(long, value_name = "NAME", conflicts_with = "house")]
    pub who: Vec<String>,
    /// Only a part of each day: its last so many hours, such as 2.5, by the first day of the
    /// first person named, or 13:00-16:30. The house is lost by whole days.
    #[arg(long, value_name = "HOURS", conflicts_with = "house")]
    pub part: Option<String>,
    /// The house cannot be worked in; shop and booth can.
    #[arg(long)]
    pub house: bool,
    /// Why: illness, child_ill, family, other_job, weather, vehicle, client, or any text.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub cause: String,
}

fn hours(s: &str) -> Result<f64, String> {
    let h = s.parse::<f64>().map_err(|_| "not hours such as 2.25".to_string())?;
    if (0.0..=24.0).contains(&h) { Ok(h) } else { Err("hours of one day, 0 to 24, such as 2.25".into()) }
}

fn part_of(s: &str) -> Result<f64, String> {
    let p = s.parse::<f64>().map_err(|_| "not a share such as 0.3".to_string())?;
    if (0.01..=10.0).contains(&p) { Ok(p) } else { Err("a share from 0.01 to 10, such as 0.3".into()) }
}

fn more_hours(s: &str) -> Result<f64, String> {
    let h = s.parse::<f64>().map_err(|_| "not hours such as 2.5".to_string())?;
    if (0.05..=1000.0).contains(&h) { Ok(h) } else { Err("hours from 0.05 to 1000, such as 2.5".into()) }
}

fn three_hours(s: &str) -> Result<(f64, f64, f64), String> {
    let all: Vec<f64> = s.split(',').map(|x| more_hours(x.trim())).collect::<Result<_, _>>()?;
    match all[..] {
        [h] => Ok(crate::desk::changes::spread(h)),
        [low, typ, high] if low <= typ && typ <= high => Ok((low, typ, high)),
        _ => Err("hours such as 4, or low, typical, high as 3,4,6".into()),
    }
}

fn share(s: &str) -> Result<f64, String> {
    let p = s.parse::<f64>().map_err(|_| "not a share such as 0.5".to_string())?;
    if (0.0..=1.0).contains(&p) { Ok(p) } else { Err("a share from 0 to 1, such as 0.5".into()) }
}

#[derive(Debug, ClapArgs)]
pub struct JobArg {
    /// The job file.
    pub job: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
pub struct BuyingArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Lost at each cut, 0 to 1 in, such as 1/8in or 3mm; 1/8 in where left out.
    #[arg(long, value_name = "LENGTH", value_parser = kerf)]
    pub kerf: Option<crate::measure::Length>,
}

#[derive(Debug, ClapArgs)]
pub struct QuoteArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Write it into the job file, dated today; quotes kept before stay.
    #[arg(long)]
    pub keep: bool,
}

#[derive(Debug, ClapArgs)]
pub struct LetterheadArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Who does the work, a line: name, address, phone, licence. Named again for each line; the lines take the place of
    /// those there, one empty line of them all.
    #[arg(long, value_name = "LINE")]
    pub from: Vec<String>,
    /// The client's address, a line each, in the same way.
    #[arg(long, value_name = "LINE")]
    pub to: Vec<String>,
    /// Your own number of the quote; empty for none.
    #[arg(long, value_name = "NUMBER")]
    pub number: Option<String>,
    /// Days a quote holds from the day it is given, 1 to 365; 0 where that is not to be said.
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u32).range(0..=365))]
    pub valid: Option<u32>,
    /// Uses what your book has: who does the work, and the days a quote holds.
    #[arg(long, conflicts_with = "from")]
    pub take: bool,
    /// Keeps who does the work, and the days a quote holds, in your book.
    #[arg(long)]
    pub keep: bool,
    /// Another file than your own book.
    #[arg(long, value_name = "FILE")]
    pub book: Option<PathBuf>,
}

fn kerf(s: &str) -> Result<crate::measure::Length, String> {
    let l: crate::measure::Length =
        s.parse().map_err(|e: crate::measure::BadLength| format!("{}; {}", e.what, e.remedy))?;
    let most = crate::buying::MOST_KERF;
    if (0..=most.0).contains(&l.0) { Ok(l) } else { Err("a saw's cut from 0 to 1 in, such as 1/8in".into()) }
}

#[derive(Debug, ClapArgs)]
pub struct NewArgs {
    /// A file that does not exist yet.
    pub file: Option<PathBuf>,
    /// The room and its measures in one line, such as "study 13' x 11'6 x 8'4, door 32x80".
    #[arg(long, value_name = "LINE")]
    pub room: Option<String>,
    /// What is to be done: the id of a whole-room set; a wrong one lists them.
    #[arg(long, value_name = "SET")]
    pub work: Option<String>,
    /// The first day of work; the next Monday where left out.
    #[arg(long, value_name = "DAY")]
    pub start: Option<String>,
    /// The day the client asks for.
    #[arg(long, value_name = "DAY")]
    pub by: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub struct MeasureArgs {
    /// A line such as "study 13' x 11'6 x 8'4, door 32x80", or a job file.
    #[arg(value_name = "LINE|JOB")]
    pub what: String,
    /// Bare numbers are metres and centimetres, not feet and inches; a job file says itself.
    #[arg(long)]
    pub metric: bool,
    /// Answer as JSON.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Look for a shorter order than the one the job keeps.
    #[arg(long)]
    pub search: bool,
    /// Write the order into the job file.
    #[arg(long)]
    pub apply: bool,
    /// A published network only: the chance of being done by so many of its units.
    #[arg(long, value_name = "UNITS", value_parser = units)]
    pub by: Option<f64>,
    #[command(flatten)]
    pub as_of: AsOf,
}

#[derive(Debug, ClapArgs)]
pub struct AsOf {
    /// The moment it is asked at: a day means its evening, 2027-03-09T12:30 that minute; the evening
    /// of the last day written up where left out.
    #[arg(long, value_name = "WHEN", value_parser = crate::views::read_moment)]
    pub as_of: Option<chrono::NaiveDateTime>,
}

#[derive(Debug, ClapArgs)]
pub struct AirArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The day whose evening is meant, such as 2027-03-09; the first with a coat wet at its
    /// close where left out.
    #[arg(long, value_name = "DAY", value_parser = crate::views::typed::read_day)]
    pub day: Option<chrono::NaiveDate>,
}

#[derive(Debug, ClapArgs)]
pub struct ForecastArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// Trials, rounded up to blocks of 500.
    #[arg(long, default_value_t = 10_000, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub trials: u32,
    /// Start of the streams of chance; the job's own where left out.
    #[arg(long)]
    pub seed: Option<u64>,
    /// Chance at which a day is safe to promise, 0.5 to 0.99; the job's own where left out.
    #[arg(long, value_name = "P", value_parser = confidence)]
    pub confidence: Option<f64>,
    /// Write the order that was forecast into the job file, if it keeps none.
    #[arg(long)]
    pub apply: bool,
    #[command(flatten)]
    pub as_of: AsOf,
}

#[derive(Debug, ClapArgs)]
pub struct PromiseArgs {
    #[command(flatten)]
    pub job: JobArg,
    /// The day, such as 2027-04-01.
    #[arg(long, value_name = "DAY")]
    pub day: Option<chrono::NaiveDate>,
    /// Withdraw the promise in force: the client's day is the one asked for again, or none.
    #[arg(long, conflicts_with = "day")]
    pub withdraw: bool,
    /// Why it takes the place of the day promised before, or is withdrawn.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub reason: String,
}

fn units(s: &str) -> Result<f64, String> {
    s.parse::<f64>().ok().filter(|x| x.is_finite()).ok_or_else(|| "not a number of units".into())
}

fn confidence(s: &str) -> Result<f64, String> {
    let p = s.parse::<f64>().map_err(|_| "not a chance such as 0.8".to_string())?;
    if (0.5..=0.99).contains(&p) { Ok(p) } else { Err("a chance from 0.5 to 0.99, such as 0.8".into()) }
}
