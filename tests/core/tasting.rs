//! What the palate says: kept with the version it was said of; and what is learned from it.

use washline_core::balance::learn::{FEWEST, SHARE_PCT, learn};
use washline_core::balance::published::{FigureRow, figures};
use washline_core::balance::{BalanceFigure, Evaluation, Palate, Structure, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::spec::Source;
use washline_core::store::{House, NewTasting, NotTasted};

/// A house with so many sours, each a little sweeter than the one before.
fn sours(count: u32) -> House {
    let mut text = String::from("# Sours\n");
    for n in 0..count {
        text.push_str(&format!(
            "\n## Sour {n}\n- 60 ml white rum\n- 22.5 ml lime juice\n- {} ml simple syrup 1:1 by mass\n- shake\n- strain\n",
            f64::from(n).mul_add(0.5, 18.0)
        ));
    }
    let mut house = House::in_memory().unwrap();
    house.add(&Source::new("sours.md", text)).unwrap().unwrap();
    house
}

/// Drinks by name, as they are learned from.
fn named(reports: &[ComputedDrink]) -> impl Iterator<Item = (&str, &Evaluation)> {
    reports.iter().map(|r| (r.name(), &r.evaluation))
}

/// A figure of the published drinks of a structure, sorted.
fn published(structure: Structure, of: impl Fn(&FigureRow) -> f64) -> Vec<f64> {
    let rows = figures(Convention::Handbook).iter();
    let mut values: Vec<f64> = rows
        .filter(|r| r.stands && r.structure == structure)
        .map(of)
        .collect();
    values.sort_by(f64::total_cmp);
    values
}

/// A quantile by linear interpolation (Hyndman and Fan 1996, type 7).
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let place = share * (sorted.len() - 1) as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - place.floor()) * (sorted[above] - sorted[below])
}

/// Six sours that stand on two lists are six sours, also where the lists count them as different drinks.
#[test]
fn a_drink_on_two_lists_is_learned_from_once() {
    let mut house = sours(6);
    let mut again = String::from("# Winter list\n");
    for n in 0..6 {
        again.push_str(&format!(
            "\n## Sour {n}\n- 60 ml white rum\n- 22.5 ml lime juice\n- {} ml simple syrup 1:1 by mass\n- shake\n- strain\n",
            f64::from(n).mul_add(0.5, 18.0)
        ));
    }
    house
        .add(&Source::new("winter.md", again.clone()))
        .unwrap()
        .unwrap();
    let reports = house.drinks().unwrap();
    assert_eq!(reports.len(), 6);
    house
        .add(&Source::new(
            "winter.md",
            again.replace("# Winter list\n", "# Winter list\n\ncountry: US\n"),
        ))
        .unwrap()
        .unwrap();
    let reports = house.drinks().unwrap();
    assert_eq!(reports.len(), 12);
    let (learned, _) = learn(named(&reports), SHARE_PCT, Convention::Handbook);
    assert!(learned.iter().all(|l| l.count == 6), "{learned:?}");
}

fn say(house: &mut House, drink: &str, verdict: &[Palate], at: &str) {
    let trial = NewTasting {
        drink,
        book: None,
        version: None,
        verdict,
        note: "",
        taster: "",
        at: crate::when(at),
    };
    house.taste(&trial).unwrap().unwrap();
}

