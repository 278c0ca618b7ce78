//! Text commands: arguments in, text and an exit code out.
//!
//! `0` done; `1` the job has problems, or nothing can be planned; `2` a wrong call or a file
//! that cannot be read or written. Every command has `--json` with the stable names of
//! `docs/text-commands.md`. It refuses to print and to exit: `main` does both.

mod apply;
mod args;
mod commands;

use std::ffi::OsString;

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

/// Runs one command; the first argument is the program's own name.
pub fn run<T: Into<OsString> + Clone>(args: impl IntoIterator<Item = T>) -> Output {
    match args::Args::try_parse_from(args) {
        Ok(args) => commands::run(args),
        Err(e) => Output { text: e.render().to_string(), code: if e.use_stderr() { 2 } else { 0 } },
    }
}
