//! Each answer as an edit: what it changes, what it says, and that the job file keeps it.

use super::*;
use crate::job::edited;
use crate::{desk, jobfile};

fn job(name: &str) -> Job {
    let text = match name {
        "study" => include_str!("../../../sample-jobs/study.ron"),
        _ => include_str!("../../../sample-jobs/powder.ron"),
    };
    desk::open(text).unwrap().read.job
}

fn ask(job: &Job, key: &str) -> Question {
    questions(job).into_iter().find(|q| q.key == key).unwrap()
}

fn answer(job: &Job, key: &str, words: &str) -> Job {
    let q = ask(job, key);
    let c = q.rows.iter().flatten().find(|c| c.words == words).unwrap_or_else(|| panic!("{key}: no {words}"));
    edited(job, &c.edits)
}

fn type_in(job: &Job, key: &str, text: &str) -> Result<Job, String> {
    (ask(job, key).blank.unwrap().read)(job, text).map(|e| edited(job, &e))
}

/// As read back from its own text.
fn kept(job: &Job) -> Job {
    let read = jobfile::read(&jobfile::write(job), tables()).unwrap();
    assert!(read.problems.is_empty(), "{:?}", read.problems);
    read.job
}

#[test]
fn a_bare_job_is_asked_everything_and_a_filled_one_what_it_does_not_show() {
    let list = questions(&Job::default());
    assert_eq!(list.iter().map(|q| q.key).collect::<Vec<_>>(), KEYS);
    assert_eq!(count(&list), "9 of 9 not asked yet");
    // What is taken until then is said, and no answer stands as given.
    let taken = |says: &str| says.is_empty() || says.starts_with("until it is asked: ");
    assert!(list.iter().all(|q| taken(&q.says) && q.rows.iter().flatten().all(|c| !c.on)));
    assert!(list.iter().filter(|q| !q.says.is_empty()).count() > 5);
    // The study says its year, its heat and its shop.
    let open = |j: &Job| questions(j).iter().filter(|q| !q.answered).map(|q| q.key).collect::<Vec<_>>();
    assert_eq!(open(&job("study")), ["square", "stairs", "people", "away", "crew", "before"]);
}

#[test]
fn every_answer_holds_after_it_is_given_and_after_the_file_is_read_again() {
    for name in ["study", "powder"] {
        let before = job(name);
        for q in questions(&before) {
            for (r, row) in q.rows.iter().enumerate() {
                for c in row {
                    let after = edited(&before, &c.edits);
                    assert_eq!(kept(&after), after, "{} {}", q.key, c.words);
                    let now = ask(&after, q.key);
                    assert!(now.answered && !now.says.is_empty(), "{} {}", q.key, c.words);
                    let on: Vec<_> = now.rows[r].iter().filter(|c| c.on).map(|c| c.words.as_str()).collect();
                    assert_eq!(on, [c.words.as_str()], "{}", q.key);
                    // Nothing dries in damp air that nobody heats; that is said.
                    match desk::judge(&after) {
                        Ok(_) => {}
                        Err(p) => assert!(q.key == "heat" && now.says.contains("does not dry"), "{} {p:?}", c.words),
                    }
                }
            }
        }
    }
}

