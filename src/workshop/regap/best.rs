//! The gap that suits a player.

use super::instead::Instead;
use super::standing::Standing;
use super::{RegapOptions, RegapRefusal, place};
use crate::answer::{Quantity, Room, Solved};
use crate::physics::Reed;
use crate::physics::playable::Playable;
use crate::study::changed::with_tip_gap;
use crate::units::metres;
use crate::workshop::bend::BendRefusal;

/// A step of the feelers (m).
const FEELER_M: f64 = 0.01e-3;

/// The gap, in steps of a feeler, that leaves a reed by itself the most [`Room`] around the pressures from soft to hard, of
/// both ends in one number, [`Room::both`]. A reed of a set is given its gap by
/// [`balance`](crate::instrument::balance) instead, by the same measure and with its neighbours.
///
/// A wider gap raises the upper end; the lower end falls, where a close gap is too slow, and then rises. So the room has one
/// peak over the gap, which a Fibonacci search finds (J. Kiefer, Proc. Am. Math. Soc. 4 (1953) 502).
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The gap (m).
    pub gap_m: f64,
    /// Its playable window.
    pub window: Playable,
    /// The window at the present gap; none where the reed speaks in time at no pressure.
    pub window_now: Option<Playable>,
    /// Mouth pressures of soft and hard playing (Pa).
    pub pressures_pa: (f64, f64),
    /// Every gap that was tried (m), in that order.
    pub tried_m: Vec<f64>,
    /// Whether one bend does not safely reach the next gap on the way, so that one farther off may suit better.
    pub ends_at_reach: bool,
    /// The way in two bends to such a gap, where one was found.
    pub farther: Option<Farther>,
}

/// A gap that one bend does not reach and that suits better.
#[derive(Debug, Clone, PartialEq)]
pub struct Farther {
    /// The gap (m).
    pub gap_m: f64,
    /// How to come there.
    pub instead: Instead,
}

impl std::fmt::Display for Farther {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{} would suit better than one bend can reach: {}", metres(self.gap_m), self.instead)
    }
}

impl Best {
    /// The room that a window leaves.
    pub fn room(&self, window: &Playable) -> Room {
        Room::of(self.pressures_pa.0, self.pressures_pa.1, window)
    }

    /// Every gap is tried with the shape that a bend to it leaves.
    pub(super) fn find(
        standing: &Standing,
        options: &RegapOptions,
        soft_pa: f64,
        hard_pa: f64,
    ) -> Result<Self, RegapRefusal> {
        if !(soft_pa > 0.0 && hard_pa >= soft_pa && hard_pa.is_finite()) {
            return Err(RegapRefusal::Pressures { soft_pa, hard_pa });
        }
        let pressures_pa = (soft_pa, hard_pa);
        let window_now = window(&standing.now.reed, options);
        let mut search =
            Search { standing, options, pressures_pa, shape: Shape::Bent, missed: false, tried: Vec::new() };
        let (low, high) = search.range(window_now.as_ref());
        search.peak(low, high)?;
        let found = search.tried.iter().filter_map(|tried| Some((tried, tried.window?)));
        let suits = |window: &Playable| search.room(window).suits();
        let worse = |a: &(&Tried, Playable), b: &(&Tried, Playable)| {
            suits(&a.1).cmp(&suits(&b.1)).then(a.0.worth.total_cmp(&b.0.worth))
        };
        let Some((best, window)) = found.max_by(worse) else {
            return Err(search.nothing());
        };
        let gap_m = standing.gap_m();
        let beats = |now: &Playable| search.room(now).is_beaten_by(&search.room(&window), Room::AS_GOOD);
        if window_now.as_ref().is_some_and(|now| !beats(now)) {
            let end = if low == search.now_and_usual().0 { high } else { low };
            let farther = search.missed.then(|| search.farther(best, end)).flatten();
            return Err(RegapRefusal::AlreadyBest { gap_m, farther });
        }
        let next = best.step + if best.gap_m() > gap_m { 1 } else { -1 };
        let ends_at_reach = place::choose(standing, options, FEELER_M * f64::from(next)).is_err();
        let end = if best.gap_m() > gap_m { high } else { low };
        let farther = if ends_at_reach { search.farther(best, end) } else { None };
        Ok(Self {
            gap_m: best.gap_m(),
            window,
            window_now,
            pressures_pa,
            tried_m: search.tried.iter().map(Tried::gap_m).collect(),
            ends_at_reach,
            farther,
        })
    }
}

/// A gap that was tried.
struct Tried {
    /// In steps of a feeler.
    step: i32,
    window: Option<Playable>,
    /// Logarithm of its room; below every room, and less and less with the distance, where there is no window or no way.
    worth: f64,
}

impl Tried {
    fn gap_m(&self) -> f64 {
        FEELER_M * f64::from(self.step)
    }
}

/// Below any room: no window; and farther below: no bend that leads there.
const NO_WINDOW: f64 = -1e3;
const NO_WAY: f64 = -1e6;

/// With which shape a gap is tried.
#[derive(Clone, Copy, PartialEq)]
enum Shape {
    /// The one that a bend to it leaves; only gaps that one bend reaches.
    Bent,
    /// The one it has, its tip brought to the gap: as good a guess as any of what several bends leave.
    Tipped,
}

