//! The gap that suits a player.

use super::standing::Standing;
use super::{RegapOptions, RegapRefusal, place};
use crate::answer::{Neighbour, Quantity, Solved};
use crate::physics::Reed;
use crate::physics::playable::Playable;
use crate::workshop::bend::BendRefusal;

/// A step of the feelers (m).
const FEELER_M: f64 = 0.01e-3;
/// Ends of a window are found to 3 %: gaps whose margins differ by less are as good as each other.
const AS_GOOD: f64 = 0.03;

/// The gap, in steps of a feeler, at which the player's pressures from soft to hard lie farthest, as a ratio, from both
/// ends of the playable window: the largest of `min(ln(soft / low), ln(high / hard))`.
///
/// A wider gap raises both ends. So where soft has more room than hard the gap is opened, else closed, by halves.
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
    /// Whether a gap still farther from the present one would suit better, but no single bend reaches it safely.
    pub ends_at_reach: bool,
}

impl Best {
    /// How far the player's pressures lie inside a window, as the logarithm of a ratio; negative where they reach out.
    pub fn margin(&self, window: &Playable) -> f64 {
        Room::of(self.pressures_pa, window).least()
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
        let search = Search { standing, options, pressures_pa: (soft_pa, hard_pa) };
        let gap_m = standing.gap_m();
        let window_now = window(&standing.now.reed, options);
        let opens = window_now.map_or(gap_m < search.usual_m(), |now| search.room(&now).opens());
        let (tried, ends_at_reach) = search.halve(opens)?;
        let better = |a: &&Tried, b: &&Tried| a.margin.total_cmp(&b.margin);
        let Some(best) = tried.iter().filter(|tried| tried.window.is_some()).max_by(better) else {
            return Err(RegapRefusal::SpeaksAtNone);
        };
        let margin_now = window_now.map_or(f64::NEG_INFINITY, |now| search.room(&now).least());
        if margin_now >= best.margin - AS_GOOD {
            return Err(RegapRefusal::AlreadyBest { gap_m });
        }
        Ok(Self {
            gap_m: best.gap_m(),
            window: best.window.expect("those without were left out"),
            window_now,
            pressures_pa: search.pressures_pa,
            tried_m: tried.iter().map(Tried::gap_m).collect(),
            ends_at_reach,
        })
    }
}

/// Room, as the logarithm of a ratio, between soft playing and the lower end of a window, and hard and the upper.
struct Room {
    soft: f64,
    hard: f64,
}

impl Room {
    fn of((soft_pa, hard_pa): (f64, f64), window: &Playable) -> Self {
        Self { soft: (soft_pa / window.low.pressure_pa).ln(), hard: (window.high.pressure_pa / hard_pa).ln() }
    }

    fn least(&self) -> f64 {
        self.soft.min(self.hard)
    }

    /// Whether a wider gap makes the smaller of both larger.
    fn opens(&self) -> bool {
        self.soft > self.hard
    }
}

/// A gap that was tried.
struct Tried {
    /// In steps of a feeler.
    step: i32,
    window: Option<Playable>,
    margin: f64,
}

impl Tried {
    fn gap_m(&self) -> f64 {
        FEELER_M * f64::from(self.step)
    }
}

struct Search<'a> {
    standing: &'a Standing,
    options: &'a RegapOptions,
    pressures_pa: (f64, f64),
}

impl Search<'_> {
    /// Where a gap is neither close nor wide: a hundredth of the length.
    fn usual_m(&self) -> f64 {
        0.01 * self.standing.zero.reed.beam.length_m
    }

    fn room(&self, window: &Playable) -> Room {
        Room::of(self.pressures_pa, window)
    }

    /// The gaps tried on the way to where both ends have the same room, and whether the reach of a bend ended it.
    fn halve(&self, opens: bool) -> Result<(Vec<Tried>, bool), RegapRefusal> {
        let now = (self.standing.gap_m() / FEELER_M).round() as i32;
        let usual = (self.usual_m() / FEELER_M).round() as i32;
        // From no gap, or to four times what the reed or a usual one has.
        let (mut near, mut far) = (now, if opens { 4 * now.max(usual) } else { 0 });
        let (mut tried, mut ends_at_reach, mut refused) = (Vec::new(), false, None);
        while (far - near).abs() > 1 {
            let step = (near + far) / 2;
            match self.one(step) {
                Err(refusal) => {
                    (far, ends_at_reach) = (step, true);
                    refused = Some((refusal, FEELER_M * f64::from(step)));
                }
                Ok(window) => {
                    let goes_on = window.map_or((step < usual) == opens, |window| self.room(&window).opens() == opens);
                    let margin = window.map_or(f64::NEG_INFINITY, |window| self.room(&window).least());
                    tried.push(Tried { step, window, margin });
                    if goes_on {
                        near = step;
                    } else {
                        (far, ends_at_reach) = (step, false);
                    }
                }
            }
        }
        match refused {
            Some((refusal, gap_m)) if tried.is_empty() => {
                Err(RegapRefusal::of(refusal, self.standing, self.options, gap_m))
            }
            _ => Ok((tried, ends_at_reach)),
        }
    }

    /// The playable window at a gap, where it can be bent to.
    fn one(&self, step: i32) -> Result<Option<Playable>, BendRefusal> {
        let (bend, _) = place::choose(self.standing, self.options, FEELER_M * f64::from(step))?;
        Ok(bend.applied_to(&self.standing.zero).ok().and_then(|bent| window(&bent.reed, self.options)))
    }
}

fn window(reed: &Reed, options: &RegapOptions) -> Option<Playable> {
    const ENDS: [Quantity; 2] = [Quantity::PlayableLow, Quantity::PlayableHigh];
    Solved::of(reed, &ENDS, &options.conditions, 1.0, &mut Neighbour::default()).ok()?.playable
}
