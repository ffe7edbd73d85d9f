//! What is wrong with one reed in few words, and what to do about it.

use crate::instrument::work::{Plan, Remeasure};
use crate::instrument::{Cause, Finding, IN_TUNE_CENTS, MarginOf, PitchFrom, ReedAssessment, Surety, Why};
use crate::sheet::{Feel, Job};
use crate::study::changed::tip_gap_m;
use crate::units::metres;
use crate::workshop::care::Care;

/// A reed and the one finding it is told by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lead<'a> {
    pub(super) reed: &'a ReedAssessment,
    finding: &'a Finding,
    /// How sure it is that something is wrong with the reed.
    wrong: Surety,
    /// How many times the limit it is at: 1 where it just meets it, infinite where nothing can be held against it.
    far: f64,
}

impl<'a> Lead<'a> {
    /// Of a reed with which something is likely to be wrong: that it does not speak, else the first finding that can be told.
    pub(super) fn of(reed: &'a ReedAssessment) -> Option<Self> {
        let told = |finding: &&Finding| finding.surety(reed) >= Surety::Likely;
        let likely = reed.findings.iter().find(told)?;
        let silent = reed.findings.iter().find(|finding| matches!(finding, Finding::NeverSpeaks { .. }));
        let finding = silent.unwrap_or(likely);
        let wrong = reed.findings.iter().map(|finding| finding.surety(reed)).max()?;
        Some(Self { reed, finding, wrong, far: far(finding, reed) })
    }

    pub(super) fn id(&self) -> &'a str {
        &self.reed.reed.id
    }

    /// What it has in common with others that fail alike.
    pub(super) fn group(&self) -> &'static str {
        match (self.finding, self.finding.why()) {
            (_, Some(why)) => why.cause.name(),
            (Finding::OutOfTune { .. }, _) => "out of tune",
            (Finding::PlayersWord(_), _) => "the player's word",
            (other, _) => other.kind(),
        }
    }

    /// The surest first, and of those as sure the furthest off.
    pub(super) fn worse_first(&self, other: &Self) -> std::cmp::Ordering {
        other.wrong.cmp(&self.wrong).then(other.far.total_cmp(&self.far))
    }

    /// What is wrong, how sure, and what to do: a sentence.
    pub(super) fn sentence(&self, job: &Job) -> String {
        let surety = self.finding.surety(self.reed).words();
        let action = self.action(job);
        match self.finding.why() {
            Some(Why { cause: Cause::TongueOrChamber | Cause::NothingToCompare, .. }) => {
                let whole = self.finding.sentence();
                let symptom = whole.split(": ").next().unwrap_or(&whole);
                let word = self.reed.says.filter(|feel| *feel != Feel::Good);
                let word = word.map(|feel| format!(", and the player finds it {}", feel.word())).unwrap_or_default();
                format!("{symptom} ({surety}){word}: {}.", action.unwrap_or_default())
            }
            Some(why) => {
                format!("{} ({surety}), {}: {}.", self.finding.kind(), why.phrase(), action.unwrap_or_default())
            }
            None => match action {
                Some(action) => format!("{} ({surety}): {action}.", self.finding.sentence()),
                None => format!("{} ({surety}).", self.finding.sentence()),
            },
        }
    }

    /// What to do; nothing where its sentence says it.
    fn action(&self, job: &Job) -> Option<String> {
        Some(match self.finding {
            Finding::NotInTime { why: Why { cause, .. }, .. }
            | Finding::OutOfRun { cause, .. }
            | Finding::NeverSpeaks { why: Why { cause, .. } } => match (cause, self.reed.says) {
                (Cause::TongueOrChamber, Some(feel @ (Feel::TooStiff | Feel::Late))) => Self::of_a_word(feel),
                _ => cause.cure().to_owned(),
            },
            Finding::HarderThanComputed { .. } => return None,
            Finding::OutOfTune { from: PitchFrom::Computed, .. } => "pluck it".to_owned(),
            Finding::OutOfTune { cents, .. } => match Care::before_tuning(*cents) {
                Some(care) => format!("{}, then tune it (retune)", care.title()),
                None => "tune it (retune)".to_owned(),
            },
            Finding::PlayersWord(feel) => Self::of_a_word(*feel),
            Finding::BehindTarget { .. } => self.beside_counterpart(job)?,
            Finding::Contradiction { .. } | Finding::OffCentre { .. } => return None,
        })
    }

    /// What to do about a word of the player, where nothing else explains it.
    fn of_a_word(feel: Feel) -> String {
        match feel {
            Feel::Airy => Plan::Measure(Remeasure::Leak).short(),
            _ => "try another gap (regap --best), then its valve".to_owned(),
        }
    }

    /// What sets it apart from its counterpart in the target: its gap, where that is another than there.
    fn beside_counterpart(&self, job: &Job) -> Option<String> {
        /// Gaps within a tenth are taken as alike.
        const ALIKE: f64 = 0.1;
        let there = job.target.as_ref()?.reed(&self.reed.reed.id)?;
        let [own, theirs] = [&self.reed.reed, there].map(|reed| tip_gap_m(&reed.checked.reed));
        Some(if (own / theirs - 1.0).abs() > ALIKE {
            let cure = Cause::GapTooWide { gap_m: own, usual_m: theirs }.cure();
            format!("tip gap {}, there {}: {cure}", metres(own), metres(theirs))
        } else {
            "compare slot, seal and fastening".to_owned()
        })
    }
}

fn far(finding: &Finding, reed: &ReedAssessment) -> f64 {
    // The margin is the logarithm of the limit over what was found.
    let beyond = |of: MarginOf| reed.margin(of).and_then(|margin| margin.value).map_or(f64::INFINITY, |it| (-it).exp());
    match finding {
        Finding::NeverSpeaks { .. } | Finding::Contradiction { .. } => f64::INFINITY,
        Finding::NotInTime { .. } | Finding::BehindTarget { .. } => finding.margin().map_or(f64::INFINITY, beyond),
        Finding::PlayersWord(_) | Finding::OutOfRun { .. } => 1.0,
        Finding::HarderThanComputed { blown_pa, computed_pa, .. } => blown_pa / computed_pa,
        Finding::OutOfTune { cents, .. } => cents.abs() / IN_TUNE_CENTS,
        Finding::OffCentre { least_m, other_m, .. } => 0.25 * (least_m + other_m) / least_m,
    }
}
