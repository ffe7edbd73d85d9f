//! Why a reed fails: which change would mend it, alone or with another.

use super::neighbours::{Neighbours, ODD, mean_clearance_m, measured_quality};
use super::surety::Surety;
use super::word::NOTICED;
use crate::physics::attack::Stop;
use crate::physics::onset::Search;
use crate::physics::playable::Demand;
use crate::physics::{Profile, Reed, ReedModel};
use crate::sheet::JobReed;
use crate::study::changed::with_tip_gap;
use crate::trend::Trend;
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
                    Trend::FEWEST + 1
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

/// What is odd about a reed, and how to take that away.
type Odd = (Cause, Box<dyn Fn(Reed) -> Reed>);

/// Why a reed fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Why {
    /// What sets it apart, or that nothing does.
    pub cause: Cause,
    /// What does so too, where neither mends it alone.
    pub also: Option<Cause>,
    /// Whether that is all: without it the reed would do what is asked.
    pub whole: bool,
    /// How sure it is that the cause sets the reed apart from its neighbours, where it does so by more than the set scatters.
    pub apart: Option<Surety>,
}

impl Why {
    pub(super) fn new(cause: Cause) -> Self {
        Self { cause, also: None, whole: true, apart: None }
    }

    /// What it is, with its sizes: part of a sentence.
    pub fn phrase(&self) -> String {
        let also = self.also.map(|also| format!(" and {}", also.phrase())).unwrap_or_default();
        let part = if self.whole { "" } else { ", which is a part of it" };
        format!("{}{also}{part}", self.cause.phrase())
    }
}