#[test]
fn a_trial_belongs_to_the_version_that_was_tasted() {
    let mut house = sours(2);
    say(&mut house, "sour 1", &[Palate::TooSweet], "2024-02-01");
    let worked = house.drinks_named("Sour 1").unwrap().remove(0);
    let changed = "## Sour 1\n- 60 ml white rum\n- 22.5 ml lime juice\n- 15 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    house.amend(&worked, changed).unwrap().unwrap();
    let kept = house
        .taste(&NewTasting {
            drink: "SOUR 1",
            book: Some("sours"),
            version: None,
            verdict: &[Palate::Right],
            note: "at last",
            taster: "the porter",
            at: crate::when("2024-02-03T18:00:00Z"),
        })
        .unwrap()
        .unwrap();
    assert_eq!(
        (kept.drink.as_str(), kept.version, kept.is_current),
        ("Sour 1", 2, true)
    );
    let all = house.tastings("sour 1").unwrap();
    let said: Vec<(i64, bool, String)> = all
        .iter()
        .map(|t| (t.version, t.is_current, Palate::written(&t.verdict)))
        .collect();
    assert_eq!(
        said,
        [(2, true, "right".to_owned()), (1, false, "too sweet".to_owned())]
    );
    assert_eq!(
        (all[0].note.as_str(), all[0].taster.as_str()),
        ("at last", "the porter")
    );
    assert_eq!(house.tastings("sour 0").unwrap(), []);

    // An older version can be tasted too; one that is not cannot.
    let of = |house: &mut House, drink: &str, book: Option<&str>, version| {
        house
            .taste(&NewTasting {
                drink,
                book,
                version,
                verdict: &[Palate::Flat],
                note: "",
                taster: "",
                at: crate::when("2024-02-04"),
            })
            .unwrap()
    };
    assert_eq!(of(&mut house, "Sour 1", None, Some(1)).unwrap().version, 1);
    assert_eq!(
        of(&mut house, "Sour 1", None, Some(3)),
        Err(NotTasted::NoVersion(2))
    );
    assert_eq!(of(&mut house, "Sour 9", None, None), Err(NotTasted::NoDrink));
    assert_eq!(
        of(&mut house, "Sour 1", Some("Other"), None),
        Err(NotTasted::NoDrink)
    );
    let other = "# Other\n\n## Sour 1\n- 50 ml dry gin\n- stir\n";
    house.add(&Source::new("other.md", other)).unwrap().unwrap();
    assert_eq!(
        of(&mut house, "Sour 1", None, None),
        Err(NotTasted::SeveralBooks(vec![
            "Sours".to_owned(),
            "Other".to_owned()
        ]))
    );
    // A drink without alcohol data of its own: nothing of this changed what was tasted before.
    assert_eq!(house.tastings("sour 1").unwrap().len(), 3);
}

/// Of a drink the last trial of the version that is poured counts, and no other.
#[test]
fn what_the_house_is_happy_with() {
    let mut house = sours(3);
    say(&mut house, "Sour 0", &[Palate::TooTart], "2024-02-01");
    say(&mut house, "Sour 0", &[Palate::Right], "2024-02-02");
    say(&mut house, "Sour 1", &[Palate::Right], "2024-02-02");
    say(&mut house, "Sour 1", &[Palate::Flat], "2024-02-03");
    say(&mut house, "Sour 2", &[Palate::Right], "2024-02-02");
    let right = |house: &House| -> Vec<String> {
        let mut names: Vec<String> = house
            .tasted_right()
            .unwrap()
            .into_iter()
            .map(|(d, _)| d)
            .collect();
        names.sort();
        names
    };
    assert_eq!(right(&house), ["Sour 0", "Sour 2"]);
    // Another version has not been tasted yet.
    let worked = house.drinks_named("Sour 2").unwrap().remove(0);
    let changed = worked.drink.text.replace("60 ml", "50 ml");
    house.amend(&worked, &changed).unwrap().unwrap();
    assert_eq!(right(&house), ["Sour 0"]);
}

