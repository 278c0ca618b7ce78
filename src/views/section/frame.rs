//! What frames the bands: nights and day lines behind them, days and ribbon above, the tape
//! of odds, the lanes and the legend below.

use super::layout::{Draft, line, rect};
use super::{Area, Corner, Kind, Layer, Pos, Role, Shape, Site, Target};
use crate::clock::{At, DAY};
use crate::views::face::Weight;

/// A text cut with an ellipsis to a width.
pub(super) fn cut_to(d: &Draft, text: &str, size: f32, width: f32) -> String {
    if d.wide(text, size, Weight::Regular) <= width {
        return text.to_string();
    }
    let mut out: String = text.to_string();
    while out.pop().is_some() {
        let cut = format!("{}…", out.trim_end());
        if d.wide(&cut, size, Weight::Regular) <= width {
            return cut;
        }
    }
    String::new()
}

/// Texts in one line, none over another: those that come first win.
#[derive(Default)]
struct Line(Vec<(f32, f32)>);

impl Line {
    fn free(&self, from: f32, to: f32) -> bool {
        self.0.iter().all(|&(a, b)| to + 3.0 <= a || b + 3.0 <= from)
    }
    fn take(&mut self, from: f32, to: f32) -> bool {
        let free = self.free(from, to);
        if free {
            self.0.push((from, to));
        }
        free
    }
}

/// Nights, days off, closed days, days in hand and the day lines, over bands and tape.
pub(super) fn ground(d: &mut Draft) {
    let z = d.out.zones;
    let (top, bottom) = (z.bands.y, z.bands.bottom());
    let left = d.out.left;
    let mut shapes = Vec::new();
    for n in d.out.axis.nights() {
        let at = Area::new(left + n.from as f32, top, left + n.to as f32, bottom);
        shapes.push(rect(at, if n.days_off { Role::DayOff } else { Role::Night }));
    }
    for &day in &d.m.hours.closed {
        let at = Area::new(d.x(At(day * DAY)), top, d.x(At((day + 1) * DAY)), bottom);
        shapes.push(rect(at, Role::Closed));
    }
    for g in &d.m.lost {
        let at = Area::new(d.x(g.from), top, d.x(g.to), bottom);
        shapes.push(rect(at, Role::Lost));
    }
    if let Some(safe) = &d.m.safe
        && safe.at > d.m.clean_run.at
    {
        shapes.push(rect(Area::new(d.x(d.m.clean_run.at), top, d.x(safe.at), bottom), Role::InHand));
    }
    d.out.layers.push(Layer { clip: z.bands, shapes });
    day_lines(d);
}

