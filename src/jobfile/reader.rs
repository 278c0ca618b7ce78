//! Nodes to values, all problems collected, each at its field path.
//!
//! A [`Value`] reads itself from a node and writes itself as a [`Doc`]. What cannot be read
//! is a problem and gives way to a default, so that a best-effort job always exists.

use std::collections::{BTreeMap, BTreeSet};

use super::layout::Doc;
use super::near::advise;
use super::node::{Entry, Kind, Node};
use crate::job::Problem;
use crate::measure::Style;

/// A field a record may hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    pub name: &'static str,
    /// Must be written.
    pub required: bool,
    /// Numbers in it lie in this range; lengths in inches.
    pub range: Option<(f64, f64)>,
}

/// Something a job file can hold.
pub(super) trait Value: Sized {
    /// What it is called where something else stands: "a length such as \"11'6\"".
    const WANT: &'static str;
    /// Stands in where nothing can be read.
    fn blank() -> Self;
    /// `None` after a problem.
    fn read(r: &mut Reader, node: &Node) -> Option<Self>;
    fn write(&self, style: Style) -> Doc;
}

/// A record with named fields, for the table of fields.
pub(super) trait Record {
    const TYPE: &'static str;
    /// "a person".
    const WHAT: &'static str;
    const FIELDS: &'static [Field];
}

/// Collects problems while a tree of nodes is read.
#[derive(Default)]
pub(super) struct Reader {
    pub problems: Vec<Problem>,
    /// Byte of every field path.
    pub offsets: BTreeMap<String, usize>,
    /// Paths that already have a problem.
    pub bad: BTreeSet<String>,
    path: String,
    range: Option<(f64, f64)>,
}

impl Reader {
    /// A problem at the path now being read.
    pub fn wrong(&mut self, what: impl Into<String>, remedy: impl Into<String>) {
        self.bad.insert(self.path.clone());
        self.problems.push(Problem::new(self.path.clone(), what, remedy));
    }

    /// `node` is not a `T`.
    pub fn mismatch<T: Value>(&mut self, node: &Node) {
        self.wrong(format!("found {} where {} is wanted", node.kind.spoken(), T::WANT), format!("write {}", T::WANT));
    }

    fn within<R>(&mut self, part: &str, at: usize, read: impl FnOnce(&mut Reader) -> R) -> R {
        let len = self.path.len();
        self.path.push_str(part);
        self.offsets.insert(self.path.clone(), at);
        let out = read(self);
        self.path.truncate(len);
        out
    }

    fn within_field<R>(&mut self, name: &str, at: usize, read: impl FnOnce(&mut Reader) -> R) -> R {
        let part = if self.path.is_empty() { name.to_string() } else { format!(".{name}") };
        self.within(&part, at, read)
    }

    /// Reads the element `i` of a list or tuple.
    pub fn element<T: Value>(&mut self, i: usize, node: &Node) -> Option<T> {
        self.within(&format!("[{i}]"), node.at, |r| {
            let value = T::read(r, node);
            if value.is_none() {
                r.bad.insert(r.path.clone());
            }
            value
        })
    }

    /// Reads the element `i` in the range of a field.
    pub fn element_of<T: Value>(&mut self, i: usize, node: &Node, field: &Field) -> Option<T> {
        let outer = std::mem::replace(&mut self.range, field.range);
        let value = self.element(i, node);
        self.range = outer;
        value
    }

