//! Plain values: numbers, texts, words, dates, lengths, lists and tuples of them.

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime, Timelike};

use super::layout::Doc;
use super::near::advise;
use super::node::{Kind, Node};
use super::reader::{Reader, Value};
use crate::job::Hm;
use crate::measure::{Length, Style};

/// `x` as people write it: `8`, `0.5`.
pub(super) fn plain(x: f64) -> String {
    if x.fract() == 0.0 && x.abs() < 1e15 { format!("{}", x as i64) } else { format!("{x:?}") }
}

impl Value for f64 {
    const WANT: &'static str = "a number";
    fn blank() -> f64 {
        0.0
    }
    fn read(r: &mut Reader, node: &Node) -> Option<f64> {
        let x = match node.kind {
            Kind::Int(n) => n as f64,
            Kind::Float(x) => x,
            _ => {
                r.mismatch::<f64>(node);
                return None;
            }
        };
        r.in_range(x, plain).then_some(x)
    }
    fn write(&self, _: Style) -> Doc {
        Doc::Atom(plain(*self))
    }
}

macro_rules! whole {
    ($($ty:ty),*) => { $(
        impl Value for $ty {
            const WANT: &'static str = "a whole number";
            fn blank() -> $ty {
                0
            }
            fn read(r: &mut Reader, node: &Node) -> Option<$ty> {
                let Kind::Int(n) = node.kind else {
                    r.mismatch::<$ty>(node);
                    return None;
                };
                match <$ty>::try_from(n) {
                    // Ranges of whole numbers are far below 2^53.
                    _ if r.has_range() => r.in_range(n as f64, plain).then(|| <$ty>::try_from(n).ok()).flatten(),
                    Ok(v) => Some(v),
                    Err(_) => {
                        let remedy = format!("write a whole number from {} to {}", <$ty>::MIN, <$ty>::MAX);
                        r.wrong(format!("{n} is out of range"), remedy);
                        None
                    }
                }
            }
            fn write(&self, _: Style) -> Doc {
                Doc::Atom(self.to_string())
            }
        }
    )* };
}
whole!(u32, u64, i32, i64, usize);

impl Value for bool {
    const WANT: &'static str = "true or false";
    fn blank() -> bool {
        false
    }
    fn read(r: &mut Reader, node: &Node) -> Option<bool> {
        if let Kind::Bool(b) = node.kind {
            return Some(b);
        }
        r.mismatch::<bool>(node);
        None
    }
    fn write(&self, _: Style) -> Doc {
        Doc::Atom(self.to_string())
    }
}

/// The text of a node, or a problem.
pub(super) fn text<'n, T: Value>(r: &mut Reader, node: &'n Node) -> Option<&'n str> {
    match &node.kind {
        Kind::Text(s) => Some(s),
        Kind::Word(w) => {
            let w = super::node::short(w);
            r.wrong(
                format!("found the word {w} where {} is wanted", T::WANT),
                format!("write \"{w}\" in quotation marks"),
            );
            None
        }
        _ => {
            r.mismatch::<T>(node);
            None
        }
    }
}

impl Value for String {
    const WANT: &'static str = "a text in quotation marks";
    fn blank() -> String {
        String::new()
    }
    fn read(r: &mut Reader, node: &Node) -> Option<String> {
        text::<String>(r, node).map(str::to_string)
    }
    fn write(&self, _: Style) -> Doc {
        Doc::text(self)
    }
}

/// One of a fixed set of words; in quotation marks it is understood too.
pub(super) fn word<T: Value + Copy>(r: &mut Reader, node: &Node, what: &str, words: &[(&str, T)]) -> Option<T> {
    let (Kind::Word(w) | Kind::Text(w)) = &node.kind else {
        r.mismatch::<T>(node);
        return None;
    };
    if let Some((_, value)) = words.iter().find(|(name, _)| name == w) {
        return Some(*value);
    }
    let remedy = advise(w, words.iter().map(|w| w.0), "remove it");
    r.wrong(format!("\"{}\" is not {what}", super::node::short(w)), remedy);
    None
}