/// Clean run, the client's day and the safe day: lines from the ribbon down to the tape,
/// their names in the strip between.
fn day_lines(d: &mut Draft) {
    let z = d.out.zones;
    let strip = Area::new(z.bands.x, z.ribbon.bottom(), z.bands.right(), z.bands.y);
    let clip = Area::new(z.bands.x, z.ribbon.bottom(), z.bands.right(), z.odds.bottom());
    let y = strip.y + strip.h / 2.0;
    let mut shapes = Vec::new();
    let mut names = Vec::new();
    let mut named = Vec::new();
    let mut used = Line::default();
    let all = [
        (d.m.target.as_ref(), Role::Target, 2.0),
        (d.m.safe.as_ref(), Role::Safe, 2.0),
        (Some(&d.m.clean_run), Role::CleanRun, 1.0),
        (d.m.now.as_ref(), Role::Now, 1.5),
    ];
    let lines: Vec<f32> = all.iter().filter_map(|l| l.0.map(|l| d.x(l.at))).collect();
    for (l, role, weight) in all {
        let Some(l) = l else { continue };
        let x = d.x(l.at);
        shapes.push(line(x, strip.y, x, clip.bottom(), weight, role));
        let w = d.wide(&l.name, 11.0, Weight::SemiBold);
        let free = |from: f32, used: &Line| {
            from >= strip.x
                && from + w <= strip.right()
                && used.free(from, from + w)
                && lines.iter().all(|&o| o <= from - 1.0 || o >= from + w + 1.0)
        };
        let before = x - 4.0 - w;
        let after = x + 4.0;
        // Of two that stand near each other the names go to the outer sides.
        let other = if role == Role::Target { d.m.safe.as_ref() } else { d.m.target.as_ref() };
        let other = other.map(|o| d.x(o.at)).filter(|o| (o - x).abs() < w + 8.0);
        let left = match role {
            Role::CleanRun | Role::Now => true,
            Role::Target => other.is_some_and(|o| x <= o),
            _ => other.is_some_and(|o| x < o),
        };
        let order = if left { [before, after] } else { [after, before] };
        // A day that must have its name has it over another line rather than not at all.
        let across = |&f: &f32| f >= strip.x && f + w <= strip.right() && used.free(f, f + w);
        let must = matches!(role, Role::Target | Role::Safe) && x >= strip.x && x <= strip.right();
        // Before that over its own line alone.
        let own = |&f: &f32| across(&f) && lines.iter().all(|&o| o == x || o <= f - 1.0 || o >= f + w + 1.0);
        let over = [x - w * 0.25, x - w * 0.5, x - w * 0.75, strip.right() - w, strip.x];
        let over = over.into_iter().filter(|f| *f <= x && *f + w >= x);
        let found = order.into_iter().find(|&f| free(f, &used));
        let found = found.or_else(|| over.clone().find(own).filter(|_| must));
        let found = found.or_else(|| order.into_iter().find(across).filter(|_| must));
        if let Some(from) = found {
            used.take(from, from + w);
            let mut name = d.text(from, y, &l.name, 11.0, Weight::SemiBold, role);
            if let Shape::Text { halo, .. } = &mut name {
                *halo = true;
            }
            names.push(name);
            let of = match role {
                Role::Target => Target::Client,
                Role::Safe => Target::Safe,
                Role::Now => Target::Now,
                _ => Target::CleanRun,
            };
            named.push((Area::new(from, strip.y, from + w, strip.bottom()), of));
        }
    }
    shapes.append(&mut names);
    // Time lost is named in the same strip, over its gap; cut to what is free.
    for (i, g) in d.m.lost.iter().enumerate() {
        let (from, to) = (d.x(g.from), d.x(g.to));
        let whole = d.wide(&g.line.name, 10.5, Weight::Regular);
        let room = [whole, d.wide("lost", 10.5, Weight::Regular)];
        let fits = |w: f32, at: f32, used: &Line| at >= strip.x && at + w <= strip.right() && used.free(at, at + w);
        let middle = |w: f32| (from + to - w) / 2.0;
        let places = [(room[0], middle(room[0]), 0), (room[0], from, 0), (room[1], middle(room[1]), 1)];
        if let Some((w, at, short)) = places.into_iter().find(|p| fits(p.0, p.1, &used)) {
            used.take(at, at + w);
            let words = if short == 1 { "lost" } else { g.line.name.as_str() };
            shapes.push(d.text(at, y, words, 10.5, Weight::Regular, Role::Lost));
            named.push((Area::new(at, strip.y, at + w, strip.bottom()), Target::Lost(i)));
        }
    }
    named.into_iter().for_each(|(at, of)| d.hit(at, of));
    d.out.layers.push(Layer { clip, shapes });
}