    /// The fields of a record, unknown, doubled and missing ones reported.
    pub fn open<'n, T: Record>(&mut self, node: &'n Node) -> Option<&'n [Entry]> {
        let (name, entries): (_, &[Entry]) = match &node.kind {
            Kind::Record(name, entries) => (name, entries),
            Kind::Tuple(name, values) if values.is_empty() => (name, &[]),
            other => {
                let first = T::FIELDS.iter().find(|f| f.required).unwrap_or(&T::FIELDS[0]).name;
                self.wrong(
                    format!("found {} where {} is wanted", other.spoken(), T::WHAT),
                    format!("write its fields in parentheses, as in ({first}: ...)"),
                );
                return None;
            }
        };
        if let Some(name) = name
            && name != T::TYPE
        {
            self.problems.push(Problem::new(
                self.path.clone(),
                format!("{name}( ... ) is not {}", T::WHAT),
                format!("leave the name out or write {}", T::TYPE),
            ));
        }
        for (i, e) in entries.iter().enumerate() {
            if entries[..i].iter().any(|before| before.name == e.name) {
                self.wrong_at(e, format!("the field \"{}\" stands here twice", e.name), "keep one of the two");
            } else if !T::FIELDS.iter().any(|f| f.name == e.name) {
                let what = format!("\"{}\" is not a field of {}", super::node::short(&e.name), T::WHAT);
                let remedy = advise(&e.name, T::FIELDS.iter().map(|f| f.name), "remove it");
                self.wrong_at(e, what, remedy);
            }
        }
        Some(entries)
    }

    fn wrong_at(&mut self, e: &Entry, what: String, remedy: impl Into<String>) {
        let part = if self.path.is_empty() { e.name.clone() } else { format!(".{}", e.name) };
        let path = format!("{}{part}", self.path);
        self.offsets.entry(path.clone()).or_insert(e.at);
        self.problems.push(Problem::new(path, what, remedy));
    }

    /// Reads one field of an open record; `base` where it is left out or cannot be read.
    pub fn field<T: Value>(&mut self, entries: &[Entry], what: &str, field: &Field, base: T) -> T {
        let Some(e) = entries.iter().find(|e| e.name == field.name) else {
            if field.required {
                let child =
                    if self.path.is_empty() { field.name.to_string() } else { format!("{}.{}", self.path, field.name) };
                let want = match field.range {
                    Some((low, high)) if low == high => super::values::plain(low),
                    _ => T::WANT.to_string(),
                };
                self.bad.insert(child);
                self.problems.push(Problem::new(
                    self.path.clone(),
                    format!("{what} lacks its field \"{}\"", field.name),
                    format!("add {}: {want}", field.name),
                ));
            }
            return base;
        };
        self.within_field(field.name, e.value.at, |r| {
            let outer = std::mem::replace(&mut r.range, field.range);
            let value = T::read(r, &e.value);
            r.range = outer;
            value.unwrap_or_else(|| {
                r.bad.insert(r.path.clone());
                base
            })
        })
    }

    /// Whether the field now read has a range of its own.
    pub fn has_range(&self) -> bool {
        self.range.is_some()
    }

    /// A number in the range now in force, in words where it is not.
    pub fn in_range(&mut self, value: f64, words: impl Fn(f64) -> String) -> bool {
        let (low, high) = self.range.unwrap_or((-1e12, 1e12));
        let ok = value >= low && value <= high;
        if !ok {
            self.wrong(
                format!("{} is out of range", words(value)),
                format!("write a value from {} to {}", words(low), words(high)),
            );
        }
        ok
    }
}

/// A record whose fields are read and written by name. Fields left out take those of the
/// base; fields equal to it are left out in writing unless required. What stands in the
/// second braces is no part of the file.
macro_rules! record {
    ($ty:ident, $what:literal, $base:expr, { $( $f:ident $($req:ident)? $([$low:literal to $high:literal])? ),* $(,)? } $(, { $( $out:ident: $value:expr ),* })? ) => {
        impl crate::jobfile::reader::Record for $ty {
            const TYPE: &'static str = stringify!($ty);
            const WHAT: &'static str = $what;
            const FIELDS: &'static [crate::jobfile::reader::Field] = &[ $( crate::jobfile::reader::Field {
                name: stringify!($f),
                required: crate::jobfile::reader::required!($($req)?),
                range: crate::jobfile::reader::range!($($low, $high)?),
            } ),* ];
        }
        impl crate::jobfile::reader::Value for $ty {
            const WANT: &'static str = $what;
            fn blank() -> Self {
                $base
            }
            fn read(
                r: &mut crate::jobfile::reader::Reader,
                node: &crate::jobfile::node::Node,
            ) -> Option<Self> {
                use crate::jobfile::reader::Record;
                let entries = r.open::<$ty>(node)?;
                let base: $ty = $base;
                let mut fields = Self::FIELDS.iter();
                Some(Self { $( $f: r.field(entries, $what, fields.next()?, base.$f), )* $( $( $out: $value ),* )? })
            }
            fn write(&self, style: crate::measure::Style) -> crate::jobfile::layout::Doc {
                let base: $ty = $base;
                let mut out = Vec::new();
                $( if crate::jobfile::reader::always!($($req)?) || self.$f != base.$f {
                    out.push((stringify!($f), crate::jobfile::reader::Value::write(&self.$f, style)));
                } )*
                crate::jobfile::layout::Doc::Record(out)
            }
        }
    };
}

macro_rules! required {
    () => {
        false
    };
    (required) => {
        true
    };
    (kept) => {
        false
    };
}

/// Whether a field is written even where it equals its default.
macro_rules! always {
    () => {
        false
    };
    ($any:ident) => {
        true
    };
}

macro_rules! range {
    () => {
        None
    };
    ($low:literal, $high:literal) => {
        Some(($low as f64, $high as f64))
    };
}

/// An enum of plain words.
macro_rules! words {
    ($ty:ident, $what:literal, { $( $word:literal => $variant:ident ),* $(,)? }) => {
        impl crate::jobfile::reader::Value for $ty {
            const WANT: &'static str = concat!("one of ", $( $word, " ", )* "(without quotation marks)");
            fn blank() -> Self {
                [$( $ty::$variant ),*][0]
            }
            fn read(
                r: &mut crate::jobfile::reader::Reader,
                node: &crate::jobfile::node::Node,
            ) -> Option<Self> {
                const WORDS: &[(&str, $ty)] = &[ $( ($word, $ty::$variant) ),* ];
                crate::jobfile::values::word(r, node, $what, WORDS)
            }
            fn write(&self, _: crate::measure::Style) -> crate::jobfile::layout::Doc {
                let word = match self { $( $ty::$variant => $word ),* };
                crate::jobfile::layout::Doc::Atom(word.to_string())
            }
        }
    };
}

pub(super) use {always, range, record, required, words};
