//! The commands.

use std::path::Path;

use chrono::NaiveDateTime;
use serde_json::{Value, json};

use super::Output;
use super::apply::{Applied, apply};
use super::args::{AirArgs, Args, Command, ForecastArgs, JobArg, MeasureArgs, NewArgs, PlanArgs};
use crate::desk::{self, Opened, Sound, begin, underway};
use crate::forecast::Options;
use crate::job::{Job, Problem, Units};
use crate::search::Found;
use crate::trade::sets;
use crate::{jobfile, sheet, store, takeoff, views};

/// The bundled sample.
const SAMPLE: &str = include_str!("../../sample-jobs/study.ron");
const SAMPLE_NAME: &str = "sample-jobs/study.ron";

pub fn run(args: Args) -> Output {
    let done = match args.command {
        None => sample(),
        Some(Command::Check(a)) => check(&a),
        Some(Command::Takeoff(a)) => takeoff(&a),
        Some(Command::Measure(a)) => measure(&a),
        Some(Command::Plan(a)) => plan(&a),
        Some(Command::Forecast(a)) => forecast(&a),
        Some(Command::Air(a)) => air(&a),
        Some(Command::Options(a)) => super::quote::options(&a),
        Some(Command::Promise(a)) => super::quote::promise(&a),
        Some(Command::Price(a)) => super::price::price(&a),
        Some(Command::Buying(a)) => super::price::buying(&a),
        Some(Command::Quote(a)) => super::price::quote(&a),
        Some(Command::Letterhead(a)) => super::letterhead::letterhead(&a),
        Some(Command::New(a)) => new(&a),
        Some(Command::Log(a)) => super::site::log(&a),
        Some(Command::Lost(a)) => super::site::lost(&a),
        Some(Command::Today(a)) => super::site::today(&a),
        Some(Command::Moved(a)) => super::site::moved(&a),
        Some(Command::Show(a)) => super::papers::show(&a),
        Some(Command::Print(a)) => super::print::print(&a),
        Some(Command::Calendar(a)) => super::papers::calendar(&a),
        Some(Command::Table(a)) => super::papers::table(&a),
        Some(Command::WaysBack(a)) => super::ways::ways_back(&a),
        Some(Command::Redo(a)) => super::facts::redo(&a),
        Some(Command::Change(a)) => super::facts::change(&a),
        Some(Command::Late(a)) => super::facts::late(&a),
        Some(Command::Close(a)) => super::facts::close(&a),
        Some(Command::Book(a)) => super::facts::book(&a),
    };
    done.unwrap_or_else(|out| out)
}

/// An early end is an [`Output`] too.
pub(super) type Done = Result<Output, Output>;

pub(super) fn json_text(v: &Value) -> String {
    format!("{v:#}\n")
}

/// Reads and judges a file that must at least be a job file.
pub(super) fn open(a: &JobArg) -> Result<(String, Opened), Output> {
    let name = a.job.display().to_string();
    let text = store::read(&a.job).map_err(Output::wrong)?;
    let opened = desk::open(&text).map_err(|e| {
        let json = || json_text(&json!({"problems": views::syntax_json(&e)}));
        Output::problems(if a.json { json() } else { views::syntax_text(&name, &e) })
    })?;
    Ok((text, opened))
}

pub(super) fn problems(a: &JobArg, opened: &Opened) -> Output {
    Output::problems(if a.json {
        json_text(&json!({"problems": views::problems_json(&opened.read)}))
    } else {
        views::problems_text(&a.job.display().to_string(), &opened.read)
    })
}

/// A job that can be planned, with its text.
pub(super) fn open_sound(a: &JobArg) -> Result<(String, Sound), Output> {
    let (text, opened) = open(a)?;
    match opened.sound {
        Some(sound) => Ok((text, sound)),
        None => Err(problems(a, &opened)),
    }
}

/// [`open_sound`] at a moment: as said, else the evening of the last day written up; days not
/// written up are counted the way that ends later.
pub(super) fn open_at(a: &JobArg, as_of: Option<NaiveDateTime>) -> Result<(String, Sound), Output> {
    let (text, sound) = open_sound(a)?;
    let as_of = moment_of(&sound.job, as_of)?;
    Ok((text, if as_of.is_some() { at(a, &sound.job, as_of)? } else { sound }))
}

