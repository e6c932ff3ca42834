//! Where a drink stands, in one word.

use super::{Evaluation, Finding, Severity, Verdict};

/// Where a drink stands: the gravest thing there is to say of it. The order is that of gravity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// The build cannot be right.
    Fault,
    /// Outside its range.
    Outside,
    /// At the edge of it.
    Edge,
    /// Nothing to mend.
    InBalance,
    /// Nothing to judge it by.
    NoRange,
}

impl Standing {
    /// The standing of a drink whose gravest finding is that one, and which has a range to be judged by or none.
    #[must_use]
    pub fn of(gravest: Option<Severity>, judged: bool) -> Standing {
        match gravest {
            Some(Severity::Fault) => Standing::Fault,
            Some(Severity::Outside) => Standing::Outside,
            Some(Severity::Edge) => Standing::Edge,
            Some(Severity::Note) | None if judged => Standing::InBalance,
            Some(Severity::Note) | None => Standing::NoRange,
        }
    }

    /// A word or two for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Standing::Fault => "fault in the build",
            Standing::Outside => "outside",
            Standing::Edge => "edge",
            Standing::InBalance => "in balance",
            Standing::NoRange => "no range",
        }
    }
}

impl Evaluation {
    /// Where the drink stands.
    #[must_use]
    pub fn standing(&self) -> Standing {
        Standing::of(
            self.findings.iter().map(Finding::severity).max(),
            self.verdicts.iter().any(|v| *v != Verdict::NoBand),
        )
    }
}
