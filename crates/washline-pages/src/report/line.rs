//! The lines of a drink as a page shows them.

use serde::Serialize;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::{self, CardLine};

use crate::visible::visible as plain;

/// A line of a spec: an amount of something, or work and nothing else.
#[derive(Serialize)]
pub(crate) struct Line {
    pub(crate) amount: String,
    pub(crate) name: String,
    work: String,
}

/// The lines of a drink as they are poured, amounts in ml where they are plain volumes.
pub(crate) fn lines(report: &ComputedDrink) -> Vec<Line> {
    card::lines(report)
        .into_iter()
        .map(|line| match line {
            CardLine::Work(words) => Line {
                amount: String::new(),
                name: String::new(),
                work: plain(&words),
            },
            CardLine::Pour { amount, name } => {
                let amount = match (amount.written, amount.ml) {
                    (Some(written), Some(ml)) => format!("{written} ({ml} ml)"),
                    (Some(written), None) => written,
                    (None, Some(ml)) => format!("{ml} ml"),
                    (None, None) => String::new(),
                };
                Line {
                    amount: plain(&amount),
                    name: plain(&name),
                    work: String::new(),
                }
            }
        })
        .collect()
}
