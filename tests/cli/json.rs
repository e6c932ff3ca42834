//! Every command's JSON against its schema in `crates/washline-cli/schema/`.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::Path;
use std::process::Stdio;
use std::sync::LazyLock;

use jsonschema::{Registry, Validator};
use serde_json::{Value, json};

fn folder() -> std::path::PathBuf {
    crate::project().join("crates/washline-cli/schema")
}

/// Every schema file by its name without `.schema.json`.
static FILES: LazyLock<BTreeMap<String, Value>> = LazyLock::new(|| {
    std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path
                .file_name()
                .unwrap()
                .to_str()
                .unwrap()
                .strip_suffix(".schema.json")
                .unwrap()
                .to_owned();
            let schema = serde_json::from_str(&std::fs::read_to_string(&path).unwrap());
            (name, schema.unwrap_or_else(|e| panic!("{}: {e}", path.display())))
        })
        .collect()
});

/// A validator for each, with the others at hand for what it takes from them.
static VALIDATORS: LazyLock<BTreeMap<String, Validator>> = LazyLock::new(|| {
    let place = |name: &str| format!("json-schema:///{name}.schema.json");
    let registry = FILES
        .iter()
        .fold(Registry::new(), |registry, (name, schema)| {
            registry.add(place(name), schema.clone()).unwrap()
        })
        .prepare()
        .unwrap();
    FILES
        .keys()
        .map(|name| {
            let whole =
                json!({ "$schema": "https://json-schema.org/draft/2020-12/schema", "$ref": place(name) });
            (
                name.clone(),
                jsonschema::options()
                    .with_registry(&registry)
                    .build(&whole)
                    .unwrap(),
            )
        })
        .collect()
});

/// Assert that a text is JSON of that schema, with nothing in it that only looks like a number.
pub fn checked(schema: &str, text: &str, what: &str) -> Value {
    let value: Value = serde_json::from_str(text).unwrap_or_else(|e| panic!("{what}: {e}\n{text}"));
    let faults: Vec<String> = VALIDATORS[schema]
        .iter_errors(&value)
        .map(|e| format!("  {}: {e:.300}", e.instance_path()))
        .collect();
    assert!(
        faults.is_empty(),
        "{what} against {schema}.schema.json:\n{}",
        faults.join("\n")
    );
    assert_eq!(value["schema"], 1, "{what}");
    for word in [
        ": NaN",
        ": Infinity",
        ": -Infinity",
        ": inf",
        "\"NaN\"",
        "\"inf\"",
    ] {
        assert!(!text.contains(word), "{what}: {word}");
    }
    assert!(text.ends_with("}\n"), "{what} ends with a line end");
    value
}

/// Run with `--json` and give what it writes, with the status it ends with.
pub fn run(folder: &Path, arguments: &[&str], input: &str) -> (String, i32) {
    let mut child = crate::washline(folder)
        .args(arguments)
        .arg("--json")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // What reads no input may be gone before it is written.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    let notes = String::from_utf8(output.stderr).unwrap();
    assert!(!notes.contains("panicked"), "{arguments:?}: {notes}");
    (
        String::from_utf8(output.stdout).unwrap(),
        output.status.code().unwrap(),
    )
}

/// The same, with its status and schema asserted.
pub fn told(folder: &Path, arguments: &[&str], input: &str, status: i32, schema: &str) -> Value {
    let (text, ended) = run(folder, arguments, input);
    let value = checked(schema, &text, &arguments.join(" "));
    assert_eq!(ended, status, "washline {}", arguments.join(" "));
    value
}

/// A folder with the project's books and a few of its own.
fn books() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for book in ["lantern-halt.md", "classics.md"] {
        std::fs::copy(
            crate::project().join("fixtures/books").join(book),
            folder.path().join(book),
        )
        .unwrap();
    }
    for (name, text) in [("faulty.md", FAULTY), ("odd.md", ODD), ("empty.md", "")] {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    std::fs::write(folder.path().join("latin.md"), b"# Caf\xe9\n").unwrap();
    std::fs::write(
        folder.path().join("other.db"),
        "not a database, though long enough to look for a header in it\n",
    )
    .unwrap();
    folder
}