/// Months, weekdays and days.
pub(super) fn header(d: &mut Draft) {
    let z = d.out.zones.header;
    let left = d.out.left;
    let (months, weekdays, numbers) = (z.y + z.h * 0.18, z.y + z.h * 0.50, z.y + z.h * 0.82);
    let mut shapes = Vec::new();
    let marks: Vec<_> = d.out.axis.days().to_vec();
    let name = |day: i64| &d.m.day_names[(day - d.m.days.0) as usize];
    let middle = |i: usize| left + (marks[i].from + marks[i].to) as f32 / 2.0;
    let shown: Vec<usize> = (0..marks.len()).filter(|&i| !marks[i].off).collect();
    let fits = |list: &[usize]| {
        let mut used = Line::default();
        list.iter().all(|&i| {
            let n = name(marks[i].day);
            let w = d.wide(&n.number, 12.0, Weight::SemiBold).max(d.wide(&n.weekday, 11.0, Weight::Regular));
            used.take(middle(i) - w / 2.0 + 1.0, middle(i) + w / 2.0 - 1.0)
        })
    };
    // The first working day of every week, of every second, of every fourth.
    let week = |i: &usize| (marks[*i].day + d.m.first_weekday).div_euclid(7);
    let mut list = shown.clone();
    let mut every = 1;
    while !fits(&list) && every <= 64 {
        let mut last = None;
        list = shown.clone();
        list.retain(|i| {
            let w = week(i);
            let new = last != Some(w) && (w - week(&shown[0])) % every == 0;
            last = Some(w);
            new
        });
        every *= 2;
    }
    for &i in &list {
        let n = name(marks[i].day);
        let mut put = |text: &str, size: f32, weight, y: f32, role| {
            let w = d.wide(text, size, weight);
            let x = middle(i) - w / 2.0;
            if x >= z.x - 4.0 && x + w <= z.right() + 0.5 {
                shapes.push(d.text(x.max(z.x), y, text, size, weight, role));
            }
        };
        put(&n.weekday, 11.0, Weight::Regular, weekdays, Role::DayName);
        put(&n.number, 12.0, Weight::SemiBold, numbers, Role::DayNumber);
    }
    // Each month over its first day that can be seen.
    let mut used = Line::default();
    let mut last = "";
    let visible: Vec<usize> = (0..marks.len()).filter(|&i| left + marks[i].to as f32 > z.x + 4.0).collect();
    for i in visible {
        let n = name(marks[i].day);
        if n.month == last {
            continue;
        }
        last = &n.month;
        let x = (left + d.out.axis.x(At(marks[i].day * DAY)) as f32).max(z.x) + 2.0;
        let w = d.wide(&n.month, 11.0, Weight::Regular);
        if x + w <= z.right() && used.take(x, x + w) {
            shapes.push(d.text(x, months, &n.month, 11.0, Weight::Regular, Role::DayName));
            if i > 0 && x > z.x + 3.0 {
                shapes.push(line(x - 2.0, z.y, x - 2.0, z.bottom(), 1.0, Role::DayRule));
            }
        }
    }
    for &i in &shown {
        let at = Area::new(left + marks[i].from as f32, z.y, left + marks[i].to as f32, z.bottom());
        if at.right() > z.x && at.x < z.right() {
            d.out.hits.push(super::Hit { at, core: at, of: Target::Day(marks[i].day) });
        }
    }
    d.out.layers.push(Layer { clip: z, shapes });
}

/// What holds the date, and behind it the days in hand.
pub(super) fn ribbon(d: &mut Draft) {
    let z = d.out.zones.ribbon;
    let zone = Area { x: z.x, y: z.y + 1.0, w: z.w, h: z.h - 2.0 };
    let mid = zone.y + zone.h / 2.0;
    let mut shapes = Vec::new();
    let mut words = Vec::new();
    let m = d.m;
    for (i, p) in m.pieces.iter().enumerate() {
        let (from, to) = (d.x(p.from), d.x(p.to));
        let whole = Area::new(from, zone.y, to, zone.bottom());
        if whole.right() < zone.x || whole.x > zone.right() {
            continue;
        }
        let mut longest: Option<Area> = None;
        for &(a, b) in &p.parts {
            let (a, b) = (d.x(a), d.x(b));
            // A hair of paper between two pieces of work.
            let gap = if p.kind == Kind::Hands && b - a > 2.0 { 0.75 } else { 0.0 };
            let at = Area::new(a, zone.y, b - gap, zone.bottom());
            shapes.push(rect(at, Role::Ribbon(p.kind)));
            if longest.is_none_or(|l| at.w > l.w) {
                longest = Some(at);
            }
        }
        let room = p.steps.first().and_then(|&s| m.block_of(s)).and_then(|b| m.blocks[b].room);
        let word = format!("{}{}", d.tag(room), p.word);
        if let Some(at) = longest {
            let w = d.wide(&word, 10.5, Weight::Regular);
            if w + 6.0 <= at.w {
                let role = if p.kind == Kind::Hands { Role::RibbonWordOnInk } else { Role::RibbonWord };
                let mut text = d.text(at.x + (at.w - w) / 2.0, mid, &word, 10.5, Weight::Regular, role);
                if let Shape::Text { halo, .. } = &mut text {
                    *halo = p.kind != Kind::Hands;
                }
                words.push(text);
            }
        }
        if d.ask.selected.is_some_and(|s| p.steps.contains(&s) && matches!(p.kind, Kind::Hands | Kind::Coming)) {
            words
                .push(rect(Area { x: from - 1.0, y: zone.y - 1.0, w: whole.w + 2.0, h: zone.h + 2.0 }, Role::Selected));
        }
        d.hit(whole, Target::Piece(i));
    }
    if let Some(safe) = &m.safe
        && safe.at > m.clean_run.at
    {
        let at = Area::new(d.x(m.clean_run.at) + 1.0, zone.y, d.x(safe.at), zone.bottom());
        shapes.push(rect(at, Role::InHand));
        let w = d.wide(&m.in_hand, 11.0, Weight::SemiBold);
        let inside = at.x + (at.w - w) / 2.0;
        let x = if w + 6.0 <= at.w { inside } else { (at.right() + 4.0).min(zone.right() - w) };
        let mut text = d.text(x, mid, &m.in_hand, 11.0, Weight::SemiBold, Role::Safe);
        if let Shape::Text { halo, .. } = &mut text {
            *halo = true;
        }
        if x >= at.x {
            words.push(text);
            d.hit(Area::new(x, zone.y, x + w, zone.bottom()), Target::InHand);
        }
    }
    shapes.append(&mut words);
    d.out.layers.push(Layer { clip: z, shapes });
    let title = d.text(super::layout::PAD, mid, "What holds the date", 12.0, Weight::SemiBold, Role::ZoneName);
    let clip = Area::new(0.0, z.y, z.x, z.bottom());
    d.out.layers.push(Layer { clip, shapes: vec![title] });
}

