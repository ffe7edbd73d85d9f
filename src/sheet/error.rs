//! What is wrong with what was typed: every problem at once, each with its place and its cure.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use super::source::{Place, Source, shortened};

/// Most problems of one file that are listed.
const MOST_PROBLEMS: usize = 200;

/// What kind of problem it is, where that decides what is said of a row.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum ProblemKind {
    /// A mistake.
    #[default]
    Wrong,
    /// A key that is needed and was not given.
    Missing,
    /// A row with no measurement of its own.
    NotMeasured,
}

/// One thing that is wrong, where it is, and what to try.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Problem {
    /// Name of the file.
    pub file: String,
    /// Line, counted from 1; none when the problem is the file itself.
    pub line: Option<usize>,
    /// Column in characters, counted from 1.
    pub column: Option<usize>,
    /// The key, table or column in question; empty when there is none.
    pub key: String,
    /// The value as typed.
    pub value: Option<String>,
    /// What would be allowed, with the reason.
    pub allowed: Option<String>,
    /// What to try.
    pub cure: Option<String>,
    /// What is wrong.
    pub message: String,
    /// Bytes of the value in the text of [`Problem::file`].
    pub span: Option<Range<usize>>,
    #[serde(skip)]
    pub(super) kind: ProblemKind,
}

impl Problem {
    /// A problem with a file as a whole.
    pub fn of_file(file: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            file: file.into(),
            line: None,
            column: None,
            key: String::new(),
            value: None,
            allowed: None,
            cure: None,
            message: message.into(),
            span: None,
            kind: ProblemKind::Wrong,
        }
    }

    /// A problem with something that stands at `place`.
    pub fn at(place: &Place, key: impl Into<String>, message: impl Into<String>) -> Self {
        let typed = place.typed();
        Self {
            line: Some(place.line()),
            column: Some(place.column()),
            key: shortened(&key.into()),
            value: (!typed.is_empty()).then_some(typed),
            span: Some(place.span()),
            ..Self::of_file(place.file(), message)
        }
    }

    /// A key that is needed and was not given; `place` is where it would belong.
    pub(super) fn missing(place: &Place, key: &str) -> Self {
        Self { kind: ProblemKind::Missing, ..Self::at(place, key, "is missing").without_value() }
    }

    /// Whether it is a key that is needed and was not given.
    pub fn is_missing(&self) -> bool {
        self.kind == ProblemKind::Missing
    }

    /// The same problem, with what would be allowed.
    #[must_use]
    pub fn allowed(self, allowed: impl Into<String>) -> Self {
        Self { allowed: Some(allowed.into()), ..self }
    }

    /// The same problem, with what to try.
    #[must_use]
    pub fn cure(self, cure: impl Into<String>) -> Self {
        Self { cure: Some(cure.into()), ..self }
    }

    /// The same problem without what to try.
    #[must_use]
    pub fn without_cure(self) -> Self {
        Self { cure: None, ..self }
    }

    /// The same problem without the text at its place: for a key, not a value, or for something missing.
    #[must_use]
    pub fn without_value(self) -> Self {
        Self { value: None, ..self }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.file)?;
        if let Some(line) = self.line {
            write!(f, "{line}:")?;
        }
        write!(f, " ")?;
        match (self.key.as_str(), &self.value) {
            ("", _) => {}
            (key, Some(value)) => write!(f, "{key} = {value}: ")?,
            (key, None) => write!(f, "{key}: ")?,
        }
        f.write_str(&self.message)?;
        if let Some(allowed) = &self.allowed {
            write!(f, "; allowed: {allowed}")?;
        }
        if let Some(cure) = &self.cure {
            write!(f, "; try: {cure}")?;
        }
        Ok(())
    }
}

/// Everything that is wrong with a file, or with one row of it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", one_a_line(.problems))]
pub struct SheetError {
    /// Name of the file that was read.
    pub source_name: String,
    /// Its text; empty when it could not be read. Spans of problems whose `file` is [`SheetError::source_name`] fall in it.
    pub source_text: Arc<str>,
    /// The problems, in the order of the text; never empty.
    pub problems: Vec<Problem>,
}

impl SheetError {
    /// Problems found in `source` or because of it; those in it come first, in the order of the text.
    pub fn new(source: &Source, mut problems: Vec<Problem>) -> Self {
        let place = |problem: &Problem| problem.span.as_ref().map_or(0, |span| span.start);
        problems.sort_by_key(|problem| (problem.file != source.name(), place(problem)));
        let more = problems.len().saturating_sub(MOST_PROBLEMS);
        if more > 0 {
            problems.truncate(MOST_PROBLEMS);
            problems.push(Problem::of_file(source.name(), format!("has {more} more problems, which are not listed")));
        }
        Self { source_name: source.name().to_owned(), source_text: source.text().clone(), problems }
    }

    /// A file that cannot be read as text at all.
    pub fn unreadable(problem: Problem) -> Self {
        Self { source_name: problem.file.clone(), source_text: "".into(), problems: vec![problem] }
    }

    /// The problems whose span can be shown in [`SheetError::source_text`].
    pub fn shown(&self) -> impl Iterator<Item = (&Problem, Range<usize>)> {
        let here = self.problems.iter().filter(|problem| problem.file == self.source_name);
        here.filter_map(|problem| Some((problem, problem.span.clone()?)))
    }
}

fn one_a_line(problems: &[Problem]) -> String {
    problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_reads_as_one_line() {
        let source = Source::new("bench.toml", "[reed]\nlength_mm = -3\n");
        let problem =
            Problem::at(&source.place(19..21), "length_mm", "too small").allowed("3 to 80 mm").cure("measure");
        let text = "bench.toml:2: length_mm = -3: too small; allowed: 3 to 80 mm; try: measure";
        assert_eq!(problem.to_string(), text);
        assert_eq!((problem.line, problem.column), (Some(2), Some(13)));
        let error = SheetError::new(&source, vec![problem.clone(), Problem::of_file("b", "is empty")]);
        assert_eq!(error.to_string(), format!("{text}\nb: is empty"));
        assert_eq!(error.shown().count(), 1);
    }

    #[test]
    fn a_flood_of_problems_is_cut_and_says_so() {
        let source = Source::new("x", "a");
        let error = SheetError::new(&source, vec![Problem::at(&source.place(0..1), "y".repeat(1000), "no"); 1000]);
        assert_eq!(error.problems.len(), 201);
        assert_eq!(error.problems[200].message, "has 800 more problems, which are not listed");
        assert_eq!(error.problems[0].key.len(), 63);
    }
}
