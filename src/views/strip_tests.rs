use super::*;
use crate::forecast::Options;
use crate::job::{Target, TargetKind};

fn opened(kind: TargetKind, day: i64) -> (Sound, crate::search::Found, Forecast) {
    let mut job = crate::desk::open(include_str!("../../sample-jobs/powder.ron")).unwrap().read.job;
    job.target = Some(Target { kind, day: job.date_of(day) });
    let sound = crate::desk::judge(&job).unwrap();
    let found = sound.plan(false).unwrap();
    let f = sound.forecast(&found, Options { trials: 500, seed: 1, cause_trials: 0 }).unwrap();
    (sound, found, f)
}

fn texts(kind: TargetKind, day: impl Fn(&ForecastView) -> i64) -> Vec<String> {
    let (sound, _, f) = opened(kind, 10);
    let first = ForecastView::new(&sound, &f, 0.8);
    let (sound, _, f) = opened(kind, day(&first));
    let odds = ForecastView::new(&sound, &f, 0.8);
    let days = ShownDays::new(&f, 0.8, true, None);
    let r = Reading { sound: &sound, forecast: &f, odds: &odds, days };
    strip(&r, None).into_iter().map(|x| x.text).collect()
}

#[test]
fn slip_is_said_against_the_day_asked_for_and_against_the_promise() {
    assert_eq!(texts(TargetKind::Asked, |v| v.safe)[3], "just enough");
    assert!(texts(TargetKind::Asked, |v| v.safe + 14)[3].ends_with("10 days to spare"));
    assert_eq!(texts(TargetKind::Asked, |v| v.safe - 7)[3], "5 days short");
    assert_eq!(texts(TargetKind::Promised, |v| v.likely)[3], "on the day");
    assert_eq!(texts(TargetKind::Promised, |v| v.likely + 7)[3], "5 days to spare");
    assert_eq!(texts(TargetKind::Promised, |v| v.likely - 7)[3], "5 days late");
}

#[test]
fn a_question_stands_beside_the_figures_it_changes() {
    let (sound, _, f) = opened(TargetKind::Asked, 12);
    let odds = ForecastView::new(&sound, &f, 0.8);
    let r = Reading { sound: &sound, forecast: &f, odds: &odds, days: ShownDays { likely: 9, safe: 10 } };
    let asked = Reading { days: ShownDays { likely: 9, safe: 11 }, ..r };
    let (plain, both) = (strip(&r, None), strip(&r, Some(&asked)));
    assert_eq!(plain[0].text, both[0].text);
    let a = Almanac(&sound.job);
    let day = |d: i64| a.short_day(d);
    assert_eq!(both[1].text, format!("{} → {}", day(10).rsplit_once(' ').unwrap().0, day(11)));
    assert!(cost_words(&r, &asked).starts_with("costs nothing, chance stays "), "{}", cost_words(&r, &asked));
}

#[test]
fn a_day_shown_stays_while_few_trials_cannot_tell_it_from_the_new_one() {
    let (_, _, f) = opened(TargetKind::Asked, 12);
    let own = ShownDays::new(&f, 0.8, false, None);
    let (_, i) = f.quantile(0.8);
    let edge = ShownDays { likely: own.likely, safe: last_day(i.high) };
    assert_eq!(ShownDays::new(&f, 0.8, false, Some(edge)).safe, edge.safe);
    assert_eq!(ShownDays::new(&f, 0.8, true, Some(edge)).safe, own.safe);
    let far = ShownDays { safe: own.safe + 30, ..own };
    assert_eq!(ShownDays::new(&f, 0.8, false, Some(far)).safe, own.safe);
}

#[test]
fn the_clients_day_is_marked_only_while_it_is_missed() {
    for (late, day) in [(false, 40), (true, 5)] {
        let (sound, _, f) = opened(TargetKind::Asked, day);
        let odds = ForecastView::new(&sound, &f, 0.8);
        let r = Reading { sound: &sound, forecast: &f, odds: &odds, days: ShownDays::new(&f, 0.8, true, None) };
        let all = strip(&r, None);
        assert_eq!((all[2].tone == Tone::Client, all[3].tone == Tone::Client), (late, late), "{all:?}");
    }
}
