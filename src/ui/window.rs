//! The window's own state and its frame: panels are drawn from one whole answer, what they
//! ask for is done after drawing.
//!
//! One file because the frame, the actions done after it and what may be done now are read together.

mod keys;
mod papers;

use std::sync::Arc;

use chrono::NaiveDate;
use egui::{Context, Frame, Margin, Panel, Ui, ViewportCommand};

use super::action::{Action, Command, last_taken_out};
use super::against::problems_bar;
use super::files::{Files, Outcome};
use super::find::{self, Finder};
use super::session::{AskedBy, Session, WhatIf};
use super::shelf::Shelf;
use super::shown::{Answer, Besides, Reached, Shown, Wanted};
use super::theme::{self, Theme, size};
use super::tries::{self, Try};
use super::worker::{Told, Worker};
use super::{Scene, bench, client, measure, print, promise, quote, section, site, strip, words};
use crate::desk::underway;
use crate::desk::write_up::Said;
use crate::job::{Edit, Job, Problem};
use crate::store::settings::{Bench, Mode};
use crate::{search, store, views};
use keys::beside_the_page;

/// Everything the window holds.
pub struct Window {
    session: Session,
    files: Files,
    worker: Worker,
    shown: Option<Arc<Shown>>,
    answer: Option<Arc<Answer>>,
    besides: Besides,
    /// What the worker was last asked for beside the answer.
    wanted: (u64, Wanted),
    promising: Option<promise::Promising>,
    /// Days being written up, and the revision the worker was told.
    writing: Option<(u64, Said)>,
    site: site::SiteState,
    client: client::ClientState,
    printing: Option<print::Printing>,
    problems: Vec<Problem>,
    /// The same in the words of the job, with a way out.
    against: views::Against,
    /// Revision the worker was last asked for.
    asked: u64,
    /// The question last handed to the worker.
    question: Option<WhatIf>,
    /// That question has been asked again from all trials.
    deepened: bool,
    selected: Option<String>,
    words: words::WordsState,
    finder: Option<Finder>,
    /// Letters that came with the key that opens it.
    heard: String,
    bench: bench::BenchState,
    measure: measure::MeasureState,
    /// The study as it comes with the program.
    study: Job,
    /// Jobs opened so far.
    opened: u64,
    section: section::SectionState,
    /// The user's book.
    shelf: Shelf,
    /// Light or dark and the text scale are in force.
    dressed: bool,
    /// The complete answer has been drawn.
    drawn_at_rest: bool,
    /// Files dropped on the window, opened once what stands half typed in a field is in the job.
    dropped: Vec<std::path::PathBuf>,
    /// The system wants the window closed, once what stands half typed in a field is in the job.
    leaving: bool,
}

impl Window {
    /// A window on a job.
    pub fn new(files: Files, session: Session, worker: Worker) -> Window {
        let shelf = Shelf::open(files.book());
        Window {
            session,
            shelf,
            files,
            worker,
            shown: None,
            answer: None,
            besides: Besides::default(),
            wanted: (0, Wanted::default()),
            promising: None,
            writing: None,
            site: site::SiteState::default(),
            client: client::ClientState::default(),
            printing: None,
            problems: Vec::new(),
            against: views::Against::default(),
            asked: 0,
            question: None,
            deepened: false,
            selected: None,
            words: words::WordsState::default(),
            finder: None,
            heard: String::new(),
            bench: bench::BenchState::default(),
            measure: measure::MeasureState::default(),
            study: super::files::study(),
            opened: 0,
            section: section::SectionState::default(),
            dressed: false,
            drawn_at_rest: false,
            dropped: Vec::new(),
            leaving: false,
        }
    }

    pub fn files(&self) -> &Files {
        &self.files
    }

    pub fn session(&self) -> &Session {
        &self.session
    }

    pub fn job(&self) -> &Job {
        self.session.job()
    }

    /// The answer on the screen.
    pub fn shown(&self) -> Option<&Shown> {
        self.shown.as_deref()
    }

    /// The answer to the question asked.
    pub fn answer(&self) -> Option<&Answer> {
        self.answer.as_deref()
    }