impl Failing<'_> {
    /// Which change would let it speak in time at a pressure: of single ones that do, that with which it speaks soonest; else
    /// of two together; else the single one with which it speaks the sooner for, as a part of it.
    pub fn why_at(&self, pressure_pa: f64, neighbours: &Neighbours) -> Why {
        let odd = self.odd(neighbours);
        let single = self.soonest(odd.iter().map(|one| vec![one]), pressure_pa);
        let mends = |found: &(f64, Vec<&Odd>)| found.0 <= self.demand.allowed_s;
        if let Some((_, changes)) = single.as_ref().filter(|found| mends(found)) {
            return Why::new(changes[0].0);
        }
        let pairs = odd.iter().enumerate().flat_map(|(k, one)| odd[k + 1..].iter().map(move |other| vec![one, other]));
        if let Some((_, changes)) = self.soonest(pairs, pressure_pa).filter(mends) {
            return Why { also: Some(changes[1].0), ..Why::new(changes[0].0) };
        }
        let now = self.time(&[], pressure_pa);
        let sooner = single.filter(|(time, _)| now.is_none_or(|now| (now / time).ln() > NOTICED));
        match sooner {
            Some((_, changes)) => Why { whole: false, ..Why::new(changes[0].0) },
            None => Why::new(none(neighbours)),
        }
    }

    /// Which single change would let it speak at all; of several, the one with which it starts softest.
    pub fn why_silent(&self, neighbours: &Neighbours) -> Cause {
        let onset = |(cause, change): &Odd| {
            let model = ReedModel::new(change(self.as_it_is())).ok()?;
            Some((model.speaking(&Search::COARSE).onset?.pressure_pa, *cause))
        };
        let odd = self.odd(neighbours);
        let softest = odd.iter().filter_map(onset).min_by(|a, b| a.0.total_cmp(&b.0));
        softest.map_or(none(neighbours), |(_, cause)| cause)
    }

    /// What is odd about it beside its neighbours, its gap first, with the reed as it would be without.
    pub fn odd_one_by_one(&self, neighbours: &Neighbours) -> Vec<(Cause, Reed)> {
        self.odd(neighbours).into_iter().map(|(cause, change)| (cause, change(self.as_it_is()))).collect()
    }

    /// Which single change, its gap apart, would let it speak in time at all of some pressures; of several, the cheapest:
    /// to seal it, to fasten and clean it, to close its slot or fit a wider tongue.
    pub fn cheapest_cure(&self, pressures_pa: &[f64], neighbours: &Neighbours) -> Cause {
        let in_time =
            |cure: &Odd, pressure_pa| self.time(&[cure], pressure_pa).is_some_and(|time| time <= self.demand.allowed_s);
        let mends = |cure: &&Odd| pressures_pa.iter().all(|&pressure_pa| in_time(cure, pressure_pa));
        self.cures(neighbours).iter().find(mends).map_or(none(neighbours), |(cause, _)| *cause)
    }

    /// Of some changes those with which it speaks soonest at a pressure, and when (s).
    fn soonest<'b>(&self, all: impl Iterator<Item = Vec<&'b Odd>>, pressure_pa: f64) -> Option<(f64, Vec<&'b Odd>)> {
        let timed = all.filter_map(|changes| Some((self.time(&changes, pressure_pa)?, changes)));
        timed.min_by(|a, b| a.0.total_cmp(&b.0))
    }

    fn as_it_is(&self) -> Reed {
        with_tip_gap(&self.reed.checked.reed, self.gap_m)
    }

    /// When it speaks at a pressure with some changes (s), if it does.
    fn time(&self, changes: &[&Odd], pressure_pa: f64) -> Option<f64> {
        let reed = changes.iter().fold(self.as_it_is(), |reed, (_, change)| change(reed));
        let model = ReedModel::new(reed).ok()?;
        model.start(&self.demand.blow(pressure_pa), Stop::WhenSteady).t50_s
    }

    fn odd(&self, neighbours: &Neighbours) -> Vec<Odd> {
        self.other_gap(neighbours).into_iter().chain(self.cures(neighbours)).collect()
    }

    fn other_gap(&self, neighbours: &Neighbours) -> Option<Odd> {
        let gap_m = self.gap_m;
        let usual_m = neighbours.gap_m(self.reed).filter(|usual| (gap_m / usual - 1.0).abs() > ODD)?;
        let wide = gap_m > usual_m;
        let cause = if wide { Cause::GapTooWide { gap_m, usual_m } } else { Cause::GapTooClose { gap_m, usual_m } };
        Some((cause, Box::new(move |reed| with_tip_gap(&reed, usual_m))))
    }

    /// What else may be changed, the cheapest first.
    fn cures(&self, neighbours: &Neighbours) -> Vec<Odd> {
        let reed = &self.reed.checked.reed;
        let mut all: Vec<Odd> = Vec::new();
        if reed.slot.leak_area_m2 > 0.0 {
            let tight = |mut reed: Reed| {
                reed.slot.leak_area_m2 = 0.0;
                reed
            };
            all.push((Cause::Leak { area_m2: reed.slot.leak_area_m2 }, Box::new(tight)));
        }
        let losses = measured_quality(&self.reed.checked).zip(neighbours.quality(self.reed));
        if let Some((quality, usual)) = losses.filter(|(quality, usual)| usual / quality - 1.0 > ODD) {
            let ringing = move |reed| Reed { quality_factor: usual, ..reed };
            all.push((Cause::Loss { quality, usual }, Box::new(ringing)));
        }
        let channel =
            reed.chamber.as_ref().map(|chamber| chamber.channel_area_m2).zip(neighbours.channel_m2(self.reed));
        if let Some((area_m2, usual_m2)) = channel.filter(|(area_m2, usual_m2)| usual_m2 / area_m2 - 1.0 > ODD) {
            let cleared = move |mut reed: Reed| {
                reed.chamber.iter_mut().for_each(|chamber| chamber.channel_area_m2 = usual_m2);
                reed
            };
            all.push((Cause::Channel { area_m2, usual_m2 }, Box::new(cleared)));
        }
        let clearance_m = mean_clearance_m(reed);
        if let Some(usual_m) = neighbours.clearance_m(self.reed).filter(|usual| clearance_m / usual - 1.0 > ODD) {
            let closed = move |mut reed: Reed| {
                reed.slot.left_clearance_m = Profile::constant(usual_m);
                reed.slot.right_clearance_m = Profile::constant(usual_m);
                reed
            };
            all.push((Cause::Clearance { clearance_m, usual_m }, Box::new(closed)));
        }
        all
    }
}

/// What is said where nothing mends it.
fn none(neighbours: &Neighbours) -> Cause {
    if neighbours.are_enough() { Cause::TongueOrChamber } else { Cause::NothingToCompare }
}
