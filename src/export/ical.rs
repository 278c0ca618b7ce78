//! iCalendar, RFC 5545: one `VCALENDAR` published, a `VEVENT` a day.
//!
//! Lines end in CRLF and are folded at 75 octets without cutting a character (3.1); text is escaped
//! (3.3.11); times are floating, local wherever they are read (3.3.5); whole days end on the day after
//! the last (3.6.1). `SEQUENCE` (3.8.7.4) is the revision of the job.

use chrono::NaiveDateTime;

use crate::views::{Event, Span};

/// Octets of a line at most, its end left out.
const FOLD: usize = 75;

/// A calendar of these events. `stamp` is the moment it is made, UTC; `revision` only grows.
pub fn ical(name: &str, events: &[Event], revision: usize, stamp: NaiveDateTime) -> String {
    let mut out = String::new();
    let mut put = |name: &str, value: &str| out += &folded(&format!("{name}:{value}"));
    put("BEGIN", "VCALENDAR");
    put("VERSION", "2.0");
    put("PRODID", "-//Roomback//Roomback//EN");
    put("CALSCALE", "GREGORIAN");
    put("METHOD", "PUBLISH");
    put("X-WR-CALNAME", &escaped(name));
    for e in events {
        put("BEGIN", "VEVENT");
        put("UID", &escaped(&e.uid));
        put("DTSTAMP", &format!("{}Z", stamp.format("%Y%m%dT%H%M%S")));
        put("SEQUENCE", &revision.to_string());
        match e.span {
            Span::Days(a, b) => {
                put("DTSTART;VALUE=DATE", &a.format("%Y%m%d").to_string());
                put("DTEND;VALUE=DATE", &Event::day_after(b).format("%Y%m%d").to_string());
                // A day to know of, not an hour that is taken.
                put("TRANSP", "TRANSPARENT");
            }
            Span::Times(a, b) => {
                put("DTSTART", &a.format("%Y%m%dT%H%M%S").to_string());
                put("DTEND", &b.format("%Y%m%dT%H%M%S").to_string());
            }
        }
        put("SUMMARY", &escaped(&e.line()));
        if !e.text.is_empty() {
            put("DESCRIPTION", &escaped(&e.text));
        }
        put("END", "VEVENT");
    }
    put("END", "VCALENDAR");
    out
}

/// A value of type TEXT; control characters but line ends are left out (they are no `TSAFE-CHAR`).
fn escaped(text: &str) -> String {
    let mut out = String::new();
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out += "\\n",
            '\t' => out.push(' '),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// A content line folded: what goes on begins with a blank.
fn folded(line: &str) -> String {
    let mut out = String::new();
    let mut used = 0;
    for c in line.chars() {
        if used + c.len_utf8() > FOLD {
            out += "\r\n ";
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lines_are_folded_at_75_octets_and_no_character_is_cut() {
        for text in ["x".repeat(75), "x".repeat(76), "é".repeat(500), "字".repeat(100), String::new()] {
            let line = folded(&text);
            assert!(line.ends_with("\r\n"));
            assert!(line.split("\r\n").all(|l| l.len() <= 75), "{line}");
            assert_eq!(line.replace("\r\n ", "").trim_end_matches("\r\n"), text);
        }
        assert_eq!(folded(&"x".repeat(75)).matches("\r\n").count(), 1);
        assert_eq!(folded(&"x".repeat(76)).matches("\r\n").count(), 2);
    }

    #[test]
    fn text_is_escaped_as_the_standard_says() {
        // RFC 5545, 3.3.11: "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
        assert_eq!(
            escaped("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."),
            "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
        );
        assert_eq!(escaped("a;b,c\\d\r\ne\u{7}\u{0}"), "a\\;b\\,c\\\\d\\ne");
    }

    proptest! {
        #[test]
        fn no_text_ends_a_line_or_begins_a_new_one(text in "\\PC{0,60}|[\\r\\n:;,a-zA-Z]{0,60}") {
            let e = escaped(&text);
            prop_assert!(!e.contains(['\r', '\n']));
            prop_assert_eq!(folded(&e).replace("\r\n ", ""), format!("{e}\r\n"));
        }
    }
}
