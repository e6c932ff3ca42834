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
