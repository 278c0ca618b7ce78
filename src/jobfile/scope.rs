//! The records of rooms and of steps of the user's own.

use super::reader::{record, words};
use crate::job::{
    Boxes, Change, Duration, Need, Opening, OpeningKind, OwnMethod, OwnStep, Room, Surface, Wall, Window,
};
use crate::measure::Length;
use crate::trade::{Flags, Leaves, LinkKind, Part, Scheme, Stage};

words!(OpeningKind, "a kind of opening", { "door" => Door, "window" => Window, "cased" => Cased });
words!(Part, "a part of a room", {
    "walls" => Walls, "ceiling" => Ceiling, "crown" => Crown, "openings" => Openings, "panels" => Panels,
    "base" => Base, "room" => Room,
});
words!(Scheme, "a scheme", {
    "split" => Split, "beta_pert" => BetaPert, "triangular" => Triangular, "fixed" => Fixed,
});
words!(LinkKind, "a kind of link", { "fs" => Fs, "ss" => Ss, "ff" => Ff, "sf" => Sf });
words!(Stage, "a stage of dryness", {
    "dust_free" => DustFree, "sand" => Sand, "recoat" => Recoat, "tape" => Tape, "handle" => Handle,
    "shut" => Shut, "full" => Full,
});

record!(Room, "a room", Room::default(), {
    id,
    name,
    place,
    size,
    walls,
    openings,
    boxes,
    holes [0 to 1000],
    cracks [0 to 12000],
    surfaces,
    walk_through,
});

record!(
    Wall,
    "a wall",
    Wall { name: String::new(), length: Length::ZERO, height: Length::ZERO, turn: 90.0 },
    { name, length required [1 to 6000], height required [1 to 1200], turn [-180 to 180] }
);

record!(
    Opening,
    "an opening",
    Opening {
        kind: OpeningKind::Door,
        name: String::new(),
        wall: 1,
        width: Length::ZERO,
        height: Length::ZERO,
        sill: None,
        from_corner: None,
        casing: None,
        count: 1,
    },
    {
        kind,
        name,
        wall [1 to 1000],
        width required [1 to 1200],
        height required [1 to 1200],
        sill [0 to 1200],
        from_corner [0 to 6000],
        casing [0 to 24],
        count [1 to 100],
    }
);

record!(Boxes, "a row of boxes", Boxes { wall: 1, count: 0 }, { wall [1 to 1000], count required [0 to 200] });

record!(Surface, "a surface", Surface::default(), {
    id,
    name,
    part,
    recipe required,
    methods,
    walls [1 to 1000],
    height [1 to 1200],
    panels [1 to 1000],
    difficulty [0.5 to 1.8],
    changes,
});

record!(Change, "a change", Change::default(), { step required, skip, hours [0 to 10000], product, later });

record!(Flags, "a set of flags", Flags::default(), { one_go, set_down, dusty, noisy, closes });

record!(Leaves, "what a step leaves", Leaves::default(), { product required, thick [0 to 20] });

record!(Window, "a window of time", Window::default(), { days, date, from, to });

record!(
    Need,
    "a need",
    Need { step: String::new(), link: LinkKind::Fs, dry: None, lag: 0.0, longest: None },
    { step required, link, dry, lag [-100000 to 100000], longest [0 to 100000] }
);

record!(Duration, "a duration", Duration::default(), { scheme, values required [0 to 1000000] });

record!(OwnStep, "a step", OwnStep::default(), {
    id,
    name,
    room,
    surface,
    place,
    hours [0 to 10000],
    duration,
    rate,
    setup_min [0 to 480],
    pieces [0 to 1000],
    hands,
    flags,
    leaves,
    racks [0 to 10000],
    earliest,
    windows,
    needs,
    before,
    methods,
    trade,
    fit_up,
    redo [0 to 1],
    later,
});

record!(OwnMethod, "a method", OwnMethod::default(), { id, hours [0 to 10000], hands, leaves, flags, needs });
