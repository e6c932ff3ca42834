//! Spec cards: amounts, what a page holds, and that nothing runs over the edge of one.

use std::path::Path;

use serde_json::json;

use crate::json::{passed, told};

const BOOK: &str = "\
# Halt
currency: EUR
ounce: 30 ml
country: UK

## Owl
glass: coupe, 210 ml
price: 12.00
garnish: lemon zest
note: keep the glasses cold
- 50 ml dry gin or vodka
- 22.5 ml lemon juice
- 25 ml simple syrup 1:1 by mass
- 1 egg white
- 2 dashes orange bitters
- dry shake
- shake 12 s
- fine strain
- top 60 ml tonic water

## Wren
- 45 ml white rum
- to taste lime juice
- build
- over a large cube
";

/// Names and texts that no card was made for.
pub fn torture() -> String {
    let mut text = String::from(
        "# The Grand Temperance Hotel and Railway Refreshment Rooms of Upper Lantern Halt under the Viaduct, winter list\nounce: 30 ml\n\n## The Extraordinarily Long and Winding Name of a Drink that the Night Manager Would Not Shorten, Number Forty-Seven, as It Is Sung\nglass: a very old hand-cut crystal sherbet coupe from the dining car, 210 ml\ngarnish: a long and carefully twisted peel of an unwaxed lemon; three brandied cherries on a steel pick; grated nutmeg\nnote: The first guest to order this stayed until the morning train, and the story has to be told in full.\n",
    );
    for i in 0..14 {
        text.push_str(&format!(
            "- {} ml white rum (the bottle number {i} that stands at the very back of the second shelf)\n",
            5 + i
        ));
    }
    text.push_str("- 20-25 ml simple syrup 1:1 by mass\n- 1 egg white\n- 8 mint leaves\n- muddle\n- dry shake\n- shake\n- fine strain\n- top 60 ml brut sparkling wine\n\n");
    text.push_str(&format!(
        "## {}\nglass: {}, 180 ml\n- 60 ml vodka\n- neat\n\n",
        "Donaudampfschifffahrt".repeat(6),
        "W".repeat(80)
    ));
    text.push_str("## 夜の鉄道ホテルの灯りと冬の風の中で静かに飲む一杯の物語\n- 45 ml vodka\n- neat\n\n");
    text.push_str(&format!("## {}\n- 45 ml vodka\n- neat\n\n", "MWMW ".repeat(60)));
    text.push_str(&format!(
        "## Endless\nnote: {}\n",
        "so many words to the reader that no card holds them ".repeat(70)
    ));
    for i in 0..70 {
        text.push_str(&format!("- {} ml white rum (pour {i})\n", 1 + i % 9));
    }
    text.push_str("- shake\n- strain\n\n## Ox\n- 1 oz vodka\n- neat\n");
    text
}

