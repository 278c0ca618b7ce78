//! Laws of the sheet over any bytes, over lines of its own words, and over rooms.

use proptest::prelude::*;
use roomback::job::{Boxes, Opening, OpeningKind, Room, Size, Units, Wall};
use roomback::measure::Length;
use roomback::sheet::{read, write};
use roomback::takeoff::Outline;

const WORDS: &[&str] = &[
    "study",
    "bedroom",
    "13",
    "11'6",
    "8'4",
    "8",
    "2",
    "36x54",
    "32x80",
    "x",
    "by",
    "×",
    ",",
    ",",
    ",",
    ":",
    ".",
    "'",
    "\"",
    "-",
    "½",
    "1/2",
    "door",
    "doors",
    "two",
    "window",
    "windows",
    "3 windows",
    "a",
    "no",
    "cased opening",
    "wall",
    "wall 2",
    "wall 1a",
    "on wall 1",
    "at",
    "at 14",
    "from the corner",
    "sill",
    "sill 30",
    "casing",
    "casing 3-1/2",
    "no casing",
    "boxes",
    "3 boxes",
    "holes",
    "cracks",
    "of cracks",
    "bay",
    "bay 6 x 2",
    "bay 2 4 2 on wall 1",
    "bay 2'6, 5', 2'6 at 45",
    "square bay",
    "alcove 4 x 1",
    "chimney breast 5 x 1'6",
    "in the bay",
    "in",
    "out",
    "walls",
    "12'",
    "6'",
    "straight",
    "45°",
    "30 degrees",
    "high",
    "high 8'",
    "ceiling",
    "as measured",
    "2868",
    "21068",
    "13-6",
    "ft",
    "in",
    "m",
    "cm",
    "mm",
    "3,5",
    "2.5 m",
    "4.2 x 3.6 x 2.5",
    "13 x 11 x 8",
    "closet door",
    "as",
    "the",
    "é",
    "§",
    "\n",
    "99999999999",
    "0",
    "left",
    "far side of the bay",
    "wide",
    "12' 6' 5' out 4' 7' 10'",
];

fn units() -> impl Strategy<Value = Units> {
    prop_oneof![Just(Units::FeetInches), Just(Units::Metric)]
}

/// What must hold of any line.
fn lawful(line: &str, units: Units) -> Result<(), TestCaseError> {
    let got = read(line, units);
    for q in &got.questions {
        prop_assert!(q.at.start <= q.at.end && q.at.end <= line.len(), "{:?} of {line:?}", q);
        prop_assert!(line.is_char_boundary(q.at.start) && line.is_char_boundary(q.at.end));
        prop_assert!(!q.ask.is_empty());
        for offer in &q.offers {
            prop_assert!(read(offer, units).questions.len() < got.questions.len() || got.questions.len() == 8);
        }
    }
    prop_assert!(got.room.is_none() || got.questions.is_empty());
    prop_assert_eq!(got.room.is_some(), !got.echo.is_empty());
    if let Some(room) = got.room {
        let text = write(&room, units);
        let again = read(&text, units);
        prop_assert_eq!(again.room.as_ref(), Some(&room), "{:?} wrote {:?}: {:?}", line, text, again.questions);
        prop_assert_eq!(write(&room, units), text);
    }
    Ok(())
}

/// A length on the grid that a person measures to, or off it.
fn length(units: Units, low_mm: i64, high_mm: i64) -> BoxedStrategy<Length> {
    let step = if units == Units::Metric { Length::MM } else { Length::INCH / 16 };
    let (low, high) = (low_mm * Length::MM, high_mm * Length::MM);
    prop_oneof![
        8 => (low / step + 1..high / step).prop_map(move |n| Length(n * step)),
        1 => (low..high).prop_map(Length),
    ]
    .boxed()
}

