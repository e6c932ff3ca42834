//! Data in and out: what goes out comes back the same, and what others made is read or said.

use proptest::prelude::*;
use washline_core::exchange::{self, CsvOptions, Decimal, Format, Import, Options, Shelved};
use washline_core::spec::{self, FaultKind, Source};

fn shelved(text: &str) -> Shelved {
    Shelved::read(&Source::new("book.md", text))
}

fn imported(file: &str, text: &str, options: &Options) -> Import {
    exchange::import(&[Source::new(file, text)], options).unwrap()
}

/// A text that has to read, and what it comes to as one book.
fn book_of(file: &str, text: &str) -> String {
    let import = imported(file, text, &Options::default());
    assert_eq!(import.faults, [], "{text}");
    assert_eq!(import.books.len(), 1);
    import.books[0].text.clone()
}

/// Out and in again, in each format that claims it: the same text as the program writes, title, settings,
/// comments, notes, order and all.
fn assert_identity(text: &str) {
    let shelved = shelved(text);
    let written = spec::format(&shelved.book);
    for (format, file, delimiter) in [
        (Format::Json, "out.json", b','),
        (Format::Csv, "out.csv", b','),
        (Format::Csv, "out.csv", b';'),
        (Format::Csv, "out.csv", b'\t'),
    ] {
        let out = exchange::write(std::slice::from_ref(&shelved), format, delimiter);
        let back = book_of(file, &out);
        assert_eq!(back, written, "{format}:\n{out}");
        assert_eq!(
            spec::format(&spec::read(&Source::new("back", back)).book),
            written
        );
    }
    let out = exchange::write(std::slice::from_ref(&shelved), Format::Book, b',');
    assert_eq!(out, text);
    assert_eq!(book_of("out.md", &out), text);
}

fn fixture(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

#[test]
fn every_book_of_the_fixtures_comes_back_the_same() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/books");
    let mut seen = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        assert_identity(&std::fs::read_to_string(file.unwrap().path()).unwrap());
        seen += 1;
    }
    assert!(seen >= 3);
}

/// Words that a spreadsheet, a sheet or a JSON reader could take for something else.
fn awkward() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "=SUM(A1:A9)",
            "+49 170",
            "-",
            "@home",
            "'tis",
            "1/2",
            "3-4",
            "May 5",
            "a;b",
            "a,b",
            "say \"no\"",
            "a\\b",
            "tab\there",
            "crème ½",
            "日本",
            "{\"what\": \"pour\"}",
            "</script>",
            "null",
            "0x1F",
            "<!-- not",
            "--> not",
        ])
        .prop_map(str::to_owned),
        "[ -~àéß½]{1,24}".prop_map(|s| s.trim().to_owned()),
    ]
    .prop_filter("words", |s| {
        let hidden = s.contains("<!--") && s.ends_with("-->");
        !(s.is_empty() || hidden || s.contains('\t'))
    })
}

