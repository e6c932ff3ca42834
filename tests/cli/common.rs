//! The program run in a folder, as all these tests run it.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program, with nothing of the tester's environment in it.
pub fn washline(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_washline"));
    command
        .current_dir(folder)
        .env_clear()
        .env("HOME", folder)
        .env("COLUMNS", "100");
    command
}

/// The project's own folder.
pub fn project() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

/// A file in a folder.
pub fn put(folder: &Path, name: &str, bytes: impl AsRef<[u8]>) {
    std::fs::write(folder.join(name), bytes).unwrap();
}

/// A file that nobody is just writing: one that was written this moment is looked at again, in case it is.
pub fn at_rest(path: &Path) {
    let long_ago = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_700_000_000);
    let file = std::fs::File::options().write(true).open(path).unwrap();
    file.set_modified(long_ago).unwrap();
}

/// A folder with one file in it.
pub fn folder_with(name: &str, text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), name, text);
    folder
}

/// Run to its end, whatever that is; never a panic.
pub fn run(folder: &Path, arguments: &[&str]) -> Output {
    ended(washline(folder).args(arguments), b"")
}

/// Run to a good end; what was written.
pub fn done(folder: &Path, arguments: &[&str]) -> String {
    well(run(folder, arguments), arguments)
}

/// The same on a screen of so many columns.
pub fn done_at(folder: &Path, arguments: &[&str], columns: usize) -> String {
    let mut command = washline(folder);
    command.args(arguments).env("COLUMNS", columns.to_string());
    well(ended(&mut command, b""), arguments)
}

fn well(output: Output, arguments: &[&str]) -> String {
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{arguments:?}: {notes}");
    String::from_utf8(output.stdout).unwrap()
}

fn ended(command: &mut Command, input: &[u8]) -> Output {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // What reads no input may be gone before it is written.
    let _ = child.stdin.take().unwrap().write_all(input);
    let output = child.wait_with_output().unwrap();
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!notes.contains("panicked"), "{command:?}: {notes}");
    output
}

/// What a run left, as text.
pub struct Ran {
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
    /// Exit status.
    pub status: i32,
}

/// Run a command to its end with this on standard input.
pub fn finished(command: &mut Command, input: &[u8]) -> Ran {
    let output = ended(command, input);
    Ran {
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
        status: output.status.code().unwrap(),
    }
}

/// Run the program to its end; what it left.
pub fn left(folder: &Path, arguments: &[&str]) -> Ran {
    finished(washline(folder).args(arguments), b"")
}

/// Run the program where somebody sits at a terminal and presses these keys: what is typed and what is said go through
/// the terminal, what it prints through a pipe.
#[cfg(unix)]
pub fn at_a_terminal(command: &mut Command, keys: &str) -> Ran {
    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    use std::io::Read as _;
    use std::os::unix::ffi::OsStrExt as _;
    let ours = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&ours).unwrap();
    unlockpt(&ours).unwrap();
    let name = ptsname(&ours, Vec::new()).unwrap();
    let theirs = || {
        std::fs::File::options()
            .read(true)
            .write(true)
            .open(std::ffi::OsStr::from_bytes(name.as_bytes()))
            .unwrap()
    };
    command.stdin(theirs()).stderr(theirs()).stdout(Stdio::piped());
    let child = command.spawn().unwrap();
    // The ends that the command holds are closed in this process, or the reading below has no end.
    command.stdin(Stdio::null()).stderr(Stdio::null());
    let mut terminal = std::fs::File::from(ours);
    terminal.write_all(keys.as_bytes()).unwrap();
    let reading = std::thread::spawn(move || {
        let (mut said, mut piece) = (Vec::new(), [0_u8; 4096]);
        // Linux tells the end of a terminal as an error.
        while let Ok(n @ 1..) = terminal.read(&mut piece) {
            said.extend_from_slice(&piece[..n]);
        }
        said
    });
    let output = child.wait_with_output().unwrap();
    let err = String::from_utf8_lossy(&reading.join().unwrap()).into_owned();
    assert!(!err.contains("panicked"), "{command:?}: {err}");
    Ran {
        out: String::from_utf8(output.stdout).unwrap(),
        err,
        status: output.status.code().unwrap(),
    }
}
