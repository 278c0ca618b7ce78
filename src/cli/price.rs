//! Price, buying list and quote of a job, from its first day.

use chrono::NaiveDate;

use super::Output;
use super::apply::written;
use super::args::{BuyingArgs, JobArg, QuoteArgs};
use super::commands::{Done, found, json_text, open_at, open_sound, put_applied, stuck};
use crate::buying::{Buying, KERF};
use crate::desk::{AT_REST, Sound};
use crate::forecast::{Forecast, Options};
use crate::job::{Edit, Quote, edited};
use crate::pricing::Price;
use crate::search::Found;
use crate::views::quoted::{BEGUN, NoQuote, Quoted};
use crate::{store, views};

/// A job priced, with what it was priced from.
pub(super) struct Priced {
    text: String,
    pub sound: Sound,
    found: Found,
    pub forecast: Forecast,
    buying: Buying,
    pub price: Price,
}

pub(super) fn no_network(sound: &Sound) -> Result<(), Output> {
    match sound.job.study {
        Some(_) => Err(Output::wrong("a published network has no price; it is a study of days")),
        None => Ok(()),
    }
}

pub(super) fn priced(a: &JobArg) -> Result<Priced, Output> {
    let (text, sound) = open_sound(a)?;
    no_network(&sound)?;
    let found = found(a, &sound, false)?;
    let o = Options { trials: AT_REST, seed: sound.job.seed, cause_trials: 0 };
    let forecast = sound.forecast(&found, o).map_err(|e| stuck(a, &sound, &e))?;
    let buying = sound.buying(&found, KERF).map_err(|e| stuck(a, &sound, &e))?;
    let price = sound.price(&found, &forecast, &buying);
    Ok(Priced { text, sound, found, forecast, buying, price })
}

pub(super) fn price(a: &JobArg) -> Done {
    let p = priced(a)?;
    Ok(Output::fine(match a.json {
        true => json_text(&views::price_json(&p.sound, &p.price, &p.buying)),
        false => views::price_text(&p.sound, &p.price, &p.buying),
    }))
}

pub(super) fn buying(a: &BuyingArgs) -> Done {
    let (_, sound) = open_at(&a.job, None)?;
    no_network(&sound)?;
    let found = found(&a.job, &sound, false)?;
    let list = sound.to_buy(&found, a.kerf.unwrap_or(KERF)).map_err(|e| stuck(&a.job, &sound, &e))?;
    Ok(Output::fine(match a.job.json {
        true => json_text(&views::buying_json(&sound, &list)),
        false => views::buying_text(&sound, &list),
    }))
}

/// Shows the quote, or gives it: written into the job file, dated today.
pub(super) fn quote(a: &QuoteArgs) -> Done {
    match a.keep {
        true => store::locked(&a.job.job, || quote_now(a)).map_err(Output::wrong)?,
        false => quote_now(a),
    }
}

fn quote_now(a: &QuoteArgs) -> Done {
    let p = priced(&a.job)?;
    if a.keep {
        views::may_quote(&p.sound.job).map_err(Output::wrong)?;
    }
    let quoted = Quoted::of(&p.sound, &p.forecast, &p.price, store::today()).map_err(|why| match why {
        NoQuote::NoCost => Output::wrong(
            "a quote without what an hour costs is none: give everybody of the crew a cost (`price` shows the rest)",
        ),
        NoQuote::Begun => Output::wrong(BEGUN),
    })?;
    let mut applied = None;
    if a.keep {
        let job = edited(&p.sound.job, &[Edit::Quoted(Box::new(quoted.quote.clone()))]);
        applied = Some(written(&a.job.job, &p.text, &job, &p.found).map_err(Output::wrong)?);
    }
    if a.job.json {
        let mut v = views::quote_json(&p.sound, &quoted, a.keep);
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = views::quote_text(&p.sound, &quoted);
    if let Some(done) = &applied {
        out += &format!("\nQuote kept. {}", done.words());
    }
    Ok(Output::fine(out))
}

/// The quote that goes with the promise of a day; none where nothing is priced, or the client holds one that stands.
pub(super) fn with_promise(sound: &Sound, found: &Found, f: &Forecast, day: NaiveDate) -> Option<Edit> {
    if sound.job.as_of.is_some() || views::may_quote(&sound.job).is_err() {
        return None;
    }
    let buying = sound.buying(found, KERF).ok()?;
    let price = sound.price(found, f, &buying);
    let quote = || Quote { promised: Some(day), ..views::quote_of(sound, f, &price, store::today()) };
    views::trusted(&sound.job, &price).then(|| Edit::Quoted(Box::new(quote())))
}
