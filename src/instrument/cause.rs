//! Why a reed fails: which single change would mend it.

use super::neighbours::{Neighbours, ODD, mean_clearance_m, measured_quality};
use crate::physics::attack::Stop;
use crate::physics::playable::Demand;
use crate::physics::{Profile, Reed, ReedModel};
use crate::sheet::JobReed;
use crate::study::Trend;
use crate::study::changed::with_tip_gap;
use crate::units;

/// What, if it were as on the neighbours, would let the reed speak in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// The tip gap is wider than its neighbours' would be at this note (both m).
    GapTooWide {
        /// Its gap.
        gap_m: f64,
        /// The gap the run of its neighbours has here.
        usual_m: f64,
    },
    /// The tip gap is closer than its neighbours'.
    GapTooClose {
        /// Its gap.
        gap_m: f64,
        /// The gap the run of its neighbours has here.
        usual_m: f64,
    },
    /// A stray leak: valve, comb or plate (m2).
    Leak {
        /// Effective area.
        area_m2: f64,
    },
    /// The slot is wider than its neighbours' (both m).
    Clearance {
        /// Mean side clearance.
        clearance_m: f64,
        /// What the run of its neighbours has here.
        usual_m: f64,
    },
    /// The channel to its chamber is narrower than its neighbours' (both m2).
    Channel {
        /// Its cross-section.
        area_m2: f64,
        /// What the run of its neighbours has here.
        usual_m2: f64,
    },
    /// It rings shorter than its neighbours, both measured: loose, dirty, rubbing or cracked.
    Loss {
        /// Its quality factor.
        quality: f64,
        /// What the run of its neighbours has here.
        usual: f64,
    },
    /// No one of these alone: the tongue, its loss or its chamber.
    TongueOrChamber,
    /// None of what can be judged by itself, and too few reeds to tell what gap and slot are usual.
    NothingToCompare,
}

impl Cause {
    /// What it is, in a few words.
    pub fn name(&self) -> &'static str {
        match self {
            Self::GapTooWide { .. } => "tip gap too wide",
            Self::GapTooClose { .. } => "tip gap too close",
            Self::Leak { .. } => "a leak",
            Self::Clearance { .. } => "slot too wide",
            Self::Loss { .. } => "ringing too short",
            Self::Channel { .. } => "a narrow channel",
            Self::TongueOrChamber => "no one change would mend it",
            Self::NothingToCompare => "too few reeds to tell why",
        }
    }

    /// What it is, with its sizes: part of a sentence.
    pub fn phrase(&self) -> String {
        let both =
            |is: f64, usual: f64| format!("{}, its neighbours have {} here", units::metres(is), units::metres(usual));
        match *self {
            Self::GapTooWide { gap_m, usual_m } | Self::GapTooClose { gap_m, usual_m } => {
                format!("{} ({})", self.name(), both(gap_m, usual_m))
            }
            Self::Leak { area_m2 } => {
                format!("it leaks (valve, comb or plate, {} mm2)", units::significant(area_m2 * 1e6, 2))
            }
            Self::Clearance { clearance_m, usual_m } => format!("{} ({})", self.name(), both(clearance_m, usual_m)),
            Self::Channel { area_m2, usual_m2 } => format!(
                "the channel to its chamber is narrow ({} mm2, its neighbours have {} mm2 here)",
                units::significant(area_m2 * 1e6, 2),
                units::significant(usual_m2 * 1e6, 2)
            ),
            Self::Loss { quality, usual } => format!(
                "it rings too short (quality factor {}, its neighbours have {} here): look at fastening, dirt, rubbing and \
                 cracks",
                units::significant(quality, 2),
                units::significant(usual, 2)
            ),
            Self::TongueOrChamber => {
                "a gap, slot or seal like its neighbours' would not mend it; look at tongue, fastening and chamber"
                    .to_owned()
            }
            Self::NothingToCompare => {
                format!(
                    "no leak of its own; with fewer than {} reeds nothing tells whether gap or slot is odd",
                    Trend::FEWEST
                )
            }
        }
    }

    /// What of the reed it is, and what the run of its neighbours has in its place; nothing where it has no run.
    pub(super) fn own_and_usual(&self) -> Option<(f64, f64)> {
        match *self {
            Self::GapTooWide { gap_m, usual_m } | Self::GapTooClose { gap_m, usual_m } => Some((gap_m, usual_m)),
            Self::Clearance { clearance_m, usual_m } => Some((clearance_m, usual_m)),
            Self::Loss { quality, usual } => Some((quality, usual)),
            Self::Channel { area_m2, usual_m2 } => Some((area_m2, usual_m2)),
            Self::Leak { .. } | Self::TongueOrChamber | Self::NothingToCompare => None,
        }
    }

    /// What to do about it.
    pub fn cure(&self) -> &'static str {
        match self {
            Self::GapTooWide { .. } | Self::GapTooClose { .. } => "bend it (regap)",
            Self::Leak { .. } => "seal it",
            Self::Channel { .. } => "clear it, or measure it again",
            Self::Loss { .. } => "clean and fasten it (fasten)",
            Self::Clearance { .. } => "close its edges (seal edges) or fit a wider tongue (replace)",
            Self::TongueOrChamber | Self::NothingToCompare => "measure tongue, slot and chamber again, then try whatif",
        }
    }
}

