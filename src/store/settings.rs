//! What the window remembers: recent jobs, the last one, its size, its paper and text size.
//!
//! One RON file, `roomback/settings.ron` in the user's folder for settings
//! (`XDG_CONFIG_HOME` where that is set). A file that cannot be read never stops the start:
//! it is kept aside as `settings.ron.unread` and the usual values hold. Sizes are in points.

use std::fs;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{StoreError, beside, failed, put, read, real, taken};

/// Jobs remembered.
pub const MOST_RECENT: usize = 12;
/// Smallest and largest window remembered, points.
const SIZES: (f32, f32) = (320.0, 16_384.0);
/// Smallest and largest text scale.
pub const SCALES: (f32, f32) = (0.8, 2.0);

/// Which moment the window is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// Before the job.
    #[default]
    Quote,
    /// Every evening of it.
    Site,
}

/// Which bench of a quote the window shows, where it has no room for both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bench {
    /// The rooms as measured.
    Measure,
    /// The order of work and its dates.
    #[default]
    Order,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Most recent first, each once, at most [`MOST_RECENT`]; whole paths.
    pub recent: Vec<PathBuf>,
    /// The job the window opens on; none for the sample.
    pub last: Option<PathBuf>,
    /// Width and height of the window, points of the usual text size.
    pub window: (f32, f32),
    /// Dark paper.
    pub dark: bool,
    /// 1 is the usual size; within [`SCALES`].
    pub text_scale: f32,
    /// The mode and the bench last looked at.
    pub mode: Mode,
    pub bench: Bench,
    /// Which of the three things to try were tried, and whether they were put away for good.
    pub tried: [bool; 3],
    pub tries_away: bool,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            recent: Vec::new(),
            last: None,
            window: (1280.0, 800.0),
            dark: false,
            text_scale: 1.0,
            mode: Mode::Quote,
            bench: Bench::Order,
            tried: [false; 3],
            tries_away: false,
        }
    }
}

/// A job had open before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recent {
    pub path: PathBuf,
    /// Whether it is there now.
    pub there: bool,
}

impl Settings {
    /// What was read, made sound: sizes within their ranges, the list of jobs short.
    fn sound(mut self) -> Settings {
        let usual = Settings::default();
        let within = |x: f32, (low, high): (f32, f32), usual: f32| {
            if x.is_finite() { x.clamp(low, high) } else { usual }
        };
        self.window = (within(self.window.0, SIZES, usual.window.0), within(self.window.1, SIZES, usual.window.1));
        self.text_scale = within(self.text_scale, SCALES, usual.text_scale);
        let mut recent: Vec<PathBuf> = Vec::new();
        for path in self.recent {
            if !recent.contains(&path) && recent.len() < MOST_RECENT {
                recent.push(path);
            }
        }
        self.recent = recent;
        self
    }

    /// A job was opened or saved: the first of the recent ones, and the last. A path that is
    /// no text cannot be remembered.
    pub fn used(&mut self, path: &Path) {
        if path.to_str().is_none() {
            return;
        }
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_path_buf());
        self.recent.truncate(MOST_RECENT);
        self.last = Some(path.to_path_buf());
    }

    /// Takes a job off the list.
    pub fn forget(&mut self, path: &Path) {
        self.recent.retain(|p| p != path);
        if self.last.as_deref() == Some(path) {
            self.last = None;
        }
    }

    /// The jobs had open before; those gone are kept and marked, they may be on a stick.
    pub fn recents(&self) -> Vec<Recent> {
        self.recent.iter().map(|p| Recent { path: p.clone(), there: taken(p) }).collect()
    }
}

/// Where the settings are kept; none where the user has no folder.
pub fn file() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "roomback").map(|d| d.config_dir().join("settings.ron"))
}

/// Settings as read, and what was wrong with their file.
#[derive(Debug)]
pub struct Loaded {
    pub settings: Settings,
    /// A sentence, where the usual values stand in for a file that could not be read.
    pub said: Option<String>,
}

/// Reads the settings; the usual ones where there is no file or no sense in it. A file
/// without sense is kept aside first.
pub fn load(file: &Path) -> Loaded {
    let usual = |said| Loaded { settings: Settings::default(), said };
    let why = match read(file) {
        Err(StoreError::Missing(_)) => return usual(None),
        Err(e) => e.to_string(),
        Ok(text) => match ron::from_str::<Settings>(&text) {
            Ok(settings) => return Loaded { settings: settings.sound(), said: None },
            Err(e) => format!("{}:{e}", file.display()),
        },
    };
    let aside = beside(file, ".unread");
    let kept = match fs::rename(file, &aside) {
        Ok(()) => format!("the file is kept as {}", aside.display()),
        Err(_) => "the file stays as it is until the window is closed".into(),
    };
    usual(Some(format!("The settings of the window could not be read ({why}); the usual ones hold, {kept}.")))
}

