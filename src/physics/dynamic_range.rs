//! How loud a reed plays from one end of its playable window to the other.

use super::ReedModel;
use super::attack::{Steady, Stop};
use super::playable::{Demand, End, Playable};

/// The steady sound at both ends of a playable window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DynamicRange {
    /// At the softest blow.
    pub low: Steady,
    /// At the hardest.
    pub high: Steady,
}

impl DynamicRange {
    /// Level at the top less level at the bottom (dB). It can be negative: near its choke a reed swings less.
    pub fn db(&self) -> f64 {
        self.high.level.db - self.low.level.db
    }
}

impl ReedModel {
    /// What sounds at both ends of a window.
    pub fn dynamic_range(&self, window: &Playable, demand: Demand) -> Option<DynamicRange> {
        let at = |end: End| self.attack(&demand.blow(end.pressure_pa), Stop::WhenSteady).steady;
        Some(DynamicRange { low: at(window.low)?, high: at(window.high)? })
    }

    /// The same for 40 % of the work, 1 % more or less in swing: where growth is weak, a coarse step gains as much.
    pub fn dynamic_range_about(&self, window: &Playable, demand: Demand) -> Option<DynamicRange> {
        let at = |end: End| self.settled(&demand.blow(end.pressure_pa));
        Some(DynamicRange { low: at(window.low)?, high: at(window.high)? })
    }
}
