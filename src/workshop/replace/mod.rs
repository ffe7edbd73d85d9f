//! A new reed for a slot, from strip that is in stock: which lengths and profiles reach the pitch, and which of them plays
//! best.
//!
//! Slot, chamber, gap, clearance, loss and air stay as they are with the reed that is replaced; the tongue is new. For
//! every strip the tongue is solved for its length where the slot leaves a choice, and for the depth of a thinned root or
//! tip, or a weight, at the lengths that do.

mod beside;
mod candidate;
mod opening;
mod shape;
mod words;

pub use beside::Beside;
pub use candidate::{Candidate, Ranking};
pub use opening::Opening;
pub use shape::{Profiled, Tongue};

use rayon::prelude::*;

use crate::answer::{Conditions, Quantity, Solved};
use crate::sheet::{CheckedReed, SheetError};
use crate::units::metres;
use shape::{Unreached, tongues};

/// Keys of a reed file that a new tongue changes.
pub const KEYS: [&str; 11] = [
    "length_mm",
    "width_mm",
    "thickness_mm",
    "thickness_stations_mm",
    "tip_mass_mg",
    "alloy",
    "temper",
    "quality_factor",
    "tip_gap_mm",
    "side_clearance_mm",
    "side_clearance_stations_mm",
];

/// What is in stock and what is allowed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReplaceOptions {
    /// Plucked pitch the new tongue is to have (Hz).
    pub pluck_hz: f64,
    /// Thicknesses of the strips (m).
    pub strips_m: Vec<f64>,
    /// Alloy of the strips; without it the old reed's.
    pub alloy: Option<String>,
    /// Its temper; without it the old reed's, where the alloy is.
    pub temper: Option<String>,
    /// Shortest and longest tongue (m); without it as long as the slot takes.
    pub lengths_m: Option<(f64, f64)>,
    /// Clearance at each side (m); without it the old reed's mean.
    pub clearance_m: Option<f64>,
    /// Tip gap (m); without it the old reed's.
    pub tip_gap_m: Option<f64>,
    /// Largest share of the strip's thickness that may go in profiling.
    pub most_share: f64,
    /// Largest weight on the tip, as a share of the tongue's mass.
    pub most_weight: f64,
    /// How it is played.
    pub conditions: Conditions,
    /// How its neighbours are.
    pub beside: Beside,
}

impl ReplaceOptions {
    /// With what is usual for the rest: up to two fifths of the strip off, a tenth of the tongue's mass on its tip.
    pub fn of(pluck_hz: f64, strips_m: Vec<f64>, conditions: Conditions) -> Self {
        Self {
            pluck_hz,
            strips_m,
            alloy: None,
            temper: None,
            lengths_m: None,
            clearance_m: None,
            tip_gap_m: None,
            most_share: 0.4,
            most_weight: 0.1,
            conditions,
            beside: Beside::default(),
        }
    }
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Replacement {
    /// Reeds that would do, the best first.
    pub best: Vec<Candidate>,
    /// What was tried and is out, with the reason.
    pub out: Vec<Out>,
    /// What the slot takes.
    pub opening: Opening,
    /// The neighbours.
    pub beside: Beside,
    /// Stress of the old reed at the pressure asked (Pa), where it sounds there: weak.
    pub old_stress_pa: Option<f64>,
}

/// What is out.
#[derive(Debug, Clone, PartialEq)]
pub struct Out {
    /// Thickness of the strip (m).
    pub strip_m: f64,
    /// Length (m).
    pub length_m: f64,
    /// Its profile, in a word.
    pub profile: &'static str,
    /// Why.
    pub why: String,
}

/// Why nothing can be looked for.
#[derive(Debug, Clone, thiserror::Error)]
#[non_exhaustive]
pub enum ReplaceRefusal {
    /// No strip.
    #[error("no strip is named; name thicknesses that are in stock, for instance 0.15, 0.18 and 0.2 mm")]
    NoStrip,
    /// The slot leaves no room for a tongue.
    #[error(
        "a slot {} wide leaves no tongue between clearances of {}; take smaller clearances",
        metres(*.slot_m), metres(*.clearance_m)
    )]
    NoWidth {
        /// Width of the slot where it is narrowest (m).
        slot_m: f64,
        /// Clearance at each side (m).
        clearance_m: f64,
    },
    /// The lengths do not fit.
    #[error(
        "tongues from {} to {} are no choice for a slot that takes {} at most",
        metres(*.shortest_m), metres(*.longest_m), metres(*.slot_m)
    )]
    NoLength {
        /// Shortest (m).
        shortest_m: f64,
        /// Longest (m).
        longest_m: f64,
        /// What the slot takes (m).
        slot_m: f64,
    },
    /// A value that makes no reed.
    #[error("a strip of {} makes no reed here: {why}", metres(*.strip_m))]
    Strip {
        /// Its thickness (m).
        strip_m: f64,
        /// What is wrong.
        why: SheetError,
    },
}

