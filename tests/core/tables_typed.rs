//! Drinks typed or pasted as tables: rows of a spreadsheet, of a typeset sheet, of columns in plain text.

use washline_core::computed::{Bar, Checked, look_at};
use washline_core::names::key;
use washline_core::spec::{Entry, Source};

fn checked(body: &str) -> Checked {
    let source = Source::new("t", format!("# T\n\n## D\n\n{body}\n"));
    look_at(std::slice::from_ref(&source), &Bar::default())
}

/// What a table pours: each ingredient (folded) with its volume, ml.
fn poured(body: &str) -> Vec<(String, f64)> {
    let checked = checked(body);
    assert_eq!(checked.faults, [], "{body}");
    let drink = checked
        .drinks
        .first()
        .unwrap_or_else(|| panic!("{body}: no drink"));
    drink
        .pours()
        .iter()
        .map(|p| (key(&p.ingredient), p.volume_ml))
        .collect()
}

fn assert_pours(body: &str, wanted: &[(&str, f64)]) {
    let pours = poured(body);
    assert_eq!(pours.len(), wanted.len(), "{body}: {pours:?}");
    for (name, ml) in wanted {
        assert!(
            pours
                .iter()
                .any(|(n, v)| n.contains(name) && !((v - ml).abs() > 0.01 * ml + 0.05)),
            "{body}: {name} {ml} is not among {pours:?}"
        );
    }
}

/// Tabs, with a column of units, of costs and of notes, and rows of particulars under the pours.
#[test]
fn a_spreadsheet_parted_by_tabs() {
    let body = "Item\tQty\tUnit\tCost\tNotes\nWhite rum\t50\tml\t1.10\t\nLime juice\t20\tml\t0.21\tfresh, 1 day\nSimple syrup\t15\tml\t0.05\t\nSaline\t2\tdrops\t0.00\t20%\nSoda water\t60\tml\t0.04\t\nMethod\tBuild over ice\t\t\t\nGlass\tHighball\t\t\t\nGarnish\tLime wheel\t1\tpc\t";
    assert_pours(
        body,
        &[
            ("white rum", 50.0),
            ("lime", 20.0),
            ("simple syrup", 15.0),
            ("salin", 0.1),
            ("soda", 60.0),
        ],
    );
    let checked = checked(body);
    let drink = checked.drinks.first().unwrap();
    assert!(
        drink
            .drink
            .glass
            .as_ref()
            .is_some_and(|g| key(&g.name) == "highball")
    );
}

/// Pipes, with the unit and the strength in the headings.
#[test]
fn a_table_of_pipes_with_strengths() {
    let body = "| Amount (oz) | Ingredient | ABV |\n|:---|---|---:|\n| 1.5 | Jamaican rum | 57% |\n| 3/4 | Lime juice | - |\n| 0.5 | Simple syrup | 0 |\n\nshake, strain, coupe";
    assert_pours(body, &[("rum", 44.36), ("lime", 22.18), ("simple syrup", 14.79)]);
    let checked = checked(body);
    let rum = &checked.drinks.first().unwrap().pours()[0];
    let strength = 100.0 * rum.ethanol_g / 0.789_24 / rum.volume_ml;
    assert!(!((strength - 57.0).abs() > 0.5), "{strength}");
}

/// Semicolons with decimal commas, as spreadsheets of much of Europe write them, and a particular after the method.
#[test]
fn semicolons_and_decimal_commas() {
    assert_pours(
        "Item;cl;% vol\nGin;4,5;47\nLemon juice;2,50;\nSimple syrup;1,5;\n\nshake; strain into a coupe\nDeko;lemon twist;",
        &[("gin", 45.0), ("lemon", 25.0), ("simple syrup", 15.0)],
    );
}

/// Commas take a row of headings.
#[test]
fn commas_under_headings() {
    let body = "step,ml,ingredient,abv_pct,stock_code\n1,40,Rye whiskey,50,W-9\n2,20,Sweet vermouth,16.5,V-2\n3,1.5,Orange bitters,28,B-3\nmethod,stir 20 s with ice and strain\nglass,coupe\ngarnish,lemon twist (discard)";
    assert_pours(
        body,
        &[("rye", 40.0), ("vermouth", 20.0), ("orange bitters", 1.5)],
    );
    // The book's own way to type several pours on a line is no table.
    assert_pours(
        "50 gin, 25 lemon juice, 15 simple syrup\n10 maraschino, 5 dry vermouth\nshake, strain",
        &[
            ("gin", 50.0),
            ("lemon", 25.0),
            ("simple syrup", 15.0),
            ("maraschino", 10.0),
            ("vermouth", 5.0),
        ],
    );
}

