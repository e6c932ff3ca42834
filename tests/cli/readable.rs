//! What may be read is read: houses of others, on disks and in folders that may not be written, under names that are no
//! text. What cannot be done is one sentence and status 2: status 70 is for faults of the program.
#![cfg(unix)]

use std::ffi::OsStr;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, SystemTime};

use crate::washline;

const HALT: &str = "# Halt\n\n## Owl\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n";

/// Nobody: an account that owns nothing.
const NOBODY: u32 = 65_534;

struct Place {
    folder: tempfile::TempDir,
    program: Option<PathBuf>,
}

impl Place {
    /// A folder with a house, and the program where everybody may run it.
    fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path();
        std::fs::set_permissions(path, PermissionsExt::from_mode(0o755)).unwrap();
        std::fs::write(path.join("halt.md"), HALT).unwrap();
        std::fs::create_dir(path.join("bar")).unwrap();
        let made = washline(path)
            .args(["add", "halt.md", "--house", "bar/h.db"])
            .output()
            .unwrap();
        assert!(made.status.success(), "{made:?}");
        // Only root can be somebody else; for others, what they may not write is what has no write bits.
        let is_root =
            chown(path, Some(0), None).is_ok() && Path::new("/proc/self").exists() && owner(path) == 0;
        let program = is_root.then(|| {
            let program = path.join("washline");
            std::fs::copy(washline(path).get_program(), &program).unwrap();
            std::fs::set_permissions(&program, PermissionsExt::from_mode(0o755)).unwrap();
            std::fs::create_dir(path.join("own")).unwrap();
            chown(path.join("own"), Some(NOBODY), Some(NOBODY)).unwrap();
            program
        });
        if !is_root {
            std::fs::create_dir(path.join("own")).unwrap();
        }
        Place { folder, program }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn mode(&self, name: &str, mode: u32) {
        std::fs::set_permissions(self.path(name), PermissionsExt::from_mode(mode)).unwrap();
    }

    /// Run as somebody who owns nothing here but the folder `own`.
    fn as_other(&self, arguments: &[&str]) -> (i32, String) {
        let mut command = match &self.program {
            Some(program) => {
                let mut command = Command::new(program);
                command.uid(NOBODY).gid(NOBODY);
                command
            }
            None => Command::new(washline(self.folder.path()).get_program()),
        };
        command
            .current_dir(self.path("own"))
            .env_clear()
            .env("HOME", self.path("own"))
            .env("COLUMNS", "100");
        ended(command.args(arguments))
    }
}

fn owner(path: &Path) -> u32 {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata(path).unwrap().uid()
}

fn ended(command: &mut Command) -> (i32, String) {
    let output = command.output().unwrap();
    let said = String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned();
    assert!(!said.contains("panicked"), "{command:?}: {said}");
    (output.status.code().unwrap_or(-1), said)
}

fn run(folder: &Path, arguments: &[&OsStr]) -> (i32, String) {
    ended(washline(folder).args(arguments))
}

/// One sentence (and a hint), with status 2.
fn is_refused(what: &str, (status, said): (i32, String)) {
    assert_eq!(status, 2, "{what}: {said}");
    assert!(
        said.starts_with("error: ") && said.lines().count() <= 5,
        "{what}: {said}"
    );
}

#[test]
fn a_house_of_another_owner_is_read() {
    let place = Place::new();
    // 644 in a folder of 755; where the tester is not root, the same without write bits.
    let (file, folder) = if place.program.is_some() {
        (0o644, 0o755)
    } else {
        (0o444, 0o555)
    };
    place.mode("bar/h.db", file);
    place.mode("bar", folder);
    let house = place.path("bar/h.db");
    let house = house.to_str().unwrap();
    let bytes = std::fs::read(house).unwrap();
    for command in [
        &["list"][..],
        &["show", "Owl"],
        &["cost"],
        &["verify"],
        &["export", "--out", "copy.md"],
        &["backup", "copy.db"],
        &["report", "page.html"],
    ] {
        let (status, said) = place.as_other(&[command, &["--house", house]].concat());
        assert_eq!(status, 0, "{command:?}: {said}");
    }
    let (_, said) = place.as_other(&["list", "--house", house]);
    assert!(said.contains("Owl"), "{said}");
    for command in [
        &["settings", "set", "ounce", "30 ml"][..],
        &["taste", "Owl", "--verdict", "right"],
        &["verify", "--repair"],
    ] {
        is_refused(
            &format!("{command:?}"),
            place.as_other(&[command, &["--house", house]].concat()),
        );
    }
    assert!(std::fs::read(house).unwrap() == bytes);
    place.mode("bar", 0o755);
    assert_eq!(std::fs::read_dir(place.path("bar")).unwrap().count(), 1);
}

/// What was written ahead and never came into the file is read too, where nothing may be written beside it.
#[test]
fn a_house_that_was_cut_off_is_read_where_nothing_may_be_written() {
    let place = Place::new();
    let path = place.path("bar/h.db");
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA wal_autocheckpoint = 0; UPDATE book SET file = 'elsewhere.md'; INSERT INTO setting VALUES ('ounce', '30 ml')")
        .unwrap();
    std::fs::create_dir(place.path("cut")).unwrap();
    for suffix in ["", "-wal"] {
        let name = format!("h.db{suffix}");
        std::fs::copy(place.path("bar").join(&name), place.path("cut").join(&name)).unwrap();
        place.mode(
            &format!("cut/{name}"),
            if place.program.is_some() { 0o644 } else { 0o444 },
        );
    }
    place.mode("cut", if place.program.is_some() { 0o755 } else { 0o555 });
    let house = place.path("cut/h.db");
    let house = house.to_str().unwrap();
    let (status, said) = place.as_other(&["list", "--house", house]);
    assert!(status == 0 && said.contains("Owl"), "{status}: {said}");
    let (status, said) = place.as_other(&["settings", "show", "--house", house]);
    assert!(status == 0 && said.contains("30 ml"), "{status}: {said}");
    let (status, said) = place.as_other(&["verify", "--house", house]);
    assert!(status != 70 && said.contains("beside it"), "{status}: {said}");
    place.mode("cut", 0o755);
    assert_eq!(std::fs::read_dir(place.path("cut")).unwrap().count(), 2);
}

