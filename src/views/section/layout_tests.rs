//! Laws of the layout, on every sample at both sizes.

use super::model::samples;
use super::*;
use crate::views::face::{self, Weight};

/// The section's share of a window of 1280 by 720 and of 1920 by 1080, and two more.
const SIZES: [(f32, f32); 4] = [(930.0, 560.0), (1500.0, 920.0), (900.0, 600.0), (1500.0, 950.0)];

fn ask(size: (f32, f32)) -> Ask {
    Ask { width: size.0, height: size.1, ..Ask::default() }
}

/// Every sample at every size.
fn all() -> Vec<(String, &'static Model, Layout)> {
    let mut out = Vec::new();
    for (name, m) in samples() {
        for size in SIZES {
            out.push((format!("{name} {}x{}", size.0, size.1), m, layout(m, &ask(size))));
        }
    }
    out
}

/// Ink of a text: its width, capitals and what hangs below the line.
fn ink(shape: &Shape) -> Option<(Area, &str)> {
    let Shape::Text { at, text, size, weight, .. } = shape else { return None };
    let (up, down) = (face::cap_height(*size, *weight), face::descent(*size, *weight) * 0.6);
    let w = face::width(text, *size, *weight);
    (!text.is_empty()).then_some((Area { x: at.x, y: at.y - up, w, h: up + down }, text))
}

#[test]
fn zones_fill_the_section_and_lie_apart() {
    for (name, _, l) in all() {
        let z = &l.zones;
        let whole = Area { x: 0.0, y: 0.0, w: l.width, h: l.height };
        let all = [z.header, z.ribbon, z.bands, z.drawing, z.odds, z.lanes, z.legend];
        for (i, a) in all.iter().enumerate() {
            assert!(whole.contains(a), "{name}: {a:?}");
            assert!(all[i + 1..].iter().all(|b| !a.meets(b)), "{name}: {a:?}");
        }
        assert!(l.layers.iter().all(|x| whole.contains(&x.clip)), "{name}");
    }
}

#[test]
fn no_text_lies_outside_or_over_another() {
    for (name, m, l) in all() {
        let mut inks: Vec<(Area, &str)> = Vec::new();
        for layer in &l.layers {
            for (at, text) in layer.shapes.iter().filter_map(ink) {
                let shown = layer.clip.y <= at.y && at.bottom() <= layer.clip.bottom() + 0.5;
                let scrolled = l.most_scroll.y > 0.0 && layer.clip.y == l.zones.bands.y;
                assert!(shown || scrolled, "{name}: {text} {at:?} in {:?}", layer.clip);
                assert!(layer.clip.x <= at.x + 0.01 && at.right() <= layer.clip.right() + 0.5, "{name}: {text} {at:?}");
                if shown {
                    inks.push((at, text));
                }
            }
        }
        for (i, a) in inks.iter().enumerate() {
            for b in &inks[i + 1..] {
                assert!(!a.0.meets(&b.0), "{name}: {} and {}: {:?} {:?}", a.1, b.1, a.0, b.0);
            }
        }
        assert!(inks.len() > 40, "{name} {}", m.blocks.len());
    }
}

#[test]
fn names_cover_no_block_and_blocks_no_block() {
    for (name, m, l) in all() {
        let blocks: Vec<(usize, Area)> =
            l.hits.iter().filter_map(|h| if let Target::Block(b) = h.of { Some((b, h.core)) } else { None }).collect();
        for label in &l.labels {
            for (b, at) in &blocks {
                let own = *b == label.block;
                assert!(own || !label.at.meets(at), "{name}: {} over {}", label.text, m.blocks[*b].name);
            }
        }
        for (i, (a, at)) in blocks.iter().enumerate() {
            for (b, other) in &blocks[i + 1..] {
                assert!(a == b || !at.meets(other), "{name}: {} over {}", m.blocks[*a].id, m.blocks[*b].id);
            }
        }
        assert!(l.hits.iter().all(|h| matches!(h.of, Target::Day(_)) || (h.at.w >= 24.0 && h.at.h >= 22.0)), "{name}");
    }
}

/// Share of the steps that hold the date whose name stands on the section.
fn named(m: &Model, l: &Layout) -> f64 {
    let shown: Vec<usize> = (0..m.blocks.len()).filter(|&b| m.blocks[b].on_ribbon).collect();
    let with = shown.iter().filter(|b| l.labels.iter().any(|x| x.block == **b)).count();
    with as f64 / shown.len() as f64
}

#[test]
fn what_holds_the_date_has_its_names() {
    let (_, m) = &samples()[0];
    let (small, large) = (named(m, &layout(m, &ask(SIZES[0]))), named(m, &layout(m, &ask(SIZES[1]))));
    assert!(small >= 0.7 && large >= 0.95, "{small} and {large}");
}

#[test]
fn a_pixel_is_a_minute_and_back() {
    let (_, m) = &samples()[0];
    for zoom in [None, Some(60.0), Some(400.0)] {
        let l = layout(m, &Ask { zoom, scroll_x: 300.0, ..ask(SIZES[0]) });
        for b in &m.blocks {
            let x = l.x(b.begin);
            // A pixel of f32 tells a minute apart in each of these widths.
            assert!((l.at(x).0 - b.begin.0).abs() <= 1, "{zoom:?} {} {:?} {:?}", b.name, l.at(x), b.begin);
        }
        assert_eq!(zoom.is_some(), l.most_scroll.x > 0.0);
    }
}

