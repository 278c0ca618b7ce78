//! The system's own file dialog, on a thread of its own: the call does not come back while
//! the dialog is open.
//!
//! Where the machine has no such dialog the call gives nothing at once, just as a dialog
//! that was cancelled does; nobody cancels within [`TOO_SOON`].

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

/// Seconds within which nobody has seen a dialog and cancelled it.
const TOO_SOON: f64 = 1.0;

/// A dialog that is open, or about to be.
#[derive(Debug)]
pub struct Browse {
    chosen: Receiver<Option<PathBuf>>,
    /// When it was asked for, seconds.
    since: f64,
}

/// What came of a dialog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Came {
    /// It is still open.
    Open,
    Chosen(PathBuf),
    Cancelled,
    /// There is none on this machine.
    NoDialog,
}

impl Browse {
    /// Opens a dialog on a thread; `wake` is called when it is done. `now` in seconds.
    pub fn start(
        now: f64,
        dialog: impl FnOnce() -> Option<PathBuf> + Send + 'static,
        wake: impl FnOnce() + Send + 'static,
    ) -> Browse {
        let (to, chosen) = channel();
        let begun = thread::Builder::new().name("roomback-browse".into()).spawn(move || {
            // The window may be gone by then.
            let _ = to.send(dialog());
            wake();
        });
        // Without a thread the sender is gone, and that reads as no dialog.
        drop(begun);
        Browse { chosen, since: now }
    }

    /// Looks whether it is done.
    pub fn came(&self, now: f64) -> Came {
        match self.chosen.try_recv() {
            Ok(Some(path)) => Came::Chosen(path),
            Ok(None) if now - self.since >= TOO_SOON => Came::Cancelled,
            Ok(None) | Err(TryRecvError::Disconnected) => Came::NoDialog,
            Err(TryRecvError::Empty) => Came::Open,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a dialog came to that gave this and was looked at so long after.
    fn came(after: f64, gives: Option<&str>) -> Came {
        let (wake, woken) = channel();
        let gives = gives.map(PathBuf::from);
        let b = Browse::start(5.0, move || gives, move || wake.send(()).unwrap());
        woken.recv().unwrap();
        b.came(5.0 + after)
    }

    #[test]
    fn a_quick_nothing_is_no_dialog() {
        assert_eq!(came(0.1, None), Came::NoDialog);
        assert_eq!(came(3.0, None), Came::Cancelled);
        assert_eq!(came(0.1, Some("/x.ron")), Came::Chosen("/x.ron".into()));
    }

    #[test]
    fn a_dialog_that_is_open_is_waited_for() {
        let (let_go, wait) = channel::<()>();
        let b = Browse::start(0.0, move || wait.recv().ok().and(None), || {});
        assert_eq!(b.came(10.0), Came::Open);
        let_go.send(()).unwrap();
    }

    #[test]
    fn a_dialog_that_breaks_is_no_dialog() {
        let (wake, woken) = channel::<()>();
        let gone = move || -> Option<PathBuf> {
            let _held = wake;
            std::panic::resume_unwind(Box::new("no portal"))
        };
        let b = Browse::start(0.0, gone, || {});
        assert!(woken.recv().is_err());
        // The sender may be let go a moment after the rest.
        while b.came(10.0) == Came::Open {
            thread::yield_now();
        }
        assert_eq!(b.came(10.0), Came::NoDialog);
    }
}
