//! What stops a command, and how it is shown.

use std::io;
use std::path::PathBuf;
use std::process::ExitCode;

use freereed::sheet::{Problem, SheetError};
use miette::{Diagnostic, LabeledSpan, NamedSource, Report};

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
    #[error("cannot write {path}: {why}; try another place, or free the space")]
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
            let text = serde_json::to_string_pretty(&serde_json::json!({ "problems": problems }));
            println!("{}", text.unwrap_or_default());
        }
        match self {
            Self::BrokenPipe => return ExitCode::SUCCESS,
            Self::Sheet(error) => show_problems(&error),
            other => eprintln!("freereed: {other}"),
        }
        ExitCode::from(2)
    }
}

/// Shows every problem, with the line of the user's file where it stands.
pub fn show_problems(error: &SheetError) {
    let shown: Vec<_> = error.shown().map(|(problem, _)| problem.clone()).collect();
    for problem in &error.problems {
        if shown.contains(problem) {
            let source = NamedSource::new(&error.source_name, error.source_text.to_string());
            eprintln!("{:?}", Report::new(Shown(problem.clone())).with_source_code(source));
        } else {
            eprintln!("freereed: {problem}");
        }
    }
}

/// A problem as miette shows it.
#[derive(Debug, thiserror::Error)]
#[error("{}", .0)]
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
