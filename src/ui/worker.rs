//! The one thread that plans and forecasts: the newest request wins, but a running one is
//! stopped only after its first answer is out. It hands over whole answers, each with the
//! revision of the job it is of; a question goes before the rest of a run, which then goes on.
//!
//! The inline form does the same on the caller's thread, for tests.
//!
//! One file because what is wanted, in which order it is done and what stops it are read together.

mod print;
mod reading;
mod site;

use std::any::Any;
use std::panic::AssertUnwindSafe;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use chrono::NaiveDate;

use reading::{shown, unfit};

use super::session::WhatIf;
use super::shown::{Answer, Beside, Offered, PricedOf, Shown, Wanted, Way};
use crate::buying::KERF;
use crate::desk::starts::Scan;
use crate::desk::write_up::Said;
use crate::desk::{self, AT_REST, Chain, Desk, Reached};
use crate::job::{Job, Problem, edited};
use crate::measure::Money;
use crate::search;
use crate::views::client::ClientPage;
use crate::views::papers::{PaperAsk, Printed, Refusal};
use crate::views::{Offer, OptionOf, option_price};

/// What the worker says.
#[derive(Clone, Debug)]
pub enum Told {
    Shown(Arc<Shown>),
    /// The job of this revision cannot be planned.
    Problems(u64, Vec<Problem>),
    Answer(Arc<Answer>),
    /// Something worked out beside the answer of this revision.
    Beside(u64, Beside),
    /// Days of the job of this revision written up, or what stands against it.
    Written(u64, Result<Box<Job>, Vec<Problem>>),
    /// A page of the job of this revision, or why there is none.
    Paper(u64, PaperAsk, Result<Arc<Printed>, Refusal>),
    /// The reckoning broke down; in its own words. The next change is worked out anew.
    Broke(String),
}

/// What is wanted of the worker.
#[derive(Default)]
struct Wants {
    job: Option<(u64, Arc<Job>)>,
    question: Option<(u64, WhatIf)>,
    /// Days to be written up in the job of this revision.
    write_up: Option<(u64, Said)>,
    /// A page to be made once the answer of this revision stands: of the job as it is in the window, dated.
    paper: Option<(u64, PaperAsk, Arc<Job>, NaiveDate)>,
    /// What is to be worked out once the answer of this revision stands.
    beside: Option<(u64, Wanted)>,
    stop: bool,
}

struct Shared {
    wants: Mutex<Wants>,
    bell: Condvar,
    /// Grows with every request; a run of an older number may stop.
    newest: AtomicU64,
}

impl Shared {
    /// The wants, whatever became of the thread that held them last.
    fn wants(&self) -> MutexGuard<'_, Wants> {
        self.wants.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Plans and forecasts beside the window.
pub struct Worker {
    shared: Arc<Shared>,
    told: Receiver<Told>,
    /// The inline form works here.
    inline: Option<Box<Bench>>,
}

/// What the working side keeps between requests.
struct Bench {
    chain: Chain,
    trials: usize,
    /// The last answer of the job, with the view of its plan.
    last: Option<Arc<Shown>>,
    desk: Option<Desk>,
    tell: Sender<Told>,
    /// Options worked out, with the job each stands for and its price.
    ways: Vec<(Job, Way, Option<Money>)>,
    /// Start days being looked at: of the answer of this revision, none before a day.
    starts: Option<(u64, Option<NaiveDate>, Scan)>,
}

impl Worker {
    /// A named thread. `wake` is called after everything it says.
    pub fn start(wake: impl Fn() + Send + 'static) -> Worker {
        let (shared, told, bench) = Worker::parts(AT_REST);
        let theirs = shared.clone();
        // Without a thread (the system has none left) the window works inline, slowly.
        let mut bench = Some(Box::new(bench));
        let seat = Arc::new(Mutex::new(bench.take()));
        let taken = seat.clone();
        let thread = std::thread::Builder::new().name("roomback-desk".into()).spawn(move || {
            let bench = taken.lock().unwrap_or_else(PoisonError::into_inner).take();
            if let Some(mut bench) = bench {
                bench.work(&theirs, &wake);
            }
        });
        let inline = match thread {
            Ok(_) => None,
            Err(_) => seat.lock().unwrap_or_else(PoisonError::into_inner).take(),
        };
        Worker { shared, told, inline }
    }

    /// Works on the caller's thread, each request to rest with so many trials.
    pub fn inline(trials: usize) -> Worker {
        let (shared, told, bench) = Worker::parts(trials);
        Worker { shared, told, inline: Some(Box::new(bench)) }
    }

