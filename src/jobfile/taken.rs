//! The records of ways back: what extras cost, and the ways that were taken.

use super::reader::{record, words};
use crate::job::{Job, Records, RoomSurface, Surface, TakenWay};
use crate::trade::{Extra, ExtraUnit};

words!(ExtraUnit, "a unit of an extra", {
    "hour" => Hour, "day" => Day, "business_day" => BusinessDay, "delivery" => Delivery, "visit" => Visit,
    "step" => Step, "share" => Share,
});

record!(
    Extra,
    "what an extra costs",
    Extra::default(),
    { id required, name, unit required, amount required [0 to 100000], tag, source }
);

record!(
    TakenWay,
    "a way back taken",
    TakenWay {
        day: Job::default().start,
        words: String::new(),
        cents: 0,
        was: Records::default(),
        is: Records::default(),
    },
    { day required, words required, cents [-100000000 to 100000000], was, is }
);

record!(Records, "records a way changed", Records::default(), {
    crew, places, surfaces, steps, deliveries, decisions, visits, rooms, calendar, kept,
});

record!(
    RoomSurface,
    "a surface of a room",
    RoomSurface { room: String::new(), surface: Surface::default() },
    { room required, surface required }
);
