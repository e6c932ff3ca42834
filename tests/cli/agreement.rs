//! One rule, one answer: what two commands say of the same thing is the same.

use std::path::Path;

use serde_json::Value;

use crate::json::run;

fn json(folder: &Path, arguments: &[&str]) -> Value {
    let (text, status) = run(folder, arguments, "");
    assert_eq!(status, 0, "{arguments:?}: {text}");
    serde_json::from_str(&text).unwrap()
}

#[test]
fn a_card_and_the_hour_in_the_glass_know_the_same_ice() {
    let folder = tempfile::tempdir().unwrap();
    for (line, stands, packed) in [
        ("over ice spear", "one spear", false),
        ("over a sphere", "one sphere", false),
        ("over one large cube", "one large cube", false),
        ("over ice block", "one block", false),
        ("over cracked ice", "cracked ice", true),
        ("over crushed ice", "crushed ice", true),
        ("over ice", "cubes", true),
        ("on the rocks", "cubes", true),
    ] {
        let book =
            format!("# Halt\n\n## Wren\nglass: rocks, 300 ml\n- 60 ml bourbon\n- stir\n- strain\n- {line}\n");
        std::fs::write(folder.path().join("halt.md"), book).unwrap();
        let shown = json(
            folder.path(),
            &["show", "Wren", "--book", "halt.md", "--over-time"],
        );
        let said = shown["drinks"][0]["over_time"]["stands"].as_str().unwrap();
        assert!(said.starts_with(stands), "{line}: {said}");
        let card = json(folder.path(), &["card", "Wren", "--book", "halt.md"]);
        let level = &card["cards"][0]["washline"]["level_pct"];
        assert_eq!(level.is_number(), packed, "{line}: {level}");
    }
}
