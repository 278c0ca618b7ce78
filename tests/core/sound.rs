//! Steps that can never be done are said so, each with what to do.

use roomback::clock::{Air, At};
use roomback::job::{Day, Hm, Hours, Job, Person, Place, PlaceKind, Problem, Week};
use roomback::schedule::{Setting, sound};
use roomback::work::{BeginWindow, Coat, Crew, Kind, Role, Spread, Step, WorkGraph};

use crate::random::{Size, how_many, products, random};

fn person(id: &str) -> Person {
    Person { id: id.into(), ..Person::default() }
}

/// One room, a cold shop, one person with the default week (7 h 20 min a day).
fn job() -> Job {
    let shop = Place {
        id: "shop".into(),
        kind: PlaceKind::Shop,
        work_air: Air { temp_f: 44.0, dew_f: 40.0 },
        off_air: Air { temp_f: 40.0, dew_f: 38.0 },
        racks: Some(3),
        away_min: 15,
        ..Place::default()
    };
    let room = Place { id: "nursery".into(), ..Place::default() };
    Job { crew: vec![person("nell")], places: vec![room, shop], products: products(), ..Job::default() }
}

fn step(labor_h: f64, who: &[usize]) -> Step {
    Step {
        id: "nursery/walls/coat".into(),
        name: "coat".into(),
        room: "nursery".into(),
        surface: "walls".into(),
        place: Some(0),
        kind: Kind::Labor,
        role: Role::Plain,
        labor: Spread::fixed(labor_h * 60.0),
        setup_min: 0,
        terms: Vec::new(),
        pieces: vec![1.0],
        crew: Crew { fewest: 1, most: 1, who: who.to_vec() },
        coat: None,
        flags: Default::default(),
        racks: 0,
        rh_below: None,
        earliest: None,
        windows: Vec::new(),
        when: Vec::new(),
        trade: String::new(),
        fit_up: false,
        own_history: false,
        origin: "rooms[0].surfaces[1]".into(),
    }
}

fn problems(job: &Job, step: Step) -> Vec<Problem> {
    let graph = WorkGraph { steps: vec![step], products: products(), ..WorkGraph::default() };
    sound(job, &graph, &Setting::new(job, &graph))
}

fn only(job: &Job, step: Step) -> (String, String) {
    let mut all = problems(job, step);
    assert_eq!(all.len(), 1, "{all:#?}");
    let p = all.remove(0);
    assert_eq!(p.path, "rooms[0].surfaces[1]");
    (p.what, p.remedy)
}

#[test]
fn a_piece_longer_than_any_shift() {
    let mut s = step(11.0, &[0]);
    s.flags.one_go = true;
    let (what, remedy) = only(&job(), s.clone());
    assert_eq!(what, "\"nursery/walls/coat\" needs 11 h in one go and the longest shift for it is 7 h 20 min");
    assert_eq!(remedy, "split it into more pieces, put more hands on it, or lengthen a shift");
    // In two pieces it fits; to the minute of the shift it fits as well.
    s.pieces = vec![0.5, 0.5];
    assert!(problems(&job(), s.clone()).is_empty());
    s.pieces = vec![1.0];
    s.labor = Spread::fixed(440.0);
    assert!(problems(&job(), s.clone()).is_empty());
    s.labor = Spread::fixed(441.0);
    assert_eq!(problems(&job(), s.clone()).len(), 1);
    // A window late in the day leaves too little.
    s.labor = Spread::fixed(240.0);
    s.windows = vec![BeginWindow { days: [true; 7], day: None, from: 780, to: 960 }];
    let (what, _) = only(&job(), s);
    assert_eq!(what, "\"nursery/walls/coat\" needs 4 h in one go and at most 3 h 5 min is left when it may begin");
}

#[test]
fn hands_nobody_has() {
    let (what, _) = only(&job(), step(2.0, &[]));
    assert_eq!(what, "nobody in the crew may do \"nursery/walls/coat\"");
    let mut s = step(2.0, &[0]);
    (s.crew.fewest, s.crew.most) = (2, 2);
    let (what, _) = only(&job(), s);
    assert_eq!(what, "\"nursery/walls/coat\" needs 2 people and only nell may do it");
    let mut j = job();
    j.crew.push(person("arvo"));
    j.crew[1].week = Some(Week { days: vec![Day::Sat, Day::Sun], ..Week::default() });
    let mut s = step(2.0, &[0, 1]);
    (s.crew.fewest, s.crew.most) = (2, 2);
    let (what, remedy) = only(&j, s.clone());
    assert_eq!(what, "\"nursery/walls/coat\" can never be worked on: nell and arvo never share a shift");
    assert_eq!(remedy, "let their hours overlap, or name others");
    j.crew[1].week = Some(Week { days: vec![Day::Fri, Day::Sat], ..Week::default() });
    assert!(problems(&j, s).is_empty());
    let mut j = job();
    j.calendar.noise = Some(Hours { from: Hm(1080), to: Hm(1140) });
    let mut s = step(2.0, &[0]);
    s.flags.noisy = true;
    let (what, _) = only(&j, s);
    assert!(what.ends_with("nell is never on shift in the hours noise is allowed"), "{what}");
}

