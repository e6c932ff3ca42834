//! Pages and cards in a browser, on paper and to a screen reader. They take longest of all: their names come early, so that
//! the rest runs beside them.

use std::process::Command;

use crate::common::{done, folder_with};
use crate::report::{book, classics, long_names, page};
use crate::{card, pages};

/// Where Chromium and node are, with axe-core beside the script; or what is missing.
pub fn browser() -> Result<&'static str, &'static str> {
    let chromium = crate::chromium()?;
    Command::new("node")
        .arg("--version")
        .output()
        .map_err(|_| "no node on this machine: apt-get install nodejs")?;
    if !crate::project()
        .join("tests/pages/node_modules/axe-core/axe.min.js")
        .exists()
    {
        return Err("no axe-core: npm ci in tests/pages");
    }
    Ok(chromium)
}

/// What a script of `tests/pages` says of each page, all in one browser; a page may bring the pages of paper that it may take.
pub fn in_browser<T: serde::de::DeserializeOwned>(
    chromium: &str,
    script: &str,
    pages: &[(String, Option<u32>)],
) -> Vec<T> {
    let folder = tempfile::tempdir().unwrap();
    let names = pages.iter().enumerate().map(|(i, (html, most))| {
        let path = folder.path().join(format!("{i}.html"));
        std::fs::write(&path, html).unwrap();
        let most = most.map_or(String::new(), |most| format!("={most}"));
        format!("{}{most}", path.display())
    });
    let output = Command::new("node")
        .arg(crate::common::project().join("tests/pages").join(script))
        .args(names)
        .env("CHROMIUM", chromium)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let all = serde_json::from_slice::<Vec<T>>(&output.stdout).unwrap_or_else(|e| panic!("{e}: {said}"));
    assert_eq!(all.len(), pages.len(), "{said}");
    all
}

/// What is wrong with each page as a browser shows and prints it.
pub fn looked_at(chromium: &str, pages: &[(String, Option<u32>)]) -> Vec<Vec<String>> {
    in_browser(chromium, "look_at_page.mjs", pages)
}

#[test]
fn a_report_holds_in_a_browser_on_paper_and_to_a_screen_reader() {
    let chromium = match browser() {
        Ok(chromium) => chromium,
        Err(missing) => return crate::skipped(missing),
    };
    let none: [&str; 0] = [];
    let mut pages: Vec<(String, Option<u32>)> = [
        (book("lantern-halt.md"), 11),
        (long_names(), 12),
        ("# Nothing\n".to_owned(), 1),
    ]
    .into_iter()
    .map(|(text, most)| (page(&text, &["--cost", "--today", "2026-11-25"]), Some(most)))
    .collect();
    let good = pages.len();
    // The look finds what it looks for.
    let html = page(&classics(6), &[]);
    let open = html.replace("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">", "");
    let spoilt = open.replace(
        "<main>",
        "<main><img src=\"elsewhere.png\"><div style=\"width:1500px;color:#ccc\">wide</div><script>console.log('hello')</script>",
    );
    let cut = "<style>@media print{article{break-inside:auto !important}article li{padding-bottom:40mm}article dl{font-size:7pt !important}h2{margin-top:245mm !important;break-after:auto !important}}</style><main>";
    pages.push((spoilt, None));
    pages.push((html.replace("<main>", cut), None));
    let found = looked_at(chromium, &pages);
    for wrong in &found[..good] {
        assert_eq!(*wrong, none);
    }
    let found = found[good..].concat().join("\n");
    for word in [
        " is cut",
        " pt",
        "at the foot of a page",
        "elsewhere.png",
        "console: log: hello",
        "at 390 px: ",
        "at 1280 px: ",
        "image-alt",
        "color-contrast",
        "1 scripts",
    ] {
        assert!(found.contains(word), "{word}: {found}");
    }
}

/// A drink takes less than a fifth of a page, the maps and tables of so many less than another twenty pages.
#[test]
fn a_hundred_drinks_hold_in_a_browser_and_on_paper() {
    let chromium = match browser() {
        Ok(chromium) => chromium,
        Err(missing) => return crate::skipped(missing),
    };
    let none: [&str; 0] = [];
    let html = page(&classics(103), &["--cost", "--today", "2026-11-25"]);
    assert_eq!(looked_at(chromium, &[(html, Some(38))]), [none]);
}

#[test]
fn every_page_holds_in_a_browser() {
    let chromium = match browser() {
        Ok(chromium) => chromium,
        Err(missing) => return crate::skipped(missing),
    };
    let hostile = "# </title><script>alert(1)</script>\n\n## <img src=x onerror=alert(2)>\nglass: coupe, 210 ml\ngarnish: </article><style>*{display:none}</style>\n- 50 ml dry gin\n- 22.5 ml lemon juice\n- 45 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    let mut shown = Vec::new();
    let mut asked = Vec::new();
    for (book, name) in [
        (pages::lantern(), "footplate ember"),
        (hostile.to_owned(), "<img src=x onerror=alert(2)>"),
    ] {
        let folder = folder_with("book.md", &book);
        for arguments in [
            &["show", name, "--html", "-"][..],
            &["mend", name, "--html", "-"][..],
            &["card", "--html"][..],
            &["card", "--tasting", "--html"][..],
            &["card", "--mise", "--html"][..],
        ] {
            let html = done(folder.path(), &[arguments, &["--book", "book.md"]].concat());
            assert!(
                !html.contains("<script") && !html.contains("<img"),
                "{arguments:?}"
            );
            shown.push((html, None));
            asked.push(arguments.join(" "));
        }
    }
    for (arguments, wrong) in asked.iter().zip(looked_at(chromium, &shown)) {
        assert_eq!(wrong, [""; 0], "{arguments}");
    }
}

/// What a browser says of a page of cards.
#[derive(serde::Deserialize)]
struct Measured {
    cards: usize,
    /// What runs over the edge of its card or the paper.
    over: Vec<String>,
}

#[test]
fn no_card_runs_over_its_edge_in_a_browser() {
    let chromium = match browser() {
        Ok(chromium) => chromium,
        Err(missing) => return crate::skipped(missing),
    };
    let folder = tempfile::tempdir().unwrap();
    let lantern = std::fs::read_to_string(crate::project().join("fixtures/books/lantern-halt.md")).unwrap();
    let mut expected = Vec::new();
    let mut pages = Vec::new();
    for (book, least) in [(lantern, 22), (card::torture(), 7), (card::NASTY.to_owned(), 1)] {
        for paper in ["a6", "a4", "a5", "letter"] {
            let html = card::run(
                folder.path(),
                &["--html", "--units", "both", "--paper", paper],
                &book,
            );
            pages.push((html, None));
            expected.push((paper, least));
        }
    }
    // The measure finds what it looks for.
    let small = pages[0]
        .0
        .replace("</head>", "<style>.card{width:30mm !important}</style></head>");
    assert_ne!(small, pages[0].0);
    pages.push((small, None));
    let mut measured: Vec<Measured> = in_browser(chromium, "measure_cards.mjs", &pages);
    assert!(!measured.pop().unwrap().over.is_empty());
    for ((paper, least), measured) in expected.into_iter().zip(measured) {
        assert_eq!(measured.over, [""; 0], "{paper}");
        assert!(measured.cards >= least, "{paper}");
    }
}
