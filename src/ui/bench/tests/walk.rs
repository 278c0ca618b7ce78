//! The walk-round, recipes and entries of one's own, by the names of their controls.

use super::*;
use crate::job::PlaceKind;

#[test]
fn answers_are_chosen_counted_and_taken_back_one_by_one() {
    let mut h = bench(Desk::study());
    assert!(h.query_by_label("Walk-round: 5 of 8 not asked yet").is_some());
    press(&mut h, "Is it square and plumb? somewhat out");
    assert_eq!(h.state().job().house.out_of_square, 1.15);
    assert!(h.query_by_label("Walk-round: 4 of 8 not asked yet").is_some());
    assert!(h.query_by_label_contains("fit-up work x1.15").is_some());
    press(&mut h, "Does a 16 ft stick turn on the stairs? yes");
    assert_eq!(h.state().job().house.asked, ["square", "stairs"]);
    h.state_mut().session.undo();
    h.run();
    assert!(h.query_by_label("Walk-round: 4 of 8 not asked yet").is_some());
    fill(&mut h, "year built, the walk-round", "1926");
    assert!(h.query_by_label_contains("lead test first: 5 business days").is_some());
    fill(&mut h, "year built, the walk-round", "long ago");
    assert!(h.query_by_label_contains("write the year like 1926").is_some());
    fill(&mut h, "days nobody gets in, the walk-round", "10 Mar 2027 to 12 Mar 2027");
    fill(&mut h, "minutes to the shop, the walk-round", "35");
    let job = h.state().job();
    assert_eq!((job.house.year_built, job.calendar.house_closed.len()), (Some(1926), 3));
    assert!(job.places.iter().any(|p| p.kind == PlaceKind::Shop && p.away_min == 35));
}