#[test]
fn ranges_are_learned_from_enough_drinks_and_kept() {
    let few = FEWEST - 1;
    let house = sours(u32::try_from(few).unwrap());
    let reports = house.drinks().unwrap();
    let (learned, too_few) = learn(named(&reports), SHARE_PCT, Convention::Handbook);
    // Beside the published sours a few are enough to shift the range.
    assert_eq!((learned.len(), too_few), (3, vec![]));
    assert!(learned.iter().all(|l| l.count == few && l.published >= 20));

    let mut house = sours(21);
    let reports = house.drinks().unwrap();
    let (learned, too_few) = learn(named(&reports), SHARE_PCT, Convention::Handbook);
    assert_eq!(too_few, []);
    assert_eq!(learned.len(), 3);
    let sweet = learned
        .iter()
        .find(|l| l.measure == BalanceFigure::Sweetness)
        .unwrap();
    assert_eq!(sweet.count, 21);
    // The sweetness of the 3rd, 11th and 19th of 21 drinks: the 10th, 50th and 90th percentile.
    let of = |n: usize| reports[n].evaluation.figures.sugar_g_per_100ml.value.unwrap();
    // They are drawn towards the published ones, which weigh as much as 8 of them.
    let published = published(Structure::ShakenSour, |r| r.sugar_g_per_100ml);
    let drawn = |own: f64, share: f64| (21.0 * own + 8.0 * quantile(&published, share)) / 29.0;
    approx::assert_relative_eq!(sweet.low.value, drawn(of(2), 0.1), max_relative = 1e-12);
    approx::assert_relative_eq!(sweet.median.value, drawn(of(10), 0.5), max_relative = 1e-12);
    approx::assert_relative_eq!(sweet.high.value, drawn(of(18), 0.9), max_relative = 1e-12);
    // Ranks 7 and 15 of 21 for the median at 90 %: P(at most 6 of 21 below) = 3.9 %, at most 7: 9.5 %.
    assert_eq!((sweet.median.from, sweet.median.to), (Some(of(6)), Some(of(14))));
    // No drink is far enough out to bound the 10th percentile from below: 0.9^21 = 11 %.
    assert_eq!((sweet.low.from, sweet.high.to), (None, None));
    assert_eq!(sweet.low.to, Some(of(5)));

    house.keep_learned(&learned, "learned from 21 drinks").unwrap();
    let ranges = house.ranges(Convention::Handbook).unwrap();
    let core = ranges
        .band(Structure::ShakenSour, BalanceFigure::Sweetness)
        .core
        .clone()
        .unwrap();
    assert_eq!((core.low, core.high), sweet.range());
    assert_eq!((core.source.as_str(), core.own), ("learned from 21 drinks", true));
    // They are what drinks are judged by now.
    let judged = house.drinks().unwrap();
    let sweetness = BalanceFigure::Sweetness as usize;
    assert_eq!(core.place(of(20)), std::cmp::Ordering::Greater);
    assert_ne!(judged[20].evaluation.verdicts[sweetness], Verdict::In);
    assert_eq!(judged[10].evaluation.verdicts[sweetness], Verdict::In);
}

/// Another program may have written anything: it is that taster's own words.
#[test]
fn odd_verdicts_in_the_file_are_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("h.db");
    let mut house = House::open(&path, washline_core::store::Access::Write).unwrap().0;
    house
        .add(&Source::new("t.md", "# T\n\n## A\n- 50 ml dry gin\n- stir\n"))
        .unwrap()
        .unwrap();
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch(
        "INSERT INTO tasting (spec_version_id, verdict, note, taster, tasted_at) VALUES (1, 'right; too sweet', '', '', '2024')",
    )
    .unwrap();
    let all = house.tastings("a").unwrap();
    assert_eq!(all[0].verdict, [Palate::Other("right; too sweet".to_owned())]);
    assert!(house.tasted_right().unwrap().is_empty());
    for bad in [
        "INSERT INTO tasting (spec_version_id, verdict, note, taster, tasted_at) VALUES (1, '', '', '', 'x')",
        "INSERT INTO tasting (spec_version_id, verdict, note, taster, tasted_at) VALUES (9, 'flat', '', '', 'x')",
    ] {
        assert!(db.execute_batch(bad).is_err(), "{bad}");
    }
}