    fn parts(trials: usize) -> (Arc<Shared>, Receiver<Told>, Bench) {
        let (tell, told) = channel();
        let shared = Shared { wants: Mutex::new(Wants::default()), bell: Condvar::new(), newest: AtomicU64::new(0) };
        (
            Arc::new(shared),
            told,
            Bench { chain: Chain::default(), trials, last: None, desk: None, tell, ways: Vec::new(), starts: None },
        )
    }

    /// Asks for the answer of a job; one asked for before is given up.
    pub fn job(&mut self, revision: u64, job: Arc<Job>) {
        let mut wants = self.shared.wants();
        wants.job = Some((revision, job));
        wants.question = None;
        drop(wants);
        self.ring();
    }

    /// Asks a question about the job last answered.
    pub fn question(&mut self, revision: u64, question: WhatIf) {
        self.shared.wants().question = Some((revision, question));
        self.ring();
    }

    /// Has days of a job written up; its answer comes first.
    pub fn write_up(&mut self, revision: u64, said: Said) {
        self.shared.wants().write_up = Some((revision, said));
        self.ring();
    }

    /// Has a page made of a job; its whole answer comes first. One asked for before is given up.
    pub fn paper(&mut self, revision: u64, ask: PaperAsk, job: Arc<Job>, today: NaiveDate) {
        self.shared.wants().paper = Some((revision, ask, job, today));
        self.ring();
    }

    /// Asks for what is shown beside the answer of a job, once that answer stands.
    pub fn beside(&mut self, revision: u64, wanted: Wanted) {
        self.shared.wants().beside = Some((revision, wanted));
        self.ring();
    }

    fn ring(&mut self) {
        self.shared.newest.fetch_add(1, Ordering::SeqCst);
        match &mut self.inline {
            Some(bench) => while bench.once(&self.shared, &|| ()) {},
            None => self.shared.bell.notify_one(),
        }
    }

    /// What has been said since the last look.
    pub fn told(&self) -> Vec<Told> {
        self.told.try_iter().collect()
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.shared.wants().stop = true;
        self.shared.newest.fetch_add(1, Ordering::SeqCst);
        self.shared.bell.notify_one();
    }
}

/// Takes one thing out of what is wanted.
fn take<T>(shared: &Shared, of: impl Fn(&mut Wants) -> &mut Option<T>) -> Option<T> {
    of(&mut shared.wants()).take()
}

impl Bench {
    fn work(&mut self, shared: &Shared, wake: &dyn Fn()) {
        loop {
            let mut wants = shared.wants();
            while !wants.stop
                && wants.job.is_none()
                && wants.question.is_none()
                && wants.write_up.is_none()
                && wants.paper.is_none()
                && wants.beside.is_none()
            {
                wants = shared.bell.wait(wants).unwrap_or_else(PoisonError::into_inner);
            }
            if wants.stop {
                return;
            }
            drop(wants);
            let done = std::panic::catch_unwind(AssertUnwindSafe(|| self.once(shared, wake)));
            if let Err(why) = done {
                self.broke(why.as_ref());
                wake();
            }
        }
    }

    /// After a panic: says so, and forgets what may be half done.
    fn broke(&mut self, why: &(dyn Any + Send)) {
        (self.chain, self.last, self.desk, self.starts) = (Chain::default(), None, None, None);
        let words =
            why.downcast_ref::<String>().cloned().or_else(|| why.downcast_ref::<&str>().map(|said| said.to_string()));
        let _ = self.tell.send(Told::Broke(words.unwrap_or_default()));
    }

