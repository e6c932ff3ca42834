//! The page of a whole list: what stands on it, that no label covers another, that nothing from outside becomes
//! markup, and how it looks in a browser, on paper and to those who do not see it.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::json::passed;

pub fn book(name: &str) -> String {
    std::fs::read_to_string(crate::project().join("fixtures/books").join(name)).unwrap()
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    crate::washline(folder)
        .arg("report")
        .args(arguments)
        .output()
        .unwrap()
}

/// The page of one book.
pub fn page(text: &str, more: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("book.md"), text).unwrap();
    let output = run(folder.path(), &[&["-", "book.md"], more].concat());
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(matches!(output.status.code(), Some(0 | 2)), "{notes}");
    String::from_utf8(output.stdout).unwrap()
}

/// The first so many drinks of the classics.
pub fn classics(most: usize) -> String {
    let text = book("classics.md");
    let mut parts = text.split("\n## ");
    let head = parts.next().unwrap().to_owned();
    parts
        .take(most)
        .fold(head, |all, part| format!("{all}\n## {part}"))
}

/// Names and texts that no page was made for.
const HOSTILE: &str = "\
# </title><script>alert(1)</script> & \"list\"

## <img src=x onerror=alert(2)>
glass: coupe <svg onload=alert> \"small\", 210 ml
price: 12.00
garnish: </article><style>*{display:none}</style>
- 50 ml dry gin
- 22.5 ml lemon juice
- 25 ml simple syrup 1:1 by mass
- shake
- strain

## {{ drinks }}{% for x in y %} &amp; &lt;b&gt;
- 50 ml dry gin
- 25 ml dry vermouth
- stir
- strain

## \u{202e}gnitirw ni kcab
- 50 ml vodka
- neat
";

pub fn long_names() -> String {
    format!(
        "{HOSTILE}\n## {}\n- 45 ml vodka\n- neat\n\n## The Extraordinarily Long and Winding Name of a Drink that the Night Manager Would Not Shorten, Number Forty-Seven, as It Is Sung\n- 50 ml dry gin\n- 20 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n\n## 夜の鉄道ホテルの灯りと冬の風の中で静かに飲む一杯の物語\n- 45 ml white rum\n- neat\n",
        "Donaudampfschifffahrt".repeat(8)
    )
}

/// The value of an attribute of an opening tag.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[from..].split('"').next()
}

fn number(tag: &str, name: &str) -> f64 {
    attribute(tag, name)
        .unwrap_or_else(|| panic!("{name} of {tag}"))
        .parse()
        .unwrap()
}

/// Every opening tag of a name.
fn tags<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let open = format!("<{name}");
    html.match_indices(&open)
        .map(|(at, _)| &html[at..at + html[at..].find('>').unwrap() + 1])
        .filter(|tag| matches!(tag.as_bytes()[open.len()], b' ' | b'>' | b'/'))
        .collect()
}

/// The maps of a page: for a wide screen, for a narrow one.
fn maps(html: &str) -> Vec<&str> {
    html.split("<svg class=\"map")
        .skip(1)
        .map(|rest| rest.split("</svg>").next().unwrap())
        .collect()
}

/// The boxes of labels and the middles of marks on a map.
fn placed(map: &str) -> (Vec<[f64; 4]>, Vec<(f64, f64)>) {
    let em = number(map, "font-size");
    let labels = tags(map, "text")
        .into_iter()
        .filter(|tag| tag.contains("textLength"))
        .map(|tag| {
            let (x, y) = (number(tag, "x"), number(tag, "y"));
            // From the top of a capital to the foot of a g.
            [x, y - 0.75 * em, x + number(tag, "textLength"), y + 0.22 * em]
        })
        .collect();
    let marks = tags(map, "use")
        .into_iter()
        .map(|tag| (number(tag, "x"), number(tag, "y")))
        .collect();
    (labels, marks)
}