/// A rectangle, an L, a corner cut off at an angle, or a run of differing heights.
fn shape(units: Units) -> BoxedStrategy<(Option<Size>, Vec<Wall>)> {
    let side = || length(units, 2_000, 9_000);
    let high = || length(units, 2_100, 4_000);
    let wall = |length: Length, height, turn| Wall { name: String::new(), length, height, turn };
    prop_oneof![
        (side(), side(), high()).prop_map(|(length, width, height)| (Some(Size { length, width, height }), Vec::new())),
        (side(), side(), side(), side(), high()).prop_map(move |(a, b, c, d, h)| {
            // Out by c after b, along by d: an L.
            let list = vec![
                wall(a + c, h, 90.0),
                wall(b, h, 90.0),
                wall(c, h, -90.0),
                wall(d, h, 90.0),
                wall(a, h, 90.0),
                wall(b + d, h, 90.0),
            ];
            (None, list)
        }),
        (side(), side(), length(units, 300, 1_500), 20i32..70, high(), high()).prop_map(
            move |(a, b, cut, angle, h, low)| {
                // The corner between wall 1 and the next is cut off.
                let angle = f64::from(angle) / 2.0 + 20.0;
                let (sin, cos) = (libm::sin(angle.to_radians()), libm::cos(angle.to_radians()));
                let c = cut.0 as f64;
                let along = Length(libm::round(c * cos) as i64);
                let down = Length(libm::round(c * sin) as i64);
                let list = vec![
                    wall(a, h, angle),
                    wall(cut, h, 90.0 - angle),
                    wall(b, low, 90.0),
                    wall(a + along, low, 90.0),
                    wall(b + down, h, 90.0),
                ];
                (None, list)
            }
        ),
    ]
    .boxed()
}

fn opening(units: Units, wall: usize, length_: Length, height: Length) -> BoxedStrategy<Opening> {
    let small = |l: Length| Length(l.0 / Length::INCH * Length::INCH);
    (
        0usize..3,
        1u32..3,
        length(units, 200, 900),
        length(units, 300, 2_000),
        proptest::option::of(0i64..10),
        proptest::option::of(0i64..10),
        proptest::option::of(length(units, 0, 200)),
        any::<bool>(),
    )
        .prop_map(move |(kind, count, w, h, from, sill, casing, named)| {
            let kind = [OpeningKind::Door, OpeningKind::Window, OpeningKind::Cased][kind];
            let count = if w.0 * 2 > length_.0 { 1 } else { count };
            let w = Length(w.0.min(length_.0));
            let part = |n: i64, of: i64| small(Length(of / 10 * n));
            Opening {
                kind,
                name: match (named, kind) {
                    (true, OpeningKind::Door) => "closet door".into(),
                    (true, OpeningKind::Cased) => "archway".into(),
                    _ => String::new(),
                },
                wall,
                width: w,
                height: h,
                sill: sill.filter(|_| kind == OpeningKind::Window).map(|n| part(n, height.0 - h.0)),
                from_corner: from.map(|n| part(n, length_.0 - w.0)),
                casing,
                count,
            }
        })
        .boxed()
}

