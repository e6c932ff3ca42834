//! Each step as resolved is of the line it was resolved from, and each part of a preparation of the line that pours it.

use proptest::prelude::*;
use washline_core::computed::{Bar, Checked, look_at};
use washline_core::resolve::ResolvedStep;
use washline_core::spec::{Source, Step};

/// Every book of the fixtures, looked at.
fn books() -> Vec<Checked> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/books");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let bar = Bar::default();
    names
        .iter()
        .map(|name| look_at(&[crate::book(name)], &bar))
        .collect()
}

#[test]
fn every_step_is_of_the_line_it_was_resolved_from() {
    let mut seen = 0;
    for book in books() {
        for drink in &book.drinks {
            let name = drink.name();
            let lines: Vec<Step> = drink.drink.lines().map(|line| line.step.clone()).collect();
            let steps: Vec<Step> = drink.resolved.steps.iter().map(ResolvedStep::written).collect();
            assert_eq!(steps, lines, "{name}");
            for (at, pour) in drink.resolved.pours() {
                let line = drink.drink.lines().nth(at).unwrap();
                assert_eq!(pour.span, line.span, "{name}");
                assert_eq!(Step::Pour((*pour.typed).clone()), line.step, "{name}");
            }
            seen += steps.len();
        }
    }
    assert!(seen > 2500, "{seen}");
}

/// Lines of a preparation that can stand in any order.
const LINES: [&str; 8] = [
    "500 ml water",
    "300 g sugar",
    "20 g fresh ginger",
    "100 ml lemon juice",
    "50 ml vodka",
    "boil 10 min",
    "fine strain",
    "blend",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// In whatever order its lines stand, each part of a preparation is what the line at its place pours.
    #[test]
    fn every_part_of_a_preparation_is_of_its_line(order in Just(LINES.to_vec()).prop_shuffle()) {
        let text = format!("# B\n\n## Bench cordial\nmakes: an ingredient\n- {}\n", order.join("\n- "));
        let book = look_at(&[Source::new("t", text)], &Bar::default());
        prop_assert_eq!(&book.faults, &[]);
        let made = &book.preparations[0].made;
        let of = |name: &str| name.rsplit(' ').next().unwrap().chars().take(4).collect::<String>();
        let pours = order.iter().enumerate().filter(|(_, line)| line.starts_with(|c: char| c.is_ascii_digit()));
        let wanted: Vec<(usize, String)> = pours.map(|(at, line)| (at, of(line))).collect();
        for part in &made.parts {
            prop_assert!(order[part.position].starts_with(&part.written));
        }
        let came: Vec<(usize, String)> = made.parts.iter().map(|p| (p.position, of(&p.ingredient))).collect();
        prop_assert_eq!(came, wanted);
    }
}
