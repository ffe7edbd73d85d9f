//! At which pressures each reed of a set answers in time, beside what the player gives.

mod bars;
mod draw;
mod key;

use super::Picture;
use super::plottable;
use super::reed::{ReedLabel, by_pitch};
use super::scale::short;

/// The pressures at which a reed speaks within the time allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Playable {
    /// The lowest (Pa).
    pub lowest_pa: f64,
    /// The highest (Pa); `None` if it speaks up to the limit of what was asked.
    pub highest_pa: Option<f64>,
}

/// What a reed does over all pressures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Window {
    /// Nothing is known.
    Unknown,
    /// It sounds at no pressure.
    Silent,
    /// It sounds between two pressures.
    Sounds {
        /// Where sound begins, however slowly (Pa).
        onset_pa: f64,
        /// Where it chokes (Pa); `None` if it does not below the limit.
        choke_pa: Option<f64>,
        /// Where it also speaks in time; `None` if it is too slow everywhere.
        playable: Option<Playable>,
    },
}

/// The player's pressures at the note of a reed (Pa).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlayerPressures {
    /// Playing softly.
    pub soft_pa: f64,
    /// Playing as usual.
    pub normal_pa: f64,
    /// Playing hard.
    pub hard_pa: f64,
}

/// A reed and the pressures at which it answers.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// What it does.
    pub window: Window,
    /// What the player gives at its note.
    pub player: PlayerPressures,
}

/// Playable window over the notes of a set, with the player's band.
///
/// Reeds whose window does not reach from the player's soft to the hard pressure are dark, outlined and named.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<WindowReed>,
    /// The highest pressure that was asked (Pa): windows with an open end reach it.
    pub pressure_limit_pa: f64,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl WindowChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let reeds = by_pitch(&self.reeds, |reed| &reed.reed);
        let shown = reeds.iter().map(|reed| Shown::of(&reed.window)).collect();
        draw::Drawing { chart: self, reeds, shown }.picture()
    }
}

/// What can be drawn of a window.
#[derive(Clone, Copy)]
pub(super) enum Shown {
    Nothing,
    Silent,
    Bar(Bar),
}

/// A window with its ends (Pa); a high end that is `None` is open.
#[derive(Clone, Copy)]
pub(super) struct Bar {
    /// From onset to choke.
    pub sounds: (f64, Option<f64>),
    /// The part where it also speaks in time.
    pub speaks: Option<(f64, Option<f64>)>,
}

/// What keeps a reed from covering the player's band.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    Silent,
    TooSlow,
    NotSoft { lowest_pa: f64 },
    NotHard { highest_pa: f64 },
    Neither { lowest_pa: f64, highest_pa: f64 },
}

impl Shown {
    pub(super) fn bar(&self) -> Option<&Bar> {
        if let Self::Bar(bar) = self { Some(bar) } else { None }
    }

    pub(super) fn of(window: &Window) -> Self {
        match window {
            Window::Unknown => Self::Nothing,
            Window::Silent => Self::Silent,
            Window::Sounds { onset_pa, choke_pa, playable } => {
                Bar::of(*onset_pa, *choke_pa, *playable).map_or(Self::Nothing, Self::Bar)
            }
        }
    }

    /// What is wrong, as far as it and the player are known.
    fn fault(&self, player: &PlayerPressures) -> Option<Fault> {
        let bar = match self {
            Self::Nothing => return None,
            Self::Silent => return Some(Fault::Silent),
            Self::Bar(bar) => bar,
        };
        let Some((lowest_pa, highest_pa)) = bar.speaks else { return Some(Fault::TooSlow) };
        let not_soft = lowest_pa > player.soft_pa;
        match (not_soft, highest_pa.filter(|highest_pa| *highest_pa < player.hard_pa)) {
            (false, None) => None,
            (true, None) => Some(Fault::NotSoft { lowest_pa }),
            (false, Some(highest_pa)) => Some(Fault::NotHard { highest_pa }),
            (true, Some(highest_pa)) => Some(Fault::Neither { lowest_pa, highest_pa }),
        }
    }
}

impl Bar {
    fn of(onset_pa: f64, choke_pa: Option<f64>, playable: Option<Playable>) -> Option<Self> {
        let end = |pressure_pa: Option<f64>| pressure_pa.map_or(Some(None), |end_pa| plottable(end_pa).map(Some));
        let speaks = match playable {
            None => None,
            Some(window) => Some((plottable(window.lowest_pa)?, end(window.highest_pa)?)),
        };
        Some(Self { sounds: (plottable(onset_pa)?, end(choke_pa)?), speaks })
    }

    /// Every pressure at which something ends (Pa).
    pub(super) fn ends(&self) -> impl Iterator<Item = f64> {
        let (lowest, highest) = self.speaks.unwrap_or(self.sounds);
        [Some(self.sounds.0), self.sounds.1, Some(lowest), highest].into_iter().flatten()
    }

    pub(super) fn is_open(&self) -> bool {
        self.sounds.1.is_none() || self.speaks.is_some_and(|(_, highest)| highest.is_none())
    }
}

impl Fault {
    fn in_words(self) -> String {
        let kpa = |pressure_pa: f64| short(pressure_pa / 1000.0, 2);
        match self {
            Self::Silent => "never sounds".to_owned(),
            Self::TooSlow => "too slow at any pressure".to_owned(),
            Self::NotSoft { lowest_pa } => format!("from {} kPa", kpa(lowest_pa)),
            Self::NotHard { highest_pa } => format!("up to {} kPa", kpa(highest_pa)),
            Self::Neither { lowest_pa, highest_pa } => {
                format!("only {} to {} kPa", kpa(lowest_pa), kpa(highest_pa))
            }
        }
    }
}
