//! What stops a command, and how it is shown.

use std::io;
use std::path::PathBuf;
use std::process::ExitCode;

use freereed::sheet::{Job, Problem, SheetError};
use miette::{Diagnostic, LabeledSpan, NamedSource, Report};

use super::{Outcome, output};

/// Why a command could not be done.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The input is wrong.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// The call is wrong.
    #[error("{0}")]
    Call(String),
    /// A file could not be written.
    #[error("cannot write {path}: {}; try another place, or free the space", cause(.why))]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// Nobody reads what is printed any more.
    #[error("nobody reads the output")]
    BrokenPipe,
}

/// What the system said, without the place of the temporary file that tempfile adds to it.
fn cause(error: &io::Error) -> String {
    let whole = error.to_string();
    whole.split(" at path ").next().unwrap_or_default().to_owned()
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::BrokenPipe,
            _ => Self::Call(format!("cannot print the result: {error}")),
        }
    }
}

impl Failure {
    /// Prints what is wrong and gives the exit code.
    pub fn show(self, json: bool) -> ExitCode {
        if json && !matches!(self, Self::BrokenPipe) {
            let problems = match &self {
                Self::Sheet(error) => error.problems.clone(),
                other => vec![Problem::of_file("", other.to_string())],
            };
            print_problems(&problems);
        }
        match self {
            Self::BrokenPipe => return ExitCode::SUCCESS,
            Self::Sheet(error) => show_problems([&error]),
            other => output::complain(&format!("freereed: {other}")),
        }
        ExitCode::from(2)
    }
}

/// Problems as JSON on standard output. That it cannot be printed adds nothing to what is told on standard error.
fn print_problems(problems: &[Problem]) {
    let all = serde_json::json!({ "problems": problems });
    let _ = output::print(&serde_json::to_string_pretty(&all).unwrap_or_default());
}

/// A call that cannot be understood, or a request for help or the version: tells it and gives the exit code.
pub fn show_call(error: &clap::Error, json: bool) -> ExitCode {
    if json && error.use_stderr() {
        let whole = error.render().to_string();
        let message = whole.split("\n\n").next().unwrap_or_default().trim_start_matches("error: ");
        print_problems(&[Problem::of_file("", message)]);
    }
    let _ = error.print();
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
}

/// Most problems of a command that are shown with their lines; more are one line each.
const MOST_SHOWN: usize = 20;
/// Longest line of a file that is shown.
const LONGEST_LINE: usize = 300;

/// Shows every problem, with the line of the user's file where it stands.
pub fn show_problems<'a>(errors: impl IntoIterator<Item = &'a SheetError>) {
    let mut shown = 0;
    for error in errors {
        let source = || NamedSource::new(&error.source_name, error.source_text.to_string());
        for problem in &error.problems {
            if shown < MOST_SHOWN && problem.file == error.source_name && can_be_shown(problem, &error.source_text) {
                output::complain(&format!("{:?}", Report::new(Shown(problem.clone())).with_source_code(source())));
                shown += 1;
            } else {
                output::complain(&format!("freereed: {problem}"));
            }
        }
    }
}

/// Shows what is wrong with the rows of a job; what a row begun still needs is told by
/// [`still_to_measure`](super::still_to_measure). Either is a failure of some rows.
pub fn show_bad_rows(job: &Job) -> Outcome {
    show_problems(job.bad_rows().filter(|row| row.still_needs().is_none()).map(|row| &row.error));
    if job.bad_rows().next().is_none() { Outcome::Done } else { Outcome::SomeFailed }
}

/// Whether the lines about a problem fit on a screen.
fn can_be_shown(problem: &Problem, text: &str) -> bool {
    let Some(line) = problem.line.filter(|_| problem.span.is_some()) else { return false };
    let about = text.lines().skip(line.saturating_sub(2)).take(3);
    about.map(str::len).max().is_some_and(|longest| longest <= LONGEST_LINE)
}

/// A problem as miette shows it: the cure stands below the line of the file, as help.
#[derive(Debug, thiserror::Error)]
#[error("{}", (.0).clone().without_cure())]
struct Shown(Problem);

impl Diagnostic for Shown {
    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let span = self.0.span.clone()?;
        Some(Box::new(std::iter::once(LabeledSpan::new_with_span(Some(self.0.message.clone()), span))))
    }

    fn help(&self) -> Option<Box<dyn std::fmt::Display + '_>> {
        let cure = self.0.cure.as_ref()?;
        Some(Box::new(cure))
    }
}