pub fn run(folder: &Path, arguments: &[&str], book: &str) -> String {
    std::fs::write(folder.join("halt.md"), book).unwrap();
    let mut all = vec!["card", "--book", "halt.md"];
    all.extend(arguments);
    let output = crate::washline(folder).args(all).output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn markdown_in_ml_in_oz_and_in_both() {
    let folder = tempfile::tempdir().unwrap();
    let of = |units: &str| run(folder.path(), &["Owl", "--units", units], BOOK);
    let ml = of("ml");
    for line in [
        "# Owl",
        "**Glass:** coupe, 210 ml",
        "% of the brim",
        "| 50 ml | dry gin or vodka |",
        "| 22.5 ml | lemon juice |",
        "| 1 | egg white |",
        "| 2 dashes | orange bitters |",
        "| | **shake 12 s** |",
        "| 60 ml | top: tonic water |",
        "**Garnish:** lemon zest",
        "**Note:** keep the glasses cold",
        "- Tart against sweet",
        "> Allergens (EU list): contains eggs.",
        "> Holds quinine.",
        "> Raw egg: tell the guest.",
        "Halt, version 1",
    ] {
        assert!(ml.contains(line), "{line}:\n{ml}");
    }
    assert!(
        !ml.contains("oz") && !ml.contains("EUR") && !ml.contains("12.00"),
        "{ml}"
    );
    // In the order of the work.
    let place = |what: &str| ml.find(what).unwrap_or_else(|| panic!("{what}"));
    assert!(place("dry gin") < place("dry shake") && place("fine strain") < place("top: tonic"));
    let oz = of("oz");
    for line in [
        "| 1 ⅔ oz | dry gin or vodka |",
        "| ¾ oz | lemon juice |",
        "| ≈ ⅞ oz | simple",
        "| 2 oz | top: tonic water |",
        "oz of 30 ml; ≈ the nearest mark of a jigger",
    ] {
        assert!(oz.contains(line), "{line}:\n{oz}");
    }
    let both = of("both");
    for line in [
        "| ml | oz | |",
        "| 22.5 | ¾ | lemon juice |",
        "| 2 dashes |  | orange bitters |",
        "| | | **dry shake** |",
    ] {
        assert!(both.contains(line), "{line}:\n{both}");
    }
    let wren = run(folder.path(), &["Wren", "--units", "oz"], BOOK);
    for line in [
        "**Glass:** not said",
        "| 1 ½ oz | white rum |",
        "| to taste | lime juice |",
        "**over a large cube**",
        "- How much lime juice: by taste",
    ] {
        assert!(wren.contains(line), "{line}:\n{wren}");
    }
    // Exact ounces need no word about the nearest mark.
    assert!(wren.contains("oz of 30 ml") && !wren.contains('≈'), "{wren}");
}

#[test]
fn cost_only_where_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let priced = format!("{BOOK}\n## white rum\nis: an ingredient\nprice: 14.00 per 700 ml\nsource: list\n");
    let with = run(folder.path(), &["Wren", "--cost"], &priced);
    assert!(
        with.contains("**Cost:** 0.90 EUR and what is not priced: lime juice, ice"),
        "{with}"
    );
    assert!(!run(folder.path(), &["Wren"], &priced).contains("Cost"));
    assert!(run(folder.path(), &["Wren", "--cost"], BOOK).contains("**Cost:** not priced"));
}

pub const NASTY: &str = "# <b>Halt</b>\n\n## <script>alert(1)</script> & *bold* | pipe\ngarnish: <img src=x onerror=alert(2)>\nnote: \"quoted\" 'too' `code` [link](http://x)\n- 60 ml vodka (</article>{{ 7*7 }})\n- neat\n";

#[test]
fn nothing_from_a_book_is_markup() {
    let folder = tempfile::tempdir().unwrap();
    let html = run(folder.path(), &["--html"], NASTY);
    assert!(html.contains("&lt;script&gt;alert(1)"), "{html}");
    for raw in ["<script", "<img", "<b>Halt", "</article>{", "49)"] {
        assert!(!html.contains(raw), "{raw}");
    }
    assert_eq!(html.matches("<article").count(), 1);
    let markdown = run(folder.path(), &[], NASTY);
    // A backslash before each mark makes it a letter.
    for mark in ['<', '`', '['] {
        let bare = markdown
            .match_indices(mark)
            .filter(|(at, _)| !markdown[..*at].ends_with('\\'));
        assert_eq!(bare.count(), 0, "{mark}:\n{markdown}");
    }
    assert!(
        markdown.contains("# \\<script\\>alert(1)\\</script\\> \\& \\*bold\\* \\| pipe"),
        "{markdown}"
    );
    // Nothing is fetched from anywhere.
    assert!(!html.contains("http://") && !html.contains("https://") && !html.contains("url("));
}