impl Value for Length {
    const WANT: &'static str = "a length such as \"11'6\" or \"3500 mm\"";
    fn blank() -> Length {
        Length::ZERO
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Length> {
        if let Kind::Int(_) | Kind::Float(_) = node.kind {
            let n = match node.kind {
                Kind::Float(x) => plain(x),
                Kind::Int(n) => n.to_string(),
                _ => return None,
            };
            r.wrong(format!("the length {n} has no unit"), format!("write \"{n}'\", \"{n} in\" or \"{n} mm\""));
            return None;
        }
        match text::<Length>(r, node)?.parse::<Length>() {
            Ok(l) if r.has_range() => {
                r.in_range(l.inches(), |x| Length::from_inches(x).print(Style::FeetInches)).then_some(l)
            }
            Ok(l) => Some(l),
            Err(e) => {
                r.wrong(e.what, e.remedy);
                None
            }
        }
    }
    fn write(&self, style: Style) -> Doc {
        Doc::text(&self.exact(style))
    }
}

/// Years a job may touch.
pub const YEARS: std::ops::RangeInclusive<i32> = 1990..=2200;

impl Value for NaiveDate {
    const WANT: &'static str = "a date such as \"2027-03-01\"";
    fn blank() -> NaiveDate {
        crate::job::Job::default().start
    }
    fn read(r: &mut Reader, node: &Node) -> Option<NaiveDate> {
        let s = text::<NaiveDate>(r, node)?;
        let date = s.trim().parse::<NaiveDate>().ok().filter(|d| YEARS.contains(&d.year()));
        if date.is_none() {
            r.wrong(format!("\"{}\" is not a date", super::node::short(s)), format!("write {}", Self::WANT));
        }
        date
    }
    fn write(&self, _: Style) -> Doc {
        Doc::text(&self.format("%Y-%m-%d").to_string())
    }
}

impl Value for NaiveDateTime {
    const WANT: &'static str = "a date and time such as \"2027-03-01T08:00\"";
    fn blank() -> NaiveDateTime {
        NaiveDate::blank().and_time(NaiveTime::MIN)
    }
    fn read(r: &mut Reader, node: &Node) -> Option<NaiveDateTime> {
        let s = text::<NaiveDateTime>(r, node)?;
        let t = s.trim();
        let time = NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M")
            .or_else(|_| NaiveDateTime::parse_from_str(t, "%Y-%m-%d %H:%M"))
            .or_else(|_| t.parse::<NaiveDateTime>());
        let time = time.ok().filter(|d| YEARS.contains(&d.year()));
        if time.is_none() {
            r.wrong(format!("\"{}\" is not a date and time", super::node::short(s)), format!("write {}", Self::WANT));
        }
        time
    }
    fn write(&self, _: Style) -> Doc {
        let whole = self.second() == 0 && self.nanosecond() == 0;
        Doc::text(&if whole { self.format("%Y-%m-%dT%H:%M") } else { self.format("%Y-%m-%dT%H:%M:%S%.f") }.to_string())
    }
}

impl Value for Hm {
    const WANT: &'static str = "a time of day such as \"8:15\"";
    fn blank() -> Hm {
        Hm(0)
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Hm> {
        let s = text::<Hm>(r, node)?;
        let time = s.parse().ok();
        if time.is_none() {
            r.wrong(
                format!("\"{}\" is not a time of day", super::node::short(s)),
                "write it like \"8:15\" or \"16:30\"",
            );
        }
        time
    }
    fn write(&self, _: Style) -> Doc {
        Doc::text(&self.to_string())
    }
}

impl<T: Value> Value for Option<T> {
    const WANT: &'static str = T::WANT;
    fn blank() -> Option<T> {
        None
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Option<T>> {
        match &node.kind {
            Kind::Word(w) if w == "None" => Some(None),
            Kind::Tuple(Some(name), v) if name == "Some" && v.len() == 1 => T::read(r, &v[0]).map(Some),
            _ => T::read(r, node).map(Some),
        }
    }
    fn write(&self, style: Style) -> Doc {
        self.as_ref().map_or(Doc::Atom("None".to_string()), |v| v.write(style))
    }
}

impl<T: Value> Value for Vec<T> {
    const WANT: &'static str = "a list in [ ]";
    fn blank() -> Vec<T> {
        Vec::new()
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Vec<T>> {
        let Kind::List(items) = &node.kind else {
            r.wrong(format!("found {} where a list is wanted", node.kind.spoken()), "put it in [ ]");
            return None;
        };
        // A bad element keeps its place, so that paths of later problems stay true.
        Some(items.iter().enumerate().map(|(i, n)| r.element(i, n).unwrap_or_else(T::blank)).collect())
    }
    fn write(&self, style: Style) -> Doc {
        Doc::List(self.iter().map(|v| v.write(style)).collect())
    }
}

fn tuple<'n>(r: &mut Reader, node: &'n Node, n: usize, want: &str) -> Option<&'n [Node]> {
    match &node.kind {
        Kind::Tuple(None, v) if v.len() == n => Some(v),
        Kind::Tuple(None, v) => {
            r.wrong(format!("found {} values where {n} are wanted", v.len()), format!("write {want}"));
            None
        }
        other => {
            r.wrong(format!("found {} where {n} values are wanted", other.spoken()), format!("write {want}"));
            None
        }
    }
}

impl<A: Value, B: Value> Value for (A, B) {
    const WANT: &'static str = "two values in ( )";
    fn blank() -> (A, B) {
        (A::blank(), B::blank())
    }
    fn read(r: &mut Reader, node: &Node) -> Option<(A, B)> {
        let v = tuple(r, node, 2, &format!("({}, {})", A::WANT, B::WANT))?;
        let (a, b) = (r.element(0, &v[0]), r.element(1, &v[1]));
        Some((a?, b?))
    }
    fn write(&self, style: Style) -> Doc {
        Doc::Tuple(vec![self.0.write(style), self.1.write(style)])
    }
}

impl Value for (f64, f64, f64) {
    const WANT: &'static str = "(low, typical, high)";
    fn blank() -> (f64, f64, f64) {
        (0.0, 0.0, 0.0)
    }
    fn read(r: &mut Reader, node: &Node) -> Option<(f64, f64, f64)> {
        let v = tuple(r, node, 3, "(low, typical, high), as in (2, 3, 5)")?;
        let out = (r.element(0, &v[0]), r.element(1, &v[1]), r.element(2, &v[2]));
        let (a, b, c) = (out.0?, out.1?, out.2?);
        ordered(r, a, b, c).then_some((a, b, c))
    }
    fn write(&self, style: Style) -> Doc {
        Doc::Tuple(vec![self.0.write(style), self.1.write(style), self.2.write(style)])
    }
}

/// Low, typical and high in this order, or a problem.
pub(super) fn ordered(r: &mut Reader, low: f64, typ: f64, high: f64) -> bool {
    let ok = low <= typ && typ <= high;
    if !ok {
        r.wrong(
            format!("low {}, typical {}, high {} are not in order", plain(low), plain(typ), plain(high)),
            "write the low value first and the high one last",
        );
    }
    ok
}
