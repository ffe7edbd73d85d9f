//! A reed before and after a change: its playable windows, one below the other.

mod draw;

use super::Picture;
use super::plottable;
use super::window::{PlayerPressures, Shown, Window};

/// The reed in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeState {
    /// The state, such as "today" or "tip gap 0.30 mm"; shown as it is.
    pub label: String,
    /// What it does.
    pub window: Window,
}

/// Playable windows of a reed as it is and after changes, as bars on one axis of pressure.
///
/// The first state is the one the others are compared with: its ends are carried down as fine lines.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// Its states from top to bottom, the first as it is today.
    pub states: Vec<ChangeState>,
    /// What the player gives at the note of the reed.
    pub player: Option<PlayerPressures>,
    /// The highest pressure that was asked (Pa): windows with an open end reach it.
    pub pressure_limit_pa: f64,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl ChangeChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let shown = self.states.iter().map(|state| Shown::of(&state.window)).collect();
        draw::Drawing { chart: self, shown }.picture()
    }

    fn limit_pa(&self) -> Option<f64> {
        plottable(self.pressure_limit_pa)
    }
}
