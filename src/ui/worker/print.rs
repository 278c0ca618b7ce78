//! Pages made beside the window: of the answer that stands, or of the job from its first day where the text command
//! asks it so.

use chrono::NaiveDate;

use crate::buying::KERF;
use crate::desk::{self, Desk};
use crate::forecast::Options;
use crate::job::{Job, Problem};
use crate::views::client::ClientPage;
use crate::views::first_against;
use crate::views::papers::{
    Paper, PaperAsk, Printed, Refusal, buying_print, change_print, client_print, closing_print, days_print,
    quote_print, section_print,
};

/// A page of a job (as it stands in the window) whose answer is `desk`; a quote is dated `today`.
pub(super) fn printed(
    desk: &Desk,
    job: &Job,
    ask: &PaperAsk,
    today: NaiveDate,
    trials: usize,
) -> Result<Printed, Refusal> {
    if job.study.is_some() {
        return Err(Refusal::Network);
    }
    let said = |all: Vec<Problem>| Refusal::Said(first_against(job, &all).unwrap_or_default());
    let (sound, found, f) = (&desk.sound, &desk.found, &desk.forecast);
    match ask.paper {
        Paper::Client => Ok(client_print(&ClientPage::new(sound, found, f), ask)),
        Paper::Section => section_print(sound, found, f, ask),
        Paper::Days => days_print(sound, found, ask),
        Paper::Closing => closing_print(job, ask),
        Paper::Change => change_print(&desk::judge(job).map_err(said)?, ask),
        Paper::Buying => {
            let list = sound.to_buy(found, KERF).map_err(|e| said(vec![desk::stuck(sound, &e)]))?;
            Ok(buying_print(sound, &list, ask))
        }
        // Quoted is the job from its first day.
        Paper::Quote => {
            let first;
            let (sound, found, f) = match job.as_of.is_none() && sound.job.as_of.is_none() {
                true => (&**sound, &**found, &**f),
                false => {
                    let sound = desk::judge(job).map_err(said)?;
                    let stuck = |e| said(vec![desk::stuck(&sound, &e)]);
                    let found = sound.plan(false).map_err(stuck)?;
                    let o = Options { trials, seed: job.seed, cause_trials: 0 };
                    let f = sound.forecast(&found, o).map_err(stuck)?;
                    first = (sound, found, f);
                    (&first.0, &first.1, &first.2)
                }
            };
            let list = sound.buying(found, KERF).map_err(|e| said(vec![desk::stuck(sound, &e)]))?;
            quote_print(sound, f, &sound.price(found, f, &list), today, ask)
        }
    }
}
