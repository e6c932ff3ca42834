//! Mending on the command line: what is printed, kept and written, and what is refused.

use std::path::Path;

use crate::common::{done, left};

/// Run, assert that it is refused, and give standard error.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let ran = left(folder, arguments);
    assert_eq!(
        (ran.status, ran.out.as_str()),
        (2, ""),
        "{arguments:?}: {}",
        ran.err
    );
    ran.err
}

const BOOK: &str = "# List\r\nounce: 30 ml\r\n\r\n<!-- Shaken -->\r\n\r\n## Wren\r\nnote: too tart on purpose\r\n\r\n- 60 ml rye whiskey  <!-- the old bottle -->\r\n* 37,5 ml fresh lemon juice\r\n- 20 ml simple syrup\r\n- shake\r\n- strain\r\n\r\n## Owl\r\n- 60 ml gin\r\n- 10 ml dry vermouth\r\n- 5 ml water\r\n- stir\r\n- strain\r\n\r\n## Dry\r\n- 60 ml white rum\r\n- 22.5 ml lime juice\r\n- shake\r\n- strain\r\n";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("list.md"), BOOK).unwrap();
    folder
}

#[test]
fn answers_are_shown_side_by_side_and_nothing_is_stored() {
    let folder = folder();
    let folder = folder.path();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let before = std::fs::read(folder.join("h.db")).unwrap();
    let out = done(folder, &["--house", "h.db", "mend", "wren"]);
    assert!(
        out.starts_with(
            "Wren  shaken sour, List (version 1)\n   1  fresh lemon juice 37.5 ml → 25 ml (less)\n"
        ),
        "{out}"
    );
    for part in [
        "at 37.5 ml tartness would be 1.",
        "now      1  wanted\n",
        "0.76 to 0.94 (usual)\n",
        "alcohol g",
        "no prices",
        "size J                    0.111\n",
    ] {
        assert!(out.contains(part), "{part}\n{out}");
    }
    assert_eq!(std::fs::read(folder.join("h.db")).unwrap(), before);
    assert_eq!(std::fs::read_to_string(folder.join("list.md")).unwrap(), BOOK);
    // A book mends every drink of it that is off.
    let all = done(folder, &["mend", "list.md"]);
    assert!(
        all.contains("Wren  shaken sour") && all.contains("Dry  shaken sour"),
        "{all}"
    );
    assert_eq!(done(folder, &["--house", "h.db", "mend"]), all);
    assert!(all.contains("--may-add lets something be added"), "{all}");
}

#[test]
fn the_status_tells_whether_something_works() {
    let folder = folder();
    let folder = folder.path();
    let status = |arguments: &[&str]| left(folder, arguments).status;
    assert_eq!(status(&["mend", "Wren", "--book", "list.md", "--strict"]), 0);
    assert_eq!(status(&["mend", "Dry", "--book", "list.md"]), 0);
    assert_eq!(status(&["mend", "Dry", "--book", "list.md", "--strict"]), 1);
    assert_eq!(
        status(&["mend", "Dry", "--book", "list.md", "--strict", "--may-add"]),
        0
    );
    assert_eq!(status(&["mend", "list.md", "--strict"]), 1);
    let added = done(
        folder,
        &["mend", "Dry", "--book", "list.md", "--may-add=simple syrup"],
    );
    assert!(
        added.contains("simple syrup 1:1 by mass added: 12.5 ml"),
        "{added}"
    );
}

#[test]
fn what_is_asked_wrongly_is_said() {
    let folder = folder();
    let folder = folder.path();
    let book = |more: &[&'static str]| {
        let mut arguments = vec!["mend", "Wren", "--book", "list.md"];
        arguments.extend(more);
        refused(folder, &arguments)
    };
    assert!(book(&["--lock", "gin"]).contains("`Wren` pours no `gin` that could be locked"));
    assert!(book(&["--lock", "gin"]).contains("lemon juice"));
    assert!(book(&["--may-add=vdka"]).contains("nearest: vodka"));
    assert!(book(&["--aim", "fizz 3"]).contains("tartness 0.85"));
    assert!(book(&["--serve-within=-3"]).contains("between 0 and 100"));
    assert!(book(&["--serve-within", "nan"]).contains("between 0 and 100"));
    assert!(book(&["--keep"]).contains("cannot be used with"));
    assert!(refused(folder, &["mend", "Wrem", "--book", "list.md"]).contains("nearest: Wren"));
    assert!(refused(folder, &["mend", "list.md", "--write", "list.md"]).contains("for one drink"));
    assert!(book(&["--write", "list.md", "--answer", "9"]).contains("there is no answer 9"));
    assert!(refused(folder, &["--house", "none.db", "mend", "Wren", "--keep"]).contains("does not exist"));
    assert!(!folder.join("none.db").exists());
    // Two lists of a house may have a drink of one name.
    std::fs::write(
        folder.join("other.md"),
        BOOK.replace("# List", "# Other list\n\nconvention: assay"),
    )
    .unwrap();
    done(folder, &["--house", "two.db", "add", "list.md", "other.md"]);
    let said = refused(folder, &["--house", "two.db", "mend", "Wren", "--keep"]);
    assert!(
        said.contains("2 were asked for") && said.contains("--of TITLE"),
        "{said}"
    );
    let one = done(
        folder,
        &["--house", "two.db", "mend", "Wren", "--of", "other list"],
    );
    assert!(
        one.contains("Other list (version 1)") && !one.contains(", List (version"),
        "{one}"
    );
    assert!(
        refused(
            folder,
            &["--house", "two.db", "mend", "Wren", "--of", "Othr list"]
        )
        .contains("Other list")
    );
    // A pour that one drink of a book has can be locked for all of them.
    let out = done(folder, &["mend", "list.md", "--lock", "lime juice"]);
    assert!(out.contains("Wren"), "{out}");
    assert!(refused(folder, &["mend", "list.md", "--lock", "mezcal"]).contains("mezcal"));
}

