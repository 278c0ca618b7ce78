//! What the commands take.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

/// The date a finish carpenter and painter can promise for a room, with its odds.
///
/// Without a command: the window, on the last job or the sample that comes with it; `roomback
/// JOB.ron` opens that job in it. Where no window can be opened, the forecast in text.
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
    /// Promise a day: written into the job file with the order it was made on. Without a day:
    /// the days around the safe one with their odds.
    Promise(PromiseArgs),
    /// Write a commented job to begin with, or the job of four answers; print it where no file is named.
    New(NewArgs),
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
    /// Why it takes the place of the day promised before.
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
