//! Where the time goes, as ratios: each job beside the density polynomial it cannot do without.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use washline_core::advise::{Ask, mend};
use washline_core::balance::{BalanceFigure, Ranges, Severity, Structure, evaluate, nominal};
use washline_core::build::build;
use washline_core::find::Query;
use washline_core::ingredient::{Convention, library};
use washline_core::liquid::alcoholometry;
use washline_core::melt::heat::{self, Conditions, Method};
use washline_core::resolve::{Resolved, resolve};
use washline_core::spec::{Settings, Source, read};
use washline_core::store::{Access, House};

#[path = "../tests/core/brute_force.rs"]
mod brute_force;
use brute_force::BruteForce;

/// A book of `n` sours, stirred drinks and long drinks, no two alike.
fn book(n: usize) -> Source {
    let mut text = String::from("# Bench list\nounce: 30 ml\n\n");
    for i in 0..n {
        let (a, b) = (40 + i % 25, 15 + i % 12);
        text.push_str(&match i % 3 {
            0 => format!("## Sour {i}\nglass: coupe, 210 ml\n- {a} ml white rum\n- {b} ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- fine strain\n\n"),
            1 => format!("## Stirred {i}\nglass: coupe, 180 ml\n- {a} ml rye whiskey\n- {b} ml sweet red vermouth\n- 2 dashes aromatic bitters\n- stir\n- strain\n\n"),
            _ => format!("## Long {i}\nglass: highball, 320 ml\n- {a} ml gin\n- {b} ml lemon juice\n- build\n- top 90 ml soda water\n\n"),
        });
    }
    Source::new("bench.md", text)
}

/// A drink of four pours, resolved.
fn four_pours() -> Resolved {
    let text = "# T\n## D\nglass: coupe, 210 ml\n- 60 ml white rum\n- 22.5 ml lime juice\n- 15 ml simple syrup 1:1 by mass\n- 5 ml maraschino liqueur\n- shake\n- strain\n";
    let source = Source::new("t", text);
    let reading = read(&source);
    resolve(
        reading.book.drinks().next().unwrap(),
        library(),
        &Settings::default(),
        &source,
    )
    .unwrap()
}

fn one_drink(c: &mut Criterion) {
    let mut group = c.benchmark_group("one drink");
    group.bench_function("baseline: the OIML R 22 density polynomial at 20 C", |b| {
        b.iter(|| alcoholometry::density_20c_kg_per_m3(black_box(0.1834)));
    });
    let drink = four_pours();
    let ranges = Ranges::published(Convention::Handbook);
    group.bench_function("evaluate four pours: resolved build to findings", |b| {
        b.iter(|| evaluate(black_box(&drink), &build(black_box(&drink)), &ranges));
    });
    group.bench_function(
        "figures of four pours without intervals: what a search calls",
        |b| {
            b.iter(|| nominal(black_box(&drink), &build(black_box(&drink))));
        },
    );
    group.bench_function("walk the build alone", |b| b.iter(|| build(black_box(&drink))));
    let mix = build(&drink).before;
    group.bench_function("a shaken drink by the heat balance, with its interval", |b| {
        b.iter(|| heat::after(black_box(&mix), &Method::SHAKE, &Conditions::default(), 10.0));
    });
    group.finish();
}