#[test]
fn keep_makes_a_version_and_write_changes_the_amounts_alone() {
    let folder = folder();
    let folder = folder.path();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let out = done(
        folder,
        &["--house", "h.db", "mend", "Wren", "--keep", "--write", "list.md"],
    );
    assert!(
        out.contains("kept in the house: version 2, made from version 1\n"),
        "{out}"
    );
    assert!(out.contains("list.md\n"), "{out}");
    // Comments, order, marks, line ends and the decimal comma stay as they were typed.
    let after = std::fs::read_to_string(folder.join("list.md")).unwrap();
    assert_eq!(after, BOOK.replace("37,5 ml fresh", "25 ml fresh"));
    // The book says now what the house says: adding it changes nothing.
    let added = done(folder, &["--house", "h.db", "add", "list.md"]);
    assert!(added.contains("unchanged (3)"), "{added}");
    let again = done(folder, &["--house", "h.db", "mend", "Wren", "--keep"]);
    assert!(
        again.contains("in balance: nothing to mend") && !again.contains("kept"),
        "{again}"
    );
}

#[test]
fn a_file_that_holds_another_spec_is_left_as_it_is() {
    let folder = folder();
    let folder = folder.path();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let other = BOOK.replace("20 ml simple", "15 ml simple");
    std::fs::write(folder.join("list.md"), &other).unwrap();
    let said = refused(
        folder,
        &["--house", "h.db", "mend", "Wren", "--write", "list.md", "--keep"],
    );
    assert!(said.contains("another spec of Wren"), "{said}");
    assert_eq!(std::fs::read_to_string(folder.join("list.md")).unwrap(), other);
    // Nor was anything kept.
    assert!(done(folder, &["--house", "h.db", "mend", "Wren"]).contains("(version 1)"));
    std::fs::write(
        folder.join("empty.md"),
        "# Other\n\n## Owl\n- 60 ml gin\n- stir\n",
    )
    .unwrap();
    let said = refused(
        folder,
        &["--house", "h.db", "mend", "Wren", "--write", "empty.md"],
    );
    assert!(said.contains("holds no drink Wren"), "{said}");
    // Lines of several pours cannot be changed in place.
    let each =
        "# Each\n\n## Finch\n- 60 ml gin\n- 37.5 ml each lemon juice, simple syrup\n- shake\n- strain\n";
    std::fs::write(folder.join("each.md"), each).unwrap();
    let said = refused(
        folder,
        &["mend", "Finch", "--book", "each.md", "--write", "each.md"],
    );
    assert!(said.contains("does not stand by itself"), "{said}");
    assert_eq!(std::fs::read_to_string(folder.join("each.md")).unwrap(), each);
}

#[test]
fn a_byte_order_mark_the_rights_and_a_link_outlive_a_write() {
    let folder = folder();
    let folder = folder.path();
    std::fs::write(folder.join("real.md"), format!("\u{feff}{BOOK}")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(folder.join("real.md"), std::fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink("real.md", folder.join("link.md")).unwrap();
        done(
            folder,
            &["mend", "Wren", "--book", "link.md", "--write", "link.md"],
        );
        assert!(folder.join("link.md").symlink_metadata().unwrap().is_symlink());
        let mode = std::fs::metadata(folder.join("real.md"))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o640);
        let text = std::fs::read_to_string(folder.join("real.md")).unwrap();
        assert_eq!(
            text,
            format!("\u{feff}{}", BOOK.replace("37,5 ml fresh", "25 ml fresh"))
        );
        // Nothing is left beside it.
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        assert_eq!(names, ["link.md", "list.md", "real.md"]);
    }
}

