//! Undo and redo walked at random: scope, order and log come back byte for byte, the record only
//! grows.

use chrono::{Days, NaiveDate};

use super::Session;
use crate::job::{DayLog, Edit, Evening, How, Job, KeptOrder, LostTime, Person, Worked};
use crate::jobfile;

const JOB: &str = r#"(
    format: 1,
    name: "one wall",
    start: "2027-03-01",
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room)],
    rooms: [(
        id: "den", name: "Den", place: "den", size: (length: "12'", width: "10'", height: "8'"),
        surfaces: [(id: "base", part: base, recipe: "base-and-shoe")],
    )],
)
"#;

/// Numbers without pattern from a seed (the finisher of SplitMix64, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % sides
    }
}

/// All of a job but its record, as its file has it.
fn bare(job: &Job) -> String {
    jobfile::write(&Job { record: Vec::new(), ..job.clone() })
}

fn day(start: NaiveDate, n: u64) -> NaiveDate {
    start + Days::new(n)
}

fn evening(on: NaiveDate) -> Evening {
    Evening {
        day: on,
        clean_run: on.and_hms_opt(12, 0, 0).unwrap(),
        likely: on,
        safe: on,
        eighty: on.and_hms_opt(12, 0, 0).unwrap(),
        chance: None,
        confidence: 0.8,
        lost: 0,
        ways: None,
        changes: None,
        reasons: Vec::new(),
        together: 0.0,
        trials: 500,
    }
}

fn edit(dice: &mut Dice, job: &Job) -> Vec<Edit> {
    let on = day(job.start, dice.roll(12));
    let lost = LostTime {
        from: on,
        to: None,
        hours: None,
        who: String::new(),
        house: false,
        cause: Default::default(),
        note: String::new(),
    };
    vec![match dice.roll(7) {
        0 => Edit::Name(format!("job {}", dice.roll(9))),
        1 => Edit::Person(0, Some(Person { pace: 0.5 + dice.roll(5) as f64 / 10.0, ..job.crew[0].clone() })),
        2 => Edit::Kept(Some(KeptOrder { order: vec!["den/base/hang".into()], ..KeptOrder::default() })),
        3 => {
            let step = Worked {
                step: "den/base/hang".into(),
                hours: dice.roll(8) as f64 / 4.0,
                done: dice.roll(2) == 0,
                ..Worked::default()
            };
            let entry = DayLog { day: on, how: How::Differently, steps: vec![step], note: String::new() };
            Edit::Day(on, Some(Box::new(entry)))
        }
        4 => Edit::Day(on, None),
        5 => Edit::Lost(job.lost.len(), Some(lost)),
        _ => Edit::Lost(0, None),
    }]
}

#[test]
fn five_hundred_walks_come_back_byte_for_byte_and_the_record_only_grows() {
    let job = crate::desk::open(JOB).expect("a job file").read.job;
    let (mut undone, mut kept) = (0, 0);
    for seed in 0..500 {
        let mut dice = Dice(seed);
        let mut s = Session::new(job.clone(), None, String::new());
        let (mut back, mut forth): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        for _ in 0..14 {
            let (before, revision, record) = (bare(s.job()), s.revision(), s.job().record.clone());
            match dice.roll(8) {
                0 | 1 => {
                    let to = back.pop();
                    s.undo();
                    if let Some(to) = to {
                        assert_eq!(bare(s.job()), to, "undo of walk {seed}");
                        forth.push(before);
                        undone += 1;
                    }
                }
                2 => {
                    let to = forth.pop();
                    s.redo();
                    if let Some(to) = to {
                        assert_eq!(bare(s.job()), to, "redo of walk {seed}");
                        back.push(before);
                    }
                }
                3 => {
                    // What was said on an evening is no change to take back.
                    let on = record.last().map_or(job.start, |e| day(e.day, 1));
                    s.edit(&[Edit::Evening(Box::new(evening(on)))]);
                    assert_eq!(bare(s.job()), before);
                    forth.clear();
                }
                4 => {
                    // A day with its evening, as the worker hands them over.
                    let on = record.last().map_or(job.start, |e| day(e.day, 1));
                    let entry = DayLog { day: on, how: How::Nothing, steps: Vec::new(), note: String::new() };
                    let edits = [Edit::Day(on, Some(Box::new(entry))), Edit::Evening(Box::new(evening(on)))];
                    s.written_up(crate::job::edited(s.job(), &edits), "a day".into());
                    back.push(before);
                    forth.clear();
                }
                _ => {
                    let edits = edit(&mut dice, s.job());
                    s.edit(&edits);
                    if s.revision() != revision {
                        back.push(before);
                        forth.clear();
                    }
                }
            }
            let now = &s.job().record;
            assert!(now.starts_with(&record), "the record of walk {seed} shrinks or changes");
            kept += usize::from(now.len() > record.len());
        }
    }
    assert!(undone > 500 && kept > 500, "{undone} undone, {kept} evenings");
}

