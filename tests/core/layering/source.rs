//! A Rust source as a scan needs it: comments, texts and test code blanked, lines kept.
//!
//! No parser: it knows comments, strings, raw strings, characters and balanced brackets, and
//! that is enough for code that went through rustfmt. Offsets and line numbers stay those of
//! the file.

/// The text with comments, strings and characters blanked.
pub fn bare(text: &str) -> String {
    let c: Vec<char> = text.chars().collect();
    let at = |i: usize| c.get(i).copied().unwrap_or('\0');
    let mut out = String::with_capacity(text.len());
    let mut i = 0;
    let skip = |out: &mut String, from: usize, to: usize| {
        for &x in &c[from..to.min(c.len())] {
            out.push(if x == '\n' { '\n' } else { ' ' });
        }
    };
    while i < c.len() {
        let from = i;
        let word_before = i > 0 && (at(i - 1).is_alphanumeric() || at(i - 1) == '_');
        match (at(i), at(i + 1)) {
            ('/', '/') => {
                while i < c.len() && at(i) != '\n' {
                    i += 1;
                }
            }
            ('/', '*') => {
                let mut depth = 0;
                loop {
                    match (at(i), at(i + 1)) {
                        ('/', '*') => (depth, i) = (depth + 1, i + 2),
                        ('*', '/') => (depth, i) = (depth - 1, i + 2),
                        _ => i += 1,
                    }
                    if depth == 0 || i >= c.len() {
                        break;
                    }
                }
            }
            ('r', '"' | '#') if !word_before => {
                let hashes = (i + 1..).take_while(|&k| at(k) == '#').count();
                if at(i + 1 + hashes) != '"' {
                    out.push('r');
                    i += 1;
                    continue;
                }
                i += hashes + 2;
                while i < c.len() && !(at(i) == '"' && (1..=hashes).all(|k| at(i + k) == '#')) {
                    i += 1;
                }
                i += hashes + 1;
            }
            ('"', _) => {
                i += 1;
                while i < c.len() && at(i) != '"' {
                    i += if at(i) == '\\' { 2 } else { 1 };
                }
                i += 1;
            }
            ('\'', '\\') => {
                i += 3;
                while i < c.len() && at(i) != '\'' {
                    i += 1;
                }
                i += 1;
            }
            ('\'', _) if at(i + 2) == '\'' => i += 3,
            (x, _) => {
                out.push(x);
                i += 1;
                continue;
            }
        }
        skip(&mut out, from, i);
    }
    out
}

/// A bare text without what stands behind `#[cfg(test)]`: an item up to its `;` or its last
/// closing bracket.
pub fn without_tests(bare: &str) -> String {
    let mut out = bare.to_string();
    while let Some(from) = out.find("#[cfg(test)]") {
        let mut depth = 0usize;
        let mut to = out.len();
        for (k, x) in out[from + "#[cfg(test)]".len()..].char_indices() {
            match x {
                '{' | '(' | '[' => depth += 1,
                '}' | ')' | ']' => depth = depth.saturating_sub(1),
                _ => {}
            }
            if depth == 0 && (x == ';' || x == '}') {
                to = from + "#[cfg(test)]".len() + k + x.len_utf8();
                break;
            }
        }
        let blank: String = out[from..to].chars().map(|x| if x == '\n' { '\n' } else { ' ' }).collect();
        out.replace_range(from..to, &blank);
    }
    out
}

/// Line of an offset, from 1.
pub fn line(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// The identifier a text begins with.
fn ident(text: &str) -> &str {
    let end = text.find(|x: char| !(x.is_alphanumeric() || x == '_')).unwrap_or(text.len());
    &text[..end]
}

/// Every top-level module named behind `root::`, groups included, with its offset.
pub fn named_behind<'a>(bare: &'a str, root: &str) -> Vec<(usize, &'a str)> {
    let mut out = Vec::new();
    for (at, found) in bare.match_indices(root) {
        if bare[..at].ends_with(|x: char| x.is_alphanumeric() || x == '_') {
            continue;
        }
        let rest = &bare[at + found.len()..];
        let Some(group) = rest.strip_prefix('{') else {
            out.push((at, ident(rest)));
            continue;
        };
        // The first word of each member of the group.
        let (mut depth, mut first) = (0, true);
        for (k, x) in group.char_indices() {
            match x {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => first = true,
                x if first && !x.is_whitespace() => {
                    out.push((at, ident(&group[k..])));
                    first = false;
                }
                _ => {}
            }
        }
    }
    out
}

/// Whether `word` stands at `at` by itself, not as the tail of a longer name.
pub fn stands_alone(bare: &str, at: usize, word: &str) -> bool {
    let name = |x: char| x.is_alphanumeric() || x == '_';
    let tail = word.starts_with(name) && bare[..at].ends_with(name);
    let head = word.ends_with(name) && bare[at + word.len()..].starts_with(name);
    !tail && !head
}

#[test]
fn comments_texts_and_characters_go_and_lines_stay() {
    let text = "a // crate::x\nb /* c /* d */\n e */ f \"crate::\\\" y\" g 'h' '\\n' &'i j r#\"k \" l\"# m br\"n\"\no";
    let got = bare(text);
    assert_eq!(got.split_whitespace().collect::<Vec<_>>(), ["a", "b", "f", "g", "&'i", "j", "m", "br", "o"]);
    assert_eq!(got.matches('\n').count(), text.matches('\n').count());
    assert_eq!(line(&got, got.find('o').unwrap()), 4);
}

#[test]
fn test_items_go() {
    let text = "a;\n#[cfg(test)]\nmod tests {\n fn b() { c([1]); }\n}\nd;\n#[cfg(test)]\n#[path = \"x\"]\nmod t;\ne;";
    let got = without_tests(&bare(text));
    assert_eq!(got.split_whitespace().collect::<Vec<_>>(), ["a;", "d;", "e;"]);
}

#[test]
fn names_behind_a_root_are_found_in_groups() {
    let names = |t| named_behind(t, "crate::").iter().map(|x| x.1).collect::<Vec<_>>();
    assert_eq!(names("use crate::clock::{At, DAY}; my_crate::no; crate::job"), ["clock", "job"]);
    assert_eq!(names("use crate::{clock::{At, air::X}, job,\n trade::*};"), ["clock", "job", "trade"]);
}
