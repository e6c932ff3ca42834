//! One rule, one answer: what two commands say of the same thing is the same.

use std::collections::BTreeSet;
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

/// What every command shows of the demo house, one a row.
const SHOWN: &[&[&str]] = &[
    &["check", "halt.md", "--why"],
    &["check", "halt.md", "--explain"],
    &["list"],
    &["show", "Points Failure", "--over-time"],
    &["show", "Carriage Window Mist"],
    &["compare"],
    &["compare", "Points Failure", "Waiting Room Sun"],
    &["find", "temperature < -2"],
    &["audit"],
    &[
        "change",
        "Points Failure",
        "37.5 ml lemon juice",
        "37.5 ml lime juice",
    ],
    &["mend", "Points Failure"],
    &["swap", "Points Failure", "lemon juice", "lime juice"],
    &["travel", "--all", "--to", "stock-by-the-cup.md"],
    &["travel", "--robust"],
    &["cost"],
    &["label"],
    &["card", "--cost"],
    &["batch", "Points Failure", "--serves", "40"],
    &["ingredient", "show", "lime juice"],
    &["ingredient", "show", "lemon juice"],
    &["ranges", "show"],
    &["ranges", "show", "sour"],
    &["settings", "show"],
    &[
        "taste",
        "Points Failure",
        "--verdict",
        "right",
        "--note",
        "bright",
    ],
    &[
        "weigh",
        "Points Failure",
        "--before",
        "100 g",
        "--after",
        "145 g",
        "--temp",
        "-4",
    ],
    &["history", "Points Failure"],
    &["verify"],
    &["report", "page.html"],
    &["export"],
];

/// A millilitre is written `ml`, what is below nothing with the hyphen of the keyboard, a range with `to` or a dash.
fn one_hand(what: &str, said: &str) -> Vec<String> {
    let chars: Vec<char> = said.chars().collect();
    let around = |at: usize| {
        chars[at.saturating_sub(30)..(at + 30).min(chars.len())]
            .iter()
            .collect::<String>()
    };
    let mut wrong = Vec::new();
    for at in 1..chars.len().saturating_sub(2) {
        let is_ml = chars[at] == 'm'
            && chars[at + 1] == 'L'
            && !chars[at + 2].is_alphanumeric()
            && !chars[at - 1].is_alphabetic();
        let is_minus = chars[at] == '−';
        // `4.9-5.6`; a date has no point in it.
        let is_range = chars[at] == '-'
            && chars[at - 1].is_ascii_digit()
            && chars[at + 1].is_ascii_digit()
            && chars[..at]
                .iter()
                .rev()
                .take_while(|c| c.is_ascii_digit() || **c == '.')
                .any(|c| *c == '.');
        if is_ml || is_minus || is_range {
            wrong.push(format!("{what}: {}", around(at).replace('\n', " | ")));
        }
    }
    wrong
}

#[test]
fn units_and_what_is_below_nothing_are_written_one_way() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::copy(
        crate::project().join("fixtures/books/lantern-halt.md"),
        folder.join("halt.md"),
    )
    .unwrap();
    std::fs::copy(
        crate::project().join("fixtures/books/stock-by-the-cup.md"),
        folder.join("stock-by-the-cup.md"),
    )
    .unwrap();
    text(folder, &["add", "halt.md"]);
    let mut wrong = Vec::new();
    let mut below = false;
    let commands: BTreeSet<&str> = SHOWN.iter().map(|arguments| arguments[0]).collect();
    for command in commands {
        let help = text(folder, &[command, "--help"]);
        wrong.extend(one_hand(&format!("{command} --help"), &help));
    }
    for arguments in SHOWN {
        for more in [&[][..], &["--json"][..]] {
            let all = [arguments, more].concat();
            let output = crate::washline(folder).args(&all).output().unwrap();
            let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
            if output.status.code() != Some(0) {
                wrong.push(format!("{all:?}: {said}"));
            }
            below |= said.contains(" -");
            wrong.extend(one_hand(&all.join(" "), &said));
        }
    }
    let page = std::fs::read_to_string(folder.join("page.html")).unwrap();
    wrong.extend(one_hand("the page", &page));
    assert!(below, "nothing below nothing is shown");
    wrong.dedup();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_other_hand_is_seen() {
    for said in [" 50 mL.", "50mL ", "from −2 °C", "sugar 4.9-5.6 g"] {
        assert_eq!(one_hand("", said).len(), 1, "{said}");
    }
    assert!(
        one_hand(
            "",
            "50 ml at -2 °C on 2026-11-29, 4.9–5.6 g or 4.9 to 5.6; HtmlElement itemList"
        )
        .is_empty()
    );
}
