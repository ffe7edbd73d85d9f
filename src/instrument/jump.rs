//! Reeds that jump out of the run of their neighbours.

use super::assess::ReedAssessment;
use super::figure::Figure;
use super::run::OffRun;
use super::surety::{Surety, above_zero};
use super::word::NOTICED;
use crate::trend::median;

/// Differences in level under a decibel or so are hardly heard (from memory: the just noticeable difference is 0.5 to 1 dB;
/// Zwicker and Fastl, *Psychoacoustics*, ch. 7).
pub const HEARD_DB: f64 = 1.0;
/// What is looked at for jumps, with what is let pass in its measure: a tenth more or less, a decibel.
pub(super) const LOOKED_AT: [(Figure, f64); 3] =
    [(Figure::Onset, NOTICED), (Figure::Time, NOTICED), (Figure::Level, HEARD_DB)];
/// Standard deviations of the set's own scatter beyond which a reed jumps out.
const SCATTERS: f64 = 3.0;
/// Standard deviation of a normal distribution over its median absolute deviation (any book on robust statistics).
const BY_MEDIAN: f64 = 1.4826;

/// What is let pass: at least `passes`, and three times the scatter of all that is `off`.
pub fn beyond_scatter(passes: f64, off: impl Iterator<Item = f64>) -> f64 {
    let scatter = BY_MEDIAN * median(off.map(f64::abs).collect()).unwrap_or(0.0);
    passes.max(SCATTERS * scatter)
}

/// A reed that is out of the run of its neighbours.
#[derive(Debug, Clone, PartialEq)]
pub struct Jump {
    /// Its id.
    pub reed: String,
    /// In what.
    pub figure: Figure,
    /// How far off the run (`ln`, or dB).
    pub off: f64,
    /// Half of the interval that holds the true one in 80 % of all cases.
    pub uncertainty: f64,
    /// How sure it is that it is off by more than is let pass.
    pub surety: Surety,
}

impl Jump {
    /// How far it is off, in words.
    pub fn words(&self) -> String {
        let more = |word: &str, less: &str| if self.off > 0.0 { word.to_owned() } else { less.to_owned() };
        let percent = 100.0 * (self.off.exp() - 1.0);
        match self.figure {
            Figure::Level => format!("{:.1} dB {}", self.off.abs(), more("louder", "softer")),
            Figure::Onset => format!("starts at {:.0} % {} pressure", percent.abs(), more("more", "less")),
            _ => format!("takes {:.0} % {}", percent.abs(), more("longer", "less time")),
        }
    }
}

/// The reeds that jump out in `figure`: off by more than is let pass, and by more than three times the scatter of the set.
pub(super) fn jumps(figure: Figure, passes: f64, reeds: &[&ReedAssessment], off: &[Option<OffRun>]) -> Vec<Jump> {
    let limit = beyond_scatter(passes, off.iter().flatten().map(|run| run.off));
    let out = reeds.iter().zip(off).filter_map(|(reed, run)| Some((reed, run.filter(|run| run.off.abs() > limit)?)));
    out.map(|(reed, run)| {
        let deviation = run.uncertainty.deviation();
        Jump {
            reed: reed.reed.id.clone(),
            figure,
            off: run.off,
            uncertainty: run.uncertainty.half_interval(),
            surety: Surety::of(above_zero(run.off.abs() - passes, deviation)),
        }
    })
    .collect()
}
