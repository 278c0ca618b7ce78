//! Opens the window, or says in one line why there is none.
//!
//! A machine without a display, without the X libraries, without OpenGL or without the
//! keyboard library is told apart before, by the error, and by the panic that the loader of
//! the keyboard library ends in (seen with winit 0.30 and glutin 0.32 on Debian 12). What
//! happens after the window stood open is no matter of this file and goes on as it came.

use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::{Arc, Mutex};

use chrono::NaiveDate;

use super::files::{Files, Folders};
use super::icon;
use super::window::Window;
use super::worker::Worker;
use crate::desk;
use crate::store::{self, settings};

/// What a window needs on Debian.
pub const PACKAGES: &str = "libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0 libgl1";

/// No window could be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoWindow {
    /// One line: what is missing, and what to install.
    pub line: String,
    /// The job the window would have opened on; none for the sample.
    pub job: Option<PathBuf>,
}

/// How opening failed.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Failure {
    /// The session names no display.
    NoDisplay,
    /// The window system's or OpenGL's error, in its own words and with all it holds.
    Error { graphics: bool, words: String, whole: String },
    /// A panic before the window stood, in its own words.
    Panic(String),
}

/// File names of shared libraries in a message: `libXi.so.6`.
fn library(words: &str) -> Option<&str> {
    let end_of_name = |c: char| !(c.is_ascii_alphanumeric() || "._-+".contains(c));
    words.split(end_of_name).find(|w| w.starts_with("lib") && w.contains(".so")).map(|w| w.trim_end_matches('.'))
}

impl Failure {
    /// What is missing.
    fn missing(&self) -> String {
        match self {
            Failure::NoDisplay => "no display is named (DISPLAY, WAYLAND_DISPLAY and WAYLAND_SOCKET are empty)".into(),
            Failure::Panic(whole) | Failure::Error { whole, .. } if whole.contains("xkbcommon") => {
                format!("the keyboard library {} is not there", library(whole).unwrap_or("libxkbcommon"))
            }
            Failure::Error { whole, .. } if whole.contains("XOpenDisplayFailed") => {
                "no display server answers at the display that is named".into()
            }
            Failure::Error { whole, graphics: false, .. } if whole.contains("LibraryOpenError") => {
                format!("the window library {} is not there", library(whole).unwrap_or("libX11"))
            }
            Failure::Error { graphics: true, .. } => "OpenGL is not there".into(),
            Failure::Error { words, .. } | Failure::Panic(words) => {
                format!("it could not be opened ({})", one_line(words))
            }
        }
    }

    /// The whole line.
    fn line(&self) -> String {
        format!("No window: {}. On Debian a window needs: {PACKAGES}", self.missing())
    }
}

/// Words of somebody else's error on one line of bearable length.
fn one_line(words: &str) -> String {
    let line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(160) {
        Some((cut, _)) => format!("{}…", &line[..cut]),
        None => line,
    }
}

fn failure(e: &eframe::Error) -> Failure {
    let graphics =
        matches!(e, eframe::Error::Glutin(_) | eframe::Error::NoGlutinConfigs(..) | eframe::Error::OpenGL(_));
    Failure::Error { graphics, words: e.to_string(), whole: format!("{e:?}") }
}

/// Opens the window on this job, or the last one, or the sample, taking it to be `today`;
/// returns when it is closed.
///
/// # Errors
/// [`NoWindow`] where this machine cannot open one.
pub fn run(job: Option<PathBuf>, today: Option<NaiveDate>) -> Result<(), NoWindow> {
    let folders = Folders::of_user();
    let settings = folders.settings.as_deref().map(settings::peek).unwrap_or_default();
    let opened = || open(folders, job.clone(), today, settings.window);
    let done = if store::display() { opened() } else { Err(Failure::NoDisplay) };
    done.map_err(|f| instead(&f, job, settings.last.filter(|p| store::taken(p))))
}

/// What is answered in text: the job named, else the last one where it can be planned, else the sample; and
/// whose answer follows.
fn instead(failure: &Failure, job: Option<PathBuf>, last: Option<PathBuf>) -> NoWindow {
    let line = failure.line();
    let Some(last) = last.filter(|_| job.is_none()) else { return NoWindow { line, job } };
    let text = store::read(&last);
    let planned = text.as_ref().is_ok_and(|t| desk::open(t).is_ok_and(|o| o.sound.is_some()));
    let name = last.display();
    if planned {
        NoWindow { line: format!("{line}. What follows is of {name}, the job opened last"), job: Some(last) }
    } else {
        let why = text.err().map_or_else(|| format!("roomback check {name} says why"), |e| e.to_string());
        NoWindow { line: format!("{line}. The job opened last, {name}, cannot be planned: {why}"), job: None }
    }
}