#[test]
fn a_folder_that_may_not_be_written_or_entered_is_told() {
    let place = Place::new();
    if place.program.is_none() {
        place.mode("bar", 0o555);
    }
    let inside = |name: &str| place.path("bar").join(name).to_str().unwrap().to_owned();
    let book = place.path("halt.md");
    let book = book.to_str().unwrap();
    is_refused(
        "a new house",
        place.as_other(&["add", book, "--house", &inside("new.db")]),
    );
    is_refused(
        "a new folder",
        place.as_other(&["add", book, "--house", &inside("x/new.db")]),
    );
    is_refused(
        "a backup",
        place.as_other(&["backup", &inside("copy.db"), "--house", &inside("h.db")]),
    );
    is_refused(
        "a list",
        place.as_other(&["export", "--out", &inside("list.md"), "--house", &inside("h.db")]),
    );
    // The file may be written and its folder may not.
    place.mode("bar/h.db", 0o666);
    let (status, said) = place.as_other(&["list", "--house", &inside("h.db")]);
    assert!(status == 0 && said.contains("Owl"), "{status}: {said}");
    is_refused(
        "to write",
        place.as_other(&["settings", "set", "ounce", "30 ml", "--house", &inside("h.db")]),
    );
    // The file may not even be read.
    place.mode("bar/h.db", 0o000);
    if place.program.is_some() {
        is_refused(
            "unreadable",
            place.as_other(&["list", "--house", &inside("h.db")]),
        );
        is_refused(
            "unreadable",
            place.as_other(&["verify", "--house", &inside("h.db")]),
        );
    }
    place.mode("bar", 0o000);
    if place.program.is_some() {
        is_refused("no way in", place.as_other(&["list", "--house", &inside("h.db")]));
    }
    place.mode("bar", 0o755);
}

#[test]
fn a_path_need_not_be_text() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("halt.md"), HALT).unwrap();
    let odd = OsStr::from_bytes(b"h\xff%?#\xc3.db");
    let s = OsStr::new;
    let (status, said) = run(folder, &[s("add"), s("halt.md"), s("--house"), odd]);
    assert_eq!(status, 0, "{said}");
    for command in [
        &["list"][..],
        &["show", "Owl"],
        &["verify"],
        &["settings", "set", "ounce", "30 ml"],
        &["backup", "copy.db"],
    ] {
        let mut arguments: Vec<&OsStr> = command.iter().map(|a| s(a)).collect();
        arguments.extend([s("--house"), odd]);
        let (status, said) = run(folder, &arguments);
        assert_eq!(status, 0, "{command:?}: {said}");
    }
    let out = OsStr::from_bytes(b"list\xfe.md");
    let (status, said) = run(folder, &[s("export"), s("--out"), out, s("--house"), odd]);
    assert_eq!(status, 0, "{said}");
    assert!(folder.join(out).is_file());
    let (status, said) = run(folder, &[s("check"), out]);
    assert_eq!(status, 0, "{said}");
    let (status, said) = run(folder, &[s("merge"), s("copy.db"), s("--house"), odd]);
    assert_eq!(status, 0, "{said}");
}

#[test]
fn folders_that_are_missing_are_made_or_told() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("halt.md"), HALT).unwrap();
    let of = |arguments: &[&str]| {
        let all: Vec<&OsStr> = arguments.iter().map(|a| OsStr::new(*a)).collect();
        run(folder, &all)
    };
    assert_eq!(of(&["add", "halt.md", "--house", "a/b/h.db"]).0, 0);
    assert_eq!(
        of(&["export", "--house", "a/b/h.db", "--out", "c/d/list.md"]).0,
        0
    );
    assert!(folder.join("c/d/list.md").is_file());
    is_refused("no house", of(&["list", "--house", "a/none/h.db"]));
    is_refused("a file for a folder", of(&["list", "--house", "halt.md/h.db"]));
    is_refused(
        "a file for a folder",
        of(&["add", "halt.md", "--house", "halt.md/h.db"]),
    );
    is_refused(
        "a file for a folder",
        of(&["export", "--house", "a/b/h.db", "--out", "halt.md/list.md"]),
    );
    is_refused("a folder for a house", of(&["list", "--house", "a"]));
}

/// A file from the future is as good as any: the clock was set back.
#[test]
fn a_clock_that_was_set_back_holds_nothing_up() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("halt.md"), HALT).unwrap();
    let s = OsStr::new;
    assert_eq!(
        run(folder, &[s("add"), s("halt.md"), s("--house"), s("h.db")]).0,
        0
    );
    std::fs::write(folder.join("other.db"), "not a house").unwrap();
    for name in ["h.db", "other.db"] {
        let file = std::fs::File::options()
            .write(true)
            .open(folder.join(name))
            .unwrap();
        file.set_modified(SystemTime::now() + Duration::from_secs(86_400))
            .unwrap();
    }
    let begun = std::time::Instant::now();
    assert_eq!(run(folder, &[s("list"), s("--house"), s("h.db")]).0, 0);
    is_refused("no house", run(folder, &[s("list"), s("--house"), s("other.db")]));
    assert!(begun.elapsed() < Duration::from_secs(4), "{:?}", begun.elapsed());
}