const FAULTY: &str = "\
# Faulty

## Unknown and unitless

- 50 ml frobnitz
- 1 lime juice
- shake

## Sound

- 60 ml dry gin
- stir
- strain
";

/// Every kind of finding, structure aside, that the fixtures do not have, and drinks at the edge of meaning.
const ODD: &str = "\
# Odd ones

## No method
- 60 ml dry gin

## Never chilled
- 60 ml dry gin
- 1 egg white
- dry shake

## Foam without a shake
- 60 ml dry gin
- 1 egg white
- stir

## Twice
- 60 ml dry gin
- 22.5 ml lemon juice
- shake
- stir

## Weighed oddly
weighed: 100 g before, 105 g after
- 60 ml dry gin
- stir

## Brimming
glass: coupe, 100 ml
- 65 ml dry gin
- stir

## No room
glass: flute, 100 ml

- 110 ml dry white wine
- neat
- top with soda water

## Half empty
glass: coupe, 300 ml
price: 12.5 usd
garnish: lemon zest
- 60 ml dry gin
- stir

## Little ice
- 240 ml vodka
- shake with 20 g ice

## Freezes on
- 30 ml dry gin at -25 °C
- 90 ml water at 0 °C
- stir with 900 g freezer ice

## Nothing
- 0 ml dry gin
- stir

## Water given
dilution: 20 % of the finished drink
- 60 ml dry gin
- stir

## Every place
glass: flute, 220 ml
- rinse absinthe
- 30 ml dry gin
- stir
- float 5 ml dark rum
- mist absinthe
- top with brut sparkling wine
";

