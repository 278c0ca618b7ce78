//! Crews as they are: each job's plan was read through by eye, as a tradesman would read it; what
//! was judged of it stands above its test, and what must be true of any plan is asserted.

use roomback::clock::{At, DAY};
use roomback::desk::Sound;
use roomback::schedule::{Plan, Run, verify};
use roomback::search::{Found, Proven};
use roomback::trade::Stage;

use crate::samples::sound;

/// A job with its plan, which the judge lets pass.
fn planned(text: &str) -> (Sound, Found) {
    let sound = sound(text);
    let found = sound.plan(false).expect("an order that can be carried out");
    assert_eq!(verify(&sound.graph, &sound.setting, &found.plan), []);
    assert!(found.bound <= found.plan.finish && found.plan.finish < At(70 * DAY));
    (sound, found)
}

fn step(s: &Sound, plan: &Plan, id: &str) -> usize {
    s.graph.find(id, &plan.order.methods).unwrap_or_else(|| panic!("no step {id}"))
}

fn runs<'a>(s: &Sound, plan: &'a Plan, id: &str) -> Vec<&'a Run> {
    let step = step(s, plan, id);
    let all: Vec<&Run> = plan.runs.iter().filter(|r| r.step == step).collect();
    assert!(!all.is_empty(), "{id} is worked on");
    all
}

/// Monday = 0.
fn weekday(s: &Sound, t: i64) -> i64 {
    (s.job.first_weekday() + t.div_euclid(DAY)).rem_euclid(7)
}