fn a_thousand_drinks(c: &mut Criterion) {
    let source = book(1000);
    let mut group = c.benchmark_group("a thousand drinks");
    group.sample_size(10);
    group.bench_function("baseline: cut the text into words", |b| {
        b.iter(|| black_box(&source).text.split_whitespace().count())
    });
    group.bench_function("read", |b| {
        b.iter(|| read(black_box(&source)).book.drinks().count())
    });
    let reading = read(&source);
    let settings = reading.book.settings.clone();
    group.bench_function("resolve", |b| {
        b.iter(|| {
            reading
                .book
                .drinks()
                .filter(|d| resolve(d, library(), &settings, &source).is_ok())
                .count()
        });
    });
    group.bench_function("store the book", |b| {
        b.iter_batched(
            || House::in_memory().unwrap(),
            |mut house| house.add(&source).unwrap().unwrap(),
            BatchSize::PerIteration,
        );
    });
    group.bench_function("work all of them out and keep the results", |b| {
        b.iter_batched(
            || {
                let mut house = House::in_memory().unwrap();
                house.add(&source).unwrap().unwrap();
                house
            },
            |mut house| house.refresh().unwrap(),
            BatchSize::PerIteration,
        );
    });
    let mut house = House::in_memory().unwrap();
    house.add(&source).unwrap().unwrap();
    house.refresh().unwrap();
    group.bench_function("find nothing stale after a change that touches no drink", |b| {
        b.iter(|| {
            house
                .unset_range(Structure::Hot, BalanceFigure::Strength)
                .unwrap();
            house.refresh().unwrap()
        });
    });
    group.bench_function("query the flagged", |b| {
        b.iter(|| house.flagged(Severity::Outside).unwrap().len())
    });
    group.finish();
}

/// What is asked of a house of many drinks every day, beside the same of a tenth of them.
fn houses(c: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let mut group = c.benchmark_group("a house");
    group.sample_size(10);
    for drinks in [1_000, 10_000] {
        let path = folder.path().join(format!("{drinks}.db"));
        House::open(&path, Access::Write)
            .unwrap()
            .0
            .add(&book(drinks))
            .unwrap()
            .unwrap();
        let open = || House::open(&path, Access::Read).unwrap().0;
        group.bench_function(format!("open one of {drinks}"), |b| b.iter(open));
        group.bench_function(format!("show one drink of {drinks}"), |b| {
            b.iter(|| open().drinks_named("Sour 300").unwrap().len());
        });
        group.bench_function(format!("list {drinks}"), |b| {
            b.iter(|| open().in_short().unwrap().len());
        });
        group.bench_function(format!("check {drinks} by what is kept"), |b| {
            b.iter(|| {
                let mut house = open();
                let (held, _) = house.held().unwrap();
                house.summaries(held).unwrap().count()
            });
        });
        let rare = Query::read("pours gin and strength > 30").unwrap();
        group.bench_function(format!("find what no drink of {drinks} is"), |b| {
            b.iter(|| open().drinks_that_may(&rare).unwrap().len());
        });
    }
    group.finish();
}

/// The demo house mended, and its drinks that can be, by trying every amount there is.
fn mending(c: &mut Criterion) {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../fixtures/books/lantern-halt.md"
    );
    let source = Source::new("lantern-halt.md", std::fs::read_to_string(path).unwrap());
    let mut house = House::in_memory().unwrap();
    house.add(&source).unwrap().unwrap();
    let drinks = house.drinks().unwrap();
    let ask = Ask::default();
    let mut group = c.benchmark_group("mend");
    group.sample_size(10);
    group.bench_function("the demo house", |b| {
        b.iter(|| {
            drinks
                .iter()
                .map(|d| mend(&d.subject(), black_box(&ask)).unwrap().answers.len())
                .sum::<usize>()
        });
    });
    // A drink of five pours; the smallest change of one, two and three of them.
    let drink = drinks.iter().find(|d| d.name() == "Waiting Room Sun").unwrap();
    group.bench_function("a drink of five pours", |b| {
        b.iter(|| mend(&drink.subject(), black_box(&ask)).unwrap().answers.len());
    });
    let targets = mend(&drink.subject(), &ask).unwrap().targets;
    group.bench_function("the same by brute force", |b| {
        b.iter(|| {
            let mut brute = BruteForce::new(drink.subject(), &ask, &targets);
            (1..=3).filter_map(|count| brute.best(count)).count()
        });
    });
    group.finish();
}

criterion_group!(benches, one_drink, a_thousand_drinks, houses, mending);
criterion_main!(benches);
