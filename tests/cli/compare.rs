//! Drinks beside each other as they are asked for on the command line.

use std::path::Path;

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let books = crate::project().join("fixtures/books");
    for book in ["lantern-halt.md", "lantern-halt-winter.md"] {
        std::fs::copy(books.join(book), folder.path().join(book)).unwrap();
    }
    done(folder.path(), &["add", "lantern-halt.md"]);
    folder
}

fn names(told: &Value) -> Vec<&str> {
    told["sorted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["name"].as_str().unwrap())
        .collect()
}

fn compared(folder: &Path, arguments: &[&str]) -> Value {
    let mut all = vec!["compare"];
    all.extend(arguments);
    told(folder, &all, "", 0, "compare")
}

#[test]
fn sorted_by_any_figure() {
    let folder = house();
    let folder = folder.path();
    let figures = [
        "volume_ml",
        "abv_pct",
        "sugar_g_per_100ml",
        "acid_g_per_100ml",
        "sugar_to_acid",
        "water_gained_ml",
        "water_pct_of_mix",
        "water_pct_of_finished",
        "ethanol_g",
        "standard_drinks",
        "energy_kj",
        "temperature_c",
        "price",
    ];
    for by in figures {
        for least_first in [false, true] {
            let mut arguments = vec!["--by", by];
            if least_first {
                arguments.push("--least-first");
            }
            let told = compared(folder, &arguments);
            assert_eq!(told["by"], by);
            assert_eq!(names(&told).len(), 22);
            let values: Vec<f64> = told["sorted"]
                .as_array()
                .unwrap()
                .iter()
                .filter_map(|d| d["value"].as_f64())
                .collect();
            assert!(!values.is_empty(), "{by}");
            let sorted = if least_first {
                values.is_sorted()
            } else {
                values.is_sorted_by(|a, b| a >= b)
            };
            assert!(sorted, "{by}: {values:?}");
            // What has no value stands last; the order is that of the drinks.
            let none = told["sorted"].as_array().unwrap().iter().skip(values.len());
            assert!(none.clone().all(|d| d["value"].is_null()), "{by}");
            for (sorted, drink) in told["sorted"]
                .as_array()
                .unwrap()
                .iter()
                .zip(told["drinks"].as_array().unwrap())
            {
                assert_eq!(sorted["name"], drink["name"]);
                if by != "price" {
                    assert_eq!(sorted["value"], drink["figures"][by]["value"], "{by}");
                }
            }
        }
    }
    let by_name = compared(folder, &["--by", "name"]);
    assert!(names(&by_name).is_sorted_by_key(|n| n.to_lowercase()));
    let backward = compared(folder, &["--by", "name", "--least-first"]);
    assert!(names(&backward).iter().rev().eq(names(&by_name).iter()));
}

#[test]
fn filtered_by_any_figure() {
    let folder = house();
    let folder = folder.path();
    let holds = |arguments: &[&str], of: &dyn Fn(&Value) -> bool| {
        let told = compared(folder, arguments);
        let all = compared(folder, &[]);
        let kept = told["drinks"].as_array().unwrap().len();
        let wanted = all["drinks"].as_array().unwrap().iter().filter(|d| of(d)).count();
        assert_eq!((kept, kept > 0), (wanted, true), "{arguments:?}");
        assert!(told["drinks"].as_array().unwrap().iter().all(of), "{arguments:?}");
    };
    let value = |d: &Value, name: &str| d["figures"][name]["value"].as_f64();
    holds(&["--where", "strength < 13"], &|d| {
        value(d, "abv_pct").unwrap() < 12.95
    });
    holds(&["--where", "sugar >= 7", "--where", "volume < 170 ml"], &|d| {
        value(d, "sugar_g_per_100ml").unwrap() >= 6.95 && value(d, "volume_ml").unwrap() < 169.5
    });
    // A drink without acid has no ratio, so no condition on it holds.
    holds(&["--where", "sugar to acid > 0"], &|d| {
        value(d, "sugar_to_acid").is_some()
    });
    holds(&["--where", "price > 13.5"], &|d| {
        d["price"]["amount"].as_str().unwrap().parse::<f64>().unwrap() > 13.5
    });
    holds(&["--structure", "stirred"], &|d| d["structure"] == "stirred");
    assert_eq!(
        done(folder, &["compare", "--where", "strength > 90"]),
        "no drinks of which that holds\n"
    );
    for wrong in [
        &["compare", "--where", "colour < 3"][..],
        &["compare", "--where", "strength"],
        &["compare", "--by", "colour"],
        &["compare", "--structure", "staired"],
    ] {
        assert_eq!(run(folder, wrong).status.code(), Some(2), "{wrong:?}");
    }
}

/// What is marked is what the intervals do not tell apart, and what is printed alike.
#[test]
fn differences_too_small_to_call_are_marked() {
    let folder = house();
    let folder = folder.path();
    let told = compared(folder, &["--by", "tartness"]);
    let sorted = told["sorted"].as_array().unwrap();
    assert!(sorted[0]["from_the_one_before"].is_null());
    let mut marked = 0;
    for pair in sorted.windows(2) {
        let apart = &pair[1]["from_the_one_before"];
        let difference = pair[1]["value"].as_f64().unwrap() - pair[0]["value"].as_f64().unwrap();
        assert!((apart["difference"].as_f64().unwrap() - difference).abs() < 2e-6);
        let told_from = apart["least_told"].as_f64().map_or(0.0, |least| least);
        let alike = format!("{:.2}", pair[0]["value"].as_f64().unwrap())
            == format!("{:.2}", pair[1]["value"].as_f64().unwrap());
        assert_eq!(
            apart["too_small"].as_bool().unwrap(),
            alike || difference.abs() < told_from,
            "{apart}"
        );
        marked += usize::from(apart["too_small"] == true);
    }
    let text = done(folder, &["compare", "--by", "tartness"]);
    assert_eq!(text.matches('≈').count(), marked + 1, "{text}");
    assert!(
        text.contains("≈ cannot be told from the drink above by tartness"),
        "{text}"
    );
    // The interval stands below its figure.
    assert!(text.contains("1.14–1.57"), "{text}");
}

#[test]
fn two_drinks_side_by_side() {
    let folder = house();
    let at = folder.path();
    // As they are named, whatever they are sorted by.
    for [first, second] in [
        ["branch line rain", "points failure"],
        ["points failure", "branch line rain"],
    ] {
        let told = compared(at, &[first, second]);
        assert_eq!(told["drinks"][0]["name"].as_str().unwrap().to_lowercase(), first);
        let lemon = told["beside"]["pours"]
            .as_array()
            .unwrap()
            .iter()
            .find(|p| p["ingredient"] == "lemon juice")
            .unwrap();
        let of = if first == "branch line rain" {
            ("22.5 ml", "37.5 ml")
        } else {
            ("37.5 ml", "22.5 ml")
        };
        assert_eq!(
            (&lemon["a"]["written"], &lemon["b"]["written"], &lemon["differs"]),
            (&json!(of.0), &json!(of.1), &json!(true))
        );
        let tartness = told["beside"]["figures"]
            .as_array()
            .unwrap()
            .iter()
            .find(|f| f["name"] == "acid_g_per_100ml")
            .unwrap();
        assert_eq!(tartness["apart"]["too_small"], false);
    }
    let text = done(at, &["compare", "Branch Line Rain", "Points Failure"]);
    for part in [
        "lemon juice 22.5 ml 37.5 ml +15.0\n",
        "glass coupe, 210 ml coupe, 210 ml\n",
        "tartness, g/100 ml 0.83 (0.69–0.97) 1.35 (1.14–1.57) +0.52\n",
        "≈ too small to call",
    ] {
        // However wide the columns are.
        let squeezed: String = text
            .lines()
            .map(|l| l.split_whitespace().collect::<Vec<_>>().join(" ") + "\n")
            .collect();
        assert!(squeezed.contains(part), "{part}\n{text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
    let open = |what: &String| {
        // A garnish, a price may be none, a spec may say nothing of a thing; differences and degrees may be below 0.
        let places = [
            "said",
            "garnish",
            "currency",
            "unit",
            "book",
            "convention",
            "written",
            "usual",
            "seen",
            "structure",
            "family",
        ];
        (what.ends_with("/nothing for text") && places.iter().any(|part| what.contains(part)))
            || (what.ends_with("/below 0")
                && [
                    "temperature_c",
                    "/water_",
                    "difference",
                    "sorted",
                    "beside/figures/11/",
                ]
                .iter()
                .any(|part| what.contains(part)))
    };
    let told = compared(at, &["Branch Line Rain", "Points Failure"]);
    let let_through: Vec<String> = passed("compare", &told)
        .into_iter()
        .filter(|w| !open(w))
        .collect();
    assert_eq!(let_through, Vec::<String>::new());
    // One drink in two books is laid beside itself.
    done(at, &["add", "lantern-halt-winter.md"]);
    let text = done(at, &["compare", "Hoarfrost Junction"]);
    assert!(
        text.contains("Lantern Halt, autumn list") && text.contains("75 ml"),
        "{text}"
    );
}
