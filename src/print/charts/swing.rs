//! How the tongue of a reed swings, and what filing does to it.

use super::words::{small_print, thickness_m, tone};
use crate::chart::{FilingChart, ModeChart, SwingMode};
use crate::physics::ReedModel;
use crate::physics::beam::Mode;
use crate::sheet::{CheckedReed, Tuning};

/// Points of a shape.
const POINTS: u32 = 160;
/// Cents per metre and metre as cents per micrometre over a millimetre.
const PER_MICROMETRE_AND_MILLIMETRE: f64 = 1e-6 * 1e-3;

/// The first `count` bending modes of a reed; 3 fill a page.
pub fn mode_chart(
    reed_name: &str,
    checked: &CheckedReed,
    model: &ReedModel,
    count: usize,
    tuning: &Tuning,
) -> ModeChart {
    let beam = &model.reed().beam;
    let shape = |mode: &Mode| {
        let place = |k: u32| beam.length_m * f64::from(k) / f64::from(POINTS);
        (0..=POINTS).map(|k| (place(k), mode.shape.at(place(k)))).collect()
    };
    let says =
        "Frequencies without air and without loss: the first sure where the pluck was measured, the others fair.";
    ModeChart {
        reed_name: reed_name.to_owned(),
        length_m: beam.length_m,
        thickness_m: thickness_m(beam),
        modes: beam
            .modes(count)
            .iter()
            .map(|mode| SwingMode {
                tone: tone(mode.frequency_hz, tuning),
                shape: shape(mode),
                nodes_m: mode.shape.nodes_m(),
            })
            .collect(),
        small_print: small_print(checked, tuning, says),
    }
}

/// What filing does to the plucked pitch of a reed.
pub fn filing_chart(reed_name: &str, checked: &CheckedReed, model: &ReedModel, tuning: &Tuning) -> FilingChart {
    let beam = &model.reed().beam;
    let mode = &model.modes()[0];
    let curve = beam.filing_curve(mode);
    let says = "For shallow cuts: one a tenth of the thickness deep lowers the pitch near the clamp by about a fifth more \
                than this, and raises it near the tip as said. Filings of leaded brass or beryllium copper are poisonous to \
                breathe or swallow: catch them wet, wash hands, follow local rules and ask a qualified person.";
    FilingChart {
        reed_name: reed_name.to_owned(),
        tone: tone(mode.frequency_hz, tuning),
        length_m: beam.length_m,
        thickness_m: thickness_m(beam),
        sensitivity: curve.into_iter().map(|(s, cents)| (s, PER_MICROMETRE_AND_MILLIMETRE * cents)).collect(),
        neutral_m: beam.neutral_places_m(mode),
        patch: None,
        small_print: small_print(checked, tuning, says),
    }
}