#[test]
fn four_cards_a_sheet_or_one_a_page() {
    let folder = tempfile::tempdir().unwrap();
    let lantern = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt.md")).unwrap();
    let a6 = run(folder.path(), &["--html", "--paper", "a6"], &lantern);
    let a4 = run(folder.path(), &["--html", "--paper", "a4"], &lantern);
    let of = |text: &str, what: &str| text.matches(what).count();
    assert_eq!((of(&a6, "<article"), of(&a6, "<section")), (23, 23));
    assert_eq!((of(&a4, "<article"), of(&a4, "<section")), (23, 6));
    assert!(a6.contains("size:105.0mm 148.0mm") && a4.contains("size:210.0mm 297.0mm"));
    let torture = torture();
    let long = run(folder.path(), &["--html"], &torture);
    // What no card holds goes on to more of them, all of it.
    assert!(of(&long, "continued") >= 3);
    for i in 0..70 {
        assert!(long.contains(&format!("(pour {i})")), "pour {i}");
    }
    // Word by word: a card may end between any two.
    for word in ["many", "reader"] {
        assert_eq!(of(&long, word), 70, "{word}");
    }
    let refused = crate::washline(folder.path())
        .args(["card", "--book", "halt.md", "--paper", "a4"])
        .output()
        .unwrap();
    assert_eq!(refused.status.code(), Some(2));
}

/// The type size of a run of cards, points.
fn type_size(html: &str) -> f64 {
    let rule = html.split("flex-direction:column;font-size:").nth(1).unwrap();
    rule.split("pt").next().unwrap().parse().unwrap()
}

#[test]
fn one_type_size_a_run_on_any_paper() {
    let folder = tempfile::tempdir().unwrap();
    let lantern = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt.md")).unwrap();
    let sizes = ["a6", "a4", "a5", "letter"].map(|paper| {
        let html = run(folder.path(), &["--html", "--paper", paper], &lantern);
        assert!(!html.contains("--k"), "a size of its own");
        type_size(&html)
    });
    assert!(sizes.iter().all(|pt| *pt >= 8.5), "{sizes:?}");
    assert!(sizes[2] > sizes[0], "a larger card has larger type: {sizes:?}");
    assert!(type_size(&run(folder.path(), &["--html"], &torture())) >= 8.5);
    // A drink that takes two cards at any size does not make the type of all the others the smallest.
    let long = format!(
        "{lantern}\n## Endless\nglass: coupe, 210 ml\nnote: {}\n- 60 ml white rum\n- stir\n- strain\n",
        "so many words to the reader ".repeat(30)
    );
    let size = type_size(&run(folder.path(), &["--html", "--paper", "a5"], &long));
    assert!(size > 8.5, "{size}");
}

#[test]
fn a_glass_is_drawn_true_to_its_kind_with_its_washline() {
    let folder = tempfile::tempdir().unwrap();
    let drink = |glass: &str| {
        format!("# Halt\n\n## Owl\nglass: {glass}\n- 60 ml dry gin\n- 30 ml dry vermouth\n- stir\n- strain\n")
    };
    let drawn = |glass: &str| {
        let html = run(folder.path(), &["--html"], &drink(glass));
        let svg = html
            .split("<svg class=\"glass\"")
            .nth(1)
            .map(|s| s.split("</svg>").next().unwrap().to_owned());
        svg.unwrap_or_default()
    };
    let (coupe, rocks, none) = (
        drawn("coupe, 180 ml"),
        drawn("rocks glass, 240 ml"),
        drawn("shoe, 200 ml"),
    );
    assert!(coupe.contains("class=\"gl\"") && rocks.contains("class=\"gl\""));
    let bowl = |svg: &str| svg.split("class=\"go\" d=\"").nth(1).unwrap().to_owned();
    assert_ne!(bowl(&coupe), bowl(&rocks));
    // Nobody knows the outline of a shoe.
    assert_eq!(none, "");
}

