//! How the pitch of a sounding reed moves with the mouth pressure.

mod draw;

use super::Picture;
use super::branch::BranchLine;
use super::plottable;
use super::window::PlayerPressures;
use crate::sheet::notes::cents;

/// A point of steady sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PitchPoint {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// Sounding frequency (Hz); `None` leaves a gap in the line.
    pub frequency_hz: Option<f64>,
    /// Whether the sound lasts against small disturbances.
    pub is_stable: bool,
}

/// Sounding frequency over the mouth pressure, in cents from the plucked pitch, with Hz and notes beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct PitchCurveChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// Plucked pitch (Hz): the reference line.
    pub plucked_hz: f64,
    /// Frequency of A4 (Hz), from which notes are named, in equal temperament.
    pub a4_hz: f64,
    /// Steady sound from onset to its end, in the order of the branch: it may turn back in pressure.
    pub points: Vec<PitchPoint>,
    /// Where sound begins from rest (Pa).
    pub onset_pa: Option<f64>,
    /// What the player gives at the note of the reed.
    pub player: Option<PlayerPressures>,
    /// Assumptions, model version and how far to trust the pitch, set small below the chart.
    pub small_print: String,
}

impl PitchCurveChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::Drawing { chart: self, line: self.line() }.picture()
    }

    fn plucked_hz(&self) -> Option<f64> {
        plottable(self.plucked_hz)
    }

    /// The branch in cents.
    fn line(&self) -> BranchLine {
        let from_pluck = |hz: f64| Some(cents(plottable(hz)?, self.plucked_hz()?));
        BranchLine::new(
            self.points
                .iter()
                .map(|point| (point.pressure_pa, point.frequency_hz.and_then(from_pluck), point.is_stable)),
        )
    }
}