/// Looks for a new reed in place of one.
///
/// ```
/// use freereed::answer::Conditions;
/// use freereed::{sheet::ReedFile, workshop::replace::{ReplaceOptions, replace}};
/// let text = "[reed]\nlength_mm = 14\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.25\n\
///             [chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n";
/// let old = ReedFile::parse("reed.toml", text).unwrap();
/// let found = replace(&old, &ReplaceOptions::of(440.0, vec![0.18e-3], Conditions::default())).unwrap();
/// assert!((found.best[0].pluck_hz - 440.0).abs() < 1e-3);
/// ```
///
/// # Errors
/// Strips, lengths or clearances of which no reed can be made.
pub fn replace(old: &CheckedReed, options: &ReplaceOptions) -> Result<Replacement, ReplaceRefusal> {
    if options.strips_m.is_empty() {
        return Err(ReplaceRefusal::NoStrip);
    }
    let opening = Opening::of(old, options)?;
    let mut tried: Vec<Result<Tongue, Unreached>> = Vec::new();
    for &strip_m in &options.strips_m {
        let blank = opening
            .blank(old, options, strip_m, opening.lengths_m.1)
            .map_err(|why| ReplaceRefusal::Strip { strip_m, why })?;
        tried.extend(tongues(&blank.reed.beam, strip_m, &opening, options));
    }
    let old_stress_pa = stress_pa(old, &options.conditions);
    let judged: Vec<Result<Candidate, Out>> =
        tried.into_par_iter().map(|one| judge(old, options, &opening, old_stress_pa, one)).collect();
    let (mut best, mut out) = (Vec::new(), Vec::new());
    for one in judged {
        match one {
            Ok(candidate) => best.push(candidate),
            Err(why) => out.push(why),
        }
    }
    best.sort_by(|a, b| b.ranking.score().total_cmp(&a.ranking.score()));
    Ok(Replacement { best, out, opening, beside: options.beside, old_stress_pa })
}

/// Stress of the old reed (Pa), where it sounds.
fn stress_pa(old: &CheckedReed, conditions: &Conditions) -> Option<f64> {
    let solved = Solved::of(&old.reed, &[Quantity::Stress], conditions, 1.0);
    solved.ok()?.answer(Quantity::Stress).value
}

fn judge(
    old: &CheckedReed,
    options: &ReplaceOptions,
    opening: &Opening,
    old_stress_pa: Option<f64>,
    tried: Result<Tongue, Unreached>,
) -> Result<Candidate, Out> {
    let tongue = tried.map_err(|unreached| Out {
        strip_m: unreached.strip_m,
        length_m: unreached.length_m,
        profile: unreached.profile,
        why: unreached.why,
    })?;
    let (strip_m, length_m, profile) = (tongue.strip_m, tongue.length_m, tongue.profile.name());
    Candidate::of(old, options, opening, old_stress_pa, tongue).map_err(|why| Out { strip_m, length_m, profile, why })
}
