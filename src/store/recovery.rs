//! What was not saved when the program ended: the autosaved text of a job.
//!
//! It lies beside the file as `.NAME.roomback-autosave`; for a job without a file in the
//! user's folder for data, `roomback/unsaved-PROCESS-N.roomback-autosave`. Its first line, a comment
//! of the job file, names the text it was made from and the program that made it:
//! `// roomback autosave, base 0011223344556677, process 4711`; the job follows, and the whole
//! is a job file by itself. It is never applied by this module.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Local, NaiveDateTime};

use super::{StoreError, absolute, beside, failed, put, read, real, taken};

const TAIL: &str = ".roomback-autosave";
const HEAD: &str = "// roomback autosave, base ";

/// A 64-bit hash of a text, FNV-1a (G. Fowler, L. Noll, K.-P. Vo; offset basis and prime as
/// in RFC 9923). Tells texts apart that differ by accident, not by intent.
pub fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// An autosaved job that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recovered {
    /// Where the autosave lies.
    pub path: PathBuf,
    /// The job's text, without the head line.
    pub text: String,
    /// Whether it was made from the text the file has now.
    pub base_matches: bool,
    /// When it was written, by the local clock.
    pub at: Option<NaiveDateTime>,
}

/// What lies where an autosave would.
#[derive(Debug)]
pub enum Found {
    Nothing,
    Job(Recovered),
    /// Another window that is still open keeps its state there.
    InUse,
    /// Something without the head line, or that cannot be read; kept under this name now.
    Unread(PathBuf),
}

/// Where the autosave of a file lies: beside the file itself, links followed.
pub fn beside_file(file: &Path) -> PathBuf {
    let file = real(&absolute(file));
    let mut name = std::ffi::OsString::from(".");
    name.push(file.file_name().unwrap_or_default());
    name.push(TAIL);
    file.with_file_name(name)
}

/// The folder for autosaves of jobs without a file; none where the user has no folder.
pub fn folder() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "roomback").map(|d| d.data_dir().to_path_buf())
}

/// A free name in that folder for a job without a file.
pub fn free_in(folder: &Path) -> PathBuf {
    let name = |n: usize| folder.join(format!("unsaved-{}-{n}{TAIL}", std::process::id()));
    (1..).map(name).find(|p| !taken(p)).expect("numbers do not end")
}

/// Writes an autosave, making its folder. `base` is the text the job's file had when it was
/// last read or written; empty for a job without a file.
///
/// # Errors
/// [`StoreError`]; an autosave there before stays whole.
pub fn keep(autosave: &Path, job: &str, base: &str) -> Result<(), StoreError> {
    if let Some(folder) = autosave.parent().filter(|f| !taken(f)) {
        fs::create_dir_all(folder).map_err(|e| failed(folder, "made", e))?;
    }
    put(autosave, format!("{HEAD}{:016x}, process {}\n{job}", hash(base), std::process::id()).as_bytes())
}

/// Takes an autosave away; one that is not there is fine.
///
/// # Errors
/// [`StoreError`] where it stays.
pub fn drop(autosave: &Path) -> Result<(), StoreError> {
    match fs::remove_file(autosave) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(failed(autosave, "taken away", e)),
        _ => Ok(()),
    }
}

/// Base hash, process and job text.
fn parts(text: &str) -> Option<(u64, u32, &str)> {
    let (head, job) = text.split_once('\n')?;
    let (base, process) = head.strip_prefix(HEAD)?.split_once(", process ")?;
    Some((u64::from_str_radix(base, 16).ok()?, process.trim_end().parse().ok()?, job))
}

/// Whether another process of this program has that number. Only Linux is asked; elsewhere
/// no other window is known of.
fn runs(process: u32) -> bool {
    let exe = |p: &str| fs::read_link(format!("/proc/{p}/exe")).ok();
    process != std::process::id()
        && cfg!(target_os = "linux")
        && exe("self").is_some_and(|mine| exe(&process.to_string()).is_some_and(|its| its == mine))
}

/// Whether another window that is still open keeps its state there.
pub fn in_use(autosave: &Path) -> bool {
    read(autosave).is_ok_and(|text| parts(&text).is_some_and(|p| runs(p.1)))
}

/// Looks at one autosave. `base` is the text its file has now; empty where there is none.
pub fn found(autosave: &Path, base: &str) -> Found {
    let text = match read(autosave) {
        Ok(text) => Some(text),
        Err(StoreError::Missing(_)) => return Found::Nothing,
        Err(_) => None,
    };
    let Some((made_from, process, job)) = text.as_deref().and_then(parts) else {
        let aside = beside(autosave, ".unread");
        // Where it cannot be moved it still lies there, and is named.
        let kept = fs::rename(autosave, &aside).is_ok();
        return Found::Unread(if kept { aside } else { autosave.to_path_buf() });
    };
    if runs(process) {
        return Found::InUse;
    }
    let at = fs::metadata(autosave).and_then(|m| m.modified()).ok();
    Found::Job(Recovered {
        path: autosave.to_path_buf(),
        text: job.to_string(),
        base_matches: made_from == hash(base),
        at: at.map(|t| DateTime::<Local>::from(t).naive_local()),
    })
}