#[test]
fn a_promise_stays_promised_through_undo() {
    use crate::job::{Promise, TargetKind};
    let job = crate::desk::open(JOB).expect("a job file").read.job;
    let mut s = Session::new(job, None, String::new());
    s.edit(&[Edit::Name("another".into())]);
    let on = day(s.job().start, 9);
    let promise = Promise {
        asked: None,
        withdrawn: false,
        day: on,
        made_on: s.job().start,
        confidence: 0.8,
        chance: 0.5,
        reason: String::new(),
        kept: None,
        trials: 500,
    };
    s.edit(&[Edit::Promised(Box::new(promise))]);
    assert_eq!(s.undo_words(), Some(Edit::Name(String::new()).words().as_str()), "a promise is no entry of undo");
    s.undo();
    let now = s.job();
    assert_eq!(now.name, "one wall");
    assert_eq!(now.promises.len(), 1);
    assert_eq!(now.target.map(|t| (t.kind, t.day)), Some((TargetKind::Promised, on)));
}

#[test]
fn a_promise_made_here_outlives_what_another_hand_wrote() {
    use crate::job::{Promise, TargetKind};
    let job = crate::desk::open(JOB).expect("a job file").read.job;
    let theirs = Job { name: "theirs".into(), ..job.clone() };
    let mut s = Session::new(job, Some("x.ron".into()), String::new());
    let on = day(s.job().start, 9);
    let promise = Promise {
        asked: None,
        withdrawn: false,
        day: on,
        made_on: s.job().start,
        confidence: 0.8,
        chance: 0.5,
        reason: String::new(),
        kept: None,
        trials: 500,
    };
    s.edit(&[Edit::Promised(Box::new(promise))]);
    s.reread(theirs, "theirs".into());
    let promised = |s: &Session| s.job().target.is_some_and(|t| t.kind == TargetKind::Promised && t.day == on);
    assert!(s.job().name == "theirs" && promised(&s) && s.unsaved());
    s.undo();
    assert!(s.job().name == "one wall" && promised(&s) && s.job().promises.len() == 1);
}

#[test]
fn a_promise_withdrawn_is_one_step_of_undo_and_later_promises_stay() {
    use crate::job::{Promise, Target, TargetKind};
    let job = crate::desk::open(JOB).expect("a job file").read.job;
    let asked = Target { kind: TargetKind::Asked, day: day(job.start, 5) };
    let mut s = Session::new(Job { target: Some(asked), ..job }, None, String::new());
    let of = |n: u64, withdrawn: bool| Promise {
        asked: None,
        withdrawn,
        day: day(s.job().start, n),
        made_on: s.job().start,
        confidence: 0.8,
        chance: 0.5,
        reason: "why".into(),
        kept: None,
        trials: 500,
    };
    let (first, gone, second) = (of(9, false), of(9, true), of(12, false));
    s.edit(&[Edit::Name("another".into())]);
    s.edit(&[Edit::Promised(Box::new(first.clone()))]);
    s.edit(&[Edit::Withdrawn(Box::new(gone))]);
    assert_eq!((s.job().target, s.job().promises.len()), (Some(asked), 2));
    let promised = |s: &Session| s.job().promised_day();
    s.undo();
    assert_eq!((promised(&s), s.job().promises.len(), s.job().name.as_str()), (Some(first.day), 1, "another"));
    s.redo();
    assert_eq!((promised(&s), s.job().target, s.job().promises.len()), (None, Some(asked), 2));
    // Undone twice: the name too, and what was promised stays so; both made again.
    s.undo();
    s.undo();
    assert_eq!((promised(&s), s.job().promises.len(), s.job().name.as_str()), (Some(first.day), 1, "one wall"));
    s.redo();
    s.redo();
    assert_eq!((promised(&s), s.job().promises.len(), s.job().name.as_str()), (None, 2, "another"));
    // A promise made since outlives the undo of what was withdrawn before it.
    s.edit(&[Edit::Promised(Box::new(second.clone()))]);
    s.undo();
    assert_eq!(
        (promised(&s), s.job().promises.iter().map(|p| p.day).collect::<Vec<_>>()),
        (Some(second.day), vec![first.day, second.day])
    );
}