#[test]
fn no_label_of_the_map_covers_another_or_a_mark() {
    for most in [22, 60, 103] {
        let html = page(&classics(most), &[]);
        let maps = maps(&html);
        // One for each width; of a long list one a family.
        let drawn: usize = maps.iter().map(|map| placed(map).1.len()).sum();
        if most <= 40 {
            assert_eq!((maps.len(), drawn), (2, 2 * most));
        } else {
            assert!(maps.len() > 5);
            assert_eq!(drawn, most);
        }
        for map in maps {
            let (labels, marks) = placed(map);
            assert!(
                map.contains(&format!("data-labels=\"{}\"", marks.len())),
                "every drink has its name or number"
            );
            for (i, a) in labels.iter().enumerate() {
                for b in &labels[i + 1..] {
                    let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                    assert!(apart, "{most}: {a:?} and {b:?}");
                }
                for (x, y) in &marks {
                    let apart = x + 3.5 <= a[0] || x - 3.5 >= a[2] || y + 3.5 <= a[1] || y - 3.5 >= a[3];
                    assert!(apart, "{most}: {a:?} on the mark at {x}, {y}");
                }
            }
            let (wide, high) = (map.split("viewBox=\"0 0 ").nth(1).unwrap())
                .split_once('"')
                .unwrap()
                .0
                .split_once(' ')
                .unwrap();
            let (wide, high): (f64, f64) = (wide.parse().unwrap(), high.parse().unwrap());
            assert!(
                labels
                    .iter()
                    .all(|l| l[0] >= 0.0 && l[1] >= 0.0 && l[2] <= wide && l[3] <= high)
            );
        }
    }
}

#[test]
fn a_list_of_a_hundred_drinks_stays_small_and_says_the_same_every_time() {
    let html = page(&book("classics.md"), &["--today", "2026-11-25"]);
    assert_eq!(tags(&html, "article").len(), 103);
    assert!(html.len() < 600_000, "{} bytes", html.len());
    assert_eq!(html, page(&book("classics.md"), &["--today", "2026-11-25"]));
    assert!(
        !html.contains("NaN") && !html.contains(">inf") && !html.contains("\"inf"),
        "a figure that is none"
    );
}

#[test]
fn it_is_one_page_by_itself_with_words_for_every_picture() {
    let html = page(&book("lantern-halt.md"), &[]);
    for opening in [
        "<script",
        "<link",
        "<img",
        "<iframe",
        "url(",
        "@import",
        "http:",
        "https:",
        "javascript:",
    ] {
        assert!(!html.contains(opening), "{opening}");
    }
    assert!(html.contains("content=\"default-src 'none'; style-src 'unsafe-inline'\""));
    assert!(html.starts_with("<!doctype html>\n<html lang=\"en\">"));
    for svg in html.split("<svg").skip(1) {
        let svg = svg.split("</svg>").next().unwrap();
        let hidden = svg.split('>').next().unwrap().contains("aria-hidden=\"true\"");
        assert!(
            hidden || svg.contains("role=\"img\"") && svg.contains("<title"),
            "{svg:.200}"
        );
    }
    // A heading is at most one step below the last.
    let levels: Vec<u8> = html
        .match_indices("<h")
        .filter_map(|(at, _)| html.as_bytes()[at + 2].checked_sub(b'0'))
        .filter(|l| (1..=6).contains(l))
        .collect();
    assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1);
    assert!(levels.windows(2).all(|w| w[1] <= w[0] + 1), "{levels:?}");
    assert!(tags(&html, "th").iter().all(|th| th.contains("scope=")));
    // What is linked to is there.
    for tag in tags(&html, "a").into_iter().chain(tags(&html, "use")) {
        let id = attribute(tag, "href").unwrap().strip_prefix('#').unwrap();
        assert_eq!(html.matches(&format!(" id=\"{id}\"")).count(), 1, "{id}");
    }
    assert_eq!(tags(&html, "article").len(), 22);
}