fn step() -> impl Strategy<Value = String> {
    let amount = prop_oneof![
        (1_u32..400).prop_map(|n| format!("{}", f64::from(n) / 4.0)),
        (1_u32..9, 2_u32..9).prop_map(|(n, d)| format!("{n}/{d}")),
        (1_u32..4, 1_u32..3).prop_map(|(w, n)| format!("{w} {n}/3")),
        (1_u32..4, 1_u32..3).prop_map(|(a, b)| format!("{a}-{}", a + b)),
        Just("couple".to_owned()),
    ];
    let unit = prop::sample::select(vec![
        "ml",
        "cl",
        "oz",
        "dashes",
        "barspoons",
        "g",
        "drops",
        "parts",
        "leaves",
    ]);
    let name = prop::sample::select(vec![
        "gin",
        "dry vermouth",
        "lime juice",
        "simple syrup 1:1 by mass",
        "egg white",
        "saline solution 20 %",
        "rye whiskey (50 %)",
        "vodka or gin",
        "any anise liqueur",
        "bourbon, more to taste",
        "mint leaves",
        "lemon juice (chilled)",
    ]);
    let place = prop::sample::select(vec!["", "", "", "top ", "float ", "rinse ", "mist "]);
    prop_oneof![
        5 => (place, amount, unit, name.clone()).prop_map(|(p, a, u, n)| format!("- {p}{a} {u} {n}")),
        1 => name.prop_map(|n| format!("- top with {n}")),
        2 => prop::sample::select(vec![
            "- shake 12 s", "- strain", "- over crushed ice", "- blend with 150 g ice", "- rest 2 min", "- ? ml lime juice",
            "- garnish lime wheel", "- to taste orgeat", "- ice in the tin", "- strain into a chilled coupe",
        ]).prop_map(str::to_owned),
        1 => awkward().prop_map(|w| format!("> {w}")),
        1 => awkward().prop_map(|w| format!("<!-- {w} -->")),
        1 => Just(String::new()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn generated_books_come_back_the_same(
        title in awkward(),
        drinks in prop::collection::vec((awkward(), awkward(), prop::collection::vec(step(), 1..10)), 1..5),
    ) {
        let mut text = format!("# {title}\nounce: US\ncurrency: EUR\n\n> about it\n\n");
        for (i, (name, note, steps)) in drinks.iter().enumerate() {
            text.push_str(&format!("## {name} {i}\nprice: 12.50\nnote: {note}\n\n- 30 ml gin\n"));
            for step in steps {
                text.push_str(step);
                text.push('\n');
            }
        }
        text.push_str("\n## odd cordial\nis: an ingredient\nsugar: 300 g/l\nallergens: milk\nalso: strange cordial\nsource: label\n");
        text.push_str("\n## odd syrup\nmakes: an ingredient\nkeeps: 10 days, refrigerated\n\n- 500 g sugar\n- 400 g water\n- heat to 60 °C\n- fine strain\n");
        // Whatever of it reads as a book comes back as that book.
        prop_assume!(spec::read(&Source::new("t", text.clone())).faults.is_empty());
        assert_identity(&text);
    }
}

#[test]
fn several_books_share_a_file() {
    let books: Vec<Shelved> = ["worked.md", "lantern-halt.md"]
        .map(|name| shelved(&fixture(&format!("books/{name}"))))
        .into();
    for (format, file) in [(Format::Json, "all.json"), (Format::Csv, "all.csv")] {
        let import = imported(file, &exchange::write(&books, format, b','), &Options::default());
        assert_eq!(import.faults, []);
        let texts: Vec<&str> = import.books.iter().map(|b| b.text.as_str()).collect();
        let written: Vec<String> = books.iter().map(|b| spec::format(&b.book)).collect();
        assert_eq!(texts, written);
    }
}

/// No cell of a sheet is a formula or a date to a spreadsheet.
#[test]
fn sheets_are_safe_to_open() {
    let text = "# =HYPERLINK(\"x\")\n\n## @Home\n> -2+3\n\n- 1/2 oz gin\n- 1-2 dashes orange bitters\n- shake\n\n## May 5\n- 30 ml gin\n- stir\n";
    let out = exchange::write(&[shelved(text)], Format::Csv, b',');
    assert!(out.ends_with("\r\n") && out.matches('\n').count() == out.matches("\r\n").count());
    for row in csv::Reader::from_reader(out.as_bytes()).records() {
        for cell in &row.unwrap() {
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
            assert!(!["1/2", "1-2", "May 5"].contains(&cell), "{cell}");
        }
    }
    assert_eq!(book_of("x.csv", &out), spec::format(&shelved(text).book));
}

/// A sheet sorted by ingredient is put in order again; a row put in without a number stays where it was put.
#[test]
fn a_sorted_sheet_is_put_in_order() {
    let text = fixture("books/lantern-halt.md");
    let out = exchange::write(&[shelved(&text)], Format::Csv, b',');
    let (head, rows) = out.split_once("\r\n").unwrap();
    let mut rows: Vec<&str> = rows.trim_end().split("\r\n").collect();
    rows.sort_by_key(|row| row.split(',').rev().nth(1).unwrap_or_default().to_owned());
    let sorted = format!("{head}\r\n{}\r\n", rows.join("\r\n"));
    assert_ne!(sorted, out);
    assert_eq!(book_of("x.csv", &sorted), spec::format(&shelved(&text).book));
}

fn mapped(pairs: &[(&str, &str)]) -> Options {
    Options {
        csv: CsvOptions {
            map: pairs
                .iter()
                .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
                .collect(),
            ..CsvOptions::default()
        },
        ..Options::default()
    }
}

/// Semicolons, decimal commas, a byte-order mark, headings in another language.
const SAUER: &str = "\u{feff}Name;Zutat;Menge;Einheit;Preis/L\r\nSauer;Zitronensaft;2,25;cl;4,50\r\nSauer;Zucker 1:1;2,0;cl;1,80\r\n";

#[test]
fn a_sheet_in_another_language_needs_a_map() {
    let asked = imported("sauer.csv", SAUER, &Options::default());
    assert_eq!(asked.books, []);
    let [fault] = asked.faults.as_slice() else {
        panic!("{:?}", asked.faults)
    };
    assert_eq!((fault.kind, fault.line), (FaultKind::Ask, 1));
    for heading in ["`Zutat`", "`Menge`", "`Einheit`", "`Preis/L`"] {
        assert!(fault.message.contains(heading), "{}", fault.message);
    }
    assert!(!fault.message.contains("`Name`"));

    let options = mapped(&[
        ("Zutat", "ingredient"),
        ("Menge", "amount"),
        ("Einheit", "unit"),
        ("Preis/L", "price per litre"),
    ]);
    let import = imported("sauer.csv", SAUER, &options);
    assert_eq!(import.faults, []);
    assert_eq!(
        import.books[0].text,
        "# sauer\n\n## Sauer\n- 2.25 cl Zitronensaft\n<!-- price per litre of Zitronensaft: 4.50 -->\n- 2 cl Zucker 1:1\n<!-- price per litre of Zucker 1:1: 1.80 -->\n"
    );
    let said: Vec<&str> = import.remarks.iter().map(|r| r.message.as_str()).collect();
    assert_eq!(
        said,
        [
            "column `Menge`: decimal commas",
            "column `Preis/L`: decimal commas"
        ]
    );
}

#[test]
fn columns_that_are_known_need_no_map() {
    let sheet = "Drink,Glass,Amount,Unit,Ingredient,Method,Price\nOwl,coupe,60,ml,dry gin,\"Stir, strain.\",12.50\n,,10,ml,dry vermouth,,\nWren,coupe,60,ml,white rum,Shake. Strain.,13\n,,22.5,ml,lime juice,,\n,,22.5,ml,simple syrup 1:1 by mass,,\n";
    let import = imported("sheet.csv", sheet, &Options::default());
    assert_eq!(import.faults, []);
    assert_eq!(
        import.books[0].text,
        "# sheet\n\n## Owl\nglass: coupe\nprice: 12.50\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n- Stir, strain\n\n## Wren\nglass: coupe\nprice: 13\n\n- 60 ml white rum\n- 22.5 ml lime juice\n- 22.5 ml simple syrup 1:1 by mass\n- Shake. Strain\n"
    );
    assert_eq!(
        import.remarks[0].message,
        "3 rows without a name belong to the drink above"
    );
}

#[test]
fn a_row_a_drink() {
    let sheet = "Cocktail,Ingredient 1,Qty 1,Ingredient 2,Qty 2,Garnish\nOwl,dry gin,60 ml,dry vermouth,10 ml,olive\nJay,white rum,2 oz,,,\n";
    let import = imported("sheet.csv", sheet, &Options::default());
    assert_eq!(import.faults, []);
    assert_eq!(
        import.books[0].text,
        "# sheet\n\n## Owl\ngarnish: olive\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n\n## Jay\n- 2 oz white rum\n"
    );
    let twice = imported(
        "sheet.csv",
        &format!("{sheet}Owl,dry gin,50 ml,,,\n"),
        &Options::default(),
    );
    assert!(
        twice.faults[0].message.contains("`Owl` stands further up"),
        "{:?}",
        twice.faults
    );
}

/// What a spreadsheet has made of a fraction is refused, all of it in one run, each in its place.
#[test]
fn dates_made_of_fractions_are_refused() {
    let sheet = "drink,amount,unit,ingredient\nA,02-Jan,oz,dry gin\nA,2024-03-04,oz,lime juice\nA,1/2,oz,dry vermouth\nA,04.03.2024,oz,orgeat\n";
    let import = imported("s.csv", sheet, &Options::default());
    let dates: Vec<(usize, usize, &[String])> = import
        .faults
        .iter()
        .filter(|f| f.message.contains("is a date"))
        .map(|f| (f.line, f.column, f.suggestions.as_slice()))
        .collect();
    let was = |a: &str, b: &str| vec![a.to_owned(), b.to_owned()];
    assert_eq!(
        dates,
        [
            (2, 3, was("1/2", "1-2").as_slice()),
            (3, 3, was("3/4", "3-4").as_slice()),
            (5, 3, was("3/4", "3-4").as_slice())
        ]
    );
    assert!(import.faults.iter().all(|f| f.line != 4));
}

#[test]
fn decimal_marks_are_told_by_the_column_or_asked_about() {
    let sheet = |cells: [&str; 3]| {
        format!(
            "drink;amount;unit;ingredient\nA;{};ml;dry gin\nA;{};ml;lime juice\nA;{};ml;orgeat\n",
            cells[0], cells[1], cells[2]
        )
    };
    let with = |decimal: Option<Decimal>| Options {
        csv: CsvOptions {
            decimal,
            ..CsvOptions::default()
        },
        ..Options::default()
    };
    let read = |cells, decimal| imported("s.csv", &sheet(cells), &with(decimal));
    let pours = |import: &Import| import.books[0].text.clone();

    assert!(pours(&read(["60", "22,5", "15"], None)).contains("- 22.5 ml lime juice\n"));
    assert!(pours(&read(["60", "22.5", "15"], None)).contains("- 22.5 ml lime juice\n"));
    // Two marks in one column.
    let mixed = read(["60.5", "22,5", "15"], None);
    assert_eq!((mixed.faults[0].kind, mixed.faults[0].line), (FaultKind::Ask, 2));
    // Three digits after every comma: thousands, perhaps.
    let asked = read(["1,500", "2,250", "15"], None);
    assert_eq!(
        asked.faults[0].suggestions,
        ["a decimal comma", "a decimal point"]
    );
    assert!(
        pours(&read(["1,500", "2,250", "15"], Some(Decimal::Comma)))
            .contains("- 1.5 ml dry gin\n- 2.25 ml lime")
    );
    assert!(
        pours(&read(["1,500", "2,250", "15"], Some(Decimal::Point)))
            .contains("- 1500 ml dry gin\n- 2250 ml lime")
    );
    // What cannot be under the mark that is said.
    assert_eq!(read(["60", "22,5", "15"], Some(Decimal::Point)).faults[0].line, 3);
    assert_eq!(read(["60", "22.5", "15"], Some(Decimal::Comma)).faults[0].line, 3);
    // Only the named columns.
    let mut options = with(Some(Decimal::Point));
    options.csv.decimal_columns = vec!["unit".to_owned()];
    assert!(
        pours(&imported("s.csv", &sheet(["60", "22,5", "15"]), &options)).contains("- 22.5 ml lime juice\n")
    );
    options.csv.decimal_columns = vec!["amounts".to_owned()];
    assert!(
        exchange::import(&[Source::new("s.csv", sheet(["1", "2", "3"]))], &options)
            .unwrap_err()
            .to_string()
            .contains("amount")
    );
}

#[test]
fn sheets_that_are_none_are_refused_in_their_place() {
    let faults = |text: &str| imported("s.csv", text, &Options::default()).faults;
    let first = |text: &str| {
        let faults = faults(text);
        (faults[0].line, faults[0].message.clone())
    };
    let (line, message) = first("drink,amount,ingredient\nA,60 ml\nA,30 ml,lime juice\n");
    assert_eq!(
        (line, message.starts_with("2 cells where the heading has 3")),
        (2, true)
    );
    assert_eq!(first("drink,ingredient\nA,\"bad\"x\n").0, 2);
    assert!(
        first("drink,ingredient\nA,\"open\nB,c\n")
            .1
            .contains("never closed")
    );
    assert!(first("drink,ingredient\n").1.contains("no rows"));
    assert!(first("").1.contains("no rows"));
    assert!(
        first("glass,ingredient\na,b\n")
            .1
            .contains("0 columns hold the drink's name")
    );
    assert!(
        first("drink,amount,ingredient\nA,60 ml,\n")
            .1
            .contains("`60 ml` of nothing")
    );
    assert!(
        first("drink,ingredient\n,60 ml dry gin\n")
            .1
            .contains("no drink in this row")
    );
    let (line, message) = first("drink,glass,ingredient\nA,coupe,60 ml gin\nA,flute,20 ml orgeat\n");
    assert!(
        line == 3 && message.contains("`glass: flute`, and further up `glass: coupe`"),
        "{message}"
    );
    // A pour that does not read is shown in its row, with the line it would have been.
    let (line, message) = first("drink,amount,unit,ingredient\nA,60,ml,dry gin\nA,1/0,oz,lime juice\n");
    assert_eq!(line, 3);
    assert!(message.contains("in the line `- 1/0 oz lime juice`"), "{message}");
    // What could be cut in two ways is asked about.
    let asked = faults("drink;a,ingredient;b\nA;a,60 ml gin;b\n");
    assert_eq!(asked[0].suggestions, ["`;` between cells", "`,` between cells"]);
    // What a spreadsheet says of its delimiter is no heading.
    assert!(book_of("s.csv", "sep=|\ndrink|ingredient\nA|60 ml gin\n").contains("- 60 ml gin"));
}

#[test]
fn options_that_fit_no_column_are_refused() {
    let sheet = Source::new("s.csv", "drink,ingredient\nA,60 ml gin\n");
    let refused = |options: &Options| exchange::import(std::slice::from_ref(&sheet), options).unwrap_err();
    assert!(
        refused(&mapped(&[("Drinks", "drink")]))
            .to_string()
            .contains("no column `Drinks`; expected a heading of it (drink")
    );
    assert!(
        refused(&mapped(&[("drink", "drnk")]))
            .to_string()
            .contains("`drink` perhaps")
    );
    assert!(
        refused(&mapped(&[("3", "drink")]))
            .to_string()
            .contains("a number from 1 to 2")
    );
    let by_number = exchange::import(
        std::slice::from_ref(&sheet),
        &mapped(&[("1", "drink"), ("2", "pour")]),
    )
    .unwrap();
    assert_eq!(by_number.books[0].text, "# s\n\n## A\n- 60 ml gin\n");
    assert!(
        exchange::import(&[Source::new("x", "words")], &Options::default())
            .unwrap_err()
            .to_string()
            .contains("expected a format")
    );
}

/// A line that would become something else in a book is refused: nobody writes a heading through a note.
#[test]
fn lines_cannot_pass_for_other_lines() {
    let of = |line: &str| {
        let text = format!(
            "{{\"schema\": 1, \"books\": [{{\"title\": \"T\", \"lines\": [], \"sections\": [{{\"name\": \"A\", \"lines\": [{{\"what\": \"pour\", \"place\": \"in\", \"amount\": \"60\", \"unit\": \"ml\", \"ingredient\": \"gin\"}}, {line}]}}]}}]}}"
        );
        imported("x.json", &text, &Options::default())
    };
    for (line, said) in [
        (r###"{"what": "note", "text": "a\n## B"}"###, "a line break"),
        (
            r#"{"what": "step", "text": "shake <!-- x -->"}"#,
            "a comment inside a line",
        ),
        (
            r#"{"what": "particular", "key": "- 60 ml gin", "value": "x"}"#,
            "is no key",
        ),
        (
            r#"{"what": "particular", "key": "glass: coupe", "value": "x"}"#,
            "is no key",
        ),
        (r#"{"what": "step", "text": ""}"#, "a step without words"),
        (
            r#"{"what": "pour", "place": "above", "amount": null, "unit": null, "ingredient": "gin"}"#,
            "no way to pour",
        ),
        (
            r#"{"what": "pour", "place": "in", "amount": "1/0", "unit": "oz", "ingredient": "lime juice"}"#,
            "below the line",
        ),
        (
            r#"{"what": "pour", "place": "in", "amount": "1", "ingredient": "gin", "more": 1}"#,
            "unknown field",
        ),
    ] {
        let import = of(line);
        assert!(
            import.faults.iter().any(|f| f.message.contains(said)),
            "{line}: {:?}",
            import.faults
        );
    }
    assert_eq!(of(r#"{"what": "step", "text": "stir"}"#).faults, []);
}

#[test]
fn json_of_another_shape_is_refused() {
    let said = |text: &str| {
        imported(
            "x.json",
            text,
            &Options {
                format: Some(Format::Json),
                ..Options::default()
            },
        )
        .faults[0]
            .clone()
    };
    assert!(
        said(r#"{"schema": 2, "books": []}"#)
            .message
            .contains("a newer one wrote them")
    );
    assert!(said("{").message.contains("not books as JSON"));
    let missing = said("{\"schema\": 1, \"books\": [\n {\"title\": \"T\"}]}");
    assert_eq!(missing.line, 2);
}

/// A page saved to disk: several blocks, a graph, lists of types, entities, yields, sections, and faults in place.
#[test]
fn a_saved_page() {
    let text = fixture("exchange/station-kitchen.html");
    let import = imported("station-kitchen.html", &text, &Options::default());
    assert_eq!(import.books.len(), 1);
    assert_eq!(
        import.books[0].text,
        "\
# Signal & Sidings: three drinks for a platform party

## Last Train Punch
source: The night porter
> A sour for a full compartment.
> Keep the bowl cold.
<!-- keywords: rum, lime, party, Drinks -->
<!-- amounts for one, of a recipe for: 4, 4 servings -->

- 2 oz white rum
- 3/4 oz freshly squeezed lime juice
- 1/16 cup simple syrup
- Ice, for shaking
- garnish 1 lime wheels
- 1/4 handful patience (a good)
> Add the rum, lime juice and syrup to a large shaker with ice and shake until well chilled
- shake until well chilled
- Strain into chilled coupe
- 3 dashes aromatic bitters
- Garnish with a lime wheel

## Buffer Stop
<!-- amounts for one, of a recipe for: 2 drinks -->

- 60 ml dry gin
- 25 ml lemon juice
- 20 ml simple syrup 1:1 by mass
- Shake the gin, lemon juice and syrup with ice for 12 seconds, then strain into a highball over ice
- top with soda water

## Night Watch
- 2 oz rye whiskey
- 1 oz sweet red vermouth
- 2 dashes aromatic bitters
- Stir with ice for 30 seconds
- Strain into a coupe glass
"
    );
    let faults: Vec<(usize, &str)> = import
        .faults
        .iter()
        .map(|f| (f.line, f.message.as_str()))
        .collect();
    assert_eq!(faults.len(), 2, "{faults:?}");
    assert!(
        faults[0]
            .1
            .starts_with("`Night Watch` yields \"Makes 1 pitcher\""),
        "{faults:?}"
    );
    assert_eq!(faults[1].0, 73);
    let remarks: Vec<(usize, &str)> = import
        .remarks
        .iter()
        .map(|r| (r.line, r.message.as_str()))
        .collect();
    assert_eq!(
        remarks,
        [
            (
                18,
                "`Last Train Punch`: amounts divided by 4 (the page is for \"4\", \"4 servings\")"
            ),
            (
                34,
                "`Last Train Punch`: kept as a note: \"Add the rum, lime juice and syrup to a large shaker with ice and shake until well chilled\""
            ),
            (
                51,
                "`Buffer Stop`: amounts divided by 2 (the page is for \"2 drinks\")"
            ),
        ]
    );
}

/// What is in one block of a page, the rest of it being nothing.
fn page(block: &str) -> String {
    format!("<html><head><title>T</title><script type=\"application/ld+json\">{block}</script></head></html>")
}

fn recipe(fields: &str) -> String {
    page(&format!("{{\"@type\": \"Recipe\", \"name\": \"A\", {fields}}}"))
}

/// Yields and serves: what is divided, what is asked about; `--serves` settles it. Exact to the last digit.
#[test]
fn yields_are_divided_exactly_or_asked_about() {
    let read = |said: &str, serves: Option<u32>| {
        let fields = format!(
            "\"recipeYield\": {said}, \"recipeIngredient\": [\"1 oz dry gin\", \"1/3 oz lime juice\", \"2-3 dashes orange bitters\", \"100 ml soda water\"]"
        );
        imported(
            "x.html",
            &recipe(&fields),
            &Options {
                serves,
                ..Options::default()
            },
        )
    };
    let lines = |import: &Import| -> Vec<String> {
        import.books[0]
            .text
            .lines()
            .filter_map(|l| l.strip_prefix("- "))
            .map(str::to_owned)
            .collect()
    };
    let by = |n: u32| -> [&str; 4] {
        match n {
            1 => [
                "1 oz dry gin",
                "1/3 oz lime juice",
                "2-3 dashes orange bitters",
                "100 ml soda water",
            ],
            3 => [
                "1/3 oz dry gin",
                "1/9 oz lime juice",
                "2/3-1 dash orange bitters",
                "33 1/3 ml soda water",
            ],
            4 => [
                "1/4 oz dry gin",
                "1/12 oz lime juice",
                "1/2-3/4 dash orange bitters",
                "25 ml soda water",
            ],
            _ => [
                "1/8 oz dry gin",
                "1/24 oz lime juice",
                "1/4-3/8 dash orange bitters",
                "12.5 ml soda water",
            ],
        }
    };
    for (said, n) in [
        ("\"4 servings\"", 4),
        ("\"Serves 4\"", 4),
        ("4", 4),
        ("\"4\"", 4),
        ("[\"4\", \"4 drinks\"]", 4),
        ("\"Makes three cocktails\"", 3),
        ("\"about 8 people\"", 8),
        (
            "{\"@type\": \"QuantitativeValue\", \"value\": 4, \"unitText\": \"servings\"}",
            4,
        ),
        ("\"1 drink\"", 1),
        ("\"\"", 1),
    ] {
        let import = read(said, None);
        assert_eq!(import.faults, [], "{said}");
        assert_eq!(lines(&import), by(n), "{said}");
    }
    for said in [
        "\"4-6 servings\"",
        "\"1 pitcher\"",
        "\"750 ml\"",
        "[\"2\", \"8 servings\"]",
        "{\"minValue\": 4, \"maxValue\": 6}",
    ] {
        let import = read(said, None);
        assert_eq!(import.faults[0].kind, FaultKind::Ask, "{said}");
        assert_eq!(lines(&import), by(1), "{said}");
        let settled = read(said, Some(4));
        assert_eq!(
            (settled.faults.as_slice(), lines(&settled)),
            ([].as_slice(), by(4).map(str::to_owned).into()),
            "{said}"
        );
    }
    assert_eq!(
        read("\"4-6 servings\"", None).faults[0].suggestions,
        ["amounts for 4", "amounts for 6"]
    );
}

#[test]
fn recipes_stand_anywhere_in_a_block() {
    let one = "{\"@type\": \"Recipe\", \"name\": \"A\", \"recipeIngredient\": [\"2 oz dry gin\"]}";
    for block in [
        one.to_owned(),
        format!("[{one}]"),
        format!("{{\"@graph\": [{{\"@type\": \"WebPage\"}}, {one}]}}"),
        format!(
            "{{\"@type\": \"ItemList\", \"itemListElement\": [{{\"@type\": \"ListItem\", \"item\": {one}}}]}}"
        ),
        format!("{{\"mainEntity\": {one}}}"),
        one.replace("\"Recipe\"", "[\"Thing\", \"Recipe\"]"),
        one.replace("\"Recipe\"", "\"https://schema.org/Recipe\""),
        format!("<!-- {one} -->"),
        format!("//<![CDATA[\n{one}\n//]]>"),
        one.replace("2 oz", "2\noz"),
        // The same twice is one.
        format!("[{one}, {one}]"),
    ] {
        let import = imported("x.html", &page(&block), &Options::default());
        assert_eq!(import.faults, [], "{block}");
        assert_eq!(import.books[0].text, "# T\n\n## A\n- 2 oz dry gin\n", "{block}");
    }
    let other = one.replace("2 oz", "3 oz");
    let two = imported("x.html", &page(&format!("[{one}, {other}]")), &Options::default());
    assert!(
        two.books[0].text.contains("## A (2)\n- 3 oz dry gin"),
        "{}",
        two.books[0].text
    );
    for (text, said) in [
        (
            "<html><body>A drink</body></html>".to_owned(),
            "no recipe in this page",
        ),
        (page("{}"), "no recipe in this page"),
        (page("{\"@type\": \"Recipe\"}"), "a recipe without a name"),
        (
            page("{\"@type\": \"Recipe\", \"name\": \"A\"}"),
            "lists no ingredients",
        ),
    ] {
        let import = imported("x.html", &text, &Options::default());
        assert!(
            import.faults[0].message.contains(said),
            "{said}: {:?}",
            import.faults
        );
    }
}

/// A line of ingredients that does not read is shown with its place in the page, and stays where it stood.
#[test]
fn lines_that_do_not_read_are_shown() {
    let text = "<title>T</title>\n<script type=\"application/ld+json\">\n{\"@type\": \"Recipe\", \"name\": \"A\", \"recipeIngredient\": [\n  \"2 oz dry gin\",\n  \"1/0 oz lime juice\",\n  \"love and care\"\n]}\n</script>\n";
    let import = imported("page.html", text, &Options::default());
    let places: Vec<(usize, usize)> = import.faults.iter().map(|f| (f.line, f.column)).collect();
    assert_eq!(places, [(5, 4)], "{:?}", import.faults);
    assert!(
        import.books[0]
            .text
            .ends_with("- 2 oz dry gin\n- 1/0 oz lime juice\n- love and care\n")
    );
}

/// Out as recipes and back: the same pours and the same work in the same order.
#[test]
fn recipes_keep_pours_and_work() {
    for name in ["lantern-halt.md", "classics.md", "worked.md"] {
        let shelved = shelved(&fixture(&format!("books/{name}")));
        let out = exchange::write(std::slice::from_ref(&shelved), Format::Recipe, b',');
        let import = imported("out.jsonld", &out, &Options::default());
        assert_eq!(import.faults, [], "{name}");
        assert_eq!(import.books[0].title, shelved.title);
        let back = spec::read(&Source::new("back", import.books[0].text.clone())).book;
        let steps = |book: &spec::Book| -> Vec<(String, Vec<String>)> {
            book.drinks()
                .map(|d| {
                    let mut steps: Vec<String> = d.lines().map(|l| l.step.to_string()).collect();
                    let garnish = d.particular("garnish").map(|g| format!("garnish {g}"));
                    steps.extend(garnish);
                    (d.name.clone(), steps)
                })
                .collect()
        };
        for ((name, there), (_, here)) in steps(&back).into_iter().zip(steps(&shelved.book)) {
            assert_eq!(there, here, "{name}");
        }
    }
}

#[test]
fn recipes_keep_tags_and_seasons() {
    let book = "# T\ntags: house\nseason: winter\n\n## Owl\ntags: low, brunch\nseason: autumn, late summer\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n\n## Wren\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n";
    let out = exchange::write(&[shelved(book)], Format::Recipe, b',');
    let back = spec::read(&Source::new("back", book_of("out.jsonld", &out))).book;
    let told: Vec<(Vec<&str>, Vec<&str>)> = back
        .drinks()
        .map(|d| (d.tags().collect(), d.seasons().collect()))
        .collect();
    assert_eq!(
        told,
        [
            (vec!["low", "brunch", "house"], vec!["autumn", "late summer"]),
            (vec!["house"], vec!["winter"]),
        ]
    );
}

/// Every property that is written stands in the vocabulary, on the type it is written on.
#[test]
fn recipes_use_the_vocabulary() {
    // As the pages of schema.org on these properties define them (READ in stored copies).
    const KNOWN: [(&str, &[&str]); 7] = [
        (
            "Recipe",
            &[
                "name",
                "isPartOf",
                "recipeCategory",
                "recipeYield",
                "description",
                "keywords",
                "creditText",
                "tool",
                "offers",
                "recipeIngredient",
                "recipeInstructions",
            ],
        ),
        ("HowToStep", &["position", "text"]),
        ("HowToTool", &["name"]),
        ("Offer", &["price", "priceCurrency"]),
        ("CreativeWork", &["name"]),
        ("DefinedTerm", &["name", "inDefinedTermSet"]),
        ("DefinedTermSet", &["name"]),
    ];
    fn walk(value: &serde_json::Value) {
        match value {
            serde_json::Value::Array(all) => all.iter().for_each(walk),
            serde_json::Value::Object(fields) => {
                if let Some(kind) = fields.get("@type").and_then(|t| t.as_str()) {
                    let (_, known) = KNOWN.iter().find(|(k, _)| *k == kind).unwrap();
                    for name in fields.keys().filter(|n| *n != "@type") {
                        assert!(known.contains(&name.as_str()), "{kind}.{name}");
                    }
                }
                fields.values().for_each(walk);
            }
            _ => {}
        }
    }
    let out = exchange::write(
        &[shelved(&fixture("books/lantern-halt.md"))],
        Format::Recipe,
        b',',
    );
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(value["@context"], "https://schema.org");
    walk(&value);
}

/// What nobody would send: it is read or refused, and never brings the program down.
fn anything() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        prop::sample::select(vec![
            "drink",
            "amount",
            "ingredient",
            "name",
            "what",
            "book",
            "line",
            ",",
            ";",
            "\t",
            "\"",
            "\r\n",
            "\n",
            "\r",
            "'",
            "1/2",
            "02-Jan",
            "1,5",
            "{",
            "}",
            "[",
            "]",
            ":",
            "\"schema\":1",
            "\"books\":",
            "null",
            "<script type=\"application/ld+json\">",
            "</script>",
            "{\"@type\":\"Recipe\",\"name\":\"x\",",
            "\"recipeIngredient\":[\"2 oz gin\"]",
            "\"recipeYield\":\"4\"",
            "<!--",
            "-->",
            "<p>",
            "&amp;",
            "\"recipeInstructions\":",
            "\"Shake. Strain into a coupe, then top with soda and add the gin.\"",
            "é",
            "日",
            "\u{0}",
            "\u{feff}",
            " ",
            "# T",
            "## A",
            "- 60 ml gin",
            "sep=",
            "½",
            "İ",
            "ß",
        ])
        .prop_map(str::to_owned),
        ".{0,6}",
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn anything_is_read_or_refused(text in anything(), format in prop::sample::select(Format::ALL.to_vec()), serves in prop::option::of(1_u32..9)) {
        let options = Options { format: Some(format), serves, ..Options::default() };
        let source = Source::new("x", text);
        if let Ok(import) = exchange::import(std::slice::from_ref(&source), &options) {
            for fault in &import.faults {
                prop_assert!(source.text.get(fault.span.clone()).is_some(), "{fault:?}");
            }
            // What is made reads without faults, or has said so.
            for book in &import.books {
                let reading = spec::read(&Source::new("made", book.text.clone()));
                prop_assert!(reading.faults.is_empty() || !import.faults.is_empty(), "{}", book.text);
            }
        }
        let _ = exchange::decode("x", source.text.into_bytes(), None);
    }
}
