use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, look_at};
use washline_core::spec::{Cure, Fault, Settings, Source};

use super::Call;
use super::book_file::BookFile;
use crate::error::CliError;
use crate::inputs;
use crate::keys;
use crate::output::Output;
use crate::render::{self, plain};

/// What a book leaves open, asked at the bar: one key an answer, kept for every drink to come.
///
/// Asks which thing a word of several meanings is (`vermouth`, `sherry`) wherever the book leaves it open. An answer is
/// kept as a setting of the book, under its title; with --for-house as one of the house, which `washline settings show`
/// lists and `washline settings unset` takes back. Enter leaves a question open. Without a terminal nothing is asked and
/// nothing is written.
///
/// Example: washline settle fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Settle {
    /// The book.
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Keep the answers for all books of the house.
    #[arg(long)]
    for_house: bool,
}

/// A word of several meanings, with what it could be.
#[derive(Debug, PartialEq)]
struct Question {
    word: String,
    choices: Vec<String>,
    why: String,
}

impl Settle {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let book = BookFile::read(&self.file)?;
        let faults = look_at(std::slice::from_ref(&book.source), &Bar::default()).faults;
        let questions = questions(&faults, &book.source);
        let mut output = Output {
            notes: render::faults(&faults, std::slice::from_ref(&book.source)),
            faulty: !faults.is_empty(),
            ..Output::default()
        };
        if questions.is_empty() {
            output.out = "no word of it is open\n".to_owned();
            return Ok(output);
        }
        if call.json || !keys::can_ask() {
            output
                .notes
                .push_str("nothing is asked without a terminal, and nothing was written\n");
            return Ok(output);
        }
        output.notes.clear();
        let answers = asked(&questions, &mut keys::key_pressed).map_err(CliError::internal)?;
        if answers.is_empty() {
            output.out = "left open\n".to_owned();
            return Ok(output);
        }
        for (word, choice) in &answers {
            let _ = writeln!(output.out, "{}: {}", plain(word), plain(choice));
        }
        if self.for_house {
            let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
            house.set_all(&answers)?.map_err(CliError::usage)?;
            output
                .out
                .push_str("kept for the house: `washline settings show` lists it, `washline settings unset` takes it back\n");
        } else {
            let text = with_settings(&book.source.text, &answers);
            book.replace(call, &text)?;
            let _ = writeln!(
                output.out,
                "kept in {}, under its title: take the line away to leave it open again",
                plain(&book.source.file)
            );
        }
        output.faulty = faults.len() > answers.len();
        Ok(output)
    }
}

/// Every open word once, where an answer can be kept.
fn questions(faults: &[Fault], source: &Source) -> Vec<Question> {
    let mut all: Vec<Question> = Vec::new();
    for fault in faults.iter().filter(|f| f.cure == Some(Cure::Settle)) {
        let word = source.text.get(fault.span.clone()).unwrap_or_default().trim();
        let can_be = |choice: &String| matches!(Settings::default().set(word, choice), Ok(Some(_)));
        let choices: Vec<String> = fault
            .suggestions
            .iter()
            .filter(|c| can_be(c))
            .take(9)
            .cloned()
            .collect();
        let question = Question {
            word: word.to_lowercase(),
            choices,
            why: fault
                .message
                .split_once(": ")
                .map_or_else(String::new, |(_, why)| why.to_owned()),
        };
        if question.choices.len() > 1 && !all.iter().any(|q| q.word == question.word) {
            all.push(question);
        }
    }
    all
}

/// Ask each question, with one key an answer. `next` gives the key that is pressed; `None` ends the asking.
fn asked(
    questions: &[Question],
    next: &mut dyn FnMut() -> std::io::Result<Option<char>>,
) -> std::io::Result<Vec<(String, String)>> {
    let mut answers = Vec::new();
    for question in questions {
        let mut text = format!("{}?", plain(&question.word));
        for (at, choice) in question.choices.iter().enumerate() {
            let _ = write!(text, "  {} {}", at + 1, plain(choice));
        }
        if !question.why.is_empty() {
            let _ = write!(text, "  ({})", plain(&question.why));
        }
        let mut screen = std::io::stderr().lock();
        screen.write_all(render::wrapped(&text, "", "  ").as_bytes())?;
        screen.flush()?;
        loop {
            match next()? {
                None => return Ok(answers),
                Some('\r' | '\n') => break,
                Some(key) => {
                    let choice = key
                        .to_digit(10)
                        .and_then(|n| usize::try_from(n).ok()?.checked_sub(1))
                        .and_then(|n| question.choices.get(n));
                    if let Some(choice) = choice {
                        answers.push((question.word.clone(), choice.clone()));
                        break;
                    }
                }
            }
        }
    }
    Ok(answers)
}

/// The text of a book with settings under its title.
fn with_settings(text: &str, answers: &[(String, String)]) -> String {
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let lines: String = answers
        .iter()
        .map(|(word, choice)| format!("{word}: {choice}{end}"))
        .collect();
    let title = text
        .lines()
        .next()
        .filter(|first| first.starts_with("# "))
        .map(str::len);
    match title {
        Some(length) => {
            let after = text[length..].find('\n').map_or(text.len(), |at| length + at + 1);
            let (head, rest) = text.split_at(after);
            let gap = if head.ends_with('\n') { "" } else { end };
            format!("{head}{gap}{lines}{rest}")
        }
        None => format!("{lines}{end}{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# T\n\n## D\n- 20 ml vermouth\n- 20 ml sherry\n- 10 ml gim\n- stir\n\n## E\n- 20 ml Vermouth\n- stir\n";

    fn of(text: &str) -> Vec<Question> {
        let source = Source::new("t", text);
        questions(
            &look_at(std::slice::from_ref(&source), &Bar::default()).faults,
            &source,
        )
    }

    #[test]
    fn each_open_word_is_asked_once_and_answered_with_one_key() {
        let open = of(TEXT);
        let words: Vec<&str> = open.iter().map(|q| q.word.as_str()).collect();
        assert_eq!(words, ["vermouth", "sherry"]);
        let mut keys = "x2\n".chars();
        let answers = asked(&open, &mut || Ok(keys.next())).unwrap();
        assert_eq!(answers, [("vermouth".to_owned(), open[0].choices[1].clone())]);
        // An answer is kept where it is read, and taken back by taking the line away.
        let settled = with_settings(TEXT, &answers);
        assert!(
            settled.starts_with("# T\nvermouth: dry vermouth\n\n## D\n"),
            "{settled}"
        );
        let words: Vec<String> = of(&settled).into_iter().map(|q| q.word).collect();
        assert_eq!(words, ["sherry"]);
        assert_eq!(
            with_settings("## D\n", &answers),
            "vermouth: dry vermouth\n\n## D\n"
        );
    }

    #[test]
    fn breaking_off_keeps_what_was_answered() {
        let open = of(TEXT);
        let mut keys = "1".chars();
        assert_eq!(asked(&open, &mut || Ok(keys.next())).unwrap().len(), 1);
    }
}
