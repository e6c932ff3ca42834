//! Whatever bytes come in, what reads is written as it was read, what does not is told with its place, and nothing ends the
//! program. `PROPTEST_CASES` says how many cases, `PROPTEST_RNG_SEED` which; what was found is kept below as tests of its own.

use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use washline_core::exchange::{self, Options};
use washline_core::spec::{self, Settings, Source};

/// Lines as people type them, and what is between them.
static LINES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let fixtures = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures");
    let mut all: Vec<String> = Vec::new();
    for file in ["books/lantern-halt.md", "books/worked.md"] {
        let text = std::fs::read_to_string(format!("{fixtures}/{file}")).unwrap();
        all.extend(text.lines().map(str::to_owned));
    }
    let cases = std::fs::read_to_string(format!("{fixtures}/cases/lines.csv")).unwrap();
    all.extend(
        cases
            .lines()
            .skip(1)
            .map(|l| format!("- {}", l.split(',').next().unwrap())),
    );
    all
});

/// What breaks readers.
const ODD: [&str; 40] = [
    "\0",
    "\u{feff}",
    "\u{202e}",
    "\u{200b}",
    "\r",
    "\r\n",
    "\n",
    "\t",
    "#",
    "##",
    "## ",
    "- ",
    "-",
    "*",
    ">",
    "<!--",
    "-->",
    "`",
    "\"",
    "'",
    ":",
    ",",
    ";",
    "½",
    "⅓",
    "/",
    "1/0",
    "0",
    "99999999999999999999",
    "1e309",
    "-5",
    "%",
    "°C",
    "ml",
    "oz",
    " or ",
    "?",
    "to taste",
    "ä́",
    "🍋",
];

fn line() -> impl Strategy<Value = String> {
    let known = any::<prop::sample::Index>().prop_map(|at| at.get(&LINES).clone());
    let change = (
        any::<prop::sample::Index>(),
        prop::sample::select(ODD.to_vec()),
        0_u8..4,
    );
    (known, prop::collection::vec(change, 0..3)).prop_map(|(mut line, changes)| {
        for (at, odd, how) in changes {
            let places: Vec<usize> = line.char_indices().map(|(i, _)| i).chain([line.len()]).collect();
            let at = *at.get(&places);
            match how {
                0 => line.insert_str(at, odd),
                1 => line.truncate(at),
                2 => {
                    let rest = line.split_off(at);
                    line.push_str(odd);
                    line.push_str(rest.get(1..).unwrap_or_default());
                }
                _ => {
                    let rest = line[at..].to_owned();
                    line.push_str(&rest);
                }
            }
        }
        line
    })
}

fn book() -> impl Strategy<Value = String> {
    prop::collection::vec(line(), 1..14)
        .prop_map(|lines| format!("# House\n\n## Owl\n{}\n", lines.join("\n")))
}

/// What holds of any text that is read.
fn holds(text: &str) -> Result<(), TestCaseError> {
    let source = Source::new("t.md", text);
    let reading = spec::read(&source);
    for fault in &reading.faults {
        prop_assert!(
            source.text.get(fault.span.clone()).is_some(),
            "{fault:?} of {text:?}"
        );
        prop_assert!(fault.line >= 1 && fault.column >= 1);
    }
    if reading.faults.is_empty() {
        let written = spec::format(&reading.book);
        let again = spec::read(&Source::new("t.md", written.clone()));
        prop_assert!(
            again.faults.is_empty(),
            "{text:?} is written as {written:?}, which has {:?}",
            again.faults
        );
        prop_assert_eq!(spec::format(&again.book), written, "of {:?}", text);
    }
    Ok(())
}

/// What passes once passes for everybody: the search for new cases is a run of its own.
#[test]
fn cases_are_the_same_in_every_run() {
    let seed = ProptestConfig::default().rng_seed;
    assert!(matches!(seed, RngSeed::Fixed(_)), "{seed}");
}

