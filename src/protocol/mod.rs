//! The test protocol of a set: what to pluck, blow and record before it is signed off, doubtful reeds first, and what the newest
//! rounds of measuring say of it.
//!
//! A reed is tested by itself where something is wrong with it or cannot be told, and then only in that; in all where it was worked
//! on in the last round that names it. Where many cannot be told, a few of them, spread over the pitch, are tested first: what they
//! show is a round of measuring, after which the others are asked again. What is likely or sure to be good is tested in three sweeps over the whole set, what is
//! only likely first, and notes that sound together by pairs. What rounds tell of a reed since it was last worked on stands beside
//! its tests. Minutes are assumed.

mod found;
mod later;
mod test;

pub use found::{Found, TestResult};
pub use test::Test;

use later::later;
use serde::Serialize;

use crate::instrument::{Assessment, Finding, MarginOf, PairAssessment, ReedAssessment, Surety};
use crate::sheet::{Breath, Job, Note, Operation, Slide};

/// Why a reed is tested by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// Something is wrong with it, likely or surely.
    Wrong,
    /// Nobody can tell whether it is good.
    CannotTell,
    /// It was worked on in the last round that names it.
    WorkedOn,
    /// It was tested since, and is good.
    Tested,
}

impl Why {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Wrong => "wrong by what is known: mend it first, or show that it is good",
            Self::CannotTell => "cannot be told",
            Self::WorkedOn => "worked on last",
            Self::Tested => "tested since",
        }
    }
}

/// One test of one reed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// What is tested.
    pub test: Test,
    /// Mouth pressure to blow with, or not to pass (Pa), where it is blown.
    pub pressure_pa: Option<f64>,
    /// Time in which it must speak (s), where that is tested.
    pub allowed_s: Option<f64>,
    /// Pitch that it should have (Hz), where that is tested.
    pub target_hz: Option<f64>,
    /// What a round of measuring says since the reed was last worked on.
    pub found: Option<Found>,
}

/// A reed that is tested by itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReedTests {
    /// `5-blow-in`.
    pub reed: String,
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// Its note.
    #[serde(serialize_with = "as_text")]
    pub note: Note,
    /// Why.
    pub why: Why,
    /// The tests, in the order in which to do them.
    pub steps: Vec<Step>,
}

/// Two notes that are recorded together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairTest {
    /// Id of the lower reed.
    pub lower: String,
    /// Id of the upper.
    pub upper: String,
    /// Beats that the tuning means (1/s), where the interval beats.
    pub meant_per_s: Option<f64>,
}

/// What is tested of the whole set at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sweep {
    /// Every reed plucked into one recording.
    Plucks,
    /// Every reed started at the player's soft pressure.
    Soft,
    /// Every reed attacked hard.
    Hard,
}

/// The protocol of a set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Protocol {
    /// Reeds that are tested by themselves, the most doubtful first.
    pub reeds: Vec<ReedTests>,
    /// Reeds that cannot be told either, and wait for what those show that are tested: by pitch.
    pub later: Vec<String>,
    /// Notes that sound together, those that are off first.
    pub pairs: Vec<PairTest>,
    /// Reeds that are likely to be good, not sure: the first of each sweep.
    pub likely: Vec<String>,
    /// What is tested of all.
    pub sweeps: [Sweep; 3],
    /// How many reeds a sweep has.
    pub reeds_in_set: usize,
    /// Rows of the sheet that could not be assessed, and are tested in the sweeps alone.
    pub not_assessed: Vec<String>,
    /// Minutes for all that is not found yet (assumed).
    pub minutes: f64,
}

/// Most pairs that are recorded.
const MOST_PAIRS: usize = 6;
/// Minutes for two notes together, and for one reed in a sweep, its hole found and a note taken (assumed).
const PAIR_MINUTES: f64 = 0.5;
const SWEPT_MINUTES: f64 = 0.05;

impl Sweep {
    /// All, in the order in which to do them.
    pub const ALL: [Self; 3] = [Self::Plucks, Self::Soft, Self::Hard];
}

impl Protocol {
    /// Of a job that was assessed with how sure that is.
    pub fn of(job: &Job, assessment: &Assessment) -> Self {
        let mut ranked: Vec<(Why, f64, ReedTests)> =
            assessment.good_rows().filter_map(|reed| reed_tests(job, reed)).collect();
        ranked.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut reeds: Vec<ReedTests> = ranked.into_iter().map(|(_, _, tests)| tests).collect();
        let later = later(&reeds, |id| found::worked_on_last(job, id));
        reeds.retain(|reed| !later.contains(&reed.reed));
        let pairs = pairs(job, assessment);
        let open = reeds.iter().flat_map(|reed| &reed.steps).filter(|step| step.found.is_none());
        let swept = (assessment.reeds.len() * Sweep::ALL.len()) as f64;
        let minutes = open.map(|step| step.test.minutes()).sum::<f64>()
            + PAIR_MINUTES * pairs.len() as f64
            + SWEPT_MINUTES * swept;
        Self {
            reeds,
            later,
            pairs,
            likely: likely(assessment),
            sweeps: Sweep::ALL,
            reeds_in_set: assessment.reeds.len(),
            not_assessed: assessment.reeds.iter().filter_map(|row| row.as_ref().err()).map(|row| row.name()).collect(),
            minutes,
        }
    }

