//! Opens the window, or prints what a command says and exits with its code.

use std::ffi::OsString;
use std::io::Write;
use std::process::ExitCode;

use roomback::cli;

fn main() -> ExitCode {
    #[cfg_attr(not(feature = "desktop"), expect(unused_mut))]
    let mut args: Vec<OsString> = std::env::args_os().collect();
    #[cfg(feature = "desktop")]
    match cli::asked(&args) {
        cli::Asked::Window(job, today) => match roomback::ui::start::run(job, today) {
            Ok(()) => return ExitCode::SUCCESS,
            Err(none) => {
                let _ = writeln!(std::io::stderr().lock(), "{}", none.line);
                args.truncate(1);
                args.extend(none.job.into_iter().flat_map(|job| ["forecast".into(), "--".into(), job.into()]));
            }
        },
        cli::Asked::Wrong(out) => return said(&out),
        cli::Asked::Text => {}
    }
    said(&cli::run(args))
}

fn said(out: &cli::Output) -> ExitCode {
    // A reader that hangs up early (a pager, `head`) is no fault.
    let _ = if out.code == 2 {
        std::io::stderr().lock().write_all(out.text.as_bytes())
    } else {
        let mut to = std::io::stdout().lock();
        to.write_all(out.text.as_bytes()).and_then(|()| to.flush())
    };
    ExitCode::from(out.code)
}
