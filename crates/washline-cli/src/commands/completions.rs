use clap::{Args, CommandFactory};
use clap_complete::Shell;

use crate::outcome::Outcome;

/// Print completions for a shell.
///
/// Example: washline completions bash > ~/.local/share/bash-completion/completions/washline
#[derive(Debug, Args)]
pub struct Completions {
    /// Which shell.
    #[arg(value_enum)]
    shell: Shell,
}

impl Completions {
    pub fn run(self) -> Outcome {
        let mut script = Vec::new();
        clap_complete::generate(
            self.shell,
            &mut super::Arguments::command(),
            "washline",
            &mut script,
        );
        Outcome {
            out: String::from_utf8_lossy(&script).into_owned(),
            exact: true,
            ..Outcome::default()
        }
    }
}