struct Search<'a> {
    standing: &'a Standing,
    options: &'a RegapOptions,
    pressures_pa: (f64, f64),
    shape: Shape,
    /// Whether a gap was looked at that one bend does not reach.
    missed: bool,
    tried: Vec<Tried>,
}

impl Search<'_> {
    fn room(&self, window: &Playable) -> Room {
        Room::of(self.pressures_pa.0, self.pressures_pa.1, window)
    }

    fn worth_of(&self, window: &Playable) -> f64 {
        self.room(window).both().ln()
    }

    /// The gap of a reed, and a usual one, a hundredth of the length, in steps.
    fn now_and_usual(&self) -> (i32, i32) {
        let steps = |gap_m: f64| (gap_m / FEELER_M).round() as i32;
        (steps(self.standing.gap_m()), steps(0.01 * self.standing.zero.reed.beam.length_m))
    }

    /// Between which steps the peak lies: above the present gap where hard playing has the least room.
    fn range(&self, window_now: Option<&Playable>) -> (i32, i32) {
        let (now, usual) = self.now_and_usual();
        let opens = window_now.map(|now| self.room(now)).is_some_and(|now| now.soft > now.hard);
        if opens { (now, 4 * now.max(usual)) } else { (0, now.max(2 * usual)) }
    }

    /// Tries gaps between two that are not tried themselves, the last of them at the peak.
    fn peak(&mut self, low: i32, high: i32) -> Result<(), RegapRefusal> {
        let (mut small, mut large) = (1, 2);
        while large < high - low {
            (small, large) = (large, small + large);
        }
        let mut low = low;
        while large > 2 {
            let (a, b) = (low + large - small, low + small);
            if self.worth(a)? < self.worth(b)? {
                low = a;
            }
            (small, large) = (large - small, small);
        }
        self.worth(low + 1).map(drop)
    }

    fn worth(&mut self, step: i32) -> Result<f64, RegapRefusal> {
        if let Some(known) = self.tried.iter().find(|tried| tried.step == step) {
            return Ok(known.worth);
        }
        let (now, usual) = self.now_and_usual();
        let off = |from: i32| f64::from((step - from).abs());
        let gap_m = FEELER_M * f64::from(step);
        let window = match self.shape {
            Shape::Tipped => window(&with_tip_gap(&self.standing.now.reed, gap_m), self.options),
            Shape::Bent => match self.bent(gap_m)? {
                Some(window) => window,
                None => {
                    self.missed = true;
                    return Ok(NO_WAY - off(now));
                }
            },
        };
        let worth = window.map_or(NO_WINDOW - off(usual), |window| self.worth_of(&window));
        self.tried.push(Tried { step, window, worth });
        Ok(worth)
    }

    /// The window of the shape that a bend to a gap leaves; nothing where one bend does not reach it.
    fn bent(&self, gap_m: f64) -> Result<Option<Option<Playable>>, RegapRefusal> {
        Ok(Some(match place::choose(self.standing, self.options, gap_m) {
            Ok((bend, _)) => {
                bend.applied_to(&self.standing.zero).ok().and_then(|bent| window(&bent.reed, self.options))
            }
            Err(BendRefusal::AlreadyThere { .. }) => window(&self.standing.now.reed, self.options),
            Err(BendRefusal::OutOfReach { .. }) => return Ok(None),
            Err(refusal) => return Err(RegapRefusal::of(refusal, self.standing, self.options, gap_m)),
        }))
    }

    /// A gap beyond `best`, towards `end`, that one bend does not reach, suits better and can be come to another way: the
    /// peak beyond, else half of the way to it.
    fn farther(&self, best: &Tried, end: i32) -> Option<Farther> {
        let mut beyond = Search { shape: Shape::Tipped, tried: Vec::new(), ..*self };
        beyond.peak(best.step.min(end), best.step.max(end)).ok()?;
        let peak = beyond.tried.iter().max_by(|a, b| a.worth.total_cmp(&b.worth))?.step;
        [peak, (best.step + peak) / 2].into_iter().find_map(|step| {
            let better = beyond.worth(step).ok()? > best.worth + Room::AS_GOOD.ln();
            let gap_m = FEELER_M * f64::from(step);
            let unreached = better && self.bent(gap_m).ok()?.is_none();
            let instead = unreached.then(|| Instead::find(self.standing, self.options, gap_m))??;
            Some(Farther { gap_m, instead })
        })
    }

    /// Why no gap is found: none can be bent to, or the reed speaks at none.
    fn nothing(&self) -> RegapRefusal {
        let far_m = FEELER_M * f64::from(self.now_and_usual().1);
        match place::choose(self.standing, self.options, far_m) {
            Err(refusal) if self.tried.is_empty() => RegapRefusal::of(refusal, self.standing, self.options, far_m),
            _ => RegapRefusal::SpeaksAtNone,
        }
    }
}

fn window(reed: &Reed, options: &RegapOptions) -> Option<Playable> {
    const ENDS: [Quantity; 2] = [Quantity::PlayableLow, Quantity::PlayableHigh];
    Solved::of(reed, &ENDS, &options.conditions, 1.0).ok()?.playable
}