/// Columns set apart by space: amounts for one drink beside those for several, masses beside shares.
#[test]
fn columns_set_apart_by_space() {
    assert_pours(
        "                x1       x12\nvodka           40 ml    480 ml\nlemon juice     20 ml    240 ml\nsimple syrup    15 ml    180 ml\n-------------------------------\n                75 ml    900 ml\n\nshake, strain, coupe",
        &[("vodka", 40.0), ("lemon", 20.0), ("simple syrup", 15.0)],
    );
    assert_pours(
        "Component         ml      % of the whole\nWhite rum         37.5    50.0\nLime juice        22.5    30.0\nSimple syrup      15      20.0\nTOTAL             75      100.0\n\n1. Shake with ice 12 s, strain into a coupe.",
        &[("white rum", 37.5), ("lime", 22.5), ("simple syrup", 15.0)],
    );
}

/// The serve is taken, the batch is not, and that is said once.
#[test]
fn the_serve_is_taken_and_that_is_said_once() {
    let body = "Ingredient\tSpec (ml)\tBatch 20 (ml)\tShare\nGin\t40\t800\t50%\nLemon juice\t20\t400\t25%\nSimple syrup\t20\tadd per serve\t25%\nTOTAL\t80\t1200\t100%\n\nshake, strain, coupe";
    assert_pours(body, &[("gin", 40.0), ("lemon", 20.0), ("simple syrup", 20.0)]);
    let checked = checked(body);
    let drink = &checked.drinks.first().unwrap().drink;
    let source = &checked.drinks.first().unwrap().source;
    let said: Vec<&str> = drink
        .lines()
        .flat_map(|line| &line.assumptions)
        .filter(|a| a.about.contains("column"))
        .map(|a| a.taken.as_str())
        .collect();
    assert_eq!(said.len(), 1, "{said:?}");
    for column in ["Spec (ml)", "Batch 20 (ml)", "Share"] {
        assert!(said[0].contains(column), "{said:?}");
    }
    // A pour's place is that of its cells, and every word of the table is accounted for once.
    let gin = drink.lines().next().unwrap();
    assert_eq!(&source.text[gin.span.clone()], "Gin\t40");
    let row = "Gin\t40\t800\t50%";
    let at = source.text.find(row).unwrap();
    let told: Vec<&str> = drink
        .account
        .iter()
        .filter(|a| (at..at + row.len()).contains(&a.span.start))
        .map(|a| a.text.as_str())
        .collect();
    assert_eq!(told, ["Gin", "40", "800", "50%"]);
    // The total is kept, as words.
    assert!(
        drink
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Note(words) if words.starts_with("TOTAL")))
    );
}

/// A table of a batch alone is for as many drinks as its heading says.
#[test]
fn a_batch_by_itself_is_for_as_many_as_it_says() {
    let checked = checked(
        "Ingredient | x10 (ml)\n--- | ---\nGin | 400\nLemon juice | 200\nSimple syrup | 200\n\nshake, strain, coupe",
    );
    assert_eq!(checked.faults, []);
    let drink = checked.drinks.first().unwrap();
    assert!(drink.drink.serves.is_some_and(|n| n.to_string() == "10"));
}

/// Rows without headings.
#[test]
fn rows_without_headings() {
    for body in [
        "| Gin | 45 ml | |\n| Lemon juice | 20 ml | |",
        "Gin | 1.5 oz | 45 ml\nLemon juice | 2/3 oz | 20 ml",
        "45 | Gin\n20 | Lemon juice",
        "Gin\t45\nLemon juice\t20",
        "Gin ......... 45 ml\nLemon juice ... 20 ml\nTotal ....... 65 ml",
    ] {
        let pours = poured(&format!("{body}\n\nshake, strain, coupe"));
        assert_eq!(pours.len(), 2, "{body}: {pours:?}");
        assert!(
            !((pours[0].1 - 45.0).abs() > 1.0) && !((pours[1].1 - 20.0).abs() > 1.0),
            "{body}: {pours:?}"
        );
    }
}

/// A fault in a row stands where its cell does: a comma before three digits is a decimal mark or parts thousands.
#[test]
fn a_fault_points_into_the_row() {
    let checked = checked("Item\tml\nGin\t50\nSoda water\t1,000\nshake, strain");
    let faults: Vec<(usize, usize)> = checked.faults.iter().map(|f| (f.line, f.column)).collect();
    assert_eq!(faults, [(7, 12)], "{:?}", checked.faults);
    assert!(
        checked.faults[0].message.contains("1,000"),
        "{:?}",
        checked.faults
    );
}
