//! Pages of many drinks, as ratios: each beside working those drinks out.
#![allow(missing_docs, clippy::unwrap_used)]

use std::fmt::Write as _;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use washline_core::computed::{ComputedDrink, check};
use washline_pages::report::{Content, html};

/// So many sours, stirred and long drinks, no two alike.
fn book(drinks: usize) -> String {
    let mut text = String::from("# Bench list\nounce: 30 ml\n\n");
    for i in 0..drinks {
        let (a, b) = (40 + i % 25, 15 + i % 12);
        let spec = match i % 3 {
            0 => format!(
                "- {a} ml white rum\n- {b} ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain"
            ),
            1 => format!("- {a} ml rye whiskey\n- {b} ml sweet red vermouth\n- stir\n- strain"),
            _ => format!("- {a} ml gin\n- {b} ml lemon juice\n- build\n- top 90 ml soda water"),
        };
        let _ = write!(text, "## Drink {i}\nglass: coupe, 320 ml\n{spec}\n\n");
    }
    text
}

fn page(drinks: &[ComputedDrink]) -> usize {
    html(&Content {
        reports: drinks,
        costings: None,
        unread: &[],
        today: None,
    })
    .unwrap()
    .len()
}

fn reports(c: &mut Criterion) {
    let mut group = c.benchmark_group("a report");
    group.sample_size(10);
    let text = book(1_000);
    group.bench_function("baseline: work 1000 drinks out", |b| {
        b.iter(|| check(black_box(&text)).unwrap().len());
    });
    for drinks in [1_000, 3_000] {
        let drinks = check(&book(drinks)).unwrap();
        group.bench_function(format!("the page of {}", drinks.len()), |b| {
            b.iter(|| page(black_box(&drinks)));
        });
    }
    group.finish();
}

criterion_group!(benches, reports);
criterion_main!(benches);