/// The settings as far as they can be read, with nothing kept aside.
pub fn peek(file: &Path) -> Settings {
    let read = read(file).ok().and_then(|text| ron::from_str::<Settings>(&text).ok());
    read.map(Settings::sound).unwrap_or_default()
}

/// Writes the settings, making their folder.
///
/// # Errors
/// [`StoreError`]; what was there stays.
pub fn keep(file: &Path, settings: &Settings) -> Result<(), StoreError> {
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder).map_err(|e| failed(folder, "made", e))?;
    }
    let style = ron::ser::PrettyConfig::default();
    let text = ron::ser::to_string_pretty(settings, style)
        .map_err(|e| failed(file, "written", std::io::Error::other(e.to_string())))?;
    put(&real(file), format!("{text}\n").as_bytes())
}

#[cfg(test)]
mod tests {
    use super::super::tests::Folder;
    use super::*;

    #[test]
    fn what_is_kept_is_read_back() {
        let folder = Folder::new("settings");
        let file = folder.file("config/roomback/settings.ron");
        assert_eq!(load(&file).settings, Settings::default());
        let mut s = Settings {
            window: (1500.0, 900.5),
            dark: true,
            text_scale: 1.25,
            bench: Bench::Measure,
            ..Settings::default()
        };
        s.used(Path::new("/jobs/study.ron"));
        s.used(Path::new("/jobs/Müller's hall.ron"));
        keep(&file, &s).unwrap();
        let back = load(&file);
        assert_eq!(peek(&file), s);
        assert_eq!((back.settings, back.said), (s, None));
    }

    #[test]
    fn recents_are_most_recent_first_and_few() {
        let mut s = Settings::default();
        for n in 0..15 {
            s.used(&PathBuf::from(format!("/jobs/{n}.ron")));
        }
        s.used(Path::new("/jobs/9.ron"));
        assert_eq!(s.recent.len(), MOST_RECENT);
        assert_eq!(s.recent[..3], ["/jobs/9.ron", "/jobs/14.ron", "/jobs/13.ron"].map(PathBuf::from));
        assert_eq!(s.last, Some("/jobs/9.ron".into()));
        assert_eq!(s.recent.iter().filter(|p| p.ends_with("9.ron")).count(), 1);
        s.forget(Path::new("/jobs/9.ron"));
        assert_eq!((s.recent.len(), s.last), (MOST_RECENT - 1, None));
    }

    #[test]
    fn a_job_that_is_gone_stays_on_the_list_and_is_marked() {
        let folder = Folder::new("recents");
        let (here, gone) = (folder.file("here.ron"), folder.file("gone.ron"));
        fs::write(&here, "x").unwrap();
        let mut s = Settings::default();
        s.used(&gone);
        s.used(&here);
        assert_eq!(s.recents(), [Recent { path: here, there: true }, Recent { path: gone, there: false }]);
    }

    #[test]
    fn a_broken_file_is_kept_aside_and_the_usual_settings_hold() {
        let folder = Folder::new("broken-settings");
        let file = folder.file("settings.ron");
        for broken in ["(recent: [", "(window: \"wide\")", "\u{0}"] {
            fs::write(&file, broken).unwrap();
            assert_eq!(peek(&file), Settings::default());
            assert!(file.exists(), "a look moves nothing");
            let got = load(&file);
            assert_eq!(got.settings, Settings::default());
            let said = got.said.unwrap();
            assert!(said.contains("settings.ron.unread"), "{said}");
            assert_eq!(fs::read_to_string(folder.file("settings.ron.unread")).unwrap(), broken);
            assert!(!file.exists());
        }
        // No text at all, and a folder in its place.
        fs::write(&file, b"\xff\xfe").unwrap();
        assert!(load(&file).said.is_some());
        fs::remove_file(folder.file("settings.ron.unread")).unwrap();
        fs::create_dir(&file).unwrap();
        assert_eq!(load(&file).settings, Settings::default());
    }

    #[test]
    fn values_out_of_their_range_are_brought_back() {
        let folder = Folder::new("wild-settings");
        let file = folder.file("settings.ron");
        let many: Vec<String> = (0..30).map(|n| format!("\"/j/{}.ron\"", n / 2)).collect();
        let text = format!("(window: (-3.0, 1e30), text_scale: 40.0, later: 7, recent: [{}])", many.join(", "));
        fs::write(&file, text).unwrap();
        let got = load(&file).settings;
        assert_eq!((got.window, got.text_scale), ((SIZES.0, SIZES.1), SCALES.1));
        assert_eq!((got.recent.len(), got.recent[1].as_path()), (MOST_RECENT, Path::new("/j/1.ron")));
    }
}