/// All autosaves of jobs without a file, the newest first.
pub fn unsaved(folder: &Path) -> Vec<Recovered> {
    let Ok(list) = fs::read_dir(folder) else { return Vec::new() };
    let name = |p: &Path| p.file_name().is_some_and(|n| n.to_string_lossy().ends_with(TAIL));
    let mut paths: Vec<PathBuf> = list.filter_map(|e| e.ok().map(|e| e.path())).filter(|p| name(p)).collect();
    paths.sort();
    let mut out: Vec<Recovered> = paths
        .iter()
        .filter_map(|p| match found(p, "") {
            Found::Job(r) => Some(r),
            _ => None,
        })
        .collect();
    out.sort_by_key(|r| std::cmp::Reverse(r.at));
    out
}

#[cfg(test)]
mod tests {
    use super::super::tests::Folder;
    use super::*;

    #[test]
    fn the_hash_is_the_published_one() {
        // RFC 9923 (the FNV non-cryptographic hash), 64-bit FNV-1a test vectors.
        assert_eq!(hash(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(hash("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(hash("foobar"), 0x8594_4171_f739_67e8);
    }

    fn job(f: Found) -> Recovered {
        match f {
            Found::Job(r) => r,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn an_autosave_is_found_again_and_knows_its_base() {
        let folder = Folder::new("autosave");
        let file = folder.file("study.ron");
        let auto = beside_file(&file);
        assert_eq!(auto, folder.file(".study.ron.roomback-autosave"));
        assert!(matches!(found(&auto, "base"), Found::Nothing));
        keep(&auto, "(name: \"one\")", "base").unwrap();
        keep(&auto, "(name: \"two\")\n", "base").unwrap();
        let got = job(found(&auto, "base"));
        assert_eq!((got.text.as_str(), got.base_matches, &got.path), ("(name: \"two\")\n", true, &auto));
        assert!(got.at.is_some());
        assert!(!job(found(&auto, "changed since")).base_matches);
        assert_eq!(folder.names(), [".study.ron.roomback-autosave"]);
        drop(&auto).unwrap();
        drop(&auto).unwrap();
        assert!(folder.names().is_empty());
    }

    #[test]
    fn an_autosave_is_a_job_file_by_itself() {
        let folder = Folder::new("autosave-job");
        let auto = folder.file("unsaved-1.roomback-autosave");
        keep(&auto, crate::jobfile::starter(), "").unwrap();
        let whole = read(&auto).unwrap();
        let tables = crate::trade::tables();
        let read = |t: &str| crate::jobfile::read(t, tables).unwrap().job;
        assert_eq!(read(&whole), read(crate::jobfile::starter()));
    }

    #[test]
    fn what_is_no_autosave_is_kept_aside() {
        let folder = Folder::new("autosave-broken");
        let auto = folder.file(".study.ron.roomback-autosave");
        for broken in ["", "(name: \"x\")\n", "// roomback autosave, base zz, process 1\n()"] {
            fs::write(&auto, broken).unwrap();
            let Found::Unread(kept) = found(&auto, "") else { panic!("{broken}") };
            assert_eq!(kept, folder.file(".study.ron.roomback-autosave.unread"));
            assert_eq!(fs::read_to_string(&kept).unwrap(), broken);
        }
    }

    #[test]
    fn jobs_without_a_file_have_names_of_their_own() {
        let folder = Folder::new("autosave-unsaved");
        let data = folder.file("data/roomback");
        let first = free_in(&data);
        keep(&first, "one", "").unwrap();
        let second = free_in(&data);
        assert_ne!(first, second);
        keep(&second, "two", "").unwrap();
        let later = fs::metadata(&first).unwrap().modified().unwrap() + std::time::Duration::from_secs(60);
        fs::File::options().append(true).open(&second).unwrap().set_modified(later).unwrap();
        fs::write(data.join("notes.txt"), "other").unwrap();
        let texts: Vec<String> = unsaved(&data).into_iter().map(|r| r.text).collect();
        assert_eq!(texts, ["two", "one"]);
        assert!(unsaved(&folder.file("none")).is_empty());
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_autosave_of_a_window_still_open_is_left_alone() {
        let folder = Folder::new("autosave-in-use");
        let auto = folder.file(".study.ron.roomback-autosave");
        // A second process of this very program, which stays until its standard input ends.
        let mut other = std::process::Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "store::recovery::tests::waits_for_the_end_of_its_input", "--ignored"])
            .stdout(std::process::Stdio::piped())
            .stdin(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        fs::write(&auto, format!("{HEAD}{:016x}, process {}\njob", hash(""), other.id())).unwrap();
        assert!(matches!(found(&auto, ""), Found::InUse) && in_use(&auto));
        other.stdin.take();
        other.wait().unwrap();
        assert_eq!(job(found(&auto, "")).text, "job");
        assert!(!in_use(&auto) && !in_use(&folder.file("none")));
        assert!(!runs(1), "the first process of the machine is another program");
    }

    #[test]
    #[ignore = "run by the test of a window still open"]
    fn waits_for_the_end_of_its_input() {
        let mut rest = String::new();
        std::io::Read::read_to_string(&mut std::io::stdin(), &mut rest).unwrap();
        assert_eq!(rest, "");
    }
}