/// The moment a job is asked at: as said, else the evening of the last day written up.
pub(super) fn moment_of(job: &Job, as_of: Option<NaiveDateTime>) -> Result<Option<NaiveDateTime>, Output> {
    if let Some(t) = as_of.filter(|t| underway::far(job, t.date())) {
        // The evening of a day is the midnight that ends it.
        let day = (t - chrono::TimeDelta::minutes(1)).date();
        return Err(Output::wrong(too_far("--as-of", day)));
    }
    Ok(as_of.or_else(|| underway::last_evening(job)).filter(|_| job.study.is_none()))
}

/// A day farther off than anybody plans.
pub(super) fn too_far(name: &str, day: chrono::NaiveDate) -> String {
    format!("{name}: {} is more than three years after the first day; correct the year", views::day_words(day))
}

/// A job judged at a moment.
pub(super) fn at(a: &JobArg, job: &Job, as_of: Option<NaiveDateTime>) -> Result<Sound, Output> {
    underway::worse(job, as_of).map_err(|all| refused(a, &all))
}

/// Problems that show only once the job is asked at a moment.
pub(super) fn refused(a: &JobArg, all: &[Problem]) -> Output {
    if a.json {
        let row = |p: &Problem| json!({"line": 1, "col": 1, "path": p.path, "what": p.what, "remedy": p.remedy});
        return Output::problems(json_text(&json!({"problems": all.iter().map(row).collect::<Vec<_>>()})));
    }
    let line = |p: &Problem| format!("{}: {}: {}; {}\n", a.job.display(), p.path, p.what, p.remedy);
    Output::problems(all.iter().map(line).collect::<String>())
}

fn check(a: &JobArg) -> Done {
    let (_, opened) = open(a)?;
    let out = problems(a, &opened);
    let mut text = out.text;
    if !a.json {
        opened.remarks.iter().for_each(|r| text += &format!("{}: {r}\n", a.job.display()));
    }
    Ok(Output { code: u8::from(opened.sound.is_none()), text })
}

fn takeoff(a: &JobArg) -> Done {
    let (_, mut opened) = open(a)?;
    if opened.sound.is_none() {
        return Err(problems(a, &opened));
    }
    let job = &opened.read.job;
    match takeoff::takeoff(job) {
        Ok(rooms) => {
            let rows = views::takeoff_rows(job, &rooms, &opened.read.map);
            Ok(Output::fine(if a.json {
                json_text(&views::takeoff_json(job, &rows))
            } else {
                views::takeoff_text(job, &rows)
            }))
        }
        Err(more) => {
            opened.read.add(more);
            Err(problems(a, &opened))
        }
    }
}

/// A job file's rooms as lines; anything else is a line itself.
fn measure(a: &MeasureArgs) -> Done {
    let path = Path::new(&a.what);
    if path.extension().is_some_and(|e| e == "ron") || store::taken(path) {
        let file = JobArg { job: path.into(), json: a.json };
        let (_, opened) = open(&file)?;
        if opened.sound.is_none() {
            return Err(problems(&file, &opened));
        }
        let job = &opened.read.job;
        let units = if a.metric { Units::Metric } else { job.units };
        return Ok(Output::fine(if a.json {
            json_text(&views::sheet_json(job, units))
        } else {
            views::sheet_text(job, units)
        }));
    }
    let units = if a.metric { Units::Metric } else { Units::FeetInches };
    let read = sheet::read(&a.what, units);
    let text = if a.json {
        json_text(&views::line_json(&a.what, &read, units))
    } else {
        views::line_text(&a.what, &read, units)
    };
    Ok(Output { text, code: u8::from(read.room.is_none()) })
}

/// The plan of a sound job, or the sentence that there is none.
pub(super) fn found(a: &JobArg, sound: &Sound, improve: bool) -> Result<Found, Output> {
    sound.plan(improve).map_err(|e| stuck(a, sound, &e))
}

pub(super) fn stuck(a: &JobArg, sound: &Sound, e: &crate::schedule::Stuck) -> Output {
    let crate::job::Problem { what, remedy, .. } = desk::stuck(sound, e);
    if a.json {
        let row = json!({"line": 1, "col": 1, "path": "kept", "what": what, "remedy": remedy});
        return Output::problems(json_text(&json!({"problems": [row]})));
    }
    Output::problems(format!("{}: {what}; {remedy}\n", a.job.display()))
}

fn plan(a: &PlanArgs) -> Done {
    if a.apply { store::locked(&a.job.job, || plan_now(a)).map_err(Output::wrong)? } else { plan_now(a) }
}

