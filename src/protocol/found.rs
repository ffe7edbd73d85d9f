//! What rounds of measuring say of a test, since the reed was last worked on.

use serde::Serialize;

use super::{Test, is_work};
use crate::instrument::{IN_TUNE_CENTS, ReedAssessment};
use crate::sheet::keys::Table;
use crate::sheet::{Feel, Job, RoundRow, Value, notes};

/// How a test came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TestResult {
    /// As it should.
    Passed,
    /// Not as it should.
    Failed,
    /// It was measured, and says nothing of good or bad by itself.
    Told,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    /// The round of measuring.
    pub round: String,
    /// The value in the unit of its column; nothing where it is a word.
    pub value: Option<f64>,
    /// The player's word, where it is one.
    pub word: Option<&'static str>,
    /// How the test came out.
    pub result: TestResult,
}

/// A reed's rows of the rounds, the newest first, back to the one in which it was last worked on.
fn since_work<'a>(job: &'a Job, id: &'a str) -> impl Iterator<Item = (String, &'a RoundRow)> {
    let rows = job.rounds.iter().rev().filter_map(move |round| Some((round.name(), round.row(id)?.as_ref().ok()?)));
    let mut before_work = false;
    rows.take_while(move |(_, row)| {
        let counts = !before_work;
        before_work |= is_work(row.operation);
        counts
    })
}

/// Whether a reed was worked on in the last round of the job that names it.
pub(super) fn worked_on_last(job: &Job, id: &str) -> bool {
    let last = job.rounds.iter().rev().find_map(|round| round.row(id)?.as_ref().ok());
    last.is_some_and(|row| is_work(row.operation))
}

/// What the rounds say of a test.
pub(super) fn found(job: &Job, reed: &ReedAssessment, test: Test) -> Option<Found> {
    since_work(job, &reed.reed.id).find_map(|(round, row)| {
        let (value, word, result) = told(reed, row, test)?;
        Some(Found { round, value, word, result })
    })
}

fn told(reed: &ReedAssessment, row: &RoundRow, test: Test) -> Option<(Option<f64>, Option<&'static str>, TestResult)> {
    let passes = |good: bool| if good { TestResult::Passed } else { TestResult::Failed };
    let number = |table: Table| match row.layer.get(table, test.column())?.value {
        Value::Number(number) => Some(number),
        _ => None,
    };
    match test {
        Test::Pluck => {
            let hz = number(Table::Reed)?;
            Some((Some(hz), None, passes(notes::cents(hz, reed.reed.target_hz).abs() <= IN_TUNE_CENTS)))
        }
        Test::SoftestBlow => {
            let pressure_pa = number(Table::Reed)?;
            Some((Some(pressure_pa), None, passes(pressure_pa <= reed.asked.soft_pa.value)))
        }
        Test::Leak => Some((Some(number(Table::Slot)?), None, TestResult::Told)),
        // "Too stiff" is said of soft playing, "late" of quick; "good" of all.
        Test::SoftStart | Test::QuickStart | Test::HardStart => match (row.feel?, test) {
            (feel @ Feel::Good, _) => Some((None, Some(feel.word()), TestResult::Passed)),
            (feel @ Feel::TooStiff, Test::SoftStart) | (feel @ Feel::Late, Test::QuickStart) => {
                Some((None, Some(feel.word()), TestResult::Failed))
            }
            _ => None,
        },
        Test::Rattle => None,
    }
}
