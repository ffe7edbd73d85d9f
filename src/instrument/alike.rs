//! A set that fails its player alike: it is judged by its own run.
//!
//! Where many reeds fail what the player asks, that speaks of what is asked, or of what is assumed of player and chamber, and
//! not of the single reed. Each is then judged by the run of its neighbours in pitch: by onset at the soft pressure, by its
//! time at the normal one, by the upper end of its window at the hard one, and by onset where it has no such figure.

use super::assess::ReedAssessment;
use super::figure::Figure;
use super::finding::Finding;
use super::findings::findings;
use super::jump::beyond_scatter;
use super::margin::{Against, Margin, MarginOf};
use super::neighbours::Neighbours;
use super::run::{OffRun, off_runs};
use super::word::NOTICED;
use crate::sheet::RowError;
use crate::trend::Trend;

/// Share of a set that fails from which on it fails alike (common practice, no source).
const ALIKE: f64 = 1.0 / 3.0;

/// How many reeds fail; nothing where what the player asks stands.
pub(super) fn failing(reeds: &[Result<ReedAssessment, RowError>]) -> Option<usize> {
    let good = reeds.iter().flatten();
    let failing = good.clone().filter(|reed| fails(reed)).count();
    (failing as f64 >= ALIKE * good.count() as f64 && failing >= Trend::FEWEST).then_some(failing)
}

/// Judges a set by its run where it fails alike; says how many fail.
pub(super) fn by_the_run(reeds: &mut [Result<ReedAssessment, RowError>], neighbours: &Neighbours) -> Option<usize> {
    let failing = failing(reeds)?;
    let good: Vec<&ReedAssessment> = reeds.iter().flatten().collect();
    let [onset, time, high] = [Figure::Onset, Figure::Time, Figure::High].map(|figure| Beside::of(figure, &good));
    for (k, reed) in reeds.iter_mut().flatten().enumerate() {
        let by_run = [(MarginOf::Soft, &onset), (MarginOf::Time, &time), (MarginOf::Hard, &high)]
            .into_iter()
            .filter_map(|(of, beside)| beside.margin(k, of).or_else(|| onset.margin(k, of)));
        for margin in by_run {
            let demand = reed.margins.iter_mut().find(|old| old.of == margin.of && old.against == Against::Demand);
            if let Some(old) = demand {
                *old = margin;
            }
        }
        reed.findings = findings(reed, neighbours);
    }
    Some(failing)
}

fn fails(reed: &ReedAssessment) -> bool {
    reed.findings.iter().any(|finding| matches!(finding, Finding::NotInTime { .. } | Finding::NeverSpeaks { .. }))
}

/// A figure of every reed beside the run of the set.
struct Beside {
    figure: Figure,
    off: Vec<Option<OffRun>>,
    /// From here on it stands out.
    limit: f64,
}

impl Beside {
    fn of(figure: Figure, reeds: &[&ReedAssessment]) -> Self {
        let off = off_runs(figure, reeds);
        let limit = beyond_scatter(NOTICED, off.iter().flatten().map(|run| run.off));
        Self { figure, off, limit }
    }

    /// How far a reed is from standing out to the worse; nothing where it has no such figure.
    fn margin(&self, reed: usize, of: MarginOf) -> Option<Margin> {
        let OffRun { off, uncertainty } = self.off[reed]?;
        // A higher end is better, a later start is worse.
        let (better, known) =
            if self.figure == Figure::High { (off, uncertainty) } else { (-off, uncertainty.turned()) };
        Some(Margin { against: Against::Run, ..Margin::new(of, self.limit + better, &known) })
    }
}
