//! What each of several people does of the job's labor, and why a helper's part is as small as it is.

use super::{Figure, typed::plain};
use crate::desk::Sound;
use crate::measure::LaborHours;
use crate::search::Found;

/// What somebody beside a helper gets through, against his own rate (judgement; `docs/methods.md`).
const BESIDE: f64 = 0.9;

/// `8.2 h of 134 h in this plan`, for one of several people by id; nothing for one alone or one the plan has not.
pub fn share_of_work(sound: &Sound, found: &Found, person: &str) -> Option<Figure> {
    let crew = &sound.job.crew;
    let who = crew.iter().position(|p| p.id == person).filter(|_| crew.len() > 1)?;
    let (mut own, mut all) = (0.0, 0.0);
    for r in &found.plan.runs {
        let labor = r.labor_milli as f64 / 1000.0;
        let pace: f64 = r.people.iter().map(|&p| crew[p].pace).sum();
        all += labor;
        if r.people.contains(&who) && pace > 0.0 {
            own += labor * crew[who].pace / pace;
        }
    }
    let h = |m: f64| LaborHours(libm::round(m) as i64).to_string();
    let p = &crew[who];
    let mut why = "its share of the labor of each step it is at, as the rates count it".to_string();
    if p.helper {
        let both = plain(libm::round((p.pace + BESIDE) * 100.0) / 100.0);
        why += &format!(
            "; a helper gets through {} of the rates and whoever works beside him in the same place through {} of his \
             own, so that two do {both} times what one does; a step for one pair of hands goes to who is done with it \
             sooner, and drying waits for nobody",
            plain(p.pace),
            plain(BESIDE)
        );
    }
    Some(Figure::new(format!("{} of {} in this plan", h(own), h(all)), why))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::asks::Ask;
    use crate::job::edited;

    #[test]
    fn shares_add_up_to_the_labor_of_the_job() {
        let job = crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").read.job;
        let alone = crate::desk::judge(&job).expect("sound");
        let plan = alone.plan(false).expect("a plan");
        assert_eq!(share_of_work(&alone, &plan, &job.crew[0].id), None);
        let two = edited(&job, &Ask::Helper { from: job.start, days: 10 }.edits(&job));
        let sound = crate::desk::judge(&two).expect("sound");
        let plan = sound.plan(false).expect("a plan");
        let hours = |i: usize| {
            let f = share_of_work(&sound, &plan, &two.crew[i].id).expect("a share");
            let (own, all) = f.value.split_once(" of ").expect("two figures");
            let n = |t: &str| t.split(' ').next().and_then(|n| n.parse::<f64>().ok()).expect("hours");
            (n(own), n(all), f.why)
        };
        let (a, b) = (hours(0), hours(1));
        assert!(b.0 > 0.0 && a.0 > b.0 && (a.0 + b.0 - a.1).abs() <= 0.2, "{a:?} {b:?}");
        assert!(!a.2.contains("helper") && b.2.contains("two do 1.5 times what one does"), "{}", b.2);
        assert_eq!(share_of_work(&sound, &plan, "nobody"), None);
    }
}