/// The tape: a figure under the close of each day.
pub(super) fn odds(d: &mut Draft) {
    let z = d.out.zones.odds;
    let tape = Area::new(z.x, z.y + 3.0 * d.s, z.right(), z.bottom() - 2.0 * d.s);
    let mut shapes = vec![rect(tape, Role::Tape)];
    let left = d.out.left;
    let marks: Vec<_> = d.out.axis.days().iter().copied().filter(|m| !m.off).collect();
    let wide = d.out.axis.day_width() > 14.0;
    for m in &marks {
        let (a, b) = (left + m.from as f32, left + m.to as f32);
        let tick = |x: f32, h: f32| line(x, tape.y, x, tape.y + h * d.s, 1.0, Role::TapeTick);
        if wide {
            shapes.extend((1..4).map(|q| tick(a + (b - a) * q as f32 / 4.0, if q == 2 { 5.0 } else { 3.0 })));
        }
        shapes.push(tick(b, 9.0));
    }
    let mut used = Line::default();
    let named = [d.m.target.as_ref(), d.m.safe.as_ref()].map(|l| l.map(|l| crate::forecast::last_day(l.at)));
    let mut order: Vec<usize> = (0..d.m.odds.len()).collect();
    order.sort_by_key(|&i| !named.contains(&Some(d.m.odds[i].day)));
    for i in order {
        let o = &d.m.odds[i];
        let Some(mark) = marks.iter().find(|m| m.day == o.day) else { continue };
        let role = match () {
            () if named[1] == Some(o.day) => Role::Safe,
            () if named[0] == Some(o.day) => Role::Target,
            () => Role::Odds,
        };
        let w = d.wide(&o.figure, 12.0, Weight::SemiBold);
        let x = (left + mark.to as f32 - w - 1.0).max(left + d.out.axis.x(At(o.day * DAY)) as f32 - w / 2.0);
        if x >= z.x && x + w <= z.right() && used.take(x, x + w) {
            let y = tape.bottom() - 9.0 * d.s;
            let mut text = d.text(x, y, &o.figure, 12.0, Weight::SemiBold, role);
            if let Shape::Text { halo, .. } = &mut text {
                *halo = true;
            }
            shapes.push(text);
            let core = Area::new(x, tape.y, x + w, tape.bottom());
            d.hit(core, Target::Odds(i));
        }
    }
    d.out.layers.push(Layer { clip: z, shapes });
    let (y, pad) = (tape.y + tape.h / 2.0, super::layout::PAD);
    let title = |dy: f32, t: &str| d.text(pad, y + dy * d.s, t, 11.5, Weight::SemiBold, Role::ZoneName);
    let shapes = vec![title(-7.0, "Chance it is done by"), title(7.0, "the close of the day, %")];
    d.out.layers.push(Layer { clip: Area::new(0.0, z.y, z.x, z.bottom()), shapes });
}

