//! Everything that ends a command, with what to do about it, and the exit status it has.

use std::fmt::Write as _;

use washline_core::store::StoreError;

use crate::plain::plain;
use crate::style;

/// Exit status for a fault of this program.
pub const INTERNAL: u8 = 70;

/// What sort of error it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The call's words are off.
    Usage,
    /// What was given cannot be read.
    Input,
    /// The house cannot be opened or written.
    House,
    /// A fault of ours.
    Internal,
}

/// An error that ends a command.
#[derive(Debug)]
pub struct CliError {
    /// What sort.
    pub kind: Kind,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub hints: Vec<String>,
    /// What was said before it came to this: faults of a book, already rendered.
    pub before: String,
}

impl CliError {
    fn new(kind: Kind, message: impl Into<String>) -> CliError {
        CliError {
            kind,
            message: message.into(),
            hints: Vec::new(),
            before: String::new(),
        }
    }

    /// The call's words are off.
    pub fn usage(message: impl Into<String>) -> CliError {
        CliError::new(Kind::Usage, message)
    }

    /// What was given cannot be read.
    pub fn input(message: impl Into<String>) -> CliError {
        CliError::new(Kind::Input, message)
    }

    /// A fault of ours.
    pub fn internal(error: impl std::fmt::Display) -> CliError {
        CliError::new(Kind::Internal, error.to_string()).hint("this is a fault of washline; please report it")
    }

    /// With what was said before it came to this.
    pub fn after(mut self, notes: String) -> CliError {
        self.before = notes;
        self
    }

    /// With something to do about it.
    pub fn hint(mut self, hint: impl Into<String>) -> CliError {
        self.hints.push(hint.into());
        self
    }

    /// With nearest names, where there are any.
    pub fn near(self, names: &[String]) -> CliError {
        if names.is_empty() {
            self
        } else {
            self.hint(format!("nearest: {}", names.join(", ")))
        }
    }

    /// The exit status.
    pub fn status(&self) -> u8 {
        match self.kind {
            Kind::Usage | Kind::Input | Kind::House => 2,
            Kind::Internal => INTERNAL,
        }
    }

    /// The word for its kind in JSON.
    pub fn word(&self) -> &'static str {
        match self.kind {
            Kind::Usage => "usage",
            Kind::Input => "input",
            Kind::House => "house",
            Kind::Internal => "internal",
        }
    }

    /// For programs.
    pub fn shape(&self) -> washline_view::settings::Ended<'_> {
        washline_view::settings::Ended::of(self.word(), &self.message, &self.hints)
    }

    /// As it stands on standard error.
    pub fn rendered(&self) -> String {
        let (bad, dim) = (style::BAD, style::DIM);
        let mut text = format!("{}{bad}error:{bad:#} {}\n", self.before, plain(&self.message));
        for hint in &self.hints {
            let _ = writeln!(text, "{dim}hint:{dim:#} {}", plain(hint));
        }
        text
    }
}

impl From<washline_pages::PageError> for CliError {
    fn from(error: washline_pages::PageError) -> CliError {
        CliError::internal(error)
    }
}

impl From<StoreError> for CliError {
    fn from(error: StoreError) -> CliError {
        let kind = match error {
            StoreError::Sqlite(..) | StoreError::Migration(..) => Kind::Internal,
            _ => Kind::House,
        };
        CliError::new(kind, washline_view::remedy::not_opened(&error))
    }
}