    /// Tests of single reeds with their outcomes: how many there are, how many were passed, how many failed.
    pub fn done(&self) -> (usize, usize, usize) {
        let steps = || self.reeds.iter().flat_map(|reed| &reed.steps);
        let with = |result: TestResult| {
            steps().filter(|step| step.found.as_ref().is_some_and(|found| found.result == result)).count()
        };
        (steps().count(), with(TestResult::Passed), with(TestResult::Failed))
    }
}

/// A reed that is doubtful, or was worked on, and how likely it is to be good in what is least likely; nothing where it is sure
/// to be good.
fn reed_tests(job: &Job, reed: &ReedAssessment) -> Option<(Why, f64, ReedTests)> {
    let worked_on = found::worked_on_last(job, &reed.reed.id);
    let verdict = reed.verdict();
    let why = match (verdict.good, verdict.surety) {
        (false, Surety::Sure | Surety::Likely) => Why::Wrong,
        (_, Surety::CannotTell) => Why::CannotTell,
        (true, _) if worked_on => Why::WorkedOn,
        (true, _) => Why::Tested,
    };
    let deciding = reed.margins.iter().filter(|margin| margin.of.decides());
    let least = deciding.map(|margin| margin.probability_good).fold(1.0, f64::min);
    // Of what is good only what was tested is told.
    let asked = |step: &Step| step.found.is_some() || why != Why::Tested && (worked_on || is_doubtful(reed, step.test));
    let steps: Vec<Step> = Test::ALL.into_iter().map(|test| step(job, reed, test)).filter(asked).collect();
    if steps.is_empty() {
        return None;
    }
    let reed = &reed.reed;
    let (hole, breath, slide, note) = (reed.hole, reed.breath, reed.slide, reed.note);
    Some((why, least, ReedTests { reed: reed.id.clone(), hole, breath, slide, note, why, steps }))
}

fn likely(assessment: &Assessment) -> Vec<String> {
    let only_likely = |reed: &&ReedAssessment| {
        let verdict = reed.verdict();
        verdict.good && verdict.surety == Surety::Likely
    };
    assessment.good_rows().filter(only_likely).map(|reed| reed.reed.id.clone()).collect()
}

/// Whether what a test shows is not sure to be good.
fn is_doubtful(reed: &ReedAssessment, test: Test) -> bool {
    let not_sure = |of: MarginOf| {
        reed.margin(of).is_some_and(|margin| {
            let verdict = margin.verdict();
            !verdict.good || verdict.surety != Surety::Sure
        })
    };
    let found = |is: fn(&Finding) -> bool| reed.findings.iter().any(is);
    let by_word = found(|finding| matches!(finding, Finding::PlayersWord(_)));
    let silent = found(|finding| matches!(finding, Finding::NeverSpeaks { .. }));
    match test {
        Test::Pluck => {
            not_sure(MarginOf::Pitch)
                || found(|it| matches!(it, Finding::OutOfTune { .. } | Finding::Contradiction { .. }))
        }
        Test::SoftestBlow => {
            not_sure(MarginOf::Soft)
                || silent
                || found(|it| matches!(it, Finding::HarderThanComputed { .. } | Finding::OutOfRun { .. }))
        }
        Test::SoftStart => not_sure(MarginOf::Soft) || silent || by_word,
        Test::QuickStart => not_sure(MarginOf::Time) || by_word,
        Test::HardStart => not_sure(MarginOf::Hard),
        Test::Rattle => not_sure(MarginOf::Clearance) || found(|it| matches!(it, Finding::OffCentre { .. })),
        Test::Leak => not_sure(MarginOf::Leak),
    }
}

fn step(job: &Job, reed: &ReedAssessment, test: Test) -> Step {
    let pressure_pa = match test {
        Test::SoftestBlow | Test::SoftStart => Some(reed.asked.soft_pa.value),
        Test::QuickStart => Some(reed.pressures.normal_pa),
        Test::HardStart => Some(reed.asked.hard_pa.value),
        Test::Rattle => Some(reed.pressures.hard_pa),
        Test::Pluck | Test::Leak => None,
    };
    let allowed_s = match test {
        Test::QuickStart => Some(reed.asked.time_s.value),
        Test::SoftStart | Test::HardStart => Some(reed.demand.allowed_s),
        _ => None,
    };
    Step {
        test,
        pressure_pa,
        allowed_s,
        target_hz: (test == Test::Pluck).then_some(reed.reed.target_hz),
        found: found::found(job, reed, test),
    }
}

/// Pairs that are off, then the job's own.
fn pairs(job: &Job, assessment: &Assessment) -> Vec<PairTest> {
    let off = assessment.pairs_off();
    let own = assessment.pairs.iter().filter(|pair| !job.pairs.is_empty() && !pair.is_off());
    let test = |pair: &PairAssessment| PairTest {
        lower: pair.lower.clone(),
        upper: pair.upper.clone(),
        meant_per_s: pair.beats.map(|beats| beats.meant_per_s),
    };
    off.into_iter().chain(own).take(MOST_PAIRS).map(test).collect()
}

fn as_text<S: serde::Serializer>(note: &Note, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(note)
}

/// Whether an operation leaves a reed another than before.
fn is_work(operation: Option<Operation>) -> bool {
    operation.is_some_and(|operation| operation != Operation::Measure)
}