#[test]
fn every_command_keeps_to_its_schema() {
    let folder = books();
    let mut used: BTreeSet<&str> = BTreeSet::new();
    let mut case = |arguments: &[&str], status: i32, schema: &'static str| {
        used.insert(schema);
        told(folder.path(), arguments, ODD, status, schema)
    };

    // Before there is a house.
    for arguments in [&["list"][..], &["check"], &["compare"], &["show", "Anything"]] {
        assert_eq!(case(arguments, 2, "error")["error"]["kind"], "house");
    }
    case(&["ingredient", "list"], 0, "ingredient");
    case(&["ingredient", "list", "vermouth"], 0, "ingredient");
    assert_eq!(
        case(&["ingredient", "list", "--own"], 0, "ingredient")["ingredients"],
        json!([])
    );
    case(&["ingredient", "show", "lime juice"], 0, "ingredient");
    case(&["ranges", "show"], 0, "ranges");
    case(&["ranges", "show", "shaken sour"], 0, "ranges");
    case(&["ranges", "show", "sour with foam"], 0, "ranges");
    case(&["ranges", "test", "lantern-halt.md"], 0, "record");
    case(&["ranges", "show", "--convention", "assay"], 0, "ranges");

    // Books.
    for book in ["lantern-halt.md", "classics.md", "odd.md", "-"] {
        let told = case(&["check", book], 0, "check");
        assert!(
            !told["drinks"].as_array().unwrap().is_empty() && told["faults"] == json!([]),
            "{book}"
        );
    }
    assert_eq!(case(&["check", "empty.md"], 2, "check")["drinks"], json!([]));
    case(&["check", "lantern-halt.md", "classics.md", "--full"], 0, "check");
    case(&["check", "lantern-halt.md", "--strict"], 1, "check");
    let faulty = case(&["check", "faulty.md", "--strict"], 2, "check");
    assert_eq!(faulty["faults"].as_array().unwrap().len(), 2);
    assert_eq!(faulty["drinks"][0]["name"], "Sound");
    case(&["compare", "--book", "classics.md"], 0, "compare");
    assert_eq!(
        case(&["tidy", "faulty.md"], 2, "tidy")["left"],
        json!([{ "name": "Unknown and unitless", "line": 3, "unread": true }])
    );
    case(&["audit", "lantern-halt.md", "classics.md"], 0, "audit");
    case(&["find", "--fields"], 0, "find");
    case(&["find", "pours lime and not egg", "lantern-halt.md"], 0, "find");
    case(&["find", "not contains milk", "faulty.md"], 2, "find");
    case(&["find", "pours frobnicate", "odd.md"], 2, "error");
    case(
        &[
            "batch",
            "Branch Line Rain",
            "--serves",
            "10",
            "--book",
            "lantern-halt.md",
        ],
        0,
        "batch",
    );
    case(&["show", "Every place", "--book", "odd.md"], 0, "show");
    case(&["ranges", "span", "classics.md", "lantern-halt.md"], 0, "spans");
    case(&["ranges", "span", "faulty.md"], 2, "spans");

    // A house.
    assert_eq!(
        case(&["add", "faulty.md", "lantern-halt.md"], 2, "add")["books"],
        json!([])
    );
    case(&["settings", "show"], 0, "settings");
    case(&["settings", "set", "dash", "0.8 ml"], 0, "settings");
    case(&["settings", "set", "dosh", "0.8 ml"], 2, "error");
    case(&["settings", "unset", "dash"], 0, "settings");
    let added = case(&["add", "lantern-halt.md", "odd.md"], 0, "add");
    assert_eq!(
        added["recomputed"].as_array().unwrap().len(),
        added["books"]
            .as_array()
            .unwrap()
            .iter()
            .map(|b| b["new"].as_array().unwrap().len())
            .sum::<usize>()
    );
    let again = case(&["add", "lantern-halt.md"], 0, "add");
    assert_eq!(
        (&again["books"][0]["new"], &again["recomputed"]),
        (&json!([]), &json!([]))
    );
    case(&["check"], 0, "check");
    case(&["check", "--strict"], 1, "check");
    let listed = case(&["list"], 0, "check");
    let flagged = case(&["list", "--flagged"], 0, "check");
    assert!(flagged["drinks"].as_array().unwrap().len() < listed["drinks"].as_array().unwrap().len());
    for by in [
        "strength",
        "sweetness",
        "tartness",
        "volume",
        "alcohol",
        "energy",
        "name",
    ] {
        assert_eq!(
            case(&["compare", "--by", by], 0, "compare")["drinks"]
                .as_array()
                .unwrap()
                .len(),
            listed["drinks"].as_array().unwrap().len()
        );
    }
    case(&["compare", "Points Failure", "Waiting Room Sun"], 0, "compare");
    case(&["audit", "--strict"], 1, "audit");
    case(&["show", "points failure"], 0, "show");
    case(
        &[
            "ingredient",
            "add",
            "sloe and beetroot shrub",
            "--brix",
            "38",
            "--acid",
            "22",
            "--allergens",
            "sulphites",
            "--source",
            "refractometer",
        ],
        0,
        "ingredient",
    );
    let set = case(
        &[
            "ingredient",
            "set",
            "lemon juice",
            "--acid",
            "52",
            "--source",
            "titration",
        ],
        0,
        "ingredient",
    );
    assert!(!set["recomputed"].as_array().unwrap().is_empty());
    case(&["ingredient", "list", "--own"], 0, "ingredient");
    case(
        &["ingredient", "show", "sloe and beetroot shrub"],
        0,
        "ingredient",
    );
    case(
        &[
            "ranges",
            "set",
            "shaken sour",
            "sweetness",
            "5.5",
            "8",
            "--source",
            "tasting",
        ],
        0,
        "ranges",
    );
    case(&["ranges", "unset", "shaken sour", "sweetness"], 0, "ranges");
    let entries = case(&["undo", "--list"], 0, "undo");
    let last = entries["entries"][0]["number"].to_string();
    assert_eq!(case(&["undo"], 0, "undo")["done"], false);
    let undone = case(&["undo", "--yes"], 0, "undo");
    assert_eq!(
        (undone["done"].as_bool(), undone["entry"]["number"].to_string()),
        (Some(true), last.clone())
    );
    case(&["undo", &last, "--yes"], 2, "error");
    case(&["undo", "9999"], 2, "error");
    case(&["undo", &undone["by"].to_string(), "--yes"], 0, "undo");
    case(
        &["rename", "drink", "Cinder Path Squall", "Frozen Squall"],
        0,
        "remove",
    );
    let history = case(&["history", "Frozen Squall"], 0, "history");
    assert_eq!(history["drinks"][0]["events"].as_array().unwrap().len(), 1);
    case(&["taste", "Frozen Squall", "--verdict", "too tart"], 0, "taste");
    case(
        &["swap", "Frozen Squall", "lime juice", "lemon juice", "--keep"],
        0,
        "swap",
    );
    case(
        &["weigh", "Frozen Squall", "--before", "110", "--after", "165"],
        0,
        "weigh",
    );
    let history = case(&["history", "frozen squall"], 0, "history");
    let versions = history["drinks"][0]["versions"].as_array().unwrap();
    assert_eq!(
        (versions.len(), versions[1]["tastings"].as_array().unwrap().len()),
        (2, 1)
    );
    assert_eq!(versions[0]["weighings"].as_array().unwrap().len(), 1);
    for name in ["lemon juice", "dash", "sloe and beetroot shrub"] {
        case(&["history", name], 0, "history");
    }
    case(&["history", "no such thing"], 2, "error");
    case(&["show", "Frozen Squall", "--version", "1"], 0, "show");
    case(&["show", "Frozen Squall", "--version", "3"], 2, "error");
    case(&["compare", "Frozen Squall@1", "Frozen Squall@2"], 0, "compare");
    case(&["restore", "Frozen Squall", "--version", "1"], 0, "remove");
    assert_eq!(
        case(&["remove", "drink", "Frozen Squall"], 0, "remove")["done"],
        false
    );
    case(&["remove", "drink", "Frozen Squall", "--yes"], 0, "remove");
    case(&["restore", "Frozen Squall"], 0, "remove");
    case(&["remove", "list", "No Such List", "--yes"], 2, "error");

    // What ends a command.
    for (arguments, kind) in [
        (&["show", "No Such Drink"][..], "input"),
        (&["compare", "No Such Drink"], "input"),
        (&["show", "No Such Drink", "--book", "odd.md"], "input"),
        (&["check", "missing.md"], "input"),
        (&["add", "missing.md"], "input"),
        (&["check", "latin.md"], "input"),
        (&["check", "-", "-"], "usage"),
        (&["ingredient", "show", "no such thing"], "input"),
        (
            &[
                "ingredient",
                "add",
                "lime juice",
                "--acid",
                "50",
                "--source",
                "label",
            ],
            "input",
        ),
        (
            &[
                "ingredient",
                "add",
                "odd cordial",
                "--sugar",
                "much",
                "--source",
                "label",
            ],
            "usage",
        ),
        (
            &["ingredient", "add", "odd cordial", "--source", "label"],
            "usage",
        ),
        (
            &[
                "ingredient",
                "set",
                "dry gin",
                "--brix",
                "20",
                "--source",
                "label",
            ],
            "usage",
        ),
        (&["ranges", "show", "no such structure"], "usage"),
        (&["ranges", "show", "--convention", "none"], "usage"),
        (
            &[
                "ranges", "set", "stirred", "tartness", "2", "1", "--source", "tasting",
            ],
            "usage",
        ),
        (
            &[
                "ranges", "set", "stirred", "colour", "1", "2", "--source", "tasting",
            ],
            "usage",
        ),
        (&["ranges", "unset", "stirred", "strength"], "input"),
        (&["list", "--house", "other.db"], "house"),
        (&["list", "--house", "missing.db"], "house"),
        (&["add", "odd.md", "--house", "other.db"], "house"),
    ] {
        assert_eq!(
            case(arguments, 2, "error")["error"]["kind"],
            kind,
            "{arguments:?}"
        );
    }

    // Data in and out, another house, copies, tasting.
    case(&["export", "--book", "lantern halt, autumn list"], 0, "export");
    case(&["export", "odd.md", "--out", "odd.json"], 0, "written");
    case(&["import", "odd.json"], 0, "import");
    case(&["backup", "copy.db"], 0, "backup");
    case(&["merge", "copy.db", "--dry-run"], 0, "merge");
    case(&["verify", "--house", "copy.db"], 0, "verify");
    case(&["taste", "points failure", "--verdict", "too tart"], 0, "taste");
    case(
        &["change", "points failure", "--add", "1 dash absinthe"],
        0,
        "change",
    );
    case(&["change", "points failure", "--add", "1 frobnitz"], 2, "error");
    case(&["ranges", "learn", "--from", "classics.md"], 0, "learn");
    case(&["cost", "points failure"], 0, "cost");
    case(&["label", "points failure"], 0, "label");
    case(&["card", "points failure"], 0, "card");
    case(&["card", "points failure", "--mise"], 0, "mise");
    case(&["ingredient", "price"], 0, "prices");
    case(&["report", "menu.html"], 0, "report");
    std::fs::write(folder.path().join("stock.md"), "# Tin Lamp\ncoupe: 150 ml\n").unwrap();
    case(&["travel", "points failure", "--to", "stock.md"], 0, "travel");
    case(&["show", "footplate ember", "--over-time"], 0, "show");
    case(
        &[
            "weigh",
            "branch line rain",
            "--before",
            "106",
            "--after",
            "160",
            "--temp",
            "-6",
        ],
        0,
        "weigh",
    );
    case(&["weigh", "--list"], 0, "weigh");
    case(&["weigh", "--forget", "1"], 0, "weigh");
    // Putting right.
    case(&["mend"], 0, "mend");
    case(&["mend", "lantern-halt.md", "--strict", "--may-add"], 0, "mend");
    case(
        &[
            "mend",
            "low cloud, slow train",
            "--aim",
            "strength 40",
            "--strict",
        ],
        1,
        "mend",
    );
    case(
        &[
            "swap",
            "--everywhere",
            "lime juice",
            "lemon juice",
            "--hold",
            "tartness",
        ],
        0,
        "swap",
    );
    case(
        &[
            "swap",
            "waiting room sun",
            "lime",
            "orange juice",
            "--hold",
            "tartness",
            "--strict",
        ],
        1,
        "swap",
    );
    case(
        &["adjust", "orange juice", "--to", "lime juice", "--by", "profile"],
        0,
        "adjust",
    );
    case(&["blend", "57", "40", "--to", "50"], 0, "blend");

    let files: BTreeSet<&str> = FILES.keys().map(String::as_str).collect();
    assert_eq!(used, files, "every schema file is the schema of something");
}