    /// What stands beside the answer: start days, options, a better order.
    pub fn besides(&self) -> &Besides {
        &self.besides
    }

    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    pub fn selected(&self) -> Option<&str> {
        self.selected.as_deref()
    }

    /// Whether the answer shown is of the job as it stands and complete.
    pub fn at_rest(&self) -> bool {
        self.writing.is_none()
            && self.shown.as_ref().is_some_and(|s| s.revision == self.session.revision() && s.reached == Reached::Rest)
    }

    /// Before each frame, and while the window is hidden: closing, focus, dropped files, autosave.
    pub fn logic(&mut self, ctx: &Context) {
        if let Some(rect) = ctx.input(|i| i.viewport().inner_rect).filter(|r| r.is_positive()) {
            // Points of the usual text size: the next window opens at that, and is scaled then.
            let scale = ctx.zoom_factor();
            self.files.settings.window = (rect.width() * scale, rect.height() * scale);
        }
        if ctx.input(|i| i.viewport().close_requested() || !i.raw.dropped_files.is_empty()) && self.client.showing() {
            // What is asked now is not for the client.
            self.client.leave();
        }
        if ctx.input(|i| i.viewport().close_requested()) && !self.files.in_front() && ctx.text_edit_focused() {
            // A field let go of commits what stands in it, but only while it is drawn.
            ctx.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            ctx.send_viewport_cmd(ViewportCommand::Focus);
            self.leaving = true;
            return;
        }
        let dropped: Vec<_> = ctx.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_path_buf()).collect());
        if !dropped.is_empty() {
            if !self.files.carded() && ctx.text_edit_focused() {
                ctx.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
            }
            self.dropped = dropped;
            ctx.request_repaint();
        }
        let out = self.files.logic(ctx, &mut self.session);
        self.came(out);
    }

    /// The window has closed.
    pub fn ended(&mut self) {
        self.files.ended();
    }

    /// What the files ask of the window.
    fn came(&mut self, out: Outcome) {
        if out == Outcome::Opened {
            self.shown = None;
            self.answer = None;
            self.besides = Besides::default();
            self.promising = None;
            self.writing = None;
            self.site = site::SiteState::default();
            self.client = client::ClientState::default();
            self.printing = None;
            self.selected = None;
            self.words.forget();
            self.section.forget();
            self.forget_problems();
            self.bench = bench::BenchState::default();
            self.measure = measure::MeasureState::default();
            self.opened += 1;
        }
    }

    /// One frame.
    pub fn ui(&mut self, ui: &mut Ui) {
        if !self.dressed {
            self.dressed = true;
            theme::apply(ui.ctx(), self.files.settings.dark, self.files.settings.text_scale);
            // Typeface and sizes are in force from the next pass on.
            ui.ctx().request_repaint();
            return;
        }
        if self.drawn_at_rest {
            store::say_ready();
        }
        self.listen();
        let mut out = Vec::new();
        // A key lets go of the field being written in, which commits it; then the command is done.
        let keys = self.keys(ui.ctx());
        if !self.client.showing() {
            self.files.bars(ui);
        }
        let (broken, came) = self.files.page(ui, &mut self.session);
        self.came(came);
        if !broken {
            self.draw(ui, &mut out);
        }
        // What was asked for is of the job drawn: done before an answer on a card may put another at hand.
        for action in last_taken_out(out) {
            self.act(ui.ctx(), action);
        }
        // Nothing is asked in front of the client; it waits.
        if !self.client.showing() {
            let came = self.files.cards(ui.ctx(), &mut self.session);
            self.came(came);
        }
        let problem = self.against.lines.first().map(|l| l.words.clone());
        let came = self.files.begin_card(ui.ctx(), &mut self.session, self.shown.as_deref(), problem.as_deref());
        self.came(came);
        if came == Outcome::Choose {
            self.act(ui.ctx(), Action::Surface(0, bench::Spot::New));
        }
        for action in keys {
            self.act(ui.ctx(), action);
        }
        let dropped = std::mem::take(&mut self.dropped);
        if !dropped.is_empty() {
            let came = self.files.dropped(&dropped, &mut self.session);
            self.came(came);
            ui.ctx().request_repaint();
        }
        if std::mem::take(&mut self.leaving) {
            self.command(ui.ctx(), Command::Quit);
        }
        if self.ask() {
            // The inline form has answered by now.
            ui.ctx().request_repaint();
        }
        let rest = self.at_rest();
        if rest && !self.drawn_at_rest {
            ui.ctx().request_repaint();
        }
        self.drawn_at_rest |= rest;
    }

    /// Takes what the worker has said; what is of an older job is kept only while nothing newer is there.
    fn listen(&mut self) {
        let revision = self.session.revision();
        for told in self.worker.told() {
            match told {
                Told::Shown(s) if s.revision == revision => {
                    self.forget_problems();
                    self.shown = Some(s);
                }
                Told::Problems(r, p) if r == revision => {
                    self.against = views::against(self.session.job(), &p);
                    self.problems = p;
                }
                // While a field is dragged the answer of a moment ago stays until a newer one is there.
                Told::Answer(a)
                    if a.revision == revision
                        && self.session.question().is_some_and(|q| q.asked_by == a.question.asked_by) =>
                {
                    self.answer = Some(a);
                }
                Told::Beside(r, what) if r == revision => self.besides.take(what),
                Told::Paper(r, ask, made) if r == revision => {
                    if let Some(card) = &mut self.printing {
                        card.take(r, ask, made);
                    }
                }
                Told::Written(r, done) if self.writing.as_ref().is_some_and(|w| w.0 == r) && r == revision => {
                    self.written(done);
                }
                Told::Broke(why) => {
                    self.writing = None;
                    self.site.refused("Not written up.");
                    self.files.fail(format!(
                        "Something could not be worked out ({why}). Your job is not touched; save it. Any change \
                         works it out anew."
                    ));
                }
                _ => {}
            }
        }
    }

    fn forget_problems(&mut self) {
        self.problems.clear();
        self.against = views::Against::default();
    }

    /// Days have been written up, or cannot be.
    fn written(&mut self, done: Result<Box<Job>, Vec<Problem>>) {
        let Some((_, said)) = self.writing.take() else { return };
        match done {
            Ok(job) => {
                self.site.written();
                self.session.written_up(*job, views::site::said_words(&said));
            }
            Err(problems) => {
                let why = views::first_against(self.session.job(), &problems).unwrap_or_default();
                let why = format!("Not written up: {why}.");
                if !self.site.refused(&why) {
                    self.files.fail(why);
                }
            }
        }
    }

    /// A job under way keeps the order it is worked by: put beside what writes of days or lost time.
    fn with_order(&self, mut edits: Vec<Edit>) -> Vec<Edit> {
        let of_site = |e: &Edit| matches!(e, Edit::Day(..) | Edit::Lost(..));
        let shown = self.shown.as_ref().filter(|s| s.revision == self.session.revision() && s.reached > Reached::First);
        if let (true, None, Some(s)) = (edits.iter().any(of_site), &self.session.job().kept, shown) {
            let kept = search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &s.sound.job);
            edits.push(Edit::Kept(Some(kept)));
        }
        edits
    }

    /// Hands the worker what has changed since it was last asked; whether that was for something
    /// beside the answer.
    fn ask(&mut self) -> bool {
        if self.asked != self.session.revision() {
            self.asked = self.session.revision();
            self.answer = None;
            self.besides.offer = None;
            self.besides.ways = None;
            self.besides.days.clear();
            self.question = None;
            // A job under way is asked as of the evening of the last day written up, in every mode.
            let job = self.session.job();
            let as_of = underway::last_evening(job);
            let job = if as_of == job.as_of { job.clone() } else { Arc::new(Job { as_of, ..(**job).clone() }) };
            self.worker.job(self.asked, job);
        }
        if let Some((revision, said)) = self.writing.as_mut().filter(|w| w.0 != self.asked) {
            *revision = self.asked;
            self.worker.write_up(self.asked, said.clone());
            return true;
        }
        let rest = self.at_rest();
        if let Some(ask) = self.printing.as_mut().filter(|_| rest).and_then(|p| p.wants(self.asked)) {
            self.worker.paper(self.asked, ask, self.session.job().clone(), self.files.today());
            return true;
        }
        if self.session.question() != self.question.as_ref() {
            let asker = |q: Option<&WhatIf>| q.map(|q| q.asked_by.clone());
            if asker(self.session.question()) != asker(self.question.as_ref()) {
                self.answer = None;
            }
            self.question = self.session.question().cloned();
            self.deepened = self.at_rest();
            match &self.question {
                Some(q) if self.shown.as_ref().is_some_and(|s| s.revision == self.asked) => {
                    self.worker.question(self.asked, q.clone());
                }
                // Asked before the first answer of this job: asked again when that is there.
                Some(_) => self.question = None,
                None => self.answer = None,
            }
        } else if let (Some(q), Some(a), true) = (&self.question, &self.answer, self.at_rest())
            && !std::mem::replace(&mut self.deepened, true)
            && a.question == *q
            && let (Ok((is, _)), Some(s)) = (&a.with, &self.shown)
            && is.forecast.trials < s.forecast.trials
        {
            // Asked while the odds were still growing: answered once more from all of them.
            self.worker.question(self.asked, q.clone());
        }
        let job = self.session.job();
        let wanted = Wanted {
            starts: self.bench.starts_shown,
            // A job that lies ahead cannot begin before today.
            not_before: Some(self.files.today()).filter(|d| *d <= job.start),
            options: !job.options.is_empty(),
            price: !self.on_site() && job.study.is_none(),
            offer: job.kept.is_some(),
            days: if self.on_site() { self.site.days(job) } else { Vec::new() },
            first: self.on_site() && job.study.is_none(),
            ways: self.on_site() && self.site.ways.wanted(self.asked),
            client: self.client.at_hand() && job.study.is_none(),
        };
        if self.at_rest() && self.wanted != (self.asked, wanted.clone()) {
            self.wanted = (self.asked, wanted.clone());
            if wanted.anything() {
                self.worker.beside(self.asked, wanted);
                return true;
            }
        }
        false
    }

    fn draw(&mut self, ui: &mut Ui, out: &mut Vec<Action>) {
        let (shown, answer, besides) = (self.shown.clone(), self.answer.clone(), self.besides.clone());
        let question = self.session.question().cloned();
        let job = self.session.job().clone();
        let scene = Scene {
            job: &job,
            revision: self.session.revision(),
            shown: shown.as_deref(),
            answer: answer.as_deref(),
            question: question.as_ref(),
            besides: &besides,
            problems: &self.problems,
            against: &self.against,
            selected: self.selected.as_deref(),
            shelf: &self.shelf,
            today: self.files.today(),
            writing: self.writing.is_some(),
        };
        let mode = if self.on_site() { Mode::Site } else { Mode::Quote };
        let theme = Theme::of(ui.ctx());
        let plain = Frame::NONE.fill(theme.paper);
        let unsaved = self.session.unsaved();
        if self.client.showing() {
            client::show(ui, &scene, &mut self.client, out);
            return;
        }
        Panel::top("strip").exact_size(size::STRIP).frame(plain).show_separator_line(false).show(ui, |ui| {
            strip::show(ui, &scene, (mode, self.client.at_hand()), unsaved, &|c| self.can(c), out);
        });
        if !self.problems.is_empty() {
            let frame = plain.inner_margin(Margin::symmetric(12, 6));
            Panel::top("problems")
                .frame(frame)
                .show(ui, |ui| problems_bar(ui, &self.against, shown.is_some(), theme, out));
        }
        if self.files.on_the_study(&self.session) && !self.files.settings.tries_away && !self.client.at_hand() {
            let settings = &mut self.files.settings;
            settings.tried = tries::done(settings.tried, &job, &self.study, self.session.question());
            let (tried, stays) = tries::show(ui, &scene, settings.tried, out);
            settings.tries_away = !stays;
            match tried {
                Some(Try::Do(action)) => out.push(action),
                Some(Try::Wait(step)) => {
                    (settings.mode, settings.bench) = (Mode::Quote, Bench::Order);
                    self.section.ask_wait(step);
                }
                None => {}
            }
        }
        if self.client.at_hand() {
            client::show(ui, &scene, &mut self.client, out);
        } else if mode == Mode::Site {
            if words::show(ui, &scene, &mut self.words, &mut self.section, out) {
                let mut page = site::Page { state: &mut self.site, section: &mut self.section };
                ui.push_id(("site", self.opened), |ui| page.show(ui, &scene, out));
            }
        } else {
            let mut page = quote::Page {
                bench: &mut self.bench,
                measure: &mut self.measure,
                section: &mut self.section,
                words: &mut self.words,
                now: self.files.settings.bench,
                opened: self.opened,
            };
            page.show(ui, &scene, out);
        }
        if let Some(mut card) = self.promising.take()
            && promise::show(ui, &scene, &mut card, out)
        {
            self.promising = Some(card);
        }
        if let Some(mut card) = self.printing.take_if(|_| !self.files.carded()) {
            let stays = card.show(ui, &scene, &|c| self.can(c), out);
            self.printing = stays.then_some(card);
        }
        // A question lying on top has the keyboard; the box waits below it.
        if let Some(mut finder) = self.finder.take_if(|_| !self.files.carded()) {
            let key = |c: Command| c.key_words(ui.ctx());
            let all = find::all(&scene, finder.steps, key, &|c| self.can(c));
            self.finder = finder.show(ui, &all, out).then_some(finder);
        }
    }

    /// Whether the page of a job under way is at hand.
    pub fn on_site(&self) -> bool {
        self.files.settings.mode == Mode::Site && self.job().study.is_none()
    }

    /// Whether a command can be done now.
    pub fn can(&self, command: Command) -> bool {
        match command {
            Command::Undo => self.session.undo_words().is_some(),
            Command::Redo => self.session.redo_words().is_some(),
            Command::CopyOdds => self.at_rest(),
            Command::PlanInWords | Command::FindStep => self.shown.is_some(),
            Command::PromiseDay => self.may_promise(),
            Command::Withdraw => self.may_promise() && self.job().promised_day().is_some(),
            Command::WhatIf => self.shown.is_some(),
            Command::StartDays => self.job().target.is_some() && self.job().study.is_none(),
            Command::Options | Command::Price | Command::Buying | Command::Site | Command::Client | Command::Print => {
                self.job().study.is_none()
            }
            Command::WriteUp => {
                self.first_asked().is_some() || self.job().closed.is_none() && !self.job().log.is_empty()
            }
            Command::AsPlanned | Command::NothingDone => self.first_asked().is_some(),
            Command::LostTime | Command::AddChange | Command::WaysBack | Command::WriteClient => {
                self.shown.is_some() && self.job().study.is_none()
            }
            Command::CloseJob if self.job().closed.is_some() => false,
            Command::WorkAgain | Command::LateDelivery | Command::CloseJob => {
                self.shown.is_some() && underway::last_told(self.job()).is_some()
            }
            _ => true,
        }
    }

    /// Whether the measure bench is in hand.
    fn measure_drawn(&self) -> bool {
        self.files.settings.bench == Bench::Measure
    }

    /// The days that ask to be written up.
    fn asked_days(&self) -> Vec<NaiveDate> {
        let shown = self.shown.as_ref().filter(|_| self.job().study.is_none() && self.writing.is_none());
        shown.map_or_else(Vec::new, |s| site::asked(s, self.job(), self.files.today()))
    }

    fn first_asked(&self) -> Option<NaiveDate> {
        self.asked_days().first().copied()
    }

    /// Whether there are odds of the job as it stands to promise by.
    fn may_promise(&self) -> bool {
        let current = |s: &&Arc<Shown>| s.revision == self.session.revision() && s.reached >= Reached::Odds;
        let shown = self.shown.as_ref().filter(current);
        let open = self.job().study.is_none() && self.job().closed.is_none();
        open && shown.is_some_and(|s| !views::nothing_to_do(&s.sound))
    }

    fn act(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Edit(edits) => {
                let edits = self.with_order(edits);
                self.session.edit(&edits);
            }
            Action::Ask(question) => self.session.ask(question),
            Action::DropQuestion => self.session.drop_question(),
            Action::KeepQuestion => self.keep_question(),
            Action::Select(step) => {
                self.client.leave();
                self.selected = step;
                self.files.settings.bench = Bench::Order;
            }
            Action::Room(room) => {
                self.client.leave();
                self.measure.choose(room);
                self.section.open_room(room);
                self.files.settings.mode = Mode::Quote;
                self.files.settings.bench = Bench::Measure;
            }
            Action::OpenPath(path) => {
                let out = self.files.open_path(&path, &mut self.session);
                self.came(out);
            }
            Action::Do(command) => self.command(ctx, command),
            Action::FindStep(step) => {
                self.client.leave();
                self.selected = Some(step);
                self.files.settings.bench = Bench::Order;
                self.section.reveal();
                self.section.take_keyboard();
            }
            Action::Book(change) => self.shelf.change(&change),
            Action::FindRoom(room) => {
                self.act(ctx, Action::Room(room));
                self.measure.take_keyboard();
            }
            Action::Zone(zone, field) => {
                self.reveal(zone);
                bench::near::wanted(ctx, field);
            }
            Action::Surface(room, surface) => {
                self.act(ctx, Action::Room(room));
                self.reveal(bench::Zone::Rooms);
                if let Some(name) = self.bench.go_to_surface(self.session.job(), room, surface) {
                    bench::near::wanted_below(ctx, name);
                }
            }
            Action::AddOwn(k) => {
                if let Some((_, kind, make)) = bench::own::ADD.get(k) {
                    let at = kind.many(self.job());
                    self.reveal(bench::Zone::Own);
                    self.bench.fresh_entry = Some((*kind, at));
                    let edit = make(self.job());
                    self.act(ctx, Action::Edit(vec![edit]));
                }
            }
            Action::StepField(_) if self.on_site() => {}
            Action::StepField(field) => {
                self.reveal(bench::Zone::Step);
                self.bench.go_to_field(field);
            }
            Action::Print(paper) => self.print(Some(paper)),
            Action::WriteUp(said) => {
                // Asked of the worker at the end of the frame.
                self.session.drop_question();
                self.besides.writing = None;
                self.writing = Some((0, said));
            }
        }
    }

    /// Keeps what was asked. A step moved by hand keeps the order it was moved in: a better one is
    /// offered from then on.
    fn keep_question(&mut self) {
        let moved = self.session.question().is_some_and(|q| matches!(q.asked_by, AskedBy::Wait(_)));
        let shown = self.shown.as_ref().filter(|s| s.revision == self.session.revision());
        if let (true, None, Some(s)) = (moved, &self.session.job().kept, shown) {
            let kept = search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &s.sound.job);
            self.session.add_to_question(Edit::Kept(Some(kept)));
        }
        if let Some(q) = self.session.question() {
            let more = self.with_order(q.edits.clone()).split_off(q.edits.len());
            more.into_iter().for_each(|e| self.session.add_to_question(e));
        }
        self.session.keep_question();
    }

    fn command(&mut self, ctx: &Context, command: Command) {
        let stays = matches!(command, Command::Undo | Command::Redo | Command::Find | Command::CopyOdds);
        if command == Command::Quit || !(stays || beside_the_page(command)) {
            self.client.leave();
        }
        match command {
            Command::Client => {
                self.session.drop_question();
                self.client.turn();
            }
            Command::Print => self.print(None),
            Command::Undo => self.session.undo(),
            Command::Redo => self.session.redo(),
            Command::CopyOdds => {
                if let Some(s) = self.shown.as_ref().filter(|_| self.at_rest()) {
                    ctx.copy_text(views::forecast_text(&s.sound, &s.forecast, &s.odds));
                }
            }
            Command::PlanInWords => {
                self.words.open = !self.words.open;
            }
            Command::FitTime => self.section.fit(),
            Command::PlainTime => self.section.toggle_plain_time(),
            Command::WholeChalk => self.section.toggle_whole_chalk(),
            Command::LightDark => {
                self.files.settings.dark = !self.files.settings.dark;
                self.dressed = false;
            }
            Command::Larger => self.scaled(size::SCALE.2),
            Command::Smaller => self.scaled(-size::SCALE.2),
            Command::PlainSize => self.scaled(1.0 - self.files.settings.text_scale),
            Command::New | Command::Open | Command::Save | Command::SaveAs | Command::Quit => {
                let out = self.files.command(command, &mut self.session);
                self.came(out);
                let _ = self.files.done(ctx, out);
            }
            Command::Find | Command::FindStep => {
                let typed = std::mem::take(&mut self.heard);
                self.finder = Some(Finder::new(command == Command::FindStep, typed));
            }
            Command::ThreeThings => {
                self.files.settings.tries_away = false;
                if !self.files.on_the_study(&self.session) {
                    let came = self.files.press(super::files::Press::Sample(0), &mut self.session, store::seconds());
                    self.came(came);
                }
            }
            Command::Crew => self.reveal(bench::Zone::Crew),
            Command::Places => self.reveal(bench::Zone::Places),
            Command::Calendar => self.reveal(bench::Zone::Calendar),
            Command::Measure => {
                (self.files.settings.mode, self.files.settings.bench) = (Mode::Quote, Bench::Measure);
                self.measure.take_keyboard();
            }
            Command::Order => {
                (self.files.settings.mode, self.files.settings.bench) = (Mode::Quote, Bench::Order);
                self.section.take_keyboard();
            }
            Command::PromiseDay => self.promising = self.may_promise().then(promise::Promising::default),
            Command::Withdraw => self.promising = self.can(command).then(promise::Promising::withdrawing),
            Command::WhatIf | Command::StartDays => {
                // What was asked in the other of the two is over.
                if self.session.question().is_some_and(|q| matches!(q.asked_by, AskedBy::Card(_))) {
                    self.session.drop_question();
                }
                let zone = if command == Command::WhatIf { bench::Zone::WhatIf } else { bench::Zone::Starts };
                self.reveal(zone);
            }
            Command::Options => self.reveal(bench::Zone::Options),
            Command::WalkRound => self.reveal(bench::Zone::WalkRound),
            Command::Own => self.reveal(bench::Zone::Own),
            Command::Price => self.reveal(bench::Zone::Price),
            Command::Buying => self.reveal(bench::Zone::Buying),
            Command::Quote => self.files.settings.mode = Mode::Quote,
            Command::Site => self.files.settings.mode = Mode::Site,
            Command::WriteUp | Command::LostTime => {
                self.files.settings.mode = Mode::Site;
                let day = self.first_asked().or(self.job().log.last().map(|d| d.day));
                if command == Command::LostTime {
                    self.site.lose(self.files.today().max(self.job().start));
                } else if let Some(day) = day {
                    self.site.edit(day);
                }
            }
            Command::WaysBack | Command::WriteClient => {
                self.files.settings.mode = Mode::Site;
                let revision = self.session.revision();
                if command == Command::WaysBack {
                    self.site.ways.open(revision);
                } else {
                    self.site.ways.write(revision);
                }
            }
            Command::WorkAgain | Command::LateDelivery | Command::AddChange => {
                self.files.settings.mode = Mode::Site;
                let (job, today) = (self.job(), self.files.today());
                let told = underway::last_told(job);
                let next = told.and_then(|d| d.succ_opt()).unwrap_or(job.start);
                let (kind, day) = match command {
                    Command::WorkAgain => (site::Kind::Redo, today.max(told.unwrap_or(job.start))),
                    Command::LateDelivery => (site::Kind::Late, next),
                    _ => (site::Kind::Add, today.max(job.start)),
                };
                self.site.change(kind, day);
            }
            Command::CloseJob => {
                self.files.settings.mode = Mode::Site;
                self.site.close();
            }
            Command::AsPlanned | Command::NothingDone => {
                self.files.settings.mode = Mode::Site;
                let (days, note) = (self.asked_days(), String::new());
                let said = match (command, days.first()) {
                    (_, None) => None,
                    (Command::AsPlanned, _) => Some(Said::AsPlanned { days, note }),
                    (_, Some(day)) => Some(Said::Nothing { day: *day, cause: None, note }),
                };
                if let Some(said) = said {
                    self.act(ctx, Action::WriteUp(said));
                }
            }
        }
        ctx.request_repaint();
    }

    /// Unfolds a zone of the order of work and goes there.
    fn reveal(&mut self, zone: bench::Zone) {
        self.client.leave();
        self.files.settings.mode = Mode::Quote;
        self.files.settings.bench = zone.bench();
        self.bench.reveal = Some(zone);
    }

    fn scaled(&mut self, by: f32) {
        let scale = &mut self.files.settings.text_scale;
        *scale = (*scale + by).clamp(size::SCALE.0, size::SCALE.1);
        self.dressed = false;
    }
}
