//! One thing that is wrong with a reed: what it is, how sure, in plain words.

use super::assess::{PitchFrom, ReedAssessment};
use super::cause::{Cause, Why};
use super::margin::MarginOf;
use super::surety::{Surety, above_zero};
use crate::sheet::Feel;
use crate::units;
use crate::workshop::align::clearance_tolerance_m;

/// A reed within this of its target is in tune (cents); where the pitch is computed, within what sizes can tell.
pub const IN_TUNE_CENTS: f64 = 5.0;
/// The narrower side below this share of the mean is off centre.
pub(super) const CENTRED: f64 = 0.5;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum Finding {
    /// It speaks at no pressure below the limit of the search.
    NeverSpeaks {
        /// What would let it speak.
        why: Why,
    },
    /// At one of the player's pressures it speaks too late or not at all.
    NotInTime {
        /// "soft", "normal" or "hard".
        playing: &'static str,
        /// The pressure (Pa).
        pressure_pa: f64,
        /// When it speaks (s), if it does.
        t50_s: Option<f64>,
        /// The time allowed (s).
        allowed_s: f64,
        /// What would mend it.
        why: Why,
    },
    /// It is out of the run of its neighbours in what was measured of it.
    OutOfRun {
        /// What sets it apart.
        cause: Cause,
        /// How sure that is.
        surety: Surety,
    },
    /// The softest blow that was measured is above what all else that was measured gives.
    HarderThanComputed {
        /// The softest blow (Pa).
        blown_pa: f64,
        /// The lower end of the playable window, as it is to be expected (Pa).
        computed_pa: f64,
        /// How sure it is that they differ.
        surety: Surety,
    },
    /// It is not as good as its counterpart in the target set.
    BehindTarget {
        /// In what.
        of: MarginOf,
        /// Its own pressure (Pa) or time (s).
        own: f64,
        /// That of its counterpart.
        theirs: f64,
        /// How sure it is that its tip gap is another, where it is off by more than a tenth.
        other_gap: Option<Surety>,
    },
    /// The player finds fault with it, where the model does not.
    PlayersWord(Feel),
    /// It is out of tune.
    OutOfTune {
        /// Cents above the target.
        cents: f64,
        /// Where the pitch comes from.
        from: PitchFrom,
        /// Whether it was plucked, and is off those around it by no more than the set scatters: how far a reed sounds from its
        /// pluck differs by some cents, so that only a pitch that sounds tells.
        as_the_set: bool,
    },
    /// Thickness and plucked pitch contradict each other.
    Contradiction {
        /// Thickness the pitch asks for over the measured one.
        scale: f64,
    },
    /// It sits off the middle of its slot.
    OffCentre {
        /// Least clearance (m) and the side it is on.
        least_m: f64,
        /// "left" or "right".
        side: &'static str,
        /// Clearance on the other side (m).
        other_m: f64,
    },
}

