//! The outer bands are what the program itself makes of the trade's classics: the command that makes them is
//! run again, and must give the table that is built in.

use std::io::Write;
use std::process::Stdio;

use crate::{project, washline};

/// The rows that `ranges span` prints for the classics, counted in a convention.
fn spans(convention: &str) -> Vec<String> {
    let classics = std::fs::read_to_string(project().join("fixtures/books/classics.md")).unwrap();
    let counted = format!("acid convention: {convention}");
    let text = classics.replace("acid convention: handbook", &counted);
    assert!(text.contains(&counted));
    let folder = tempfile::tempdir().unwrap();
    let mut child = washline(folder.path())
        .args(["ranges", "span", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .skip(1)
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_outer_bands_are_what_the_classics_come_to() {
    let table = std::fs::read_to_string(project().join("fixtures/reference/bands.csv")).unwrap();
    let mut kept: Vec<&str> = table.lines().filter(|line| line.contains(",outer,")).collect();
    let handbook = spans("handbook");
    let assay = spans("assay");
    let mut made: Vec<&str> = handbook.iter().map(String::as_str).collect();
    made.extend(
        assay
            .iter()
            .map(String::as_str)
            .filter(|row| row.contains(",assay,")),
    );
    kept.sort_unstable();
    made.sort_unstable();
    assert!(made.len() > 15);
    assert_eq!(kept, made);
}
