//! Values that may be written in more than one way: hands, sizes, air, what a hold waits for.

use chrono::NaiveDateTime;

use super::layout::Doc;
use super::node::{Kind, Node};
use super::reader::{Field, Reader, Record, Value};
use super::values::plain;
use crate::clock::Air;
use crate::job::{Hands, Size, Until};
use crate::measure::{Length, Style};

const fn optional(name: &'static str, low: f64, high: f64) -> Field {
    Field { name, required: false, range: Some((low, high)) }
}

const fn required(name: &'static str, low: f64, high: f64) -> Field {
    Field { name, required: true, range: Some((low, high)) }
}

impl Record for Hands {
    const TYPE: &'static str = "Hands";
    const WHAT: &'static str = "a number of hands";
    const FIELDS: &'static [Field] = &[
        optional("fewest", 0.0, 20.0),
        optional("most", 0.0, 20.0),
        Field { name: "who", required: false, range: None },
    ];
}

/// `none`, `2`, or `(fewest: 1, most: 2, who: ["ana"])`.
impl Value for Hands {
    const WANT: &'static str = "none, a number, or (fewest: 1, most: 2, who: [..])";
    fn blank() -> Hands {
        Hands::default()
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Hands> {
        match &node.kind {
            Kind::Word(w) if w == "none" => Some(Hands { fewest: 0, most: 0, who: Vec::new() }),
            Kind::Int(n @ 0..=20) => Some(Hands { fewest: *n as u32, most: *n as u32, who: Vec::new() }),
            Kind::Record(..) | Kind::Tuple(..) => {
                let entries = r.open::<Hands>(node)?;
                let [fewest, most, who] = [0, 1, 2].map(|i| &Hands::FIELDS[i]);
                let fewest: u32 = r.field(entries, Hands::WHAT, fewest, 1);
                // Unless said, as many as the fewest.
                let most = r.field(entries, Hands::WHAT, most, fewest);
                let who = r.field(entries, Hands::WHAT, who, Vec::new());
                if fewest > most || (fewest == 0 && most > 0) {
                    r.wrong(
                        format!("hands from {fewest} to {most} are impossible"),
                        "write the smaller number as fewest, or hands: none where nobody is needed",
                    );
                    return None;
                }
                Some(Hands { fewest, most, who })
            }
            _ => {
                r.mismatch::<Hands>(node);
                None
            }
        }
    }
    fn write(&self, style: Style) -> Doc {
        match (self.fewest, self.most) {
            (0, 0) if self.who.is_empty() => return Doc::Atom("none".to_string()),
            (a, b) if a == b && self.who.is_empty() => return Doc::Atom(a.to_string()),
            _ => {}
        }
        let mut out = vec![("fewest", self.fewest.write(style)), ("most", self.most.write(style))];
        if !self.who.is_empty() {
            out.push(("who", self.who.write(style)));
        }
        Doc::Record(out)
    }
}

impl Record for Size {
    const TYPE: &'static str = "Size";
    const WHAT: &'static str = "a size";
    const FIELDS: &'static [Field] =
        &[required("length", 1.0, 6000.0), required("width", 1.0, 6000.0), required("height", 1.0, 1200.0)];
}

/// `("13'", "11'6", "8'4")` or `(length: "13'", width: "11'6", height: "8'4")`.
impl Value for Size {
    const WANT: &'static str = "(length, width, height), as in (\"13'\", \"11'6\", \"8'4\")";
    fn blank() -> Size {
        Size { length: Length::ZERO, width: Length::ZERO, height: Length::ZERO }
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Size> {
        let [l, w, h] = [0, 1, 2].map(|i| &Size::FIELDS[i]);
        let zero = Length::ZERO;
        let (length, width, height) = match &node.kind {
            Kind::Tuple(None, v) if v.len() == 3 => {
                (r.element_of(0, &v[0], l), r.element_of(1, &v[1], w), r.element_of(2, &v[2], h))
            }
            Kind::Record(..) => {
                let entries = r.open::<Size>(node)?;
                let mut side = |f| Some(r.field(entries, Size::WHAT, f, zero)).filter(|&v| v > zero);
                (side(l), side(w), side(h))
            }
            _ => {
                r.mismatch::<Size>(node);
                return None;
            }
        };
        Some(Size { length: length?, width: width?, height: height? })
    }
    fn write(&self, style: Style) -> Doc {
        Doc::Record(vec![
            ("length", self.length.write(style)),
            ("width", self.width.write(style)),
            ("height", self.height.write(style)),
        ])
    }
}

impl Record for Air {
    const TYPE: &'static str = "Air";
    const WHAT: &'static str = "the air of a place";
    const FIELDS: &'static [Field] = &[
        optional("temp_f", -40.0, 150.0),
        optional("dew_f", -80.0, 150.0),
        optional("rh", 1.0, 100.0),
        optional("temp_c", -40.0, 65.0),
        optional("dew_c", -62.0, 65.0),
    ];
}

/// `(temp_f: 68, dew_f: 48)`; `rh: 50` (percent) in place of the dew point; `temp_c`, `dew_c`.
/// Converted figures are kept to a hundredth of a degree F.
impl Value for Air {
    const WANT: &'static str = "(temp_f: 68, dew_f: 48), or rh: 50 for the dew point";
    fn blank() -> Air {
        crate::job::Place::default().work_air
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Air> {
        let entries = r.open::<Air>(node)?;
        let before = r.problems.len();
        let [temp_f, dew_f, rh, temp_c, dew_c] =
            [0, 1, 2, 3, 4].map(|i| r.field(entries, Air::WHAT, &Air::FIELDS[i], None::<f64>));
        if r.problems.len() > before {
            return None;
        }
        let fahrenheit = |c: f64| libm::round((c * 1.8 + 32.0) * 100.0) / 100.0;
        let temp = match (temp_f, temp_c) {
            (Some(f), None) => f,
            (None, Some(c)) => fahrenheit(c),
            _ => {
                r.wrong(
                    "the air of a place needs one temperature",
                    "write temp_f or temp_c, as in (temp_f: 68, dew_f: 48)",
                );
                return None;
            }
        };
        let dew = match (dew_f, dew_c, rh) {
            (Some(f), None, None) => f,
            (None, Some(c), None) => fahrenheit(c),
            (None, None, Some(rh)) => libm::round(Air::from_rh(temp, rh / 100.0).dew_f * 100.0) / 100.0,
            _ => {
                r.wrong(
                    "the air of a place needs its dew point or its humidity, one of them",
                    "write dew_f, dew_c or rh, as in (temp_f: 68, rh: 50)",
                );
                return None;
            }
        };
        if dew > temp {
            r.wrong(
                format!("the dew point {} F is above the temperature {} F", plain(dew), plain(temp)),
                "a dew point is at most the temperature",
            );
            return None;
        }
        Some(Air { temp_f: temp, dew_f: dew })
    }
    fn write(&self, style: Style) -> Doc {
        Doc::Record(vec![("temp_f", self.temp_f.write(style)), ("dew_f", self.dew_f.write(style))])
    }
}

/// `begun("id")`, `done("id")`, `at("2027-03-01T08:00")`.
impl Value for Until {
    const WANT: &'static str = "begun(\"step\"), done(\"step\") or at(\"2027-03-01T08:00\")";
    fn blank() -> Until {
        Until::Done(String::new())
    }
    fn read(r: &mut Reader, node: &Node) -> Option<Until> {
        if let Kind::Tuple(Some(name), v) = &node.kind
            && let [value] = v.as_slice()
        {
            match name.as_str() {
                "begun" => return String::read(r, value).map(Until::Begun),
                "done" => return String::read(r, value).map(Until::Done),
                "at" => return NaiveDateTime::read(r, value).map(Until::At),
                _ => {}
            }
        }
        r.mismatch::<Until>(node);
        None
    }
    fn write(&self, style: Style) -> Doc {
        match self {
            Until::Begun(s) => Doc::Call("begun", Box::new(s.write(style))),
            Until::Done(s) => Doc::Call("done", Box::new(s.write(style))),
            Until::At(t) => Doc::Call("at", Box::new(t.write(style))),
        }
    }
}