#[test]
fn answers_say_what_they_changed() {
    let study = job("study");
    let j = answer(&study, "square", "somewhat out");
    assert_eq!((j.house.out_of_square, ask(&j, "square").says.as_str()), (1.15, "fit-up work x1.15"));
    let j = answer(&study, "people", "nobody");
    assert_eq!(ask(&j, "people").says, "work in the house x0.85; noise at any hour");
    let j = answer(&study, "people", "people and pets");
    assert!(ask(&j, "people").says.contains("a late start on 15 in 100 days"));
    let j = answer(&j, "people", "9:00 to 17:00");
    assert_eq!(j.calendar.noise, Some(QUIET));
    let j = answer(&study, "before", "in the middle");
    // The quantiles of the risks: 1 day at half, 5 at 9 in 10.
    assert_eq!(ask(&j, "before").says, "1 or more work days late in half of all cases; 5 or more in 1 of 10");
    let j = answer(&j, "before", "done");
    assert_eq!((j.risks.job_before, ask(&j, "before").says.as_str()), (Switch::Off, "this one starts on its day"));
    let j = answer(&study, "stairs", "12 ft does");
    assert!(ask(&j, "stairs").says.contains("sticks up to 12 ft"));
    let j = answer(&study, "heat", "none");
    let cold = j.places[0].work_air;
    assert_eq!((cold.temp_f, cold.dew_f), (50.0, 46.0));
    let slow = ask(&j, "heat").says;
    assert_ne!(slow, ask(&answer(&study, "heat", "day and night"), "heat").says);
    // The shop is no room of the house.
    assert_eq!(j.places[1], study.places[1]);
}

#[test]
fn an_old_house_puts_the_tests_first() {
    let study = job("study");
    assert!(ask(&study, "year").says.starts_with("no lead or asbestos test"));
    let old = type_in(&study, "year", "1926").unwrap();
    let says = ask(&old, "year").says;
    assert!(says.contains("lead test first: 5 business days") && says.contains("x1.5 on strip"), "{says}");
    let steps = |j: &Job| desk::judge(j).unwrap().graph.steps.iter().filter(|s| s.id.ends_with("-result")).count();
    assert_eq!((steps(&study), steps(&old)), (0, 2));
    // The powder room has no walk-round: the tests are offered, not put in.
    let old = type_in(&job("powder"), "year", "1926").unwrap();
    let (words, edits) = ask(&old, "year").offers.pop().unwrap();
    assert_eq!((words.as_str(), steps(&old)), ("Put the tests before the work", 0));
    let tested = edited(&old, &edits);
    assert_eq!((steps(&tested), ask(&tested, "year").offers.len()), (2, 0));
    assert!(type_in(&study, "year", "26").unwrap_err().contains("like 1926"));
    let unknown = type_in(&study, "year", "").unwrap();
    assert!(ask(&unknown, "year").says.starts_with("counts as old"));
}

#[test]
fn typed_answers_are_read_and_kept() {
    let powder = job("powder");
    let j = type_in(&powder, "away", "1 Jun 2027 to 3 Jun 2027").unwrap();
    assert_eq!(ask(&j, "away").says, "the house is shut on 3 days");
    assert!(type_in(&powder, "away", "next week").is_err());
    let j = type_in(&powder, "shop", "25").unwrap();
    let shop = j.places.last().unwrap();
    assert_eq!((shop.kind, shop.away_min), (PlaceKind::Shop, 25));
    assert_eq!(ask(&j, "shop").says, "25 min each way, on each day with work in both");
    let further = type_in(&j, "shop", "40").unwrap();
    assert_eq!((further.places.len(), further.places.last().unwrap().away_min), (j.places.len(), 40));
    assert!(type_in(&powder, "shop", "900").is_err());
    // The booth beside the shop moves with it.
    let study = type_in(&job("study"), "shop", "35").unwrap();
    assert_eq!((study.places[1].away_min, study.places[2].away_min), (35, 0));
}

#[test]
fn heat_that_keeps_the_stock_out_is_said_with_two_ways_out() {
    let study = Job { kept: None, ..job("study") };
    let cold = answer(&study, "heat", "none");
    let q = ask(&cold, "heat");
    assert!(q.says.contains("trim stock needs drier air in") && q.says.contains("under 60 %"), "{}", q.says);
    assert!(desk::judge(&cold).is_err());
    let words: Vec<&str> = q.offers.iter().map(|o| o.0.as_str()).collect();
    assert_eq!(words, ["Put a heater in: study", "Take the answer back"]);
    for (words, edits) in &q.offers {
        let mended = edited(&cold, edits);
        assert!(desk::judge(&mended).is_ok(), "{words}: {:?}", desk::judge(&mended).err());
        assert!(ask(&mended, "heat").offers.is_empty(), "{words}");
    }
    // The heater is an answer of the row, and is marked.
    let marked = |j: &Job| {
        let q = ask(j, "heat");
        let on: Vec<String> = q.rows[0].iter().filter(|c| c.on).map(|c| c.words.clone()).collect();
        (on, q.says.starts_with("your own figures: "))
    };
    let heated = edited(&cold, &q.offers[0].1);
    assert_eq!(marked(&heated), (vec!["with a heater of mine".to_string()], false));
    // Air of one's own is none of them.
    let mut own = heated.clone();
    own.places[0].work_air.temp_f = 71.0;
    assert_eq!(marked(&own), (Vec::new(), true));
}

