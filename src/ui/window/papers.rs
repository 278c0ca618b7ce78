//! Which page *Print a page…* opens with, and before whose eyes.

use super::Window;
use crate::store;
use crate::ui::print::Printing;
use crate::views::papers::Paper;
use crate::views::trusted;

impl Window {
    /// Opens the card that prints. Where no page was asked for it is that of the mode at hand: the client's page before the
    /// client, the day sheets on site, the quote of a job that has a price. A page of his own, asked for by its
    /// name, leaves the client's mode.
    pub(super) fn print(&mut self, asked: Option<Paper>) {
        let priced = self.besides.priced.as_ref().is_some_and(|p| trusted(&p.sound.job, &p.priced.price));
        let paper = match asked {
            Some(paper) => paper,
            None if self.client.at_hand() => Paper::Client,
            None if self.on_site() => Paper::Days,
            None if priced => Paper::Quote,
            None => Paper::Client,
        };
        if paper.open_to_all() {
            self.client.beside();
        } else {
            self.client.leave();
        }
        self.session.drop_question();
        let (home, job) = (store::home(), self.session.file.clone());
        let watched = self.client.at_hand();
        self.printing = Some(Printing::new(paper, job.as_deref(), home.as_deref(), self.job().units, watched));
    }
}
