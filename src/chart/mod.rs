//! Results as pictures: each chart is a plain struct of values in, one [`Picture`] out: an SVG document, a PNG, or marks on
//! any drawing area of `plotters`.
//!
//! | question | chart |
//! |---|---|
//! | Which reeds are out of tune, and by how much? | [`PitchChart`] |
//! | At which pressures does each reed answer, and does that cover the player? | [`WindowChart`] |
//! | How long does each reed take to speak? | [`SpeakingChart`] |
//! | Which tip gap has each reed, and which should it have? | [`GapsChart`] |
//! | How even is the set in level? | [`LevelsChart`] |
//! | How softly does each reed start? | [`SoftestChart`] |
//! | How does this reed lie over its slot? | [`BenchView`] |
//! | How does it swing? | [`ModeChart`] |
//! | Where does the file raise its pitch, and where lower it? | [`FilingChart`] |
//! | How does it start when blown? | [`AttackChart`] |
//! | What does it sound like? | [`SpectrumChart`] |
//! | How does the playable window change with the tip gap and the clearance? | [`GapChart`] |
//! | How soon does a reed speak at each pressure, and with other settings? | [`ResponseChart`] |
//! | How does a quantity change over two inputs at once? | [`MapChart`] |
//! | How do results change over one input? | [`CurvesChart`] |
//! | How does the pitch move with the pressure? | [`PitchCurveChart`] |
//! | How loud is a reed, and where does its playing end? | [`LevelChart`] |
//! | What does a change to a reed do? | [`ChangeChart`] |
//! | Did each measurement come out as expected, round by round? | [`RoundsChart`] |
//! | What becomes of each note of a piece of music? | [`RehearsalChart`] |
//!
//! The first six show the reeds of a set in order of pitch, grouped by octave; the last shows a piece over time, the others
//! one reed. A chart names what is wrong beside the mark
//! that shows it, keeps its meaning in grey print (shape and lightness carry what colour carries), scales to any width,
//! and has a name and a description for readers who cannot see it. The same values always give the same bytes.
//!
//! A value that no axis has a place for is shown as "not known": a number that is not finite or beyond 1e12 either way, a
//! pressure or time that is not at least 1e-12 (Pa, s).
//!
//! The SVG is written directly, not by the backend of `plotters`: it has decimal places, dashes, tooltips and a description,
//! which that leaves out.

mod arrow;
mod attack;
mod bench;
mod branch;
mod change;
mod curves;
mod filing;
mod flags;
mod frame;
mod gap;
mod gaps;
mod level;
mod levels;
mod lines;
mod map;
mod marks;
mod modes;
mod near;
mod notes;
mod on_plotters;
mod page;
mod palette;
mod picture;
mod pitch;
mod pitch_curve;
mod plane;
#[cfg(feature = "png")]
pub mod png;
mod reed;
mod rehearsal;
mod response;
mod rounds;
mod scale;
mod softest;
mod speaking;
mod spectrum;
mod svg;
mod text;
mod tone;
mod tongue_strip;
mod uprights;
mod window;
mod words;

pub use attack::{AttackChart, Ending};
pub use bench::{BenchView, SideClearance, TongueStation};
pub use change::{ChangeChart, ChangeState};
pub use curves::{Curve, CurvesChart};
pub use filing::{FilingChart, FilingPatch};
pub use gap::{GapChart, GapCurve, GapPoint, OwnGap};
pub use gaps::{GapsChart, GapsReed};
pub use level::{LevelChart, LevelEnd, LevelPoint};
pub use levels::{LevelsChart, LevelsReed};
pub use map::{MapAxis, MapChart, MapOwn};
pub use modes::{ModeChart, SwingMode};
pub use picture::Picture;
pub use pitch::{PitchChart, PitchReed};
pub use pitch_curve::{PitchCurveChart, PitchPoint};
pub use reed::{Breath, ReedLabel, Slide};
pub use rehearsal::{RehearsalChart, RehearsalNote};
pub use response::{ResponseChart, ResponseCurve, ResponsePoint};
pub use rounds::RoundsChart;
pub use softest::{SoftestChart, SoftestReed};
pub use speaking::{SpeakingChart, SpeakingReed, Speech};
pub use spectrum::{Harmonic, SpectrumChart};
pub use tone::Tone;
pub use window::{Playable, PlayerPressures, Window, WindowChart, WindowReed};

/// The largest size of a value that is drawn, and the inverse of the smallest on a logarithmic axis.
const LARGEST: f64 = 1e12;

/// The value if a logarithmic axis has a place for it.
fn plottable(value: f64) -> Option<f64> {
    (1.0 / LARGEST..=LARGEST).contains(&value).then_some(value)
}

/// "1 reed", "2 reeds".
fn count_of_reeds(count: usize) -> String {
    if count == 1 { "1 reed".to_owned() } else { format!("{count} reeds") }
}

/// The verb that agrees with a count: `one` for one, `many` for any other number.
fn verb(count: usize, one: &'static str, many: &'static str) -> &'static str {
    if count == 1 { one } else { many }
}

/// The small print, after a word on labels that found no place.
fn with_left_out(left_out: usize, small_print: &str) -> String {
    match left_out {
        0 => small_print.to_owned(),
        _ => format!("{} had no room for a name. {small_print}", count_of_reeds(left_out)),
    }
}

/// The small print, after a word on labels beside lines that found no place.
fn with_words_left_out(left_out: usize, small_print: &str) -> String {
    match left_out {
        0 => small_print.to_owned(),
        1 => format!("One label had no room. {small_print}"),
        _ => format!("{left_out} labels had no room. {small_print}"),
    }
}