/// What the figures of an ingredient no longer allow is a fault of the house, told as one.
#[test]
fn a_drink_that_can_no_longer_be_worked_out_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str], input: &str, status, schema| {
        told(folder.path(), arguments, input, status, schema)
    };
    run(
        &[
            "ingredient",
            "add",
            "night liqueur",
            "--strength",
            "20",
            "--sugar",
            "100",
            "--source",
            "label",
        ],
        "",
        0,
        "ingredient",
    );
    run(
        &["add", "-"],
        "# H\n\n## Owl\n\n- 60 ml night liqueur (80 %)\n- stir\n",
        0,
        "add",
    );
    run(
        &[
            "ingredient",
            "set",
            "night liqueur",
            "--sugar",
            "900",
            "--source",
            "label",
        ],
        "",
        0,
        "ingredient",
    );
    let told = run(&["check"], "", 2, "check");
    assert_eq!(
        (&told["faults"][0]["line"], &told["drinks"]),
        (&json!(5), &json!([]))
    );
}

#[test]
fn a_known_drink_has_the_handbooks_figures() {
    // Arnold, Liquid Intelligence, 2014 (MEMORY): 159 ml, 15.0 % vol, sugar 8.9 g/100 ml, acid 0.85 %.
    let text = "# Known\n\n## Daiquiri\n\n- 60 ml white rum (40 %)\n- 22.5 ml lime juice\n- 22.5 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    let folder = tempfile::tempdir().unwrap();
    let told = told(folder.path(), &["check", "-"], text, 0, "check");
    let drink = &told["drinks"][0];
    let figure = |name: &str| drink["figures"][name]["value"].as_f64().unwrap();
    assert!(
        (159.0..=160.0).contains(&figure("volume_ml")),
        "{}",
        figure("volume_ml")
    );
    assert!((figure("abv_pct") - 15.0).abs() < 0.1, "{}", figure("abv_pct"));
    assert!(
        (figure("sugar_g_per_100ml") - 8.9).abs() < 0.05,
        "{}",
        figure("sugar_g_per_100ml")
    );
    assert!(
        (figure("acid_g_per_100ml") - 0.85).abs() < 0.005,
        "{}",
        figure("acid_g_per_100ml")
    );
    assert!(
        (figure("sugar_to_acid") - figure("sugar_g_per_100ml") / figure("acid_g_per_100ml")).abs() < 1e-3
    );
    assert_eq!(
        json!([
            told["convention"],
            drink["name"],
            drink["file"],
            drink["line"],
            drink["structure"],
            drink["melt_model"],
        ]),
        json!([
            "handbook",
            "Daiquiri",
            "<standard input>",
            3,
            "shaken sour",
            "handbook",
        ])
    );
    // Nothing is off beside the published sours, and its namesake is among the nearest.
    assert_eq!(
        drink["verdicts"],
        json!({ "abv_pct": "in", "sugar_g_per_100ml": "in", "acid_g_per_100ml": "in" })
    );
    assert_eq!(drink["family"], "sour");
    let nearest = drink["placed"]["nearest"].as_array().unwrap();
    let is_namesake = |r: &Value| r["name"].as_str().unwrap().starts_with("Daiquiri");
    assert!(nearest.iter().any(is_namesake), "{nearest:?}");
    let limes = drink["budget"]
        .as_array()
        .unwrap()
        .iter()
        .find(|b| b["measure"] == "acid_g_per_100ml")
        .unwrap();
    assert_eq!(limes["input"], "acid of lime");
}