impl Finding {
    /// A word for a table and for programs; it stays the same.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::NeverSpeaks { .. } => "never speaks",
            Self::NotInTime { playing: "soft", .. } => "no soft start",
            Self::NotInTime { playing: "hard", .. } => "fails at a hard attack",
            Self::NotInTime { .. } => "slow",
            Self::BehindTarget { of: MarginOf::Soft, .. } => "starts later than the target",
            Self::BehindTarget { of: MarginOf::Hard, .. } => "fails before the target",
            Self::BehindTarget { .. } => "slower than the target",
            Self::OutOfRun { .. } => "out of the run",
            Self::HarderThanComputed { .. } => "harder than computed",
            Self::PlayersWord(feel) => feel.word(),
            Self::OutOfTune { cents, .. } if *cents < 0.0 => "flat",
            Self::OutOfTune { .. } => "sharp",
            Self::Contradiction { .. } => "measure again",
            Self::OffCentre { .. } => "off centre",
        }
    }

    /// Why it is so, where that was looked for among what sets the reed apart.
    pub fn why(&self) -> Option<Why> {
        match *self {
            Self::NotInTime { why, .. } | Self::NeverSpeaks { why } => Some(why),
            Self::OutOfRun { cause, .. } => Some(Why::new(cause)),
            _ => None,
        }
    }

    /// The margin that decides on it, where it is about speaking.
    pub fn margin(&self) -> Option<MarginOf> {
        match self {
            Self::NeverSpeaks { .. } => Some(MarginOf::Soft),
            Self::NotInTime { playing, .. } => Some(margin_of(playing)),
            Self::BehindTarget { of, .. } => Some(*of),
            _ => None,
        }
    }

    /// Whether work is to be done for it: it is likely, or the reed is silent.
    pub fn asks_for_work(&self, of: &ReedAssessment) -> bool {
        matches!(self, Self::NeverSpeaks { .. }) || self.surety(of) >= Surety::Likely
    }

    /// Whether work brought it on a reed that had none of its kind before, and it is likely: what sets a reed apart, its gap
    /// aside, was there.
    fn is_brought(&self, before: &ReedAssessment, after: &ReedAssessment) -> bool {
        let was = before.findings.iter().any(|found| found.kind() == self.kind());
        !was && self.asks_for_work(after) && (self.may_be_the_gap() || !matches!(self, Self::OutOfRun { .. }))
    }

    /// Kinds of all that work brought on a reed.
    pub(super) fn brought(before: &ReedAssessment, after: &ReedAssessment) -> Vec<&'static str> {
        after.findings.iter().filter(|found| found.is_brought(before, after)).map(Self::kind).collect()
    }

    /// Whether another tip gap may mend it.
    pub fn may_be_the_gap(&self) -> bool {
        match self {
            Self::NeverSpeaks { .. } | Self::NotInTime { .. } | Self::BehindTarget { .. } => true,
            Self::OutOfRun { cause, .. } => matches!(cause, Cause::GapTooWide { .. } | Cause::GapTooClose { .. }),
            Self::PlayersWord(feel) => *feel != Feel::Airy,
            Self::HarderThanComputed { .. }
            | Self::OutOfTune { .. }
            | Self::Contradiction { .. }
            | Self::OffCentre { .. } => false,
        }
    }

    /// How sure it is.
    pub fn surety(&self, of: &ReedAssessment) -> Surety {
        let margin = |which: MarginOf| of.margin(which).map_or(0.5, |margin| 1.0 - margin.probability_good);
        let of_its_own = || self.margin().map_or(0.5, margin);
        let by_demand = Surety::of(match self {
            Self::OutOfRun { surety, .. } | Self::HarderThanComputed { surety, .. } => return *surety,
            Self::NeverSpeaks { .. } | Self::NotInTime { .. } | Self::BehindTarget { .. } => of_its_own(),
            Self::PlayersWord(_) => 1.0,
            Self::OutOfTune { as_the_set: true, .. } => 0.5,
            Self::OutOfTune { .. } => margin(MarginOf::Pitch),
            // Further off than the bounds of the measurements allow.
            Self::Contradiction { .. } => 1.0,
            Self::OffCentre { least_m, other_m, .. } => {
                off_centre_probability(*least_m, *other_m, clearance_tolerance_m(&of.reed.checked))
            }
        });
        // What sets it apart is wrong with it, even where the demand may just be met.
        let apart = match self {
            Self::BehindTarget { other_gap, .. } => *other_gap,
            _ => self.why().and_then(|why| why.apart),
        };
        apart.map_or(by_demand, |apart| apart.max(by_demand))
    }

    /// What is wrong and why, as a sentence without its point.
    pub fn sentence(&self) -> String {
        match self {
            Self::NeverSpeaks { why } => format!("speaks at no pressure: {}", why.phrase()),
            Self::NotInTime { playing, pressure_pa, t50_s, allowed_s, why } => {
                let late = match t50_s {
                    Some(time) => {
                        format!("speaks after {}, {} allowed", units::seconds(*time), units::seconds(*allowed_s))
                    }
                    None => "does not speak".to_owned(),
                };
                format!("at {playing} {} it {late}: {}", units::pascal(*pressure_pa), why.phrase())
            }
            Self::OutOfRun { cause, .. } => format!("out of the run of its neighbours: {}", cause.phrase()),
            Self::HarderThanComputed { blown_pa, computed_pa, .. } => format!(
                "its softest blow is {}, all else that was measured gives {}: look at its valve, for dirt and for a crack",
                units::pascal(*blown_pa),
                units::pascal(*computed_pa)
            ),
            Self::BehindTarget { of, own, theirs, .. } => {
                let (what, unit): (_, fn(f64) -> String) = match of {
                    MarginOf::Soft => ("speaks in time from", units::pascal),
                    MarginOf::Hard => ("speaks in time up to", units::pascal),
                    _ => ("at normal it speaks after", units::seconds),
                };
                format!("{what} {}, its counterpart in the target {}", unit(*own), unit(*theirs))
            }
            Self::PlayersWord(feel) => format!("the player finds it {}", feel.word()),
            Self::OutOfTune { cents, from, .. } => {
                let how = match from {
                    PitchFrom::Sounding => "sounding",
                    PitchFrom::Plucked => "plucked",
                    PitchFrom::Computed => "by its sizes, not measured",
                };
                format!("{} from its target, {how}", units::cents(*cents))
            }
            Self::Contradiction { scale } => format!(
                "its plucked pitch asks for {} % {} thickness than was measured: measure thickness, length and pitch again",
                units::significant(100.0 * (scale - 1.0).abs(), 2),
                if *scale > 1.0 { "more" } else { "less" }
            ),
            Self::OffCentre { least_m, side, other_m } => format!(
                "{} on the {side}, {} on the other side: centre it before it rubs",
                units::metres(*least_m),
                units::metres(*other_m)
            ),
        }
    }
}

/// A pitch that was not measured is judged no finer than it is known.
pub(super) fn in_tune_cents(assessed: &ReedAssessment) -> f64 {
    match assessed.pitch.from {
        PitchFrom::Sounding | PitchFrom::Plucked => IN_TUNE_CENTS,
        PitchFrom::Computed => IN_TUNE_CENTS.max(assessed.prediction.natural_uncertainty_cents),
    }
}

/// The margin that a way of playing decides.
pub(super) fn margin_of(playing: &str) -> MarginOf {
    match playing {
        "soft" => MarginOf::Soft,
        "hard" => MarginOf::Hard,
        _ => MarginOf::Time,
    }
}

/// The probability that the least clearance is below half of the mean, `c < (c + o)/4`: both read with one feeler, half of
/// the variance its own (see `tool.rs`).
fn off_centre_probability(least_m: f64, other_m: f64, tolerance_m: f64) -> f64 {
    let (of_least, of_other) = (1.0 - 0.5 * CENTRED, -0.5 * CENTRED);
    let each = tolerance_m / 6.0_f64.sqrt();
    let deviation = each * (of_least + of_other).hypot(of_least.hypot(of_other));
    above_zero(-(of_least * least_m + of_other * other_m), deviation)
}
