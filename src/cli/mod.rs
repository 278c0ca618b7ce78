//! Text commands: arguments in, text and an exit code out.
//!
//! `0` done; `1` the job has problems, or nothing can be planned; `2` a wrong call or a file
//! that cannot be read or written. Every command has `--json` with the stable names of
//! `docs/text-commands.md`. It refuses to print and to exit: `main` does both.

mod apply;
mod args;
mod commands;
mod papers;
mod facts;
mod letterhead;
mod price;
mod print;
mod quote;
mod site;
mod ways;

use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Parser;

/// What a command says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Output {
    /// For the standard output; for the standard error where the code is 2.
    pub text: String,
    pub code: u8,
}

impl Output {
    fn fine(text: impl Into<String>) -> Output {
        Output { text: text.into(), code: 0 }
    }
    fn problems(text: impl Into<String>) -> Output {
        Output { text: text.into(), code: 1 }
    }
    fn wrong(text: impl std::fmt::Display) -> Output {
        Output { text: format!("roomback: {text}\n"), code: 2 }
    }
}

/// What is asked of a program that may open a window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asked {
    /// The window, on this job or the last one, taking it to be this day or today.
    Window(Option<PathBuf>, Option<NaiveDate>),
    /// A wrong call of the window, and why.
    Wrong(Output),
    /// A text command.
    Text,
}

/// What says which day the window takes it to be.
const TODAY: &str = "--today";

/// Tells the window from the text commands; the first argument is the program's own name. No
/// argument, or one that is a path and no command, asks for the window; so does either with
/// `--today DAY`.
pub fn asked(args: &[OsString]) -> Asked {
    let (mut rest, mut day) = (Vec::new(), None);
    let mut all = args.iter().skip(1);
    while let Some(a) = all.next() {
        let text = a.to_string_lossy();
        if text == TODAY {
            day = Some(all.next().map_or_else(String::new, |d| d.to_string_lossy().into_owned()));
        } else if let Some(d) = text.strip_prefix(TODAY).and_then(|d| d.strip_prefix('=')) {
            day = Some(d.to_string());
        } else {
            rest.push(a);
        }
    }
    let job = match rest.as_slice() {
        [] => None,
        [only] if is_path(only) => Some(PathBuf::from(only)),
        _ => return Asked::Text,
    };
    match day.map(|d| crate::views::typed::read_day(&d)).transpose() {
        Ok(day) => Asked::Window(job, day),
        Err(e) => Asked::Wrong(Output::wrong(format!("{TODAY}: {e}"))),
    }
}

/// Whether an argument standing alone is a path: it ends like a job file, names a folder on
/// the way, or is there on the disk; a command's name never is.
fn is_path(arg: &OsStr) -> bool {
    let text = arg.to_string_lossy();
    let command = <args::Args as clap::CommandFactory>::command().find_subcommand(text.as_ref()).is_some();
    let path = std::path::Path::new(arg);
    !command
        && !text.starts_with('-')
        && (path.extension().is_some_and(|e| e == "ron") || path.components().count() > 1 || crate::store::taken(path))
}

/// Runs one command; the first argument is the program's own name. A path alone asks for
/// the forecast of that job.
pub fn run<T: Into<OsString> + Clone>(args: impl IntoIterator<Item = T>) -> Output {
    let mut args: Vec<OsString> = args.into_iter().map(Into::into).collect();
    if let Asked::Window(Some(_), None) = asked(&args) {
        args.insert(1, "forecast".into());
        // What stands before the path cannot be taken for an option behind it.
        args.insert(2, "--".into());
    }
    match args::Args::try_parse_from(args) {
        Ok(args) => commands::run(args),
        Err(e) => Output { text: e.render().to_string(), code: if e.use_stderr() { 2 } else { 0 } },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn what(args: &[&str]) -> Asked {
        asked(&std::iter::once("roomback").chain(args.iter().copied()).map(OsString::from).collect::<Vec<_>>())
    }

    #[test]
    fn a_path_alone_asks_for_the_window() {
        assert_eq!(what(&[]), Asked::Window(None, None));
        for path in ["study.ron", "jobs/study", "./x", "/tmp/none.ron", "check.ron", "Cargo.toml"] {
            assert_eq!(what(&[path]), Asked::Window(Some(path.into()), None), "{path}");
        }
        for text in
            [vec!["check"], vec!["--help"], vec!["-V"], vec!["plna"], vec!["a.ron", "b.ron"], vec!["check", "x"]]
        {
            assert_eq!(what(&text), Asked::Text, "{text:?}");
        }
    }

    #[test]
    fn the_window_can_be_told_which_day_it_is() {
        let day = NaiveDate::from_ymd_opt(2027, 3, 11);
        for args in [vec!["a.ron", "--today", "2027-03-11"], vec!["--today=2027-03-11", "a.ron"]] {
            assert_eq!(what(&args), Asked::Window(Some("a.ron".into()), day), "{args:?}");
        }
        assert_eq!(what(&["--today", "2027-03-11"]), Asked::Window(None, day));
        for args in [vec!["a.ron", "--today"], vec!["a.ron", "--today", "soon"]] {
            let Asked::Wrong(out) = what(&args) else { panic!("{args:?}") };
            assert!(out.code == 2 && out.text.contains("--today"), "{}", out.text);
        }
        assert_eq!(what(&["check", "a.ron", "--today", "2027-03-11"]), Asked::Text);
    }

    #[test]
    fn a_path_alone_is_forecast_in_text() {
        let out = run(["roomback", "/nowhere/none.ron"]);
        assert_eq!(out.code, 2);
        assert_eq!(out, run(["roomback", "forecast", "/nowhere/none.ron"]));
    }
}