/// Weekdays on which somebody begins or ends a stretch of work.
fn days_of(s: &Sound, plan: &Plan, who: usize) -> Vec<i64> {
    let own = plan.runs.iter().filter(|r| r.people.contains(&who));
    let mut out: Vec<i64> = own.flat_map(|r| [weekday(s, r.from.0), weekday(s, r.to.0 - 1)]).collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Judged: Ines opens at 7:00 alone on the Monday and strips and protects; the mirror comes down
/// on the Tuesday, as soon as Bo is there, and no wall is washed before it is down. The shelf is hung
/// by both on the Wednesday, which both have. On Friday and Saturday Bo is alone with the trim, on
/// Monday Ines with the walls. What a tradesman would do otherwise: Bo comes for half an hour of
/// mirror on that Tuesday, where another would keep him for half of the washing (it is one
/// step for one pair of hands, and a visit costs the plan nothing).
#[test]
fn two_people_with_weeks_of_their_own() {
    let (s, found) = planned(include_str!("crews/weeks.ron"));
    let p = &found.plan;
    let (ines, bo) = (days_of(&s, p, 0), days_of(&s, p, 1));
    assert!(ines.iter().all(|d| (0..=3).contains(d)) && ines.contains(&0), "{ines:?}");
    assert!(bo.iter().all(|d| (1..=5).contains(d)) && bo.iter().any(|&d| d >= 4), "{bo:?}");
    for id in ["down", "mantel"] {
        for r in runs(&s, p, id) {
            assert_eq!(r.people, [0, 1], "{id}");
            assert!((1..=3).contains(&weekday(&s, r.from.0)) && r.from.day() == r.to.day(), "{id}");
            // Bo's hours, the shorter ones, bind both: 8:15 to 16:05.
            assert!(r.from.0.rem_euclid(DAY) >= 495 && r.to.0.rem_euclid(DAY) <= 965, "{id}");
            // 1.85 of the usual speed together, the half hour of lunch left out; whole minutes.
            let (a, b) = (r.from.0.rem_euclid(DAY), r.to.0.rem_euclid(DAY));
            let lunch = if a < 780 && b > 750 { 30 } else { 0 };
            assert!((r.labor_milli - (b - a - lunch) * 1850).abs() <= 2 * 1850, "{id}: {r:?}");
        }
    }
    assert_eq!(runs(&s, p, "down")[0].from.day(), 1);
    // Alone, each at his own speed.
    let own = |who: usize, rate: i64| {
        let short = |r: &&Run| r.people == [who] && r.from.day() == r.to.day() && r.trip_min == 0;
        let mut n = 0;
        for r in p.runs.iter().filter(short) {
            assert!(r.labor_milli <= (r.to.0 - r.from.0) * rate, "{r:?}");
            n += 1;
        }
        n
    };
    assert!(own(0, 1000) > 3 && own(1, 850) > 3);
    assert_ne!(found.proven, Proven::No);
}

/// Judged: the first helper's morning, the Wednesday of the first week, is not used, for the
/// laboratory has the samples. On the Tuesday and the Wednesday of the second week he sands,
/// washes and primes while she does the fine work beside him; she hangs the crown alone, for the
/// order does not wait a week for his next day. It is proven that no order is sooner. What a
/// tradesman would do otherwise: ask the helper for the Friday the stock has rested.
#[test]
fn a_helper_on_some_days_only() {
    let (s, found) = planned(include_str!("crews/helper.ron"));
    let p = &found.plan;
    // 2027-06-07 is a Monday: Wednesdays but the 23rd, the Tuesday of the second week.
    let there = |day: i64| day == 8 || day.rem_euclid(7) == 2 && day != 16;
    let mut worked = 0;
    for r in p.runs.iter().filter(|r| r.people.contains(&1)) {
        assert!(there(r.from.day()) && r.to.day() == r.from.day(), "{r:?}");
        worked += 1;
    }
    assert!(worked > 0);
    let crown = runs(&s, p, "dining/crown/hang-crown");
    assert!(crown.iter().all(|r| r.people.contains(&0)), "no helper hangs crown alone");
    // Whoever may work beside him is slowed by him: 0.9 of her rate in those minutes.
    let beside =
        |r: &&Run| r.people == [0] && p.runs.iter().any(|h| h.people == [1] && h.from <= r.from && r.to <= h.to);
    let slowed: Vec<&Run> = p.runs.iter().filter(beside).collect();
    assert!(!slowed.is_empty() && slowed.iter().all(|r| r.labor_milli <= (r.to.0 - r.from.0) * 900), "{slowed:?}");
}

/// Where there is a tradesman, one pair of hands at fit-up is his; carrying in and two-handed
/// work stay open to the helper, and a helper alone on a job does all of it.
#[test]
fn fit_up_is_not_left_to_a_helper() {
    let text = include_str!("crews/helper.ron");
    let s = sound(text);
    let crew = |s: &Sound, part: &str, fewest: usize| {
        let of = s.graph.steps.iter().filter(|x| x.id.ends_with(part) && x.role.planned() && x.crew.fewest == fewest);
        of.map(|x| x.crew.who.clone()).collect::<Vec<_>>()
    };
    assert_eq!(crew(&s, "/hang-crown", 1), [[0]]);
    assert_eq!(crew(&s, "/hang-crown", 2), [[0, 1]]);
    assert_eq!(crew(&s, "/backing", 1), [[0]]);
    assert_eq!(crew(&s, "/prime", 1), [[0, 1]]);
    let alone = text
        .replace("(id: \"lena\", name: \"Lena\", cost: 55)", "(id: \"lena\", name: \"Lena\", cost: 55, helper: true)");
    assert_ne!(alone, text);
    assert_eq!(crew(&sound(&alone), "/hang-crown", 1), [[0, 1]]);
}

/// Judged: one in the shop and one in the house from the first morning, and nobody drives
/// between them more than once a day. The panels are primed in two halves, the
/// second the morning after the first has left the racks, and are carried in on the Friday so
/// that they rest over the weekend. That Friday costs a visit for half an hour, which a
/// tradesman would take on for the two days of rest it saves. What he would do otherwise: one
/// painter both sides of a night on one wall coat; here the other takes it up in the morning.
#[test]
fn a_shop_a_drive_away_and_racks_for_half() {
    let (s, found) = planned(include_str!("crews/shop.ron"));
    let p = &found.plan;
    let base = |r: &Run| s.graph.steps[r.step].place.map(|x| s.setting.spots[x].base);
    for who in 0..2 {
        for day in 0..=p.finish.day() {
            let own = p.runs.iter().filter(|r| r.people.contains(&who) && r.from.day() == day);
            let stops: Vec<_> = own.filter_map(base).collect();
            let changes = stops.windows(2).filter(|w| w[0] != w[1]).count();
            assert!(changes <= 1, "{who} drives {changes} times on day {day}");
        }
    }
    let on_road = |r: &&Run| r.trip_min > 0;
    assert!(p.runs.iter().filter(on_road).all(|r| r.trip_min == 70));
    assert!(p.runs.iter().any(|r| base(r) == Some(0)) && p.runs.iter().any(|r| base(r) == Some(1)));
    // Two halves; the second begins once the first may be handled, and never more than six held.
    let halves: Vec<_> = (1..=2).map(|k| step(&s, p, &format!("library/panels/prime-panels#{k}"))).collect();
    assert!(halves.iter().all(|&h| s.graph.steps[h].racks == 6));
    let mut dates: Vec<_> = halves.iter().map(|&h| p.timed(h).expect("planned")).collect();
    dates.sort_by_key(|t| t.begin);
    let handled = dates[0].ready.iter().find(|r| r.0 == Stage::Handle).expect("primer has the stage").1;
    assert!(dates[1].begin >= handled);
    // Carried in only after the second half.
    let in_house = p.timed(step(&s, p, "library/panels/carry-panels")).expect("planned");
    assert!(dates[1].ready.iter().any(|r| r.0 == Stage::Handle && r.1 <= in_house.begin));
    assert_ne!(found.proven, Proven::No);
}

/// Judged: all that may be done before him is done on the Monday and the Tuesday, then she is
/// elsewhere until he has been: Thursday 13:00 to 15:00. She patches that same afternoon, not
/// beside him. The ceiling waits for the patches, as dust would fall on it; a tradesman would
/// try for an earlier Thursday, and the plan shows what the appointment costs: three days.
#[test]
fn an_electrician_on_thursday_afternoon_only() {
    let (s, found) = planned(include_str!("crews/electrician.ron"));
    let p = &found.plan;
    let visit = p.timed(step(&s, p, "electrician")).expect("planned");
    let minute = visit.begin.0.rem_euclid(DAY);
    assert_eq!(weekday(&s, visit.begin.0), 3);
    assert!(minute >= 13 * 60 && visit.end.0.rem_euclid(DAY) <= 17 * 60 && visit.begin.day() == visit.end.day());
    assert_eq!(visit.end.0 - visit.begin.0, 120);
    assert!(runs(&s, p, "play/walls/wash").iter().all(|r| r.to <= visit.begin));
    let patch = runs(&s, p, "play/walls/patch");
    assert!(patch[0].from >= visit.end && patch[0].from.day() == visit.end.day());
    assert_ne!(found.proven, Proven::No);
    // Washed too late for one Thursday, he comes the next.
    let later = include_str!("crews/electrician.ron").replace("start: \"2027-03-01\"", "start: \"2027-03-04\"");
    let (s, found) = planned(&later);
    let visit = found.plan.timed(step(&s, &found.plan, "electrician")).expect("planned");
    assert_eq!(weekday(&s, visit.begin.0), 3);
    let washed = runs(&s, &found.plan, "play/walls/wash").iter().map(|r| r.to).max().expect("worked on");
    // The first Thursday afternoon with the walls washed by 15:00.
    assert!(washed <= visit.begin && visit.begin.0 - washed.0 < 7 * DAY);
}
