//! A pluck or a blow: a plucked tongue is loudest at once and dies away evenly, a blown one sustains.

use serde::Serialize;

/// How a note was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// The tongue was plucked and rings down.
    Pluck,
    /// Air made it sound.
    Blow,
}

/// How far below its height a note is looked at (dB).
const REACH_DB: f64 = 20.0;
/// The least height above the noise at which a decay can be told from a note that stays (dB).
const LEAST_REACH_DB: f64 = 9.0;
/// Frames of 5 ms in which a pluck is loudest.
const AT_ONCE: usize = 10;
/// Frames after the loudest one that may be the click of the pluck.
const CLICK: usize = 3;
/// How straight the levels fall (squared correlation with time).
const STRAIGHT: f64 = 0.8;

/// What the levels (dB) of a note, over a noise, tell of it: falls it at least 8 dB, evenly, from its beginning on?
pub(super) fn kind(db: &[f32], noise_db: f64) -> Kind {
    let Some((loudest, &top)) = db.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)) else { return Kind::Blow };
    let from = (loudest + CLICK).min(db.len());
    let start = db.get(from).map_or(f64::from(top), |&level| f64::from(level));
    let reach = (start - noise_db - 6.0).min(REACH_DB);
    let falling: Vec<f64> =
        db[from..].iter().map(|&level| f64::from(level)).take_while(|&level| level > start - reach).collect();
    let is_even = falling.len() >= 4 && squared_correlation(&falling) >= STRAIGHT;
    let is_down = falling.first().zip(falling.last()).is_some_and(|(first, last)| first - last > 0.7 * LEAST_REACH_DB);
    if loudest <= AT_ONCE && reach >= LEAST_REACH_DB && is_even && is_down && !stays(&falling, reach) {
        Kind::Pluck
    } else {
        Kind::Blow
    }
}

/// Whether more of the time than of an even fall is spent within 6 dB of the height.
fn stays(falling: &[f64], reach: f64) -> bool {
    let near = falling.iter().filter(|&&level| level > falling[0] - 6.0).count() as f64;
    near / falling.len() as f64 > 1.35 * 6.0 / reach
}

fn squared_correlation(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let (time, mean) = ((n - 1.0) / 2.0, values.iter().sum::<f64>() / n);
    let (mut both, mut times, mut levels) = (0.0, 0.0, 0.0);
    for (k, value) in values.iter().enumerate() {
        let (t, v) = (k as f64 - time, value - mean);
        both += t * v;
        times += t * t;
        levels += v * v;
    }
    if levels > 0.0 { both * both / (times * levels) } else { 0.0 }
}