/// A lane a person.
pub(super) fn lanes(d: &mut Draft) {
    let z = d.out.zones.lanes;
    if z.h <= 0.0 {
        return;
    }
    let high = (z.h - 4.0 * d.s) / d.m.lanes.len().max(1) as f32;
    let (mut shapes, mut names, mut tags) = (Vec::new(), Vec::new(), Vec::new());
    for (i, lane) in d.m.lanes.iter().enumerate() {
        let top = z.y + 2.0 * d.s + i as f32 * high;
        let mid = top + high / 2.0;
        let name = cut_to(d, &lane.name, 11.5, z.x - 2.0 * super::layout::PAD);
        names.push(d.text(super::layout::PAD, mid, &name, 11.5, Weight::Regular, Role::BandName));
        shapes.push(line(z.x, mid, z.right(), mid, 1.0, Role::BandRule));
        for w in &lane.work {
            let at = Area::new(d.x(w.from), mid - 6.0 * d.s, d.x(w.to).max(d.x(w.from) + 2.0), mid + 6.0 * d.s);
            let corner = match w.site {
                Site::Shop => Corner::Notched,
                Site::Booth => Corner::Rounded,
                _ => Corner::Plain,
            };
            shapes.push(Shape::Rect { at, corner, role: Role::Block { site: w.site, done: false } });
            if w.trip_min > 0 {
                let to = d.x(At(w.from.0 + w.trip_min)).min(at.right());
                shapes.push(rect(Area::new(at.x, at.y, to.max(at.x + 2.0), at.bottom()), Role::Trip));
            }
            if d.many_rooms() && d.wide(&w.tag, 10.0, Weight::Regular) + 4.0 <= at.w {
                let x = at.x + (at.w - d.wide(&w.tag, 10.0, Weight::Regular)) / 2.0;
                tags.push(d.text(x, mid, &w.tag, 10.0, Weight::Regular, Role::StepName));
            }
        }
    }
    shapes.append(&mut tags);
    d.out.layers.push(Layer { clip: z, shapes });
    d.out.layers.push(Layer { clip: Area::new(0.0, z.y, z.x, z.bottom()), shapes: names });
}

/// What the shapes mean.
pub(super) fn legend(d: &mut Draft) {
    let z = d.out.zones.legend;
    let mid = z.y + z.h / 2.0;
    let mut shapes = Vec::new();
    let mut x = z.x;
    let has = |s: Site| d.m.blocks.iter().any(|b| b.site == s && b.hands);
    let s = d.s;
    let sites = [
        (Site::Room, Corner::Plain, ["in the room", "room"]),
        (Site::Shop, Corner::Notched, ["in the shop", "shop"]),
        (Site::Booth, Corner::Rounded, ["in the booth", "booth"]),
    ];
    type Mark = Box<dyn Fn(Area) -> Vec<Shape>>;
    let mut all: Vec<(Mark, f32, [&str; 2])> = Vec::new();
    for (site, corner, text) in sites.into_iter().filter(|x| has(x.0)) {
        let role = Role::Block { site, done: false };
        all.push((Box::new(move |at| vec![Shape::Rect { at, corner, role }]), 14.0, text));
    }
    let filled = |role: Role| -> Mark { Box::new(move |at| vec![rect(at, role)]) };
    if !d.m.hours.closed.is_empty() {
        all.push((filled(Role::Closed), 14.0, ["the house is closed", "house closed"]));
    }
    let wedge = move |at: Area| {
        let p = |x: f32, y: f32| Pos { x, y };
        let points = vec![p(at.x, at.bottom()), p(at.x, at.y), p(at.right(), at.bottom())];
        let dot = Shape::Dot { at: p(at.right(), at.bottom() - 1.5), radius: 2.0 * s, role: Role::Ready(Site::Room) };
        vec![Shape::Poly { points, role: Role::Drying(Site::Room) }, dot]
    };
    all.push((Box::new(wedge), 30.0, ["drying; the dot: ready for what follows", "drying, to the dot: ready"]));
    all.push((filled(Role::Ribbon(Kind::Hands)), 14.0, ["hands hold the date", "hands hold the date"]));
    all.push((filled(Role::Ribbon(Kind::Drying)), 14.0, ["drying does", "drying does"]));
    if d.m.pieces.iter().any(|p| p.kind == Kind::Coming) {
        all.push((filled(Role::Ribbon(Kind::Coming)), 14.0, ["something that must come", "deliveries do"]));
    }
    // Where not all of them fit they are said in fewer words.
    let wide = |text: &str| d.wide(text, 10.5, Weight::Regular);
    let whole: f32 = all.iter().map(|(_, w, t)| w * s + 5.0 * s + wide(t[0]) + 16.0 * s).sum();
    let short = usize::from(z.x + whole - 16.0 * s > z.right());
    for (shape, w, text) in &all {
        let at = Area { x, y: mid - 5.0 * s, w: w * s, h: 10.0 * s };
        let tx = at.right() + 5.0 * s;
        let end = tx + wide(text[short]);
        if end <= z.right() {
            shapes.extend(shape(at));
            shapes.push(d.text(tx, mid, text[short], 10.5, Weight::Regular, Role::Faint));
            x = end + if short == 1 { 12.0 } else { 16.0 } * s;
        }
    }
    d.out.layers.push(Layer { clip: z, shapes });
}
