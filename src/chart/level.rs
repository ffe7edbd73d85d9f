//! How loud a reed is at each pressure, and where its playing ends.

mod draw;

use super::Picture;
use super::branch::BranchLine;
use super::plottable;
use super::window::PlayerPressures;

/// A point of steady sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelPoint {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// Sound pressure level at 1 m in front (dB); `None` leaves a gap in the line.
    pub level_db: Option<f64>,
    /// Whether the sound lasts against small disturbances.
    pub is_stable: bool,
}

/// One end of the playable window.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelEnd {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// Level there (dB at 1 m), where it is known.
    pub level_db: Option<f64>,
    /// Why the window ends here, in a few words such as "too slow below"; may be empty.
    pub reason: String,
}

/// Level over the mouth pressure, with the ends of the playable window, of sound that lasts, and of starting from rest.
///
/// The dynamic range, from the level at the lowest to that at the highest playable pressure, is a bracket at the right.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// Steady sound from onset to its end, in the order of the branch: it may turn back in pressure.
    pub points: Vec<LevelPoint>,
    /// Where sound begins from rest (Pa).
    pub onset_pa: Option<f64>,
    /// Where a slow blow no longer starts it (Pa); `None` if there is no such pressure below the limit.
    pub choke_pa: Option<f64>,
    /// The lowest playable pressure; `None` where there is no window.
    pub lowest: Option<LevelEnd>,
    /// The highest.
    pub highest: Option<LevelEnd>,
    /// The lowest pressure that keeps a sounding reed sounding (Pa).
    pub keeps_from_pa: Option<f64>,
    /// The highest that does (Pa); `None` if it goes on to the limit.
    pub keeps_to_pa: Option<f64>,
    /// What the player gives at the note of the reed.
    pub player: Option<PlayerPressures>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl LevelChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let points = self.points.iter().map(|point| (point.pressure_pa, point.level_db, point.is_stable));
        draw::Drawing { chart: self, line: BranchLine::new(points) }.picture()
    }

    /// The ends of the playable window, if both are known.
    fn window(&self) -> Option<(&LevelEnd, &LevelEnd)> {
        let known = |end: &&LevelEnd| plottable(end.pressure_pa).is_some();
        self.lowest.as_ref().filter(known).zip(self.highest.as_ref().filter(known))
    }

    /// Levels at the ends of the window (dB), as they are printed.
    fn range_db(&self) -> Option<(f64, f64)> {
        let (lowest, highest) = self.window()?;
        let known =
            |end: &LevelEnd| end.level_db.filter(|db| db.abs() <= super::LARGEST).map(|db| (10.0 * db).round() / 10.0);
        known(lowest).zip(known(highest))
    }
}