/// What is said on a panic, while it is kept quiet.
type Hook = Box<dyn Fn(&panic::PanicHookInfo<'_>) + Sync + Send>;

/// Gives the program its usual words on a panic back, once.
fn speak_again(hook: &Mutex<Option<Hook>>) {
    if let Ok(mut kept) = hook.lock()
        && let Some(hook) = kept.take()
    {
        panic::set_hook(hook);
    }
}

/// Files are looked at once the window stands: before that nothing of the user's is touched.
fn open(
    folders: Folders,
    job: Option<PathBuf>,
    today: Option<NaiveDate>,
    (width, height): (f32, f32),
) -> Result<(), Failure> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Roomback")
        .with_app_id("roomback")
        .with_icon(icon::of_window())
        .with_inner_size([width, height])
        .with_min_inner_size([800.0, 500.0]);
    let options = eframe::NativeOptions { viewport, renderer: eframe::Renderer::Glow, ..Default::default() };
    let stood = Rc::new(Cell::new(false));
    let hook = Arc::new(Mutex::new(Some(panic::take_hook())));
    panic::set_hook(Box::new(|_| {}));
    let ended = {
        let (stood, hook) = (stood.clone(), hook.clone());
        panic::catch_unwind(AssertUnwindSafe(|| {
            eframe::run_native(
                "Roomback",
                options,
                Box::new(move |cc| {
                    speak_again(&hook);
                    stood.set(true);
                    let (files, session) = Files::start(folders, job);
                    let ctx = cc.egui_ctx.clone();
                    let worker = Worker::start(move || ctx.request_repaint());
                    Ok(Box::new(Shell(Window::new(files.believing(today), session, worker))))
                }),
            )
        }))
    };
    speak_again(&hook);
    match ended {
        Ok(Ok(())) => Ok(()),
        Ok(Err(e)) => Err(failure(&e)),
        Err(fault) if stood.get() => panic::resume_unwind(fault),
        Err(fault) => {
            let words = fault.downcast_ref::<String>().map(String::as_str);
            let words = words.or_else(|| fault.downcast_ref::<&str>().copied()).unwrap_or_default();
            Err(Failure::Panic(words.to_string()))
        }
    }
}

/// The window as eframe calls it.
struct Shell(Window);

impl eframe::App for Shell {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        self.0.logic(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut eframe::Frame) {
        self.0.ui(ui);
    }

    fn on_exit(&mut self, _: Option<&eframe::glow::Context>) {
        self.0.ended();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(graphics: bool, words: &str, whole: &str) -> String {
        Failure::Error { graphics, words: words.into(), whole: whole.into() }.line()
    }

    #[test]
    fn each_cause_has_its_line() {
        // Words as winit 0.30, x11-dl 2.21, xkbcommon-dl 0.4 and eframe 0.37 have them.
        let none = Failure::NoDisplay.line();
        assert!(none.starts_with("No window: no display is named (DISPLAY"), "{none}");
        let words = "winit EventLoopError: os error at mod.rs:788: Failed to open connection to X server";
        let deaf = line(false, words, "WinitEventLoop(Os(OsError { error: XNotSupported(XOpenDisplayFailed) }))");
        assert!(deaf.contains("no display server answers"), "{deaf}");
        let whole = "WinitEventLoop(Os(OsError { error: XNotSupported(LibraryOpenError(OpenError { kind: Library, \
                     detail: \"libXi.so.6: cannot open shared object file\" })) }))";
        let x = line(false, "Failed to load one of xlib's shared libraries", whole);
        assert!(x.contains("the window library libXi.so.6 is not there"), "{x}");
        let words = "Found no glutin configs matching the template: ConfigTemplate {..}";
        let gl = line(true, words, "NoGlutinConfigs(ConfigTemplate {..})");
        assert!(gl.contains("OpenGL is not there"), "{gl}");
        let keys = Failure::Panic("Library libxkbcommon-x11.so could not be loaded.".into()).line();
        assert!(keys.contains("the keyboard library libxkbcommon-x11.so is not there"), "{keys}");
        let other = line(false, &format!("something\nelse {}", "x".repeat(500)), "");
        assert!(other.contains("it could not be opened (something else xxx") && other.contains('…'), "{other}");
        for l in [none, deaf, x, gl, keys, other] {
            assert!(l.ends_with(PACKAGES) && !l.contains('\n') && l.chars().count() < 400, "{l}");
        }
    }

    #[test]
    fn the_answer_in_text_says_whose_it_is() {
        let sample = |name: &str| PathBuf::from(format!("{}/{name}", env!("CARGO_MANIFEST_DIR")));
        let (sound, broken) = (sample("sample-jobs/powder.ron"), sample("tests/core/broken/graph-cycle.ron"));
        let none =
            |job: &Option<PathBuf>, last: &PathBuf| instead(&Failure::NoDisplay, job.clone(), Some(last.clone()));
        let got = none(&None, &sound);
        assert!(
            got.job.as_ref() == Some(&sound) && got.line.contains("powder.ron, the job opened last"),
            "{}",
            got.line
        );
        let got = none(&None, &broken);
        assert!(got.job.is_none() && got.line.contains("graph-cycle.ron says why"), "{}", got.line);
        let got = none(&None, &sample("nowhere.ron"));
        assert!(got.job.is_none() && got.line.contains("nowhere.ron is not there"), "{}", got.line);
        // A job that was named is answered for, whatever is wrong with it.
        assert_eq!(none(&Some(broken.clone()), &sound).job, Some(broken));
    }

    #[test]
    fn the_errors_of_the_window_are_told_apart() {
        let e = eframe::Error::OpenGL("no shader".to_string().into());
        assert!(failure(&e).line().contains("OpenGL is not there"));
        let e = eframe::Error::AppCreation("no reason".into());
        assert!(failure(&e).line().contains("app creation error: no reason"));
    }
}
