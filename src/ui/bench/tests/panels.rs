//! Job head, crew, places, calendar, house, causes and own steps, by the names of their fields.

use super::*;
use crate::ui::bench::Zone;

#[test]
fn the_head_of_the_job_is_changed_in_place() {
    let mut h = bench(Desk::study());
    fill(&mut h, "name, the job", "Study with panels");
    fill(&mut h, "client, the job", "Halloran");
    fill(&mut h, "first day, the job", "8 Mar 2027");
    fill(&mut h, "asked for, the job", "");
    let job = h.state().job();
    assert_eq!((job.name.as_str(), job.client.as_str()), ("Study with panels", "Halloran"));
    assert_eq!((job.start.to_string().as_str(), job.target), ("2027-03-08", None));
    fill(&mut h, "asked for, the job", "16 Apr 2027");
    assert_eq!(h.state().job().target.unwrap().day.to_string(), "2027-04-16");
    press(&mut h, "lengths in, the job: feet and inches");
    press(&mut h, "metres");
    press(&mut h, "Study");
    let field = h.get_by_role_and_label(Role::TextInput, "length, Study");
    assert_eq!(field.value().as_deref(), Some("3.962 m"));
}

#[test]
fn the_slider_asks_while_it_is_dragged_and_is_one_edit_when_let_go() {
    let mut h = bench(Desk::study());
    let rect = h.get_by_label("how safe a promise must be").rect();
    let at = |share: f32| egui::pos2(rect.left() + rect.width() * share, rect.center().y);
    h.drag_at(at(0.6));
    h.run();
    h.hover_at(at(0.7));
    h.run();
    h.hover_at(at(0.8));
    h.run();
    assert!(h.state().asked.iter().any(|a| matches!(a, Action::Ask(_))));
    assert_eq!(h.state().job().confidence, 0.8, "nothing is committed yet");
    h.drop_at(at(0.8));
    h.run();
    let now = h.state().job().confidence;
    assert!(now > 0.82 && now < 0.95, "{now}");
    h.state_mut().session.undo();
    assert_eq!(h.state().job().confidence, 0.8);
    assert_eq!(h.state().session.undo_words(), None);
}

#[test]
fn people_are_added_changed_and_taken_out() {
    let mut h = bench(Desk::study());
    press(&mut h, "Crew");
    fill(&mut h, "cost an hour, Mara", "52.5");
    fill(&mut h, "days off, Mara", "15 Mar 2027 to 17 Mar 2027");
    press(&mut h, "a week of his or her own, Mara");
    fill(&mut h, "lunch, Mara", "");
    press(&mut h, "Sat, Mara");
    let mara = &h.state().job().crew[0];
    assert_eq!((mara.cost, mara.days_off.len()), (52.5, 3));
    let week = mara.week.as_ref().unwrap();
    assert_eq!((week.lunch, week.days.len()), (None, 6));
    // A new one stands open, his name ready to be written over.
    press(&mut h, "Add a helper");
    fill(&mut h, "pace, Helper", "0.5");
    let helper = &h.state().job().crew[1];
    assert!(helper.helper && helper.pace == 0.5 && helper.id == "helper");
    press(&mut h, "Take out, Helper");
    assert_eq!(h.state().job().crew.len(), 1);
}

#[test]
fn places_say_their_air_and_the_humidity_it_makes() {
    let mut desk = Desk::study();
    desk.state.reveal = Some(Zone::Places);
    let mut h = bench(desk);
    press(&mut h, "study, room");
    let name = "temperature in work hours, study";
    fill(&mut h, name, "72 F");
    let air = h.state().job().places[0].work_air;
    assert_eq!((air.temp_f, air.dew_f), (72.0, 46.0));
    let damp = format!("damp in work hours: {}", crate::views::typed::humidity(air));
    assert!(h.query_by_label(&damp).is_some());
    fill(&mut h, "dew point in work hours, study", "80");
    assert_eq!(h.state().job().places[0].work_air.dew_f, 46.0);
    assert!(h.query_by_label_contains("not above the temperature").is_some());
    press(&mut h, "fan or dehumidifier runs, study");
    press(&mut h, "shop, study");
    fill(&mut h, "racks, study", "4");
    fill(&mut h, "minutes away, study", "5");
    let p = &h.state().job().places[0];
    assert_eq!((p.fan, p.racks, p.away_min, p.open_to.as_slice()), (true, Some(4), 5, &["shop".to_string()][..]));
    press(&mut h, "Add a shop");
    assert_eq!(h.state().job().places[3].id, "shop-2");
}

#[test]
fn week_holidays_house_and_causes_are_changed() {
    let mut h = bench(Desk::study());
    for head in ["Working week and days off", "The house", "What may go wrong"] {
        press(&mut h, head);
    }
    fill(&mut h, "hours, the week", "7:30 to 17");
    press(&mut h, "Fri, the week");
    fill(&mut h, "holidays, the job", "2027-03-26, 29 Mar 2027");
    fill(&mut h, "house closed, the job", "10 Mar 2027");
    fill(&mut h, "noise only, the job", "9:00 to 15:00");
    let c = h.state().job().calendar.clone();
    assert_eq!((c.week.open.0, c.week.close.0, c.week.days.len()), (450, 1020, 4));
    assert_eq!((c.holidays.len(), c.house_closed.len(), c.noise.unwrap().to.0), (2, 1, 900));
    fill(&mut h, "built in, the house", "1926");
    press(&mut h, "people live in it, the house");
    fill(&mut h, "out of square, the house", "1.2");
    let house = h.state().job().house.clone();
    assert_eq!((house.year_built, house.occupied, house.out_of_square), (Some(1926), false, 1.2));
    fill(&mut h, "out of square, the house", "3");
    assert!(h.query_by_label_contains("write 1 to 1.4").is_some());
    press(&mut h, "slow drying, what may go wrong");
    fill(&mut h, "chance of a late start, what may go wrong", "20 %");
    fill(&mut h, "hours, loose plaster", "8");
    let r = &h.state().job().risks;
    assert_eq!((r.drying, r.hole_chance, r.surprise_rows[0].hours), (crate::trade::Switch::Off, 0.2, 8.0));
}

#[test]
fn a_step_of_ones_own_is_changed_and_taken_out() {
    let own = crate::job::OwnStep {
        id: "shelf".into(),
        name: "hang a shelf".into(),
        room: "study".into(),
        hours: Some((1.0, 2.0, 3.0)),
        ..Default::default()
    };
    let mut desk = Desk::study();
    desk.session.edit(&[crate::job::Edit::OwnStep(0, Some(Box::new(own)))]);
    let mut worker = Worker::inline(500);
    worker.job(desk.session.revision(), desk.session.job().clone());
    desk.shown = worker
        .told()
        .into_iter()
        .filter_map(|t| if let Told::Shown(s) = t { Some((*s).clone()) } else { None })
        .last()
        .unwrap();
    desk.selected = Some("shelf".into());
    let mut h = bench(desk);
    fill(&mut h, "hours typical, hang a shelf", "2.5");
    fill(&mut h, "set-up minutes, hang a shelf", "10");
    fill(&mut h, "most hands, hang a shelf", "2");
    let s = &h.state().job().steps[0];
    assert_eq!((s.hours, s.setup_min, s.hands.most), (Some((1.0, 2.5, 3.0)), 10, 2));
    press(&mut h, "Take this step out, hang a shelf");
    assert!(h.state().job().steps.is_empty());
}