#[test]
fn a_product_that_never_dries() {
    let mut s = step(2.0, &[0]);
    (s.place, s.flags.one_go, s.coat) = (Some(1), true, Some(Coat { product: 1, thick: 1.0 }));
    let (what, remedy) = only(&job(), s.clone());
    let said = "enamel of \"nursery/walls/coat\" never dries in shop: it needs 50 F and the place reaches 44 F";
    assert_eq!(what, said);
    assert_eq!(remedy, "heat the place to 50 F or more, do it in nursery, or take another product");
    let mut j = job();
    j.places[1].work_air = Air { temp_f: 60.0, dew_f: 58.0 };
    j.places[1].off_air = j.places[1].work_air;
    let (what, remedy) = only(&j, s.clone());
    assert!(what.ends_with("it needs humidity of 85 % or less and the place has 93 % at its driest"), "{what}");
    assert!(remedy.starts_with("run a heater or a dehumidifier there"));
    // Warm and dry, but only at night.
    let mut j = job();
    j.places[1].off_air = Air { temp_f: 65.0, dew_f: 40.0 };
    s.flags.one_go = false;
    let (what, _) = only(&j, s);
    assert!(what.ends_with("may be put on there only at hours nell is off"), "{what}");
}

#[test]
fn racks_humidity_windows_and_trips() {
    let mut s = step(2.0, &[0]);
    (s.place, s.racks) = (Some(1), 5);
    let (what, _) = only(&job(), s);
    assert_eq!(what, "\"nursery/walls/coat\" needs 5 racks and shop has 3");
    let mut s = step(2.0, &[0]);
    s.rh_below = Some(0.40);
    let (what, _) = only(&job(), s);
    assert_eq!(what, "\"nursery/walls/coat\" waits for humidity under 40 % and nursery has 49 % at its driest");
    let mut s = step(2.0, &[0]);
    s.windows =
        vec![BeginWindow { days: [false, false, false, false, false, true, false], day: None, from: 480, to: 720 }];
    let (what, _) = only(&job(), s.clone());
    assert_eq!(what, "\"nursery/walls/coat\" can never begin: its window never opens while nell is on shift");
    // Nobody's hands, and the one day lies before its earliest date.
    s.windows = vec![BeginWindow { days: [true; 7], day: Some(3), from: 480, to: 720 }];
    (s.kind, s.labor, s.earliest) = (Kind::Elapsed(Spread::fixed(60.0)), Spread::ZERO, Some(At(5 * 1440)));
    let (what, _) = only(&job(), s);
    assert_eq!(what, "the window of \"nursery/walls/coat\" never opens");
    let mut s = step(10.0, &[0]);
    s.setup_min = 450;
    let (what, _) = only(&job(), s);
    let said = "begins only with more than 7 h 30 min left of a shift and there is never more than 7 h 20 min";
    assert!(what.ends_with(said), "{what}");
    let mut j = job();
    j.places[1].away_min = 300;
    let (mut a, b) = (step(2.0, &[0]), step(2.0, &[0]));
    a.place = Some(1);
    let graph = WorkGraph { steps: vec![a, b], ..WorkGraph::default() };
    let all = sound(&j, &graph, &Setting::new(&j, &graph));
    assert_eq!(all.len(), 1);
    assert_eq!(
        (all[0].path.as_str(), all[0].what.as_str()),
        ("places[1].away_min", "the trip to shop and back takes 10 h and the longest shift is 7 h 20 min")
    );
}

#[test]
fn random_sound_jobs_are_sound() {
    for seed in 0..how_many(400) {
        let (job, graph) = random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal });
        let found = sound(&job, &graph, &Setting::new(&job, &graph));
        assert!(found.is_empty(), "job {seed}: {found:#?}");
    }
}