    /// Does one thing that is wanted; false where nothing is.
    fn once(&mut self, shared: &Shared, wake: &dyn Fn()) -> bool {
        let mine = shared.newest.load(Ordering::SeqCst);
        let (job, question) = {
            let mut wants = shared.wants();
            match wants.question.take() {
                // A question of a job not answered yet waits for its first answer.
                Some(q) if self.last.as_ref().is_some_and(|l| l.revision == q.0) => (None, Some(q)),
                Some(q) if wants.job.is_some() => {
                    wants.question = Some(q);
                    (wants.job.take(), None)
                }
                _ => (wants.job.take(), None),
            }
        };
        let newer = || shared.newest.load(Ordering::SeqCst) != mine;
        if let Some((revision, question)) = question {
            // A newer question waits for the first trials of this one, or none would ever be answered.
            let told = AtomicBool::new(false);
            let stop = || newer() && told.load(Ordering::SeqCst);
            self.answer(revision, question, &told, &stop, wake);
        } else if let Some((revision, job)) = job {
            let told = AtomicBool::new(false);
            let stop = || newer() && told.load(Ordering::SeqCst);
            if !self.job(revision, &job, &told, &stop, wake) {
                // Stopped for a question: the rest of it comes after.
                let mut wants = shared.wants();
                if wants.job.is_none() && !wants.stop {
                    wants.job = Some((revision, job));
                }
            }
        } else if let Some((revision, said)) = take(shared, |w| &mut w.write_up) {
            let tell = self.tell.clone();
            let done = self.written(revision, &said, &mut |done, of| {
                let _ = tell.send(Told::Beside(revision, Beside::Writing(done, of)));
                wake();
            });
            let _ = self.tell.send(Told::Written(revision, done.map(Box::new)));
            wake();
        } else if let Some((revision, ask, job, today)) = take(shared, |w| &mut w.paper) {
            let desk = self.desk.as_ref().filter(|_| self.last.as_ref().is_some_and(|l| l.revision == revision));
            let nothing = || Err(Refusal::Said("The job cannot be planned as it stands.".into()));
            let made = desk.map_or_else(nothing, |desk| print::printed(desk, &job, &ask, today, self.trials));
            let _ = self.tell.send(Told::Paper(revision, ask, made.map(Arc::new)));
            wake();
        } else {
            let Some((revision, wanted)) = take(shared, |w| &mut w.beside) else { return false };
            let stands = self.last.as_ref().is_some_and(|l| l.revision == revision && l.reached == Reached::Rest);
            if stands && !self.beside(revision, &wanted, &newer, wake) {
                let mut wants = shared.wants();
                if wants.beside.is_none() && !wants.stop {
                    wants.beside = Some((revision, wanted));
                }
            }
        }
        true
    }

    /// Works a job out; false when it was stopped before its end.
    fn job(
        &mut self,
        revision: u64,
        job: &Job,
        told: &AtomicBool,
        stop: &(dyn Fn() -> bool + Sync),
        wake: &dyn Fn(),
    ) -> bool {
        let mut last = self.last.take();
        let mut final_desk = None;
        let tell = self.tell.clone();
        let out = &mut |desk: &Desk| {
            let shown = Arc::new(shown(revision, desk, last.as_deref()));
            last = Some(shown.clone());
            final_desk = Some(desk.clone());
            told.store(true, Ordering::SeqCst);
            let _ = tell.send(Told::Shown(shown));
            wake();
        };
        // A value no job file may hold (a wall of a mile) is said as the file's reader would say it.
        let done = match unfit(job) {
            problems if problems.is_empty() => self.chain.answer(job, self.trials, stop, out),
            problems => Err(problems),
        };
        self.last = last;
        self.desk = final_desk.or(self.desk.take());
        match done {
            Ok(()) => self.last.as_ref().is_some_and(|l| l.revision == revision && l.reached == Reached::Rest),
            Err(problems) => {
                let _ = self.tell.send(Told::Problems(revision, problems));
                wake();
                true
            }
        }
    }

