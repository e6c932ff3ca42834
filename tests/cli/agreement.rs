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

const PRICED: &str = "# Halt\ncurrency: EUR\n\n## Wren\nglass: coupe, 180 ml\nprice: 10.00\ngarnish: none\n- 45 ml vodka\n- neat\n\n## vodka\nis: an ingredient\nprice: 31.50 per 700 ml\nsource: invoice\n";

fn text(folder: &Path, arguments: &[&str]) -> String {
    let output = crate::washline(folder).args(arguments).output().unwrap();
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_pour_cost_is_rounded_one_way() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("halt.md"), PRICED).unwrap();
    // 45/700 of 31.50 is 2.025, of 10.00.
    for arguments in [
        &["cost", "Wren", "--book", "halt.md"][..],
        &["card", "Wren", "--book", "halt.md", "--cost"],
    ] {
        let said = text(folder.path(), arguments);
        assert!(said.contains("20.3 %") && !said.contains("20.2 %"), "{said}");
    }
}

#[test]
fn no_garnish_is_none() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("halt.md"), PRICED).unwrap();
    let cost = text(folder.path(), &["cost", "Wren", "--book", "halt.md"]);
    assert!(!cost.contains("none") && !cost.contains("not priced"), "{cost}");
    assert!(!text(folder.path(), &["card", "Wren", "--book", "halt.md"]).contains("Garnish"));
    // Whoever says so is not asked for one.
    let audit = text(folder.path(), &["audit", "halt.md"]);
    assert!(!audit.contains("garnish"), "{audit}");
}

#[test]
fn energy_is_counted_one_way() {
    let folder = tempfile::tempdir().unwrap();
    let book =
        "# Halt\n\n## Owl\n- 60 ml cream liqueur\n- 60 ml dry gin\n- 30 ml orgeat\n- shake\n- strain\n";
    std::fs::write(folder.path().join("halt.md"), book).unwrap();
    let label = json(folder.path(), &["label", "Owl", "--book", "halt.md"]);
    let kcal = label["drinks"][0]["energy"]["kcal"].as_f64().unwrap();
    let shown = text(folder.path(), &["show", "Owl", "--book", "halt.md"]);
    assert!(shown.contains(&format!("{kcal:.0} kcal")), "{kcal}: {shown}");
}

#[test]
fn what_pours_bring_has_as_many_decimals_as_the_rest() {
    let folder = tempfile::tempdir().unwrap();
    let book = "# Halt\n\n## Owl\n- 2 oz dry gin\n- 3/4 oz lime juice\n- 1 dash aromatic bitters\n- shake\n";
    std::fs::write(folder.path().join("halt.md"), book).unwrap();
    let shown = json(folder.path(), &["show", "Owl", "--book", "halt.md"]);
    for pour in shown["drinks"][0]["pours"].as_array().unwrap() {
        for key in ["volume_ml", "mass_g", "ethanol_g", "sugar_g", "acid_g"] {
            let value = pour[key].as_f64().unwrap();
            assert!(
                (value * 1e6 - (value * 1e6).round()).abs() < 1e-3,
                "{key}: {value}"
            );
            assert!(
                value.to_string().split('.').nth(1).is_none_or(|d| d.len() <= 6),
                "{value}"
            );
        }
    }
}