/// What the search found: texts that read, and were written as something that read otherwise.
#[test]
fn what_was_found_is_written_as_it_reads_or_asked_about() {
    for lines in [
        "- 30 ml triple sec (40 %½)",
        "\u{feff}\n\n- 30 ml triple sec",
        "-->\n\r- 30 ml triple sec",
        "- 30 ml triple sec (40 %- )<!--",
        "- 50 ml cognac (- 0 %)",
        "garnish\n- fine strain\n- 30 ml gin",
        "- 60 ml London dry gin\n- garnish\n- 1",
        "garnish\r:\n6 l soda",
        "5garnish:\n5 sid",
        "- 1 jigge",
        "ä\u{301}ounce: 30 ml",
        "- 1/4f--",
        "c-5",
        "- 22.5 ml sweet re\u{feff}d verm½uth (16.5 %)",
        "- 15 ml dark rum (float) ml dark rum (float)",
        "drop saine olution20%oaline olution20%",
        "###o Mist",
        ":irish cffee,0l",
        "5gn\ngarnish-5",
        "5gn\ngarnish->e",
        "shake\n3-4dses orng s orng itter3- ",
        "0ml bl0ml bl",
        "?ne e",
        "½rroof ",
        "over a½large cube",
        "aä few",
        "6o sarop ",
        "s:irish coffee,0l",
        "equal part gin equal part gin",
        "n--garnish\n30m",
        "- 60 ml white rum (40 %)\ngarnish--> lemon zest",
        "60 ml bourbon whiskey\n- couple of dashes absinth½",
        "- 3 drops saline solution 20 %rops saline solution 20 %",
        "\u{feff}lass: irish coffee, 240 ml",
        "equal part gin part gn",
        "0elderflower,iqueur",
        "dses \nml rum(float)",
        "0td\ndsh bitter5",
        "oz 0proof bourbon0proof bourbon",
        "oz 0proof 0proof bourbon",
        "drop saline solution20%o saline solution 20%",
        "- 20 ml simple (1:1\t simple (1:1)",
        "note: no alcohol; press the cucumber well, there i\r nothing behind it to hide a watery slice",
        "-? absinthe rinse",
        "- 37.5 ml agricole-style½cane rum",
        "- Lemon juice 0- ½ oz",
        "- 6 drops saline solution 20 %- 6 drops saline solution 20 %aline solution 20 %- 6 drops saline solution 20 %",
        "- 1 T lemon j*ice",
        "- 2 oz 90-proof `bourbon`",
        "- 22.5 ml simple syrup 1:1 `by mass",
        "glass: ir\rish coffee, 240 ml",
        "- 15 ml any anise or  liqueur",
        "- a few drops saline solution 20 %ew drops saline solution 20 %",
        "- 60 ml tequila, reposad\ro (40 %)",
    ] {
        holds(&format!("# House\n\n## Owl\n{lines}\n")).unwrap();
    }
}

proptest! {
    #[test]
    fn bytes_are_read_or_told(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        // Most bytes are no text: what they come to where they are shown is read as lines of a drink.
        holds(&format!("# House\n\n## Owl\n{}\n", String::from_utf8_lossy(&bytes)))?;
        if let Ok(source) = Source::decode("t.md".to_owned(), bytes) {
            let text = source.text.clone();
            holds(&text)?;
        }
    }

    #[test]
    fn changed_lines_are_read_or_told(text in book()) {
        holds(&text)?;
    }

    #[test]
    fn every_format_takes_anything(text in book(), format in prop::sample::select(exchange::Format::ALL.to_vec()), as_json in any::<bool>(), cut in any::<prop::sample::Index>()) {
        let reading = spec::read(&Source::new("t.md", text.clone()));
        let shelved = exchange::Shelved { title: "House".to_owned(), text: text.clone(), book: reading.book };
        let mut out = exchange::write(&[shelved], format, b',');
        let places: Vec<usize> = out.char_indices().map(|(i, _)| i).chain([out.len()]).collect();
        if as_json {
            out.truncate(*cut.get(&places));
        } else {
            out.insert_str(*cut.get(&places), ODD[cut.index(ODD.len())]);
        }
        let options = Options { format: Some(format), ..Options::default() };
        let _ = exchange::import(&[Source::new("t", out)], &options);
        let _ = exchange::import(&[Source::new("t", text)], &options);
    }

    #[test]
    fn settings_take_their_own_words(key in prop::sample::select(Settings::keys()), value in line()) {
        let mut settings = Settings::default();
        let value = value.trim_start_matches("- ").to_owned();
        if let Ok(Some((key, written))) = settings.set(&key, &value) {
            let again = Settings::default().set(&key, &written);
            prop_assert_eq!(again, Ok(Some((key, written))));
        }
    }

    /// What a house or a program hands back as JSON need not be what was put there.
    #[test]
    fn stored_settings_and_findings_are_read_or_refused(text in "[ -~]{0,60}", at in any::<prop::sample::Index>()) {
        let mut json = serde_json::to_string(&Settings::default()).unwrap();
        let places: Vec<usize> = json.char_indices().map(|(i, _)| i).collect();
        json.insert_str(*at.get(&places), &text);
        let _ = serde_json::from_str::<Settings>(&json);
        let _ = serde_json::from_str::<washline_core::balance::Finding>(&json);
    }
}