fn rooms(units: Units) -> BoxedStrategy<Room> {
    let name = prop_oneof![
        Just("Study".to_string()),
        Just("Bedroom 2".to_string()),
        Just("Door to nowhere".to_string()),
        Just("Anna's room, upstairs: north".to_string()),
        "[A-Z][a-z]{1,9}( [a-z0-9]{1,6}){0,2}",
    ];
    (name, shape(units))
        .prop_flat_map(move |(name, (size, walls))| {
            let known: Vec<(Length, Length)> = match size {
                Some(s) => [s.length, s.width, s.length, s.width].map(|l| (l, s.height)).to_vec(),
                None => walls.iter().map(|w| (w.length, w.height)).collect(),
            };
            let each: Vec<BoxedStrategy<Option<Opening>>> = known
                .iter()
                .enumerate()
                .map(|(i, (l, h))| proptest::option::of(opening(units, i + 1, *l, *h)).boxed())
                .collect();
            let n = known.len();
            let boxes = proptest::collection::vec((1..=n, 1u32..9), 0..3);
            (each, boxes, 0u32..9, proptest::option::of(length(units, 1, 20_000))).prop_map(
                move |(openings, boxes, holes, cracks)| Room {
                    name: name.clone(),
                    size,
                    walls: walls.clone(),
                    openings: openings.into_iter().flatten().collect(),
                    boxes: boxes.into_iter().map(|(wall, count)| Boxes { wall, count }).collect(),
                    holes,
                    cracks: cracks.unwrap_or(Length::ZERO),
                    ..Room::default()
                },
            )
        })
        .boxed()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_bytes_are_read_without_harm(bytes in proptest::collection::vec(any::<u8>(), 0..200), u in units()) {
        lawful(&String::from_utf8_lossy(&bytes), u)?;
    }

    #[test]
    fn any_text_is_read_without_harm(text in "\\PC{0,120}", u in units()) {
        lawful(&text, u)?;
    }

    #[test]
    fn any_order_of_its_own_words_is_read_without_harm(
        picks in proptest::collection::vec(0..WORDS.len(), 1..24), spaced: bool, named: bool, u in units(),
    ) {
        let words: Vec<&str> = picks.iter().map(|&i| WORDS[i]).collect();
        let begin = if named { "den 13 x 11 x 8 ft, " } else { "" };
        lawful(&format!("{begin}{}", words.join(if spaced { " " } else { "" })), u)?;
    }

    #[test]
    fn bays_alcoves_and_breasts_close_and_read_back(
        list in proptest::collection::vec((0usize..3, 12i64..90, 3i64..30, 1usize..5, proptest::option::of(0i64..140)), 1..4),
        angle in 40i64..90,
    ) {
        let mut line = "den 20' x 18' x 9'".to_string();
        let mut area = 360.0;
        for (kind, w, d, wall, from) in &list {
            let what = ["bay", "alcove", "chimney breast"][*kind];
            line += &format!(", {what} {w} in x {d} in");
            let (w, d) = (*w as f64 / 12.0, *d as f64 / 12.0);
            area += match kind {
                0 => {
                    line += &format!(" {angle} degrees");
                    let a = (angle as f64).to_radians();
                    // A trapezium: its front is what the two slanted sides leave.
                    d * (w - d * libm::cos(a) / libm::sin(a))
                }
                1 => w * d,
                _ => -w * d,
            };
            line += &format!(" on wall {wall}");
            if let Some(at) = from {
                line += &format!(" at {at} in");
            }
        }
        lawful(&line, Units::FeetInches)?;
        if let Some(room) = read(&line, Units::FeetInches).room {
            let mut problems = Vec::new();
            let outline = Outline::of(&room, "", &mut problems);
            prop_assert!(problems.is_empty(), "{line}: {problems:?}");
            prop_assert!((outline.area - area).abs() < 1e-4, "{line}: {} for {area}", outline.area);
        }
    }

    #[test]
    fn a_room_is_written_as_the_line_that_reads_back(
        (u, room) in units().prop_flat_map(|u| (Just(u), rooms(u))), other: bool,
    ) {
        let u = match (other, u) {
            (false, u) => u,
            (true, Units::Metric) => Units::FeetInches,
            (true, Units::FeetInches) => Units::Metric,
        };
        let text = write(&room, u);
        let got = read(&text, u);
        prop_assert_eq!(got.room.as_ref(), Some(&room), "{}: {:?}", text, got.questions);
        prop_assert_eq!(write(&room, u), text);
    }
}

#[test]
fn a_line_without_end_is_one_question() {
    let line = "é".repeat(5_000);
    let got = read(&line, Units::FeetInches);
    assert_eq!(got.questions.len(), 1);
    assert!(line.is_char_boundary(got.questions[0].at.start));
    assert!(read(&"1 door,".repeat(280), Units::FeetInches).questions.len() <= 8);
}