fn plan_now(a: &PlanArgs) -> Done {
    let (text, sound) = open_at(&a.job, a.as_of.as_of)?;
    if a.by.is_some() && sound.job.study.is_none() {
        return Err(Output::wrong("--by is for a published network (a job with `study`); other jobs have a forecast"));
    }
    let mut shown = found(&a.job, &sound, false)?;
    let mut offer = None;
    let mut tried = shown.schedules;
    if a.search && sound.kept.is_some() {
        let searched = desk::search_beside(&sound, &shown, &|| false).map_err(|e| stuck(&a.job, &sound, &e))?;
        tried = searched.tried;
        match searched.better {
            Some(better) => {
                offer = Some(views::Offer::between(&sound, &shown, &better));
                if a.apply {
                    shown = better;
                }
            }
            // The same order, but more may be known of it now.
            None => shown = searched.kept,
        }
    }
    let applied = if a.apply { Some(keep(&a.job.job, &text, &sound, &shown, offer.is_some())?) } else { None };
    let view = views::PlanView::new(&sound, &shown);
    if a.job.json {
        let mut v = views::plan_json(&sound, &shown, &view);
        put_offer(&mut v, a.search.then_some(tried), offer.as_ref());
        if sound.job.study.is_some() {
            v["cpm"] = views::cpm_json(&sound, &shown, a.by);
        }
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = views::plan_text(&sound, &shown, &view);
    if sound.job.study.is_some() {
        out += &views::cpm_text(&sound, &shown, a.by);
    }
    if a.search && applied.is_none() {
        out += &match &offer {
            Some(o) => format!("\n{}; take it with --search --apply.\n", o.words()),
            None => views::tried_words(tried),
        };
    }
    if let Some(done) = &applied {
        out += &format!("\n{}", done.words());
    }
    Ok(Output::fine(out))
}

fn put_offer(v: &mut Value, tried: Option<usize>, offer: Option<&views::Offer>) {
    if let Some(tried) = tried {
        v["orders_tried"] = json!(tried);
        v["offer"] = offer.map_or(Value::Null, views::Offer::json);
    }
}

pub(super) fn put_applied(v: &mut Value, applied: Option<&Applied>) {
    if let Some(done) = applied {
        v["applied"] = done.json();
    }
}

/// Writes the order shown into the job file, where that changes anything.
fn keep(file: &Path, text: &str, sound: &Sound, shown: &Found, better: bool) -> Result<Applied, Output> {
    if sound.kept.is_some() && !better {
        return Ok(Applied::same(file));
    }
    apply(file, text, sound, shown).map_err(Output::wrong)
}

fn options(job: &crate::job::Job, trials: usize, seed: Option<u64>) -> Options {
    let cause_trials = if job.study.is_some() { 0 } else { crate::desk::CAUSES.min(trials.div_ceil(500) * 500) };
    Options { trials, seed: seed.unwrap_or(job.seed), cause_trials }
}

fn forecast(a: &ForecastArgs) -> Done {
    if a.apply { store::locked(&a.job.job, || forecast_now(a)).map_err(Output::wrong)? } else { forecast_now(a) }
}

fn forecast_now(a: &ForecastArgs) -> Done {
    let (text, sound) = open_at(&a.job, a.as_of.as_of)?;
    let found = found(&a.job, &sound, false)?;
    let options = options(&sound.job, a.trials as usize, a.seed);
    let f = sound.forecast(&found, options).map_err(|e| stuck(&a.job, &sound, &e))?;
    let view = views::ForecastView::new(&sound, &f, a.confidence.unwrap_or(sound.job.confidence));
    let applied = if a.apply { Some(keep(&a.job.job, &text, &sound, &found, false)?) } else { None };
    if a.job.json {
        let mut v = views::forecast_json(&sound, &f, &view);
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = views::forecast_text(&sound, &f, &view);
    if let Some(done) = &applied {
        out += &format!("\n{}", done.words());
    }
    Ok(Output::fine(out))
}

/// Days before the first and after the last that may be asked for.
const AROUND: i64 = 3660;

fn air(a: &AirArgs) -> Done {
    let (_, sound) = open_at(&a.job, None)?;
    let found = found(&a.job, &sound, false)?;
    let plan = views::PlanView::without_float(&sound, &found);
    let day = match a.day.map(|d| sound.job.day_of(d)) {
        Some(d) if !(0..=AROUND).contains(&d) => {
            return Err(Output::wrong("the day must be within ten years from the first day of the job"));
        }
        Some(d) => d,
        None => views::air::first_day(&sound, &found, &plan),
    };
    Ok(Output::fine(if a.job.json {
        json_text(&views::air_json(&sound, &found, &plan, day))
    } else {
        views::air_text(&sound, &found, &plan, day)
    }))
}

fn sample() -> Done {
    let a = JobArg { job: SAMPLE_NAME.into(), json: false };
    let opened = desk::open(SAMPLE).map_err(|e| Output::problems(views::syntax_text(SAMPLE_NAME, &e)))?;
    let Some(sound) = &opened.sound else { return Err(problems(&a, &opened)) };
    let found = found(&a, sound, false)?;
    let f = sound.forecast(&found, options(&sound.job, 10_000, None)).map_err(|e| stuck(&a, sound, &e))?;
    let view = views::ForecastView::new(sound, &f, sound.job.confidence);
    let mut out = format!("The bundled sample job, {SAMPLE_NAME}:\n\n");
    out += &views::forecast_text(sound, &f, &view);
    out += "\nNext: write a job of your own and ask the same of it\n";
    out += "  roomback new bedroom.ron        a commented job to begin with\n";
    out += "  roomback check bedroom.ron      what is wrong with it, line by line\n";
    out += "  roomback takeoff bedroom.ron    its quantities\n";
    out += "  roomback plan bedroom.ron       the clean run, day by day\n";
    out += "  roomback forecast bedroom.ron   the odds of every finish day\n";
    out += "With cargo: cargo run --release -- new bedroom.ron\n";
    Ok(Output::fine(out))
}

fn new(a: &NewArgs) -> Done {
    let asked = a.room.is_some() || a.work.is_some() || a.start.is_some() || a.by.is_some();
    let text = if asked { jobfile::write(&begun(a)?) } else { jobfile::starter().to_string() };
    let Some(file) = a.file.as_deref() else { return Ok(Output::fine(text)) };
    if store::taken(file) {
        return Err(Output::wrong(format!(
            "{} is there already and stays as it is; give another name",
            file.display()
        )));
    }
    store::save(file, &text).map_err(Output::wrong)?;
    let name = file.display();
    Ok(Output::fine(if asked {
        format!("Wrote {name}. Next: roomback forecast {name}\n")
    } else {
        format!("Wrote {name}: a small bedroom repainted. Edit it, then: roomback check {name}\n")
    }))
}

/// The job of the answers given; those left out take their usual value.
fn begun(a: &NewArgs) -> Result<crate::job::Job, Output> {
    let today = store::today();
    let mut answers = begin::Answers::default();
    if let Some(line) = &a.room {
        let (read, units) = begin::measures("", line, answers.units);
        answers.units = units;
        if let Some(q) = read.questions.first() {
            let offers: String = q.offers.iter().map(|o| format!("\n  {o}")).collect();
            return Err(Output::wrong(format!("--room: {}{offers}", q.ask)));
        }
        let none = || Output::wrong("--room: no measures in this line; such as \"study 13' x 11'6 x 8'4, door 32x80\"");
        answers.room = Some(read.room.ok_or_else(none)?);
    }
    if let Some(work) = &a.work {
        let all = || sets().iter().map(|s| format!("\n  {}: {}", s.id, s.name)).collect::<String>();
        let at = sets().iter().position(|s| s.id == *work);
        answers.work = at.ok_or_else(|| Output::wrong(format!("--work: \"{work}\" is none of these:{}", all())))?;
    }
    let units = answers.units;
    let day = |name: &str, text: &Option<String>| match text {
        Some(t) => views::said_day(t, today, units).map(Some).map_err(|e| Output::wrong(format!("--{name}: {e}"))),
        None => Ok(None),
    };
    (answers.begin, answers.by) = (day("start", &a.start)?, day("by", &a.by)?);
    let job = begin::begun(&answers, today);
    match job.target {
        Some(t) if underway::far(&job, t.day) => Err(Output::wrong(too_far("--by", t.day))),
        Some(t) if t.day < job.start => Err(Output::wrong(format!(
            "--by: {} is before work begins on {}",
            views::iso_day(t.day),
            views::iso_day(job.start)
        ))),
        _ => Ok(job),
    }
}