#[test]
fn a_heater_goes_into_rooms_in_which_nothing_is_to_be_done_yet_as_well() {
    let study = Job { kept: None, ..job("study") };
    let mut two = answer(&study, "heat", "none");
    let bath =
        crate::job::Room { id: "bath".into(), place: "bath".into(), surfaces: Vec::new(), ..two.rooms[0].clone() };
    two.rooms.push(bath);
    two.places.push(Place { id: "bath".into(), name: "bath".into(), ..two.places[0].clone() });
    let (words, edits) = heater(&two).unwrap();
    assert_eq!(words, "Put a heater in: study and bath");
    let warm = edited(&two, &edits);
    assert!(heater(&warm).is_none());
    // The surfaces that come later find it warm; without that room's heater they would not.
    let later = |j: &Job| {
        let mut j = j.clone();
        j.rooms[1].surfaces = j.rooms[0].surfaces.clone();
        j
    };
    assert!(desk::judge(&later(&warm)).is_ok(), "{:?}", desk::judge(&later(&warm)).err());
    let one = edited(&two, &edits[..1]);
    assert!(heater(&later(&one)).is_some_and(|h| h.0 == "Put a heater in: bath"));
}

#[test]
fn a_metric_job_is_asked_in_metres_and_a_job_before_all_but_done_is_on_time() {
    let j = Job { units: Units::Metric, ..job("study") };
    assert_eq!(ask(&j, "stairs").ask, "Does a 4.9 m stick turn on the stairs?");
    assert!(ask(&answer(&j, "stairs", "3.7 m does"), "stairs").says.contains("up to 3.7 m;"));
    let j = answer(&j, "before", "nearly done");
    assert_eq!(ask(&j, "before").says, "on time in half of all cases; 2 or more work days late in 1 of 10");
}

#[test]
fn a_helper_comes_and_goes_by_an_answer() {
    let study = job("study");
    let two = answer(&study, "crew", "Tuesdays and Wednesdays");
    let new = two.crew.last().unwrap();
    assert_eq!((two.crew.len(), new.helper, new.pace), (study.crew.len() + 1, true, HELPER_PACE));
    assert_eq!(new.week.as_ref().unwrap().days, TWO_DAYS);
    let all = answer(&two, "crew", "every day");
    assert_eq!((all.crew.len(), &all.crew.last().unwrap().week), (two.crew.len(), &None));
    let none = answer(&all, "crew", "no helper");
    assert_eq!(none.crew, study.crew);
    assert!(ask(&two, "crew").says.contains("helper"), "{}", ask(&two, "crew").says);
}

#[test]
fn public_holidays_are_taken_off_in_one_answer() {
    let j = Job { start: "2026-12-21".parse().unwrap(), ..job("study") };
    let (words, edits) = ask(&j, "away").offers.pop().unwrap_or_else(|| holidays(&j).unwrap());
    assert!(words.starts_with("Take ") && words.ends_with("public holidays off"), "{words}");
    let off = edited(&j, &edits);
    // Christmas Day, 5 U.S.C. 6103(a).
    assert!(off.calendar.holidays.contains(&"2026-12-25".parse().unwrap()));
    assert!(holidays(&off).is_none() && holidays(&Job { units: Units::Metric, ..j }).is_none());
}
