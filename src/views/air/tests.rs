use super::*;
use crate::views::section::Shape;

fn study(text: &str) -> (Sound, Found, PlanView) {
    let sound = crate::desk::open(text).unwrap().sound.expect("sound");
    let found = sound.plan(false).unwrap();
    let view = PlanView::without_float(&sound, &found);
    (sound, found, view)
}

const STUDY: &str = include_str!("../../../sample-jobs/study.ron");

#[test]
fn every_coat_is_ready_when_the_plan_says() {
    let (sound, found, view) = study(STUDY);
    let r = Reader::new(&sound, &found, &view);
    let mut seen = 0;
    for p in r.places() {
        for (row, product) in r.coats(p) {
            let Some(w) = r.wet(row, product) else { continue };
            let damps = r.damps(p, Some(row.step));
            let around = Around {
                week: &sound.setting.spots[p].week,
                first_weekday: sound.setting.first_weekday,
                damps: &damps,
            };
            let minutes = r.net.stage_min[row.step][stage_ix(w.stage)];
            let laid = Laid { product, stage: w.stage, minutes, from: w.from };
            let (ready, _) = laid.ready(&around).unwrap();
            // The plan's clocks are whole millionths of a minute's progress.
            assert!((ready.0 - w.ready.0).abs() <= 1, "{}: {ready:?}, not {:?}", w.id, w.ready);
            seen += 1;
        }
    }
    assert!(seen > 12, "{seen} coats");
}

#[test]
fn the_night_and_the_week_are_told() {
    let (sound, found, view) = study(STUDY);
    let day = first_day(&sound, &found, &view);
    let text = air_text(&sound, &found, &view, day);
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines.iter().any(|l| l.starts_with("Air of its places, Mon ")), "{text}");
    assert!(text.contains("  Tonight, ") && text.contains(" RH in its work hours"), "{text}");
    assert!(text.contains(" work begins ") && text.contains(" sooner, "), "{text}");
    assert!(lines.iter().all(|l| l.chars().count() <= 100 && l.trim_end() == *l), "{text}");
    let r = Reader::new(&sound, &found, &view);
    let x = r.place(r.places()[0], day);
    assert_eq!((x.hours.len(), x.days.len(), x.hours[0].at), (168, 7, At(x.first * DAY)));
    // Who reads a figure can ask why.
    for f in x.tonight.iter().map(|t| &t.figure).chain(x.cannot.iter().map(|c| &c.figure)) {
        assert!(!f.value.is_empty() && f.why.contains(" h at ") && f.why.contains("figure"), "{f:?}");
    }
    let v = air_json(&sound, &found, &view, day);
    assert_eq!(v["places"][0]["hours"].as_array().unwrap().len(), 168);
    assert!(v["places"][0]["tonight"][0]["ready"].is_string(), "{v}");
}

#[test]
fn a_cold_house_says_what_stands_still_and_what_heat_would_bring() {
    // The room at 46 F by night: compound wants 50 F until dry (National Gypsum guide [R]).
    let (mut sound, ..) = study(STUDY);
    let mut job = sound.job.clone();
    job.places[0].off_air = Air::from_rh(46.0, 0.6);
    sound = crate::desk::judge(&job).expect("sound");
    let found = sound.plan(false).unwrap();
    let view = PlanView::without_float(&sound, &found);
    let r = Reader::new(&sound, &found, &view);
    let day = first_day(&sound, &found, &view);
    let x = r.place(0, day);
    assert!(x.hours.iter().any(|h| h.stops == Some(Stop::Cold)), "{:?}", x.cannot);
    let c = x.cannot.iter().find(|c| c.still > 0).expect("a coat that stands still");
    assert!(c.figure.value.contains("stands still for ") && c.figure.value.contains("below 50 F"), "{c:?}");
    let heat = c.helps.iter().find(|h| h.means == Means::Heater).expect("a heater helps");
    assert!(heat.gain.unwrap() >= c.still / 2, "{heat:?} of {}", c.still);
    assert!(x.cannot.iter().any(|c| c.wet.is_none() && c.figure.value.contains("at other hours")), "{:?}", x.cannot);
}

#[test]
fn the_picture_stays_in_its_area() {
    let (sound, found, view) = study(STUDY);
    let r = Reader::new(&sound, &found, &view);
    for width in [260.0, 300.0, 420.0] {
        for day in (0..30).step_by(7) {
            for p in r.places() {
                for s in picture(&r.place(p, day), width) {
                    let inside = |x: f32, y: f32| (0.0..=width + 0.5).contains(&x) && (0.0..=HIGH + 0.5).contains(&y);
                    let ok = match &s {
                        Shape::Rect { at, .. } => inside(at.x, at.y) && inside(at.right(), at.bottom()),
                        Shape::Poly { points, .. } | Shape::Path { points, .. } => {
                            points.iter().all(|p| inside(p.x, p.y))
                        }
                        Shape::Dot { at, .. } => inside(at.x, at.y),
                        Shape::Text { at, text, size, weight, .. } => {
                            inside(at.x, at.y) && inside(at.x + crate::views::face::width(text, *size, *weight), at.y)
                        }
                        Shape::Tick { .. } => false,
                    };
                    assert!(ok, "{width}, day {day}: {s:?}");
                }
            }
        }
    }
}
