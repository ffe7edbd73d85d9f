//! What the reeds of a set have in common and nobody measured, as unknowns of unit variance.

use nalgebra::{SMatrix, SVector};

use super::INFERRED;
use crate::sheet::keys::find;
use crate::sheet::spread::{Law, Spread};

/// So far above onset a softest blow is read, as nobody waits for ever, and by so much hose, habit and patience move all that
/// one person reads (logarithms, the second a standard deviation; assumed: from onset itself to the pressure at which the reed
/// speaks as soon as it is to, twice that).
const HABIT: [f64; 2] = [0.3, 0.4];
/// How far that habit may be another an octave higher (the same measure; assumed).
const HABIT_WITH_PITCH: f64 = 0.2;
/// By so much the power of the frequency with which the quality factor goes may be off (a standard deviation; assumed).
const POWER: f64 = 0.35;

/// What is unknown of a set.
#[derive(Debug, Clone, Copy)]
pub(super) enum Unknown {
    /// Loss of all tongues.
    Loss,
    /// Loss that goes otherwise with pitch.
    LossWithPitch,
    /// Inertance of the air.
    Inertance,
    /// The way softest blows are read.
    Blown,
    /// The way they are read of high notes otherwise than of low ones.
    BlownWithPitch,
}

const UNKNOWNS: usize = 5;
pub(super) type Row = SVector<f64, UNKNOWNS>;
pub(super) type Square = SMatrix<f64, UNKNOWNS, UNKNOWNS>;

/// A key that is inferred: its standard deviation, as a logarithm, and the share of its variance that a set has in common.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prior {
    deviation: f64,
    common: f64,
}

impl Prior {
    fn of(name: &str) -> Option<Self> {
        match find(name)?.spread? {
            Spread { law: Law::Times(times), common } => Some(Self { deviation: times.ln() / Spread::Z_90, common }),
            _ => None,
        }
    }

    pub(super) fn shared(&self) -> f64 {
        self.deviation * self.common.sqrt()
    }

    pub(super) fn own_variance(&self) -> f64 {
        self.deviation * self.deviation * (1.0 - self.common)
    }
}

/// Those of what is inferred.
#[derive(Debug, Clone, Copy)]
pub(super) struct Priors {
    pub(super) loss: Prior,
    pub(super) inertance: Prior,
}

impl Priors {
    pub(super) fn of_keys() -> Option<Self> {
        Some(Self { loss: Prior::of(INFERRED[0])?, inertance: Prior::of(INFERRED[1])? })
    }

    /// What the logarithm of the quality factor goes with.
    pub(super) fn by_loss(&self, frequency_hz: f64) -> Row {
        let with_pitch = POWER * (frequency_hz / A4_HZ).ln();
        unit(Unknown::Loss) * self.loss.shared() + unit(Unknown::LossWithPitch) * with_pitch
    }

    /// What the logarithm of the inertance goes with.
    pub(super) fn by_inertance(&self) -> Row {
        unit(Unknown::Inertance) * self.inertance.shared()
    }
}

pub(super) fn unit(of: Unknown) -> Row {
    let mut row = Row::zeros();
    row[of as usize] = 1.0;
    row
}

/// What the logarithm of a softest blow goes with, besides onset.
pub(super) fn by_habit(frequency_hz: f64) -> Row {
    let octaves = (frequency_hz / A4_HZ).log2();
    unit(Unknown::Blown) * HABIT[1] + unit(Unknown::BlownWithPitch) * HABIT_WITH_PITCH * octaves
}

/// How far the logarithm of a softest blow is above that of onset.
pub(super) fn ln_above_onset(found: &Row, frequency_hz: f64) -> f64 {
    HABIT[0] + by_habit(frequency_hz).dot(found)
}

/// Where the usual loss is anchored.
const A4_HZ: f64 = 440.0;