/// The article of a drink.
fn article<'a>(html: &'a str, name: &str) -> &'a str {
    let at = html
        .find(&format!(". {name}</h3>"))
        .unwrap_or_else(|| panic!("{name}"));
    html[at..].split("</article>").next().unwrap()
}

#[test]
fn a_drink_has_its_figures_its_place_and_what_there_is_to_say() {
    let html = page(&book("lantern-halt.md"), &[]);
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("book.md"), book("lantern-halt.md")).unwrap();
    let told = crate::washline(folder.path())
        .args(["check", "book.md", "--json"])
        .output()
        .unwrap();
    let told: Value = serde_json::from_slice(&told.stdout).unwrap();
    for drink in told["drinks"].as_array().unwrap() {
        let name = drink["name"].as_str().unwrap().replace('\'', "&#x27;");
        let article = article(&html, &name);
        for (measure, digits) in [("abv_pct", 1), ("sugar_g_per_100ml", 1), ("acid_g_per_100ml", 2)] {
            let figure = &drink["figures"][measure];
            let value = figure["value"].as_f64().unwrap();
            assert!(
                article.contains(&format!("<b>{value:.digits$}</b>")),
                "{name}: {measure}"
            );
            let interval = figure["low"].as_f64().zip(figure["high"].as_f64());
            if let Some((low, high)) = interval {
                let told = format!("{low:.digits$} to {high:.digits$}");
                assert!(article.contains(&format!(", {told}</small>")), "{name}");
                // The picture says in words what it draws, where there is a range to draw.
                let drawn = article.contains(&format!("<title>{value:.digits$} ({told}), "));
                assert_eq!(
                    drawn,
                    drink["verdicts"][measure] != "no band",
                    "{name}: {measure}"
                );
            }
        }
        for finding in drink["findings"].as_array().unwrap() {
            let words = finding["message"].as_str().unwrap();
            assert!(
                article.contains(
                    &words
                        .replace('/', "&#x2f;")
                        .replace('\'', "&#x27;")
                        .replace('"', "&quot;")
                ),
                "{words}"
            );
        }
        for word in ["In the glass", "Alcohol", "Allergens", "EU list", "US list"] {
            assert!(article.contains(word), "{name}: {word}");
        }
    }
    let sour = article(&html, "Branch Line Rain");
    assert!(
        sour.contains("usual 15.0 to 19.2, seen 12.4 to 21.2") && sour.contains("Doubt"),
        "{sour}"
    );
    let off = article(&html, "Waiting Room Sun");
    assert!(
        off.contains("href=\"#smo\"") && off.contains("usual 5.1 to 8.7, seen 3.6 to 12.6: outside</title>"),
        "{off}"
    );
    assert!(off.matches("<svg class=\"b\"").count() == 3);
    // No verdict, no band and no picture where nobody has published one.
    let silent = article(&html, "Quiet Coach Dew");
    assert!(
        silent.contains("no published range") && !silent.contains("<svg"),
        "{silent}"
    );
    // What is poured stands under every name.
    for line in [
        "<b>45 ml</b> <span>dark rum</span>",
        "<b>22.5 ml</b> <span>lime juice</span>",
        "<span class=\"work\">shake</span>",
    ] {
        assert!(off.contains(line), "{line}: {off}");
    }
    assert!(html.contains("45 ml dark rum · 15 ml overproof rum · 22.5 ml lime juice"));
    // Each family goes from strong to weak, on one scale a measure.
    let families: Vec<&str> = html
        .split("<table class=\"fam\">")
        .skip(1)
        .map(|t| t.split("</table>").next().unwrap())
        .collect();
    assert!(families.len() > 3);
    let mut drinks = 0;
    for family in families {
        // An axis stands where a drink of the family has a strip on it.
        let drawn = family.contains("<svg class=\"b\"");
        assert_eq!(family.contains("<svg class=\"axis\""), drawn, "{family}");
        let strengths: Vec<f64> = family
            .split("<tr><th scope=\"row\">")
            .skip(1)
            .map(|row| {
                row.split("<b>")
                    .nth(1)
                    .unwrap()
                    .split('<')
                    .next()
                    .unwrap()
                    .parse()
                    .unwrap()
            })
            .collect();
        drinks += strengths.len();
        assert!(strengths.windows(2).all(|w| w[0] >= w[1]), "{strengths:?}");
    }
    assert_eq!(drinks, 22);
    // What wants looking at comes first, with the reason.
    let look = html.find("id=\"look\"").unwrap();
    assert!(look < html.find("id=\"b1\"").unwrap() && look < html.find("id=\"map\"").unwrap());
    assert!(
        html[look..]
            .split("id=\"key\"")
            .next()
            .unwrap()
            .contains("too sweet for a sour")
    );
    // Nothing of money where it is not asked for, and no word of the program: the page goes to people without it.
    assert!(!html.contains("Pour cost"));
    assert!(!html.contains("washline ingredient") && !html.contains('`'));
    // What does not fit its glass says so in the menu; a ratio stands where something is poured for its acid.
    let overfull = html
        .split("Buffer Stop Hail</a><span")
        .nth(1)
        .unwrap()
        .split("</tr>")
        .next()
        .unwrap();
    assert!(overfull.contains("aria-label=\"does not fit it\""), "{overfull}");
    assert_eq!(html.matches("aria-label=\"does not fit it\"").count(), 1);
    assert!(!article(&html, "Snow on the Parcels Van").contains("Sugar to acid"));
    assert!(sour.contains("Sugar to acid"));
    // Every mark of the page stands in its legend.
    let key = html
        .split("id=\"key\"")
        .nth(1)
        .unwrap()
        .split("</ul>")
        .next()
        .unwrap();
    for words in [
        "like published drinks",
        "too close to call",
        "at the edge",
        "outside",
        "fault in the build",
        "to know",
    ] {
        assert!(key.contains(words), "{words}: {key}");
    }
    // A family says its name once, and no map has more boxes than can be told apart.
    assert!(!html.contains("<p>neat, neat;"));
    for map in maps(&html) {
        assert!((1..=4).contains(&map.matches("<rect class=\"u ").count()));
    }
}