    /// Works out what stands beside an answer; false when it was stopped before its end.
    fn beside(&mut self, revision: u64, wanted: &Wanted, stop: &(dyn Fn() -> bool + Sync), wake: &dyn Fn()) -> bool {
        let Some(desk) = self.desk.clone() else { return true };
        let (tell, trials) = (self.tell.clone(), self.trials);
        let say = |what| {
            let _ = tell.send(Told::Beside(revision, what));
            wake();
        };
        let job = &desk.sound.job;
        if wanted.client {
            say(Beside::Client(revision, Arc::new(ClientPage::new(&desk.sound, &desk.found, &desk.forecast))));
            if stop() {
                return false;
            }
        }
        if wanted.price
            && let Ok(priced) = desk.sound.priced(&desk.found, &desk.forecast)
        {
            let begun = desk.sound.setting.standing.as_deref().is_some_and(|s| s.begun());
            let to_buy = begun.then(|| desk.sound.to_buy(&desk.found, KERF).ok()).flatten();
            say(Beside::Price(Arc::new(PricedOf { revision, sound: desk.sound.clone(), priced, to_buy })));
            if stop() {
                return false;
            }
        }
        if !site::beside(&desk, trials, wanted, stop, &say) {
            return false;
        }
        if wanted.starts {
            // A question in between does not make it begin anew.
            if self.starts.as_ref().is_none_or(|s| (s.0, s.1) != (revision, wanted.not_before)) {
                self.starts = Scan::new(&desk, wanted.not_before).map(|s| (revision, wanted.not_before, s));
            }
            if let Some((_, _, scan)) = &mut self.starts
                && !scan.run(stop, &mut |s| say(Beside::Starts(Arc::new(s.clone()))))
            {
                return false;
            }
        }
        if wanted.options {
            let jobs: Vec<Job> = (0..job.options.len()).map(|i| desk::option_job(job, i)).collect();
            self.ways.retain(|(j, ..)| jobs.contains(j));
            for (i, one) in jobs.into_iter().enumerate() {
                if stop() {
                    return false;
                }
                if !self.ways.iter().any(|(j, ..)| *j == one) {
                    let way = match desk::worked_out(&one, trials, stop) {
                        Ok(None) => return false,
                        Ok(Some(desk)) => Ok(Arc::new(desk)),
                        Err(problems) => Err(problems),
                    };
                    let price = way
                        .as_ref()
                        .ok()
                        .and_then(|d: &Arc<Desk>| option_price(&OptionOf::desk(&one.option, Vec::new(), d)));
                    self.ways.push((one.clone(), way, price));
                }
                let way = self.ways.iter().find(|(j, ..)| *j == one).map(|w| (w.1.clone(), w.2));
                let (way, price) = way.unwrap_or_else(|| (Err(Vec::new()), None));
                say(Beside::Option(i, one.option.clone(), way, price));
            }
        }
        if wanted.offer && desk.sound.kept.is_some() && !stop() {
            let Ok(searched) = desk::search_beside(&desk.sound, &desk.found, stop) else { return true };
            if searched.unfinished {
                return false;
            }
            let offered = searched.better.map(|better| {
                let offer = Offer::between(&desk.sound, &desk.found, &better);
                let kept = search::keep(&desk.sound.graph, &desk.sound.setting, &better.plan.order, job);
                Arc::new(Offered { words: offer.words(), kept })
            });
            say(Beside::Offer(offered));
        }
        !stop()
    }

