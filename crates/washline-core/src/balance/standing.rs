//! Where a drink stands, in one word.

use super::{Evaluation, Finding, Severity, Verdict};

/// Where a drink stands: the gravest thing there is to say of it. The order is that of gravity.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    strum::IntoStaticStr,
    strum::VariantArray,
    strum::VariantNames,
)]
pub enum Standing {
    /// The build cannot be right.
    #[strum(serialize = "fault in the build")]
    Fault,
    /// Outside its range.
    #[strum(serialize = "outside")]
    Outside,
    /// At the edge of it.
    #[strum(serialize = "at the edge")]
    Edge,
    /// A figure is not known well enough to say on which side of an end it lies.
    #[strum(serialize = "too close to call")]
    TooClose,
    /// Nothing to mend.
    #[strum(serialize = "in balance")]
    InBalance,
    /// Nothing to judge it by.
    #[strum(serialize = "not judged")]
    NoRange,
}

impl Standing {
    /// All of them, in order.
    pub const ALL: &'static [Standing] = <Standing as strum::VariantArray>::VARIANTS;

    /// Their words.
    pub const WORDS: &'static [&'static str] = <Standing as strum::VariantNames>::VARIANTS;

    /// The standing of a drink whose gravest finding is that one, and whose figures were judged so.
    #[must_use]
    pub fn of(gravest: Option<Severity>, judged: Judged) -> Standing {
        match (gravest, judged) {
            (Some(Severity::Fault), _) => Standing::Fault,
            (Some(Severity::Outside), _) => Standing::Outside,
            (Some(Severity::Edge), _) => Standing::Edge,
            (_, Judged::Nothing) => Standing::NoRange,
            (_, Judged::SomeTooClose) => Standing::TooClose,
            (_, Judged::All) => Standing::InBalance,
        }
    }

    /// A word or two for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.into()
    }
}

impl Verdict {
    /// What it says of a figure.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Verdict::In => "like published drinks",
            Verdict::TooClose => Standing::TooClose.words(),
            Verdict::Edge => Standing::Edge.words(),
            Verdict::Outside => Standing::Outside.words(),
            Verdict::NoBand => "no published range",
        }
    }
}

/// Whether a drink's figures could be judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// No figure has a range to be judged by.
    Nothing,
    /// At least one cannot be told from the far side of an end of its range.
    SomeTooClose,
    /// Each that has a range lies clearly on one side of its ends.
    All,
}

impl Judged {
    /// How these verdicts came out together.
    #[must_use]
    pub fn of(verdicts: &[Verdict]) -> Judged {
        if verdicts.contains(&Verdict::TooClose) {
            Judged::SomeTooClose
        } else if verdicts.iter().all(|v| *v == Verdict::NoBand) {
            Judged::Nothing
        } else {
            Judged::All
        }
    }
}

impl Evaluation {
    /// Where the drink stands.
    #[must_use]
    pub fn standing(&self) -> Standing {
        Standing::of(self.gravest().map(Finding::severity), Judged::of(&self.verdicts))
    }

    /// The gravest finding, the first of those that are equally grave.
    #[must_use]
    pub fn gravest(&self) -> Option<&Finding> {
        // `max_by_key` takes the last of equals.
        self.findings.iter().rev().max_by_key(|f| f.severity())
    }

    /// The verdict in a word or two: the gravest finding where something is not right, else where the drink stands.
    #[must_use]
    pub fn in_a_word(&self) -> String {
        match self.gravest() {
            Some(finding) if finding.severity() > Severity::Note => finding.in_a_word(),
            _ => match self.standing() {
                Standing::TooClose => "close call".to_owned(),
                standing => standing.words().to_owned(),
            },
        }
    }
}
