use super::*;

/// A folder of its own, removed at the end.
pub(super) struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("roomback-store-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }
    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
    pub fn names(&self) -> Vec<String> {
        let list = fs::read_dir(&self.0).unwrap();
        let mut names: Vec<String> = list.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn a_save_keeps_one_backup_and_leaves_nothing_else() {
    let folder = Folder::new("save");
    let file = folder.file("study.ron");
    for text in ["one", "two", "three", "three"] {
        save(&file, text).unwrap();
        assert_eq!(read(&file).unwrap(), text);
    }
    assert_eq!(read(&backup(&file)).unwrap(), "two");
    assert_eq!(folder.names(), ["study.ron", "study.ron.bak"]);
}

#[test]
fn a_failed_save_changes_nothing() {
    let folder = Folder::new("failed");
    let file = folder.file("study.ron");
    save(&file, "one").unwrap();
    // A folder in the way of the part written beside: the write must fail, whoever runs this.
    fs::create_dir(folder.file("study.ron.part")).unwrap();
    let said = save(&file, "two").unwrap_err().to_string();
    assert!(said.contains("study.ron"), "{said}");
    assert_eq!(read(&file).unwrap(), "one");
    fs::remove_dir(folder.file("study.ron.part")).unwrap();
    // The same for the backup: without one, nothing is replaced.
    fs::create_dir(folder.file("study.ron.bak.part")).unwrap();
    assert!(save(&file, "two").is_err());
    assert_eq!(read(&file).unwrap(), "one");
}

#[test]
fn a_read_only_file_is_not_replaced() {
    let folder = Folder::new("readonly");
    let file = folder.file("study.ron");
    save(&file, "one").unwrap();
    let mut rights = fs::metadata(&file).unwrap().permissions();
    rights.set_readonly(true);
    fs::set_permissions(&file, rights).unwrap();
    let said = save(&file, "two").unwrap_err().to_string();
    assert!(said.contains("may not be written") && said.contains("check its rights"), "{said}");
    assert_eq!(read(&file).unwrap(), "one");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_says_so() {
    // The kernel's full device refuses every write with "no space left".
    if !Path::new("/dev/full").exists() {
        return;
    }
    let e = write_new(Path::new("/dev/full"), b"text").unwrap_err();
    let said = failed(Path::new("study.ron"), "written", e).to_string();
    assert_eq!(said, "the disk of study.ron is full; nothing was changed, make room and save again");
}

#[test]
fn what_cannot_be_read_says_why() {
    let folder = Folder::new("read");
    let file = folder.file("study.ron");
    assert!(read(&file).unwrap_err().to_string().ends_with("is not there; check the name, or write a new job first"));
    assert!(read(&folder.0).unwrap_err().to_string().ends_with("is a folder; give the name of a file in it"));
    fs::write(&file, b"(\n  name: \"\xc2\xbd\xff\")").unwrap();
    let said = read(&file).unwrap_err().to_string();
    assert!(
        said.ends_with("study.ron:2:11 holds bytes that are not UTF-8 text; save it as UTF-8 in your editor"),
        "{said}"
    );
    let large = File::create(&file).unwrap();
    large.set_len(LARGEST + 1).unwrap();
    assert!(read(&file).unwrap_err().to_string().ends_with("is larger than 16 MB and cannot be a job"));
    let nowhere = folder.file("none").join("study.ron");
    assert!(save(&nowhere, "x").unwrap_err().to_string().contains("its folder is not there"));
}

#[test]
fn a_commented_text_is_kept_and_never_overwritten() {
    let folder = Folder::new("comments");
    let (file, to) = (folder.file("study.ron"), folder.file("study.with-comments.ron"));
    fs::write(&file, "// one").unwrap();
    assert_eq!(keep_commented(&file, &to).unwrap(), to);
    assert_eq!(keep_commented(&file, &to).unwrap(), to, "the same text needs no second copy");
    fs::write(&file, "// two").unwrap();
    assert_eq!(keep_commented(&file, &to).unwrap(), folder.file("study-2.with-comments.ron"));
    assert_eq!(read(&to).unwrap(), "// one");
    assert!(keep_commented(&folder.file("none.ron"), &to).is_err());
}

#[cfg(unix)]
#[test]
fn a_link_is_followed() {
    let folder = Folder::new("link");
    let (file, link) = (folder.file("real.ron"), folder.file("link.ron"));
    fs::write(&file, "one").unwrap();
    std::os::unix::fs::symlink(&file, &link).unwrap();
    save(&link, "two").unwrap();
    assert_eq!(fs::read_to_string(&file).unwrap(), "two");
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}

#[test]
fn a_file_changed_by_another_hand_is_noticed() {
    let folder = Folder::new("changed");
    let file = folder.file("study.ron");
    assert!(matches!(changed(&file, "one"), OnDisk::Missing));
    save(&file, "one").unwrap();
    assert!(matches!(changed(&file, "one"), OnDisk::Same));
    fs::write(&file, "two").unwrap();
    assert!(matches!(changed(&file, "one"), OnDisk::Changed(t) if t == "two"));
    fs::write(&file, b"\xff").unwrap();
    assert!(matches!(changed(&file, "one"), OnDisk::Unreadable(StoreError::NotText { .. })));
}

#[test]
fn a_free_name_beside_is_free() {
    let folder = Folder::new("beside");
    let file = folder.file("study.ron");
    assert_eq!(free_beside(&file, "mine"), folder.file("study.mine.ron"));
    fs::write(folder.file("study.mine.ron"), "").unwrap();
    assert_eq!(free_beside(&file, "mine"), folder.file("study-2.mine.ron"));
    assert_eq!(free_beside(&folder.file("study"), "mine"), folder.file("study-2.mine.ron"));
}