#[test]
fn the_nearest_mark_answers() {
    let (_, m) = &samples()[0];
    let l = layout(m, &ask(SIZES[1]));
    for h in l.hits.iter().filter(|h| matches!(h.of, Target::Block(_))) {
        let mid = Pos { x: h.core.x + h.core.w / 2.0, y: h.core.y + h.core.h / 2.0 };
        assert_eq!(l.hit(mid).map(|x| x.of), Some(h.of));
    }
}

#[test]
fn one_room_is_open_and_the_others_are_rows() {
    let (_, m) = samples().iter().find(|s| s.0 == "house").unwrap();
    for open in 0..m.rooms.len() {
        let l = layout(m, &Ask { unfolded: open, ..ask(SIZES[1]) });
        let rooms = l.hits.iter().filter(|h| matches!(h.of, Target::Room(_))).count();
        assert!(rooms <= m.rooms.len() && rooms >= 2, "{rooms}");
        let of = |b: &usize| {
            let room = m.blocks[*b].room;
            m.blocks[*b].site != Site::Room || room.is_some_and(|r| l.open.contains(&r))
        };
        // More than one only where all of them fit.
        assert!(l.open.contains(&open) && (l.open.len() == 1 || l.most_scroll.y == 0.0), "{open}: {:?}", l.open);
        let drawn: Vec<usize> =
            l.hits.iter().filter_map(|h| if let Target::Block(b) = h.of { Some(b) } else { None }).collect();
        assert!(drawn.iter().all(of) && drawn.len() > 10, "{open}");
    }
}

#[test]
fn the_chalk_line_marks_the_selected_stretch_or_all() {
    let (_, m) = &samples()[0];
    let chalk = |a: Ask| {
        let is = |s: &&Shape| matches!(s, Shape::Path { role: Role::Chalk, .. });
        layout(m, &a).layers.iter().flat_map(|l| &l.shapes).filter(is).count()
    };
    let step = m.blocks.iter().find(|b| b.on_ribbon).unwrap().step;
    assert_eq!(chalk(ask(SIZES[0])), 0);
    let near = chalk(Ask { selected: Some(step), ..ask(SIZES[0]) });
    let all = chalk(Ask { whole_chalk: true, ..ask(SIZES[0]) });
    assert!((1..=12).contains(&near) && all > 3 * near, "{near} of {all}");
}

#[test]
fn odd_sizes_do_no_harm() {
    for (_, m) in samples() {
        for (w, h) in [(0.0, 0.0), (200.0, 120.0), (5_000.0, 90.0), (320.0, 3_000.0)] {
            for zoom in [None, Some(0.0), Some(1e6)] {
                let l = layout(m, &Ask { zoom, scroll_x: 1e9, scroll_y: -5.0, ..ask((w, h)) });
                assert!(l.scroll.x <= l.most_scroll.x && l.scroll.y >= 0.0 && l.left.is_finite());
            }
        }
        let big = layout(m, &Ask { text_scale: 2.0, unfolded: 99, ..ask(SIZES[1]) });
        assert!(big.zones.legend.bottom() <= big.height + 0.5);
    }
    assert!(face::width("a", 11.0, Weight::Regular) > 0.0);
}

/// The layout of the study in words, a line a mark that carries a name.
fn told(m: &Model, l: &Layout) -> String {
    let mut out = String::new();
    for (b, band) in m.bands.iter().enumerate() {
        let Some(at) = l.area_of(Target::Band(b)) else { continue };
        out += &format!("{} {:.0}..{:.0}\n", band.name, at.core.y, at.core.bottom());
        for h in l.hits.iter() {
            let Target::Block(i) = h.of else { continue };
            if m.blocks[i].band != b {
                continue;
            }
            let name = l
                .labels
                .iter()
                .find(|x| x.block == i)
                .map_or("no name".to_string(), |x| format!("{:?} {:.0} \"{}\"", x.stand, x.at.x, x.text));
            out += &format!("  {:.0},{:.0} {:.0} wide  {}  {name}\n", h.core.x, h.core.y, h.core.w, m.blocks[i].id);
        }
    }
    out += "What holds the date\n";
    for (i, p) in m.pieces.iter().enumerate() {
        if let Some(h) = l.area_of(Target::Piece(i)) {
            out += &format!("  {:.0}..{:.0} {:?} {}\n", h.core.x, h.core.right(), p.kind, p.word);
        }
    }
    out
}

#[test]
fn the_study_lies_as_it_was_judged() {
    let (_, m) = &samples()[0];
    for (size, file) in [(SIZES[0], "study-small.txt"), (SIZES[1], "study-large.txt")] {
        let path = format!("{}/tests/core/section/{file}", env!("CARGO_MANIFEST_DIR"));
        let is = told(m, &layout(m, &ask(size)));
        if std::env::var_os("WRITE_REPORTS").is_some() {
            std::fs::create_dir_all(std::path::Path::new(&path).parent().unwrap()).unwrap();
            std::fs::write(&path, &is).unwrap();
        }
        let was = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(is == was, "{file} differs; WRITE_REPORTS=1 writes it anew, to be read before it is kept");
    }
}