#[test]
fn a_drink_that_does_not_fit_its_glass_says_so_on_its_card_and_beside() {
    let folder = tempfile::tempdir().unwrap();
    let book = "# Halt\n\n## Owl\nglass: coupe, 120 ml\n- 60 ml dry gin\n- 30 ml lemon juice\n- 30 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    std::fs::write(folder.path().join("halt.md"), book).unwrap();
    for more in [&[][..], &["--html"][..]] {
        let output = crate::common::washline(folder.path())
            .args(["card", "--book", "halt.md"])
            .args(more)
            .output()
            .unwrap();
        let (out, notes) = (
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr),
        );
        assert!(output.status.success());
        assert!(out.contains("does not fit the coupe of 120 ml"), "{out}");
        assert!(
            notes.contains("Owl: ") && notes.contains("does not fit the coupe"),
            "{notes}"
        );
    }
    // Nothing of the analysis stands on a card.
    let lantern = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt.md")).unwrap();
    let all = run(folder.path(), &[], &lantern);
    for word in [
        "of the doubt",
        "is that meant",
        "published",
        "usual for",
        "too sweet",
        "not sour",
        "shaken sour",
    ] {
        assert!(!all.contains(word), "{word}");
    }
}

#[test]
fn a_preparation_has_a_card_and_a_list_what_to_have_ready() {
    let folder = tempfile::tempdir().unwrap();
    let mise = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt-mise.md")).unwrap();
    let card = run(folder.path(), &["Stationmaster's lime cordial"], &mise);
    for line in [
        "# Stationmaster's lime cordial",
        "**Makes:** 1300 ml",
        "as measured",
        "**Keeps:** 2 weeks, refrigerated",
        "**°Brix:** ",
        "**Acid:** ",
        "| 20 g | lime peel |",
        "> Allergens (EU list): ",
    ] {
        assert!(card.contains(line), "{line}:\n{card}");
    }
    let html = run(folder.path(), &["--html"], &mise);
    assert!(html.contains("<h1>Platform syrup</h1>") && html.contains("<b class=\"word\">Keeps</b> 3 weeks"));
    let all = told(
        folder.path(),
        &["card", "platform syrup", "--book", "-"],
        &mise,
        0,
        "card",
    );
    assert_eq!(all["preparations"][0]["name"], "Platform syrup");
    let ready = run(folder.path(), &["--mise"], &mise);
    for line in [
        "# Have ready: Lantern Halt, mise en place",
        "## Made here",
        "## Glasses",
        "- [ ] ",
    ] {
        assert!(ready.contains(line), "{line}:\n{ready}");
    }
    let page = run(folder.path(), &["--mise", "--html"], NASTY);
    assert!(page.contains("&lt;b&gt;Halt") && !page.contains("<img"), "{page}");
    let all = told(
        folder.path(),
        &["card", "--mise", "--book", "-"],
        &mise,
        0,
        "mise",
    );
    assert!(
        all["ready"]
            .as_array()
            .unwrap()
            .iter()
            .any(|r| r["sort"] == "Made here")
    );
}

#[test]
fn cards_as_json_keep_to_their_schema() {
    let folder = tempfile::tempdir().unwrap();
    let all = told(folder.path(), &["card", "--book", "-", "--cost"], BOOK, 0, "card");
    let owl = &all["cards"][0];
    assert_eq!(
        owl["lines"][1],
        json!({ "name": "lemon juice", "written": null, "ml": "22.5", "oz": { "text": "¾", "exact": true } })
    );
    assert_eq!(owl["lines"][5], json!({ "work": "dry shake" }));
    assert_eq!(owl["washline"]["on_ice"], false);
    assert_eq!(all["cards"][1]["washline"], json!(null));
    let open = |what: &String| {
        what.ends_with("/nothing for text")
            && ["structure", "glass", "cost", "written", "/ml", "ice", "misfit"]
                .iter()
                .any(|key| what.contains(key))
    };
    let let_through: Vec<String> = passed("card", &all).into_iter().filter(|w| !open(w)).collect();
    assert_eq!(let_through, Vec::<String>::new());
    told(folder.path(), &["card", "Jay", "--book", "-"], BOOK, 2, "error");
}
