//! How much larger than the length everything else is drawn: round factors, so that they can be stated.

use super::{BenchView, TongueStation};
use crate::chart::scale::short;

/// Length of the tongue on the page.
pub(super) const TONGUE: f64 = 410.0;
/// Most of the page for the height of the tongue above and below the plate.
const MOST_HEIGHT: f64 = 130.0;
/// The tongue is at least as thick as this, where that leaves room for its height.
const LEAST_THICKNESS: f64 = 20.0;
/// Most of the page for the plate; a thicker one is drawn cut short.
const MOST_PLATE: f64 = 150.0;
/// Most of the page for a clearance.
const MOST_CLEARANCE: f64 = 36.0;
/// Least and most of the page for the width of the tongue.
const WIDTH: (f64, f64) = (150.0, 300.0);

/// Units of the page for a metre.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scales {
    pub length: f64,
    pub height: f64,
    pub clearance: f64,
    pub width: f64,
}

impl Scales {
    /// The scales for a reed that can be drawn; nothing for one that cannot.
    pub fn of(view: &BenchView) -> Option<Self> {
        if !view.is_whole() {
            return None;
        }
        let length = TONGUE / view.tip().place_m;
        let (low_m, high_m) = reach_m(&view.tongue);
        let thickest_m = view.tongue.iter().map(|station| station.thickness_m).fold(0.0, f64::max);
        // As large as the plate allows, larger where the tongue would be a hair, and never too high.
        let wanted = (MOST_PLATE / view.plate_m).max(LEAST_THICKNESS / thickest_m);
        let height = length * round_below(wanted.min(MOST_HEIGHT / (high_m - low_m)) / length);
        let widest_m = view.left.at_tip_m.max(view.right.at_tip_m).max(view.tip_clearance_m);
        let clearance = length * round_below(MOST_CLEARANCE / widest_m / length);
        let width = match height * view.tip_width_m {
            wide if (WIDTH.0..=WIDTH.1).contains(&wide) => height,
            _ => length * round_below(WIDTH.1 / view.tip_width_m / length),
        };
        Some(Self { length, height, clearance, width })
    }

    /// Thickness of the plate on the page, and whether it is cut short.
    pub fn plate(&self, plate_m: f64) -> (f64, bool) {
        let whole = plate_m * self.height;
        (whole.clamp(4.0, 1.15 * MOST_PLATE), whole > 1.15 * MOST_PLATE)
    }

    /// A scale in words, against the length.
    pub fn times(&self, scale: f64) -> String {
        format!("{} ×", short(scale / self.length, 2))
    }
}

/// The lowest and the highest place of the tongue, the top of the plate (0) included (m).
pub(super) fn reach_m(tongue: &[TongueStation]) -> (f64, f64) {
    tongue.iter().fold((0.0, 0.0), |(low, high): (f64, f64), station| {
        (low.min(station.underside_m), high.max(station.underside_m + station.thickness_m))
    })
}

/// The largest round number that is not above `value`.
fn round_below(value: f64) -> f64 {
    let decade = 10_f64.powf(value.log10().floor());
    let rounds = [8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0];
    rounds.into_iter().map(|round| round * decade).find(|round| *round <= value * (1.0 + 1e-9)).unwrap_or(decade)
}

#[cfg(test)]
mod tests {
    use super::round_below;

    #[test]
    fn factors_are_round() {
        assert_eq!([0.031, 1.0, 1.4, 7.9, 34.0].map(round_below), [0.03, 1.0, 1.0, 6.0, 30.0]);
    }
}