#[test]
fn costs_and_the_day_where_they_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let house = ["--house", "house.db"];
    let mut add = crate::washline(folder.path());
    std::fs::write(folder.path().join("book.md"), HOSTILE).unwrap();
    assert!(
        add.args(house)
            .args(["add", "book.md"])
            .output()
            .unwrap()
            .status
            .success()
    );
    for (since, price) in [("2026-01-05", "14.00"), ("2026-06-05", "21.00")] {
        let mut set = crate::washline(folder.path());
        set.args(house).args([
            "ingredient",
            "price",
            "dry gin",
            "--package",
            "700 ml",
            "--price",
            price,
            "--currency",
            "EUR",
        ]);
        let output = set.args(["--source", "invoice", "--at", since]).output().unwrap();
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    let with = |more: &[&str]| {
        let output = run(folder.path(), &[&["-", "--cost"], &house[..], more].concat());
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).unwrap()
    };
    // 50 ml of 700 ml for 21.00.
    let latest = with(&[]);
    assert!(
        latest.contains("at least 1.50 EUR") && latest.contains("not priced: "),
        "{latest}"
    );
    assert!(
        latest.contains("Price</dt> <dd>12.00")
            && latest.contains("Cost and price")
            && latest.contains("margin 10")
    );
    let earlier = with(&["--today", "2026-03-01"]);
    assert!(earlier.contains("at least 1.00 EUR") && earlier.contains("2026-03-01"));
    let odd = run(folder.path(), &["-", "--house", "house.db", "--today", "soon"]);
    assert_eq!(odd.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&odd.stderr).contains("expected a date such as 2026-11-12"));
}

