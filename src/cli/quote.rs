//! The commands of a quote: options side by side, and the promise of a day, made or withdrawn.

use serde_json::json;

use super::Output;
use super::apply::written;
use super::args::{JobArg, PromiseArgs};
use super::commands::{Done, found, json_text, open_at, put_applied, stuck, too_far};
use crate::desk::{self, AT_REST, Desk, Sound, underway};
use crate::forecast::{Forecast, Options};
use crate::job::{Edit, Job, Problem, edited};
use crate::search::Found;
use crate::{search, store, views};

pub(super) fn options(a: &JobArg) -> Done {
    let (_, sound) = open_at(a, None)?;
    let job = &sound.job;
    type Way = (String, Vec<&'static str>, Result<Option<Desk>, Vec<Problem>>);
    let work = |j: &crate::job::Job| desk::worked_out(j, AT_REST, &|| false);
    let mut all: Vec<Way> = vec![(job.option.clone(), Vec::new(), work(job))];
    for (i, o) in job.options.iter().enumerate() {
        all.push((o.name.clone(), o.differs_in(), work(&desk::option_job(job, i))));
    }
    let none: [Problem; 0] = [];
    let ways: Vec<views::OptionOf> = all
        .iter()
        .map(|(name, differs, with)| match with {
            Ok(Some(desk)) => views::OptionOf::desk(name, differs.clone(), desk),
            Ok(None) => views::OptionOf { name: name.clone(), differs: differs.clone(), with: Err(&none) },
            Err(p) => views::OptionOf { name: name.clone(), differs: differs.clone(), with: Err(p) },
        })
        .collect();
    let prices: Vec<_> = ways.iter().map(views::option_price).collect();
    Ok(Output::fine(if a.json {
        json_text(&views::options_json(&job.name, &ways, &prices))
    } else {
        views::options_text(&job.name, &views::option_columns_priced(&ways, &prices))
    }))
}

/// Shows the days that could be promised, promises one, or withdraws the promise in force.
pub(super) fn promise(a: &PromiseArgs) -> Done {
    match a.day.is_some() || a.withdraw {
        true => store::locked(&a.job.job, || promise_now(a)).map_err(Output::wrong)?,
        false => promise_now(a),
    }
}

/// The file's own job, with what is only known later than this moment.
fn own_job(a: &JobArg, text: &str, sound: &Sound) -> Result<Job, Output> {
    let own = desk::open(text).map_err(|e| Output::wrong(format!("{}: {e}", a.job.display())))?.read.job;
    Ok(Job { as_of: sound.job.as_of, ..own })
}

fn withdrawn(a: &PromiseArgs, text: &str, sound: &Sound, plan: &Found, f: &Forecast) -> Done {
    let named = |e: String| if e.contains("say why") { format!("{e} (--reason)") } else { e };
    views::may_withdraw(&sound.job, &a.reason).map_err(|e| Output::wrong(named(e)))?;
    let none = || Output::wrong("nothing is promised, so there is nothing to withdraw");
    let record = views::withdrawal_of(sound, f, store::today(), &a.reason).ok_or_else(none)?;
    let (day, chance) = (record.day, record.chance);
    let job = edited(&own_job(&a.job, text, sound)?, &[Edit::Withdrawn(Box::new(record))]);
    let applied = written(&a.job.job, text, &job, plan).map_err(Output::wrong)?;
    if a.job.json {
        let mut v = json!({
            "job": job.name, "withdrawn": views::iso_day(day), "chance": chance,
            "asked": job.asked_for().map(views::iso_day), "problems": [],
        });
        put_applied(&mut v, Some(&applied));
        return Ok(Output::fine(json_text(&v)));
    }
    let left =
        job.asked_for().map_or("No day is asked for.".into(), |d| format!("{} is asked for.", views::day_words(d)));
    let mut out = format!("Withdrawn: {} is not promised any more. {left}\n", views::day_words(day));
    for l in views::promise_lines(&job) {
        out += &format!("  {l}\n");
    }
    Ok(Output::fine(format!("{out}\n{}", applied.words())))
}

fn promise_now(a: &PromiseArgs) -> Done {
    let (text, sound) = open_at(&a.job, None)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("a published network promises nothing to anybody"));
    }
    let plan = found(&a.job, &sound, false)?;
    let o = Options { trials: AT_REST, seed: sound.job.seed, cause_trials: 0 };
    let f = sound.forecast(&plan, o).map_err(|e| stuck(&a.job, &sound, &e))?;
    if a.withdraw {
        return withdrawn(a, &text, &sound, &plan, &f);
    }
    let Some(day) = a.day else {
        return Ok(Output::fine(if a.job.json {
            json_text(&views::promise_json(&sound, &f))
        } else {
            views::promise_text(&sound, &f)
        }));
    };
    if underway::far(&sound.job, day) {
        return Err(Output::wrong(too_far("--day", day)));
    }
    views::may_promise(&sound.job, day, &a.reason)
        .map_err(|e| Output::wrong(if e.contains("say why") { format!("{e} (--reason)") } else { e }))?;
    let kept = search::keep(&sound.graph, &sound.setting, &plan.plan.order, &sound.job);
    let made = views::promise_of(&sound, &f, kept, day, store::today(), &a.reason);
    let own = own_job(&a.job, &text, &sound)?;
    // A job not yet begun is quoted with its promise.
    let quote = super::price::with_promise(&sound, &plan, &f, day);
    let quoted = quote.is_some();
    let edits: Vec<Edit> = std::iter::once(Edit::Promised(Box::new(made))).chain(quote).collect();
    let job = edited(&own, &edits);
    let applied = written(&a.job.job, &text, &job, &plan).map_err(Output::wrong)?;
    let said = views::promise_day(&sound, &f, sound.job.day_of(day));
    if a.job.json {
        let mut v = json!({
            "job": job.name, "promised": views::iso_day(day), "chance": f.chance(sound.job.day_of(day)).0,
            "means": said.means, "quote_kept": quoted, "problems": [],
        });
        put_applied(&mut v, Some(&applied));
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = format!("Promised: {}, {}. {}\n", said.words, said.chance, said.means);
    if let Some(q) = job.quote().filter(|_| quoted) {
        out += &format!("Quoted with it: {}.\n", q.price());
    }
    for l in views::promise_lines(&job) {
        out += &format!("  {l}\n");
    }
    Ok(Output::fine(format!("{out}\n{}", applied.words())))
}
