//! What the machine says around the program: folders, the display, who waits for the window.

use std::env;
use std::fs;
use std::path::{Component, Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// Names a file that the window writes once its first whole answer is drawn.
const READY: &str = "ROOMBACK_READY";

/// The user's own folder.
pub fn home() -> Option<PathBuf> {
    directories::BaseDirs::new().map(|d| d.home_dir().to_path_buf())
}

/// The path with the folder the program was started in put before it, without `.` and with
/// `..` taken back where that is plain. The disk is not asked.
pub fn absolute(path: &Path) -> PathBuf {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let mut out = PathBuf::new();
    for part in whole.components() {
        match part {
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}

/// The path meant by what was typed or pasted: quotation marks and blanks around it are
/// dropped, `~` is the user's folder. Nothing where nothing is left.
pub fn typed(text: &str, home: Option<&Path>) -> Option<PathBuf> {
    let text = text.trim();
    let inner = ['"', '\''].iter().find_map(|&q| text.strip_prefix(q)?.strip_suffix(q)).unwrap_or(text).trim();
    let inner = inner.strip_prefix("file://").unwrap_or(inner);
    if inner.is_empty() {
        return None;
    }
    let path = match (inner.strip_prefix('~'), home) {
        (Some(""), Some(home)) => home.to_path_buf(),
        (Some(rest), Some(home)) if rest.starts_with('/') => home.join(rest.trim_start_matches('/')),
        _ => PathBuf::from(inner),
    };
    Some(absolute(&path))
}

/// Whether the session names any display to open a window on.
pub fn display() -> bool {
    // Only systems of the X and Wayland families name their display this way.
    let named = |name| env::var_os(name).is_some_and(|v| !v.is_empty());
    !cfg!(all(unix, not(target_os = "macos")))
        || ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"].into_iter().any(named)
}

/// Seconds since this was first asked, by a clock that never goes back.
pub fn seconds() -> f64 {
    static BEGIN: OnceLock<Instant> = OnceLock::new();
    BEGIN.get_or_init(Instant::now).elapsed().as_secs_f64()
}

/// Says once that the first whole answer is on the screen: writes the file named by
/// `ROOMBACK_READY`, if it is set. Later calls do nothing.
pub fn say_ready() {
    static SAID: AtomicBool = AtomicBool::new(false);
    if !SAID.swap(true, Ordering::Relaxed)
        && let Some(path) = env::var_os(READY).filter(|p| !p.is_empty())
    {
        // Whoever waits for it sees that it does not come; the window goes on.
        let _ = fs::write(path, "ready\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_paths_are_read_as_people_write_them() {
        let home = Path::new("/home/ilse");
        let read = |t: &str| typed(t, Some(home)).map(|p| p.display().to_string());
        assert_eq!(read("  ~/jobs/study.ron "), Some("/home/ilse/jobs/study.ron".into()));
        assert_eq!(read("~"), Some("/home/ilse".into()));
        assert_eq!(read("\"/tmp/a b.ron\""), Some("/tmp/a b.ron".into()));
        assert_eq!(read("'/tmp/a.ron'"), Some("/tmp/a.ron".into()));
        assert_eq!(read("file:///tmp/a.ron"), Some("/tmp/a.ron".into()));
        assert_eq!(read("/tmp/jobs/../a.ron"), Some("/tmp/a.ron".into()));
        assert_eq!(read(" \"\" "), None);
        let here = std::env::current_dir().unwrap();
        assert_eq!(read("study.ron"), Some(here.join("study.ron").display().to_string()));
        assert_eq!(read("./~x.ron"), Some(here.join("~x.ron").display().to_string()));
        // Another user's folder is not guessed at.
        assert_eq!(read("~ilse/x.ron"), Some(here.join("~ilse/x.ron").display().to_string()));
        assert_eq!(typed("~/x", None), Some(here.join("~/x")));
    }

    #[test]
    fn a_path_above_the_root_stays_at_the_root() {
        assert_eq!(absolute(Path::new("/../a/./b/../c")), Path::new("/../a/c"));
    }
}