/// The numbers of one drink agree with each other, and `show` with `list` and `compare`.
#[test]
fn what_is_shown_in_several_places_is_the_same() {
    let folder = books();
    told(folder.path(), &["add", "lantern-halt.md", "odd.md"], "", 0, "add");
    let list = told(folder.path(), &["list"], "", 0, "check");
    assert_eq!(told(folder.path(), &["check"], "", 0, "check"), list);
    let compared = told(folder.path(), &["compare"], "", 0, "compare");
    for drink in list["drinks"].as_array().unwrap() {
        let name = drink["name"].as_str().unwrap();
        assert!(compared["drinks"].as_array().unwrap().contains(drink), "{name}");
        let shown = told(folder.path(), &["show", name], "", 0, "show");
        let mut one = shown["drinks"][0].clone();
        let pours = one.as_object_mut().unwrap().remove("pours").unwrap();
        let words = one.as_object_mut().unwrap().remove("words").unwrap();
        assert!(!words.as_array().unwrap().is_empty(), "{name}");
        assert_eq!(&one, drink, "{name}");
        let sum = |of: &str| {
            pours
                .as_array()
                .unwrap()
                .iter()
                .map(|p| p[of].as_f64().unwrap())
                .sum::<f64>()
        };
        let of = |stage: &str, figure: &str| drink[stage][figure]["value"].as_f64();
        assert_eq!(
            of("before", "ethanol_g"),
            of("figures", "ethanol_g"),
            "{name}: ice changes no alcohol"
        );
        assert!(
            (sum("ethanol_g") - of("figures", "ethanol_g").unwrap()).abs() < 1e-4,
            "{name}"
        );
        for (grams, share) in [("sugar_g", "sugar_g_per_100ml"), ("acid_g", "acid_g_per_100ml")] {
            let whole = of("figures", share).unwrap_or(0.0) / 100.0 * of("figures", "volume_ml").unwrap();
            assert!(
                (sum(grams) - whole).abs() < 1e-3,
                "{name}: {grams} {} and {whole}",
                sum(grams)
            );
        }
        for stage in ["before", "figures"] {
            for (figure, known) in drink[stage].as_object().unwrap() {
                let (low, value, high) = (&known["low"], &known["value"], &known["high"]);
                if let (Some(low), Some(value), Some(high)) = (low.as_f64(), value.as_f64(), high.as_f64()) {
                    assert!(low <= value && value <= high, "{name}: {figure}");
                }
                // A share of nothing has no value; neither has a ratio without acid. Everything else has one.
                let may_be_open = figure == "sugar_to_acid"
                    || (figure == "temperature_c" && stage == "before")
                    || of(stage, "volume_ml") == Some(0.0);
                assert!(may_be_open || value.is_number(), "{name}: {figure} has no value");
            }
        }
        for (measure, verdict) in drink["verdicts"].as_object().unwrap() {
            let found = drink["findings"]
                .as_array()
                .unwrap()
                .iter()
                .find(|f| f["measure"] == *measure);
            match verdict.as_str().unwrap() {
                word @ ("edge" | "outside") => {
                    assert_eq!(found.unwrap()["verdict"], word, "{name}: {measure}")
                }
                "too close" => assert_eq!(found.unwrap()["kind"], "too_close", "{name}: {measure}"),
                _ => assert!(found.is_none(), "{name}: {measure}"),
            }
        }
    }
    let kinds: BTreeSet<&str> = list["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|d| d["findings"].as_array().unwrap())
        .map(|f| f["kind"].as_str().unwrap())
        .collect();
    let all: Vec<&str> = FILES["check"]["$defs"]["finding"]["oneOf"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["properties"]["kind"]["const"].as_str().unwrap())
        .collect();
    assert_eq!(
        kinds,
        all.into_iter().collect::<BTreeSet<_>>(),
        "every kind of finding was seen and no other"
    );
}

/// The schemas are schemas, each says what it is, and every object in them is closed.
#[test]
fn the_schemas_are_strict() {
    fn closed(schema: &Value, at: &str) {
        if let Some(fields) = schema.as_object() {
            if fields.get("type") == Some(&json!("object")) && !at.ends_with("/drink_in_common") {
                assert_eq!(fields.get("additionalProperties"), Some(&json!(false)), "{at}");
                let known: BTreeSet<&str> = fields["properties"]
                    .as_object()
                    .unwrap()
                    .keys()
                    .map(String::as_str)
                    .collect();
                let required: BTreeSet<&str> = fields["required"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|r| r.as_str().unwrap())
                    .collect();
                assert!(required.is_subset(&known), "{at}");
            }
            fields
                .iter()
                .for_each(|(key, below)| closed(below, &format!("{at}/{key}")));
        }
        schema
            .as_array()
            .into_iter()
            .flatten()
            .enumerate()
            .for_each(|(i, below)| closed(below, &format!("{at}/{i}")));
    }
    for (name, schema) in FILES.iter() {
        assert!(jsonschema::meta::is_valid(schema), "{name}");
        assert_eq!(
            schema["$schema"], "https://json-schema.org/draft/2020-12/schema",
            "{name}"
        );
        assert!(
            schema["title"].is_string() && schema["description"].is_string(),
            "{name}"
        );
        closed(schema, name);
    }
}

/// Leave out any key of an output, put in another, or turn a value into text or a negative number: one change after the
/// other, in the whole and taken back again.
fn each_change(value: &Value, see: &mut dyn FnMut(&str, &Value)) {
    change_at(&mut value.clone(), "", see);
}

/// Each change of what stands at a JSON pointer.
fn change_at(whole: &mut Value, at: &str, see: &mut dyn FnMut(&str, &Value)) {
    let here = whole.pointer(at).unwrap().clone();
    let path = at
        .strip_prefix('/')
        .map_or(String::new(), |path| format!("{path}/"));
    let put = |whole: &mut Value, changed: Value| *whole.pointer_mut(at).unwrap() = changed;
    let mut tried = |whole: &mut Value, how: &str, changed: Value| {
        put(whole, changed);
        see(&format!("{path}{how}"), whole);
    };
    match &here {
        Value::Object(fields) => {
            let mut more = fields.clone();
            more.insert("unheard_of".to_owned(), json!(1));
            tried(whole, "one key more", more.into());
            for key in fields.keys() {
                let mut less = fields.clone();
                less.remove(key);
                tried(whole, &format!("without {key}"), less.into());
            }
        }
        Value::Array(_) => tried(whole, "text for a list", json!("list")),
        Value::Number(_) => {
            tried(whole, "text for a number", json!("NaN"));
            tried(whole, "below 0", json!(-1));
        }
        Value::Bool(_) => tried(whole, "text for a truth", json!("yes")),
        Value::String(_) => {
            tried(whole, "a number for text", json!(7));
            tried(whole, "nothing for text", Value::Null);
        }
        Value::Null => {}
    }
    let below: Vec<String> = match &here {
        Value::Object(fields) => fields.keys().cloned().collect(),
        Value::Array(items) => (0..items.len()).map(|i| i.to_string()).collect(),
        _ => Vec::new(),
    };
    put(whole, here);
    for key in below {
        assert!(!key.contains(['/', '~']), "{key}");
        change_at(whole, &format!("{at}/{key}"), see);
    }
}

/// Every such change of an output that its schema lets pass.
pub fn passed(schema: &str, value: &Value) -> Vec<String> {
    let (mut changes, mut passed) = (0, Vec::new());
    each_change(value, &mut |what, changed| {
        changes += 1;
        if VALIDATORS[schema].is_valid(changed) {
            passed.push(what.to_owned());
        }
    });
    assert!(changes > 10, "{schema}");
    passed
}

/// Its schema objects to every one.
#[test]
fn the_schemas_see_every_change() {
    // What may be missing by the shape itself: `ingredient show` recomputes nothing, not every drink has a garnish.
    let open = |what: &str| {
        let places = [
            "usual",
            "seen",
            "garnish",
            "currency",
            "convention",
            "drinks/0/structure",
            "drinks/0/family",
            "findings/2/family",
        ];
        // What may be below 0: a temperature, and water gained where some freezes on.
        let cold =
            (what.contains("/temperature_c/") || what.contains("/water_")) && what.ends_with("below 0");
        cold || what == "without recomputed"
            || places
                .iter()
                .any(|at| what.ends_with(&format!("{at}/nothing for text")))
    };
    let folder = books();
    let text = "# H\n\n## Owl\nglass: coupe, 180 ml\nprice: 12.50 EUR\ngarnish: lemon\n\n- 60 ml dry gin\n- 2 dashes orange bitters\n- 30 ml tonic water\n- 1 egg white\n- shake\n\n## Wren\n- 60 ml dry ginn\n";
    for (arguments, schema) in [
        (&["check", "-"][..], "check"),
        (&["show", "Owl", "--book", "-"], "show"),
        (&["add", "-"], "add"),
        (&["add", "odd.md"], "add"),
        (&["ingredient", "show", "lime juice"], "ingredient"),
        (
            &[
                "ingredient",
                "set",
                "dry gin",
                "--strength",
                "45",
                "--source",
                "label",
            ],
            "ingredient",
        ),
        (&["ranges", "show", "shaken sour"], "ranges"),
        (&["ranges", "span", "classics.md"], "spans"),
        (&["show", "Nobody"], "error"),
        (&["settings", "show"], "settings"),
    ] {
        let (told, _) = run(folder.path(), arguments, text);
        let value = checked(schema, &told, &arguments.join(" "));
        for what in passed(schema, &value) {
            assert!(
                open(&what),
                "{arguments:?}: {schema}.schema.json lets pass: {what}"
            );
        }
    }
}