#[test]
fn names_from_outside_are_never_markup() {
    let html = page(&long_names(), &[]);
    for markup in [
        "<script",
        "<img",
        "<svg onload",
        "</article><style>",
        "\u{1b}",
        "\u{202e}",
    ] {
        assert!(!html.contains(markup), "{markup}");
    }
    assert!(html.contains("&lt;img src=x onerror=alert(2)&gt;"));
    assert!(
        html.contains("{{ drinks }}{% for x in y %} &amp;amp; &amp;lt;b&amp;gt;"),
        "shown as it was typed"
    );
    assert_eq!(tags(&html, "article").len(), 6);
    assert_eq!(html.matches("<style>").count(), 1);
}

#[test]
fn a_book_that_reads_in_part_says_so_and_an_empty_one_too() {
    let text = "# Half\n\n## Whole\n- 50 ml vodka\n- neat\n\n## Broken\n- 50 ml of <nobody knows>\n- shake\n";
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("half.md"), text).unwrap();
    let output = run(folder.path(), &["page.html", "half.md"]);
    assert_eq!(output.status.code(), Some(2));
    let html = std::fs::read_to_string(folder.path().join("page.html")).unwrap();
    assert!(
        html.contains("Not read") && html.contains("Broken: half.md, line 8"),
        "{html}"
    );
    assert!(!html.contains("<nobody"));
    assert_eq!(tags(&html, "article").len(), 1);
    // A page that is there is left alone unless all was read: nothing of it, then less of it than there was.
    for spoilt in [
        text,
        "# Half\n\n## Broken\n- 50 ml of <nobody knows>\n- 20 ml gim\n- shake\n",
    ] {
        std::fs::write(folder.path().join("half.md"), spoilt).unwrap();
        let output = run(folder.path(), &["page.html", "half.md"]);
        assert_eq!(output.status.code(), Some(2));
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            told.contains("page.html: left as it is") && told.contains("Broken: half.md, line"),
            "{told}"
        );
        assert_eq!(
            std::fs::read_to_string(folder.path().join("page.html")).unwrap(),
            html
        );
    }
    assert_eq!(
        run(folder.path(), &["page.html", "half.md", "--replace"])
            .status
            .code(),
        Some(2)
    );
    assert_ne!(
        std::fs::read_to_string(folder.path().join("page.html")).unwrap(),
        html
    );
    let empty = page("# Nothing\n", &[]);
    assert!(empty.contains("nothing to show") && !empty.contains("<article"));
}

#[test]
fn it_writes_over_its_own_pages_and_over_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put("book.md", HOSTILE);
    put("mine.html", "<!doctype html><p>mine</p>");
    let first = run(folder.path(), &["menu.html", "book.md"]);
    assert!(first.status.success());
    let said = String::from_utf8(first.stdout).unwrap();
    assert_eq!(said, "menu.html: 3 drinks\n");
    let again = run(folder.path(), &["menu.html", "book.md", "--json"]);
    assert!(
        again.status.success(),
        "{}",
        String::from_utf8_lossy(&again.stderr)
    );
    let told: Value = serde_json::from_slice(&again.stdout).unwrap();
    assert_eq!(passed("report", &told), [] as [&str; 0]);
    assert_eq!(told["drinks"], 3);
    let bytes = std::fs::metadata(folder.path().join("menu.html")).unwrap().len();
    assert_eq!(told["bytes"], bytes);
    let refused = run(folder.path(), &["mine.html", "book.md"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("left as it is"));
    assert!(
        std::fs::read_to_string(folder.path().join("mine.html"))
            .unwrap()
            .contains("mine")
    );
    assert!(
        run(folder.path(), &["mine.html", "book.md", "--replace"])
            .status
            .success()
    );
    // A book named in the place of the page is not touched.
    let slip = run(folder.path(), &["book.md"]);
    assert_eq!(slip.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&slip.stderr).contains("ends in .html"));
    assert_eq!(
        std::fs::read_to_string(folder.path().join("book.md")).unwrap(),
        HOSTILE
    );
}
