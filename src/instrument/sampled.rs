//! Margins from samples: the reed as it may be, many times over, in place of derivatives.
//!
//! Every sample draws what each tool is off by, once for all reeds of the set, and what each reading is off by. The numbers
//! depend on seed, sample, reed and input alone, not on the order of the work, so that any number of cores finds the same.

use super::figure::{Figure, Figures};
use super::nearby::Nearby;
use super::tool::Off;
use crate::sheet::CheckedReed;

/// A number that looks random, from -1 to 1, from four numbers: S. Vigna's splitmix64 (public domain), stepped by each.
fn draw(key: [u64; 4]) -> f64 {
    let mixed = key.into_iter().fold(0, |state: u64, part| {
        let mut z = (state ^ part).wrapping_add(0x9e37_79b9_7f4a_7c15);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    });
    // 53 bits fill a number; the rest is dropped.
    2.0 * (mixed >> 11) as f64 / (1_u64 << 53) as f64 - 1.0
}

/// Anywhere within sharp bounds, with a standard deviation of 1.
fn even([a, b, c]: [u64; 3]) -> f64 {
    3.0_f64.sqrt() * draw([a, b, c, 0])
}

/// By the normal distribution, with a standard deviation of 1 (G. E. P. Box, M. E. Muller 1958).
fn normal([a, b, c]: [u64; 3]) -> f64 {
    let [radius, turn] = [1, 2].map(|which| 0.5 * (1.0 + draw([a, b, c, which])));
    (-2.0 * (1.0 - radius).ln()).sqrt() * (2.0 * std::f64::consts::PI * turn).cos()
}

/// What the figures of a reed change by in each sample.
pub(super) fn changes(checked: &CheckedReed, nearby: &Nearby, reed: u64, samples: usize) -> Vec<Figures> {
    if samples == 0 {
        return Vec::new();
    }
    let here = nearby.figures(&checked.reed);
    let offs = Off::all(checked);
    let one = |sample: u64| {
        let place = |(k, off): (u64, &Off)| {
            let shared = off.shared();
            let one = if off.is_sharp() { even } else { normal };
            shared.sqrt() * one([1, sample, off.tool as u64]) + (1.0 - shared).sqrt() * one([2, sample, reed << 8 | k])
        };
        let places: Vec<f64> = (0..).zip(&offs).map(place).collect();
        let moved = Off::all_moved(&offs, checked, &places);
        moved.map_or_else(Figures::default, |moved| nearby.figures(&moved.reed).minus(&here))
    };
    (0..samples as u64).map(one).collect()
}

/// Of the samples of a figure: how they lie about the value found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sampled {
    /// Half of the interval that holds four fifths of them.
    pub(super) half_interval: f64,
    /// Where its middle lies, from the value found.
    pub(super) off: f64,
    /// Share of them with a margin above zero.
    pub(super) good: f64,
    /// Some have no such figure.
    pub(super) or_more: bool,
}

/// Of a margin of `value` that changes by `slope` times the figure; a sample without the figure is no good one. Nothing where
/// too few have it.
pub(super) fn sampled(changes: &[Figures], figure: Figure, value: f64, slope: f64) -> Option<Sampled> {
    const FEWEST: usize = 20;
    let mut margins: Vec<f64> = changes.iter().filter_map(|change| Some(value + slope * change.get(figure)?)).collect();
    if margins.len() < FEWEST {
        return None;
    }
    margins.sort_by(f64::total_cmp);
    let at = |share: f64| margins[(share * (margins.len() - 1) as f64).round() as usize];
    let good = margins.iter().filter(|margin| **margin > 0.0).count();
    Some(Sampled {
        half_interval: 0.5 * (at(0.9) - at(0.1)),
        off: 0.5 * (at(0.9) + at(0.1)) - value,
        good: good as f64 / changes.len() as f64,
        or_more: margins.len() < changes.len(),
    })
}