#[test]
fn what_is_added_gets_a_line_of_its_own() {
    let folder = folder();
    let folder = folder.path();
    done(
        folder,
        &[
            "mend",
            "Dry",
            "--book",
            "list.md",
            "--may-add=simple syrup",
            "--write",
            "list.md",
        ],
    );
    let after = std::fs::read_to_string(folder.join("list.md")).unwrap();
    let line = "- 22.5 ml lime juice\r\n- 12.5 ml simple syrup 1:1 by mass\r\n- shake";
    assert!(after.contains(line), "{after}");
    assert!(done(folder, &["mend", "Dry", "--book", "list.md"]).contains("in balance"));
}

#[test]
fn the_json_of_one_drink_and_of_a_book() {
    use crate::json::{passed, told};
    let folder = folder();
    let folder = folder.path();
    let wren = told(folder, &["mend", "Wren", "--book", "list.md"], "", 0, "mend");
    assert_eq!(
        (wren["drink"].as_str(), wren["outcome"].as_str()),
        (Some("Wren"), Some("mended"))
    );
    let answer = &wren["answers"][0];
    let change = &answer["changes"][0];
    assert_eq!(
        (
            change["ingredient"].as_str(),
            change["from"].as_str(),
            change["to"].as_str()
        ),
        (Some("lemon juice"), Some("37.5 ml"), Some("25 ml"))
    );
    assert_eq!(
        (change["from_ml"].as_f64(), change["to_ml"].as_f64()),
        (Some(37.5), Some(25.0))
    );
    assert_eq!(answer["in_core_band"], true);
    assert_eq!(answer["cost_change"], serde_json::Value::Null);
    assert_eq!(
        (&wren["closest"], &wren["kept"], &wren["written"]),
        (
            &serde_json::Value::Null,
            &serde_json::Value::Null,
            &serde_json::Value::Null
        )
    );
    let limits = wren["limits"].as_array().unwrap();
    assert!(
        limits
            .iter()
            .any(|l| l["binds"] == true && l["limit"].as_str().unwrap().starts_with("tartness 0.76 to 0.94"))
    );
    // Where nothing works: what comes closest, and why.
    let dry = told(
        folder,
        &["mend", "Dry", "--book", "list.md", "--strict"],
        "",
        1,
        "mend",
    );
    assert_eq!(dry["answers"], serde_json::json!([]));
    let because = dry["closest"]["because"].as_array().unwrap();
    assert!(
        because
            .iter()
            .any(|b| b == "no pour that may be changed makes it sweeter"),
        "{because:?}"
    );
    // A book is a list of drinks.
    let all = told(folder, &["mend", "list.md"], "", 0, "mend");
    let drinks: Vec<&str> = all["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["drink"].as_str().unwrap())
        .collect();
    assert_eq!(drinks, ["Wren", "Owl", "Dry"]);
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let kept = told(
        folder,
        &["--house", "h.db", "mend", "Wren", "--keep", "--write", "list.md"],
        "",
        0,
        "mend",
    );
    assert_eq!(
        kept["kept"],
        serde_json::json!({ "version": 2, "from_version": 1 })
    );
    assert!(kept["written"].as_str().unwrap().ends_with("list.md"));
    // What the schema lets pass is only what may be so: a change of alcohol downwards, what there may be none of.
    let open = |what: &String| {
        what.ends_with("ethanol_g_change/below 0")
            || (what.contains("/water_") && what.ends_with("/below 0"))
            || ["reason", "written", "from", "structure", "low", "high", "value"]
                .iter()
                .any(|name| what.ends_with(&format!("{name}/nothing for text")))
    };
    for value in [&wren, &dry, &all, &kept] {
        let slipped: Vec<String> = passed("mend", value)
            .into_iter()
            .filter(|what| !open(what))
            .collect();
        assert_eq!(slipped, [] as [&str; 0]);
    }
}

/// What a change costs or saves is told once what it pours has a price, exactly.
#[test]
fn the_change_of_cost_follows_the_price() {
    let folder = tempfile::tempdir().unwrap();
    let book = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt.md")).unwrap();
    let run = |arguments: &[&str], input: &str, schema: &str| {
        let mut all = arguments.to_vec();
        all.extend(["--house", "bar.db"]);
        crate::json::told(folder.path(), &all, input, 0, schema)
    };
    run(&["add", "-"], &book, "add");
    let unpriced = run(&["mend", "waiting room sun"], "", "mend");
    assert!(unpriced["answers"][0]["cost_change"].is_null());
    let price = [
        "ingredient",
        "price",
        "rich syrup 2:1 by mass",
        "--package",
        "1 l",
        "--price",
        "4.00",
        "--currency",
        "EUR",
        "--source",
        "invoice",
        "--at",
        "2026-11-12",
    ];
    run(&price, "", "prices");
    let priced = run(&["mend", "waiting room sun"], "", "mend");
    // 20 ml become 10 ml, at 4.00 a litre.
    assert_eq!(priced["answers"][0]["cost_change"], "-0.0400");
}