/// A reed that fails, and what is asked of it.
pub(super) struct Failing<'a> {
    /// As the sheet has it.
    pub reed: &'a JobReed,
    /// Its tip gap is this (m), whatever the sheet says.
    pub gap_m: f64,
    pub demand: Demand,
}

impl Failing<'_> {
    /// Which single change would let it speak in time at a pressure; of several, the one with which it speaks soonest.
    pub fn cause_at(&self, pressure_pa: f64, neighbours: &Neighbours) -> Cause {
        let mended = self.odd(neighbours).filter_map(|(cause, reed)| Some((cause, self.mended(reed, pressure_pa)?)));
        mended.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(none(neighbours), |(cause, _)| cause)
    }

    /// What is odd about it beside its neighbours, its gap first, with the reed as it would be without.
    pub fn odd(&self, neighbours: &Neighbours) -> impl Iterator<Item = (Cause, Reed)> {
        self.other_gap(neighbours).into_iter().chain(self.cures(neighbours))
    }

    /// Which single change, its gap apart, would let it speak in time at all of some pressures; of several, the cheapest:
    /// to seal it, to fasten and clean it, to close its slot or fit a wider tongue.
    pub fn cheapest_cure(&self, pressures_pa: &[f64], neighbours: &Neighbours) -> Cause {
        let mends = |reed: &Reed| pressures_pa.iter().all(|&pressure| self.mended(reed.clone(), pressure).is_some());
        self.cures(neighbours).into_iter().find(|(_, reed)| mends(reed)).map_or(none(neighbours), |(cause, _)| cause)
    }

    /// How soon a changed reed speaks, if in time: the negative of its speaking time (s).
    fn mended(&self, reed: Reed, pressure_pa: f64) -> Option<f64> {
        let model = ReedModel::new(reed).ok()?;
        let t50_s = model.start(&self.demand.blow(pressure_pa), Stop::WhenSteady).t50_s?;
        (t50_s <= self.demand.allowed_s).then_some(-t50_s)
    }

    fn other_gap(&self, neighbours: &Neighbours) -> Option<(Cause, Reed)> {
        let gap_m = self.gap_m;
        let usual_m = neighbours.gap_m(self.reed).filter(|usual| (gap_m / usual - 1.0).abs() > ODD)?;
        let wide = gap_m > usual_m;
        let cause = if wide { Cause::GapTooWide { gap_m, usual_m } } else { Cause::GapTooClose { gap_m, usual_m } };
        Some((cause, with_tip_gap(&self.reed.checked.reed, usual_m)))
    }

    /// What else may be changed, the cheapest first.
    fn cures(&self, neighbours: &Neighbours) -> Vec<(Cause, Reed)> {
        let reed = with_tip_gap(&self.reed.checked.reed, self.gap_m);
        let mut all = Vec::new();
        if reed.slot.leak_area_m2 > 0.0 {
            let mut tight = reed.clone();
            tight.slot.leak_area_m2 = 0.0;
            all.push((Cause::Leak { area_m2: reed.slot.leak_area_m2 }, tight));
        }
        let losses = measured_quality(&self.reed.checked).zip(neighbours.quality(self.reed));
        if let Some((quality, usual)) = losses.filter(|(quality, usual)| usual / quality - 1.0 > ODD) {
            all.push((Cause::Loss { quality, usual }, Reed { quality_factor: usual, ..reed.clone() }));
        }
        let channel =
            reed.chamber.as_ref().map(|chamber| chamber.channel_area_m2).zip(neighbours.channel_m2(self.reed));
        if let Some((area_m2, usual_m2)) = channel.filter(|(area_m2, usual_m2)| usual_m2 / area_m2 - 1.0 > ODD) {
            let mut cleared = reed.clone();
            cleared.chamber.iter_mut().for_each(|chamber| chamber.channel_area_m2 = usual_m2);
            all.push((Cause::Channel { area_m2, usual_m2 }, cleared));
        }
        let clearance_m = mean_clearance_m(&reed);
        if let Some(usual_m) = neighbours.clearance_m(self.reed).filter(|usual| clearance_m / usual - 1.0 > ODD) {
            let mut closed = reed;
            closed.slot.left_clearance_m = Profile::constant(usual_m);
            closed.slot.right_clearance_m = Profile::constant(usual_m);
            all.push((Cause::Clearance { clearance_m, usual_m }, closed));
        }
        all
    }
}

/// What is said where nothing mends it.
fn none(neighbours: &Neighbours) -> Cause {
    if neighbours.are_enough() { Cause::TongueOrChamber } else { Cause::NothingToCompare }
}