    fn answer(
        &self,
        revision: u64,
        question: WhatIf,
        told: &AtomicBool,
        stop: &(dyn Fn() -> bool + Sync),
        wake: &dyn Fn(),
    ) {
        let (Some(desk), Some(last)) = (&self.desk, &self.last) else { return };
        // As the edit would be made: names it takes away are named no longer.
        let asked = desk::without_lost_names(edited(&last.sound.job, &question.edits));
        let say = |with| {
            let _ = self.tell.send(Told::Answer(Arc::new(Answer { revision, question: question.clone(), with })));
            wake();
        };
        let done = self.chain.what_if(desk, &asked, stop, &mut |as_is, asked| {
            let base = shown(revision, as_is, Some(last));
            let with = shown(revision, asked, Some(&base));
            told.store(true, Ordering::SeqCst);
            say(Ok((Arc::new(base), Arc::new(with))));
        });
        if let Err(problems) = done {
            say(Err(problems));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Edit, Person};
    use crate::ui::session::AskedBy;

    fn job() -> Arc<Job> {
        Arc::new(crate::desk::open(include_str!("../../sample-jobs/powder.ron")).unwrap().read.job)
    }

    fn slower(job: &Job) -> Vec<Edit> {
        vec![Edit::Person(0, Some(Person { pace: 0.5, ..job.crew[0].clone() }))]
    }

    /// Everything said until `end` is met, at most a minute.
    fn until(worker: &Worker, end: impl Fn(&Told) -> bool) -> Vec<Told> {
        let mut all = Vec::new();
        while let Ok(t) = worker.told.recv_timeout(std::time::Duration::from_secs(60)) {
            all.push(t);
            if end(&all[all.len() - 1]) {
                return all;
            }
        }
        panic!("nothing more was said after {}", all.len());
    }

    fn rest_of(revision: u64) -> impl Fn(&Told) -> bool {
        move |t| matches!(t, Told::Shown(s) if s.revision == revision && s.reached == Reached::Rest)
    }

    #[test]
    fn the_newest_job_wins_and_none_is_mixed_with_another() {
        let mut worker = Worker::start(|| ());
        let first = job();
        worker.job(1, first.clone());
        let next = Arc::new(edited(&first, &slower(&first)));
        worker.job(2, next.clone());
        for t in until(&worker, rest_of(2)) {
            if let Told::Shown(s) = t {
                assert_eq!(s.sound.job, if s.revision == 1 { (*first).clone() } else { (*next).clone() });
                assert_eq!(s.forecast.clean_run, s.found.plan.finish, "odds and plan are of one order");
            }
        }
        assert!(worker.told().is_empty(), "nothing is said of an older job afterwards");
    }

    #[test]
    fn a_question_is_answered_before_the_rest_of_a_run_and_the_run_goes_on() {
        let mut worker = Worker::start(|| ());
        let job = job();
        worker.job(1, job.clone());
        until(&worker, |t| matches!(t, Told::Shown(_)));
        worker.question(1, WhatIf { edits: slower(&job), asked_by: AskedBy::Field("pace".into()) });
        let all = until(&worker, rest_of(1));
        let answers: Vec<_> = all.iter().filter_map(|t| if let Told::Answer(a) = t { Some(a) } else { None }).collect();
        let (is, asked) = answers.last().expect("an answer").with.as_ref().expect("a plan");
        assert!(asked.found.plan.finish > is.found.plan.finish && asked.forecast.trials == is.forecast.trials);
    }

    #[test]
    fn a_panic_is_said_and_the_next_job_is_worked_out() {
        let (shared, told, mut bench) = Worker::parts(500);
        let job = job();
        bench.broke(&"lost count".to_string());
        assert!(matches!(&told.try_iter().collect::<Vec<_>>()[..], [Told::Broke(w)] if w == "lost count"));
        shared.wants().job = Some((1, job));
        while bench.once(&shared, &|| ()) {}
        assert!(told.try_iter().any(|t| matches!(t, Told::Shown(s) if s.reached == Reached::Rest)));
    }

    #[test]
    fn while_a_field_is_dragged_answers_come_and_the_last_is_of_the_newest() {
        let mut worker = Worker::start(|| ());
        let job = job();
        worker.job(1, job.clone());
        until(&worker, rest_of(1));
        let ask = |n: usize| {
            let person = Person { pace: 1.0 - 0.02 * n as f64, ..job.crew[0].clone() };
            WhatIf { edits: vec![Edit::Person(0, Some(person))], asked_by: AskedBy::Field("pace".into()) }
        };
        for n in 1..=20 {
            worker.question(1, ask(n));
        }
        let last = |t: &Told| matches!(t, Told::Answer(a) if a.question == ask(20));
        let all = until(&worker, last);
        // None is queued: what was asked over is answered at most once, by the first trials.
        let whole = |t: &&Told| matches!(t, Told::Answer(a) if a.question != ask(20) && a.with.as_ref().is_ok_and(|w| w.1.forecast.trials > 500));
        assert_eq!(all.iter().filter(whole).count(), 0);
    }

    #[test]
    fn beside_the_answer_stand_start_days_options_and_a_better_order() {
        let mut worker = Worker::inline(500);
        let study = desk::open(include_str!("../../sample-jobs/study.ron")).unwrap().read.job;
        let mut with = edited(&study, &[Edit::OptionKept("alone".into())]);
        let sound = desk::judge(&with).unwrap();
        let mut order = sound.plan(false).unwrap().plan.order;
        order.order.reverse();
        with.kept = Some(search::keep(&sound.graph, &sound.setting, &order, &with));
        worker.job(1, Arc::new(with));
        worker.told();
        worker.beside(1, Wanted { starts: true, options: true, offer: true, ..Wanted::default() });
        let mut all = super::super::shown::Besides::default();
        for t in worker.told() {
            if let Told::Beside(1, what) = t {
                all.take(what);
            }
        }
        assert!(all.starts.as_ref().is_some_and(|s| s.whole && !s.rows.is_empty()));
        let alone = all.option(0, "alone").and_then(|w| w.as_ref().ok()).expect("an answer");
        assert_eq!(alone.forecast.trials, 500);
        assert!(all.option(0, "another").is_none() && all.option(1, "alone").is_none());
        assert!(all.offer.is_some_and(|o| o.words.starts_with("A better order is known")));
        // Of another job nothing is said.
        worker.beside(2, Wanted { starts: true, ..Wanted::default() });
        assert!(worker.told().is_empty());
    }

    #[test]
    fn the_inline_form_says_the_same() {
        let (mut here, mut there) = (Worker::inline(AT_REST), Worker::start(|| ()));
        here.job(1, job());
        there.job(1, job());
        let a = here.told();
        let b = until(&there, rest_of(1));
        let last = |t: &[Told]| if let Told::Shown(s) = &t[t.len() - 1] { s.clone() } else { panic!("no answer") };
        let (a, b) = (last(&a), last(&b));
        assert_eq!((&a.forecast, &a.found.plan, &a.plan, a.days), (&b.forecast, &b.found.plan, &b.plan, b.days));
        let mut nobody = (*job()).clone();
        nobody.crew.clear();
        here.job(2, Arc::new(nobody));
        assert!(matches!(&here.told()[..], [Told::Problems(2, p)] if !p.is_empty()));
    }
}
