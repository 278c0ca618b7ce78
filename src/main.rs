//! Prints what a command says and exits with its code.

use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let out = roomback::cli::run(std::env::args_os());
    // A reader that hangs up early (a pager, `head`) is no fault.
    let _ = if out.code == 2 {
        std::io::stderr().lock().write_all(out.text.as_bytes())
    } else {
        let mut to = std::io::stdout().lock();
        to.write_all(out.text.as_bytes()).and_then(|()| to.flush())
    };
    ExitCode::from(out.code)
}
