//! The clearances along both sides of a tongue: how it lies in its slot.

use crate::physics::{Profile, Reed};
use crate::sheet::{CheckedReed, SheetError};

/// A side of the tongue, seen from above with the clamp below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Side {
    /// The side towards which a positive (right) or negative (left) way goes.
    pub fn towards(way: f64) -> Self {
        if way < 0.0 { Self::Left } else { Self::Right }
    }

    /// The other side.
    pub fn other(self) -> Self {
        if self == Self::Left { Self::Right } else { Self::Left }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        if self == Self::Left { "left" } else { "right" }
    }
}

/// Clearances of both sides; below zero where the tongue would lie inside the wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Sides {
    /// From the left edge to the wall, along the tongue (m).
    pub left_m: Profile,
    /// From the right edge to the wall, along the tongue (m).
    pub right_m: Profile,
    /// Length of the tongue (m).
    pub length_m: f64,
}

impl Sides {
    /// Those of a reed.
    pub fn of(reed: &Reed) -> Self {
        let slot = &reed.slot;
        Self {
            left_m: slot.left_clearance_m.clone(),
            right_m: slot.right_clearance_m.clone(),
            length_m: reed.beam.length_m,
        }
    }

    /// Clearances at the root, half-way and at the tip (m), linear between them.
    pub fn measured(length_m: f64, left_m: [f64; 3], right_m: [f64; 3]) -> Self {
        let profile = |[root, middle, tip]: [f64; 3]| {
            let stations = vec![(0.0, root), (0.5 * length_m, middle), (length_m, tip)];
            Profile::linear(stations).unwrap_or_else(|_| Profile::constant(f64::NAN))
        };
        Self { left_m: profile(left_m), right_m: profile(right_m), length_m }
    }

    /// Off the middle of the slot at `s`, to the right (m): half of left less right.
    pub fn off_centre_m(&self, s: f64) -> f64 {
        0.5 * (self.left_m.at(s) - self.right_m.at(s))
    }

    /// Furthest off the middle anywhere (m).
    pub fn worst_off_centre_m(&self) -> f64 {
        self.corners().map(|(_, left, right)| 0.5 * (left - right).abs()).fold(0.0, f64::max)
    }

    /// Least clearance of a side and where (m).
    pub fn least(&self, side: Side) -> (f64, f64) {
        let stations = self.of_side(side).stations().iter().map(|&(s, clearance)| (clearance, s));
        stations.min_by(|a, b| a.0.total_cmp(&b.0)).expect("a profile has stations")
    }

    /// The clearances of a side.
    pub fn of_side(&self, side: Side) -> &Profile {
        if side == Side::Left { &self.left_m } else { &self.right_m }
    }

    /// Whether a side has the same clearance all along, to a tenth of a micrometre.
    pub fn is_even(&self, side: Side) -> bool {
        let (least, most) = self.of_side(side).range();
        most - least < 1e-7
    }

    /// Mean of a side along the tongue (m).
    pub fn mean_of_m(&self, side: Side) -> f64 {
        self.integral(|_, left, right| if side == Side::Left { left } else { right }) / self.length_m
    }

    /// Mean of both sides along the tongue (m).
    pub fn mean_m(&self) -> f64 {
        0.5 * (self.mean_of_m(Side::Left) + self.mean_of_m(Side::Right))
    }

    /// Nowhere wider than `widest_m`; what is closer stays.
    pub fn no_wider_than(&self, widest_m: f64) -> Self {
        let limited = |profile: &Profile| limited(profile, widest_m, 1e-4 * self.length_m);
        Self { left_m: limited(&self.left_m), right_m: limited(&self.right_m), length_m: self.length_m }
    }

    /// New clearances from place, left and right; linear between the places where either bends.
    pub fn changed(&self, left: impl Fn(f64, f64, f64) -> f64, right: impl Fn(f64, f64, f64) -> f64) -> Self {
        let profile = |value: &dyn Fn(f64, f64, f64) -> f64| {
            let mut stations: Vec<(f64, f64)> = Vec::new();
            for (s, a, b) in self.corners() {
                let next = (s, value(s, a, b));
                if stations.last() != Some(&next) {
                    stations.push(next);
                }
            }
            Profile::linear(stations).unwrap_or_else(|_| Profile::constant(f64::NAN))
        };
        Self { left_m: profile(&left), right_m: profile(&right), length_m: self.length_m }
    }

    /// The tongue moved sideways by `to_right_m(s)`.
    pub fn moved(&self, to_right_m: impl Fn(f64) -> f64) -> Self {
        self.changed(|s, left, _| left + to_right_m(s), |s, _, right| right - to_right_m(s))
    }

    /// Integral along the tongue of a polynomial of third degree or less in place and clearances (Simpson's rule).
    pub fn integral(&self, value: impl Fn(f64, f64, f64) -> f64) -> f64 {
        let part = |span: Span| {
            let ((s0, l0, r0), (s1, l1, r1)) = (span.from, span.to);
            let middle = value(0.5 * (s0 + s1), 0.5 * (l0 + l1), 0.5 * (r0 + r1));
            (s1 - s0) / 6.0 * (value(s0, l0, r0) + 4.0 * middle + value(s1, l1, r1))
        };
        self.spans().into_iter().map(part).sum()
    }

    /// The checked reed with these clearances, and the keys that say so.
    ///
    /// # Errors
    /// A clearance outside the range of its key.
    pub fn applied(&self, to: &CheckedReed) -> Result<(CheckedReed, Vec<&'static str>), SheetError> {
        let stretch = self.typed_length_mm(to) / self.length_m;
        let (left, right) = (typed(&self.left_m, stretch), typed(&self.right_m, stretch));
        let changes: Vec<(&'static str, String)> = if left == right {
            let key = if left.contains(':') { "side_clearance_stations_mm" } else { "side_clearance_mm" };
            vec![(key, left)]
        } else {
            let keys = |number, stations, typed: &String| if typed.contains(':') { stations } else { number };
            vec![
                (keys("left_clearance_mm", "left_clearance_stations_mm", &left), left),
                (keys("right_clearance_mm", "right_clearance_stations_mm", &right), right),
            ]
        };
        let changed = to.with_texts(changes.iter().map(|(key, text)| (*key, text.as_str())))?;
        Ok((changed, changes.into_iter().map(|change| change.0).collect()))
    }

    /// A warm tongue is longer than its file says; stations are typed for the length in the file.
    fn typed_length_mm(&self, to: &CheckedReed) -> f64 {
        match to.spec.typed("length_mm") {
            Some((crate::sheet::Value::Number(mm), _)) => *mm,
            _ => 1e3 * self.length_m,
        }
    }

    /// Place, left and right (m) at both ends of each stretch in which neither side bends.
    pub fn corners(&self) -> impl Iterator<Item = (f64, f64, f64)> {
        self.spans().into_iter().flat_map(|span| [span.from, span.to])
    }

    fn spans(&self) -> Vec<Span> {
        let stations = self.left_m.stations().iter().chain(self.right_m.stations()).map(|station| station.0);
        let inside = stations.filter(|&s| s > 0.0 && s < self.length_m);
        let mut places: Vec<f64> = inside.chain([0.0, self.length_m]).collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        let span = |pair: &[f64]| {
            let middle = 0.5 * (pair[0] + pair[1]);
            let at = |s: f64| (s, self.left_m.at_within(s, middle), self.right_m.at_within(s, middle));
            Span { from: at(pair[0]), to: at(pair[1]) }
        };
        places.windows(2).map(span).collect()
    }
}

/// A stretch without a bend: place, left and right at both ends.
struct Span {
    from: (f64, f64, f64),
    to: (f64, f64, f64),
}

/// A profile cut off at `most`, with a station where it crosses that, unless it has one nearer than `near`.
fn limited(profile: &Profile, most: f64, near: f64) -> Profile {
    let stations = profile.stations();
    let mut all = vec![stations[0]];
    for pair in stations.windows(2) {
        let ((s0, v0), (s1, v1)) = (pair[0], pair[1]);
        let crossing = s0 + (s1 - s0) * (most - v0) / (v1 - v0);
        if (v0 > most) != (v1 > most) && crossing > s0 + near && crossing < s1 - near {
            all.push((crossing, most));
        }
        all.push((s1, v1));
    }
    let cut = all.into_iter().map(|(s, value)| (s, value.min(most))).collect();
    Profile::linear(cut).unwrap_or_else(|_| profile.clone())
}

/// A profile as a command line would give it, in mm, to a nanometre.
fn typed(profile: &Profile, mm_per_m: f64) -> String {
    let value = |clearance_m: f64| format!("{:.6}", 1e3 * clearance_m);
    let (least, most) = profile.range();
    if value(least) == value(most) {
        return value(least);
    }
    let station = |&(s, clearance): &(f64, f64)| format!("{:.6}:{}", mm_per_m * s, value(clearance));
    profile.stations().iter().map(station).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bent() -> Sides {
        let left_m = Profile::linear(vec![(0.0, 3e-5), (4e-3, 3e-5), (4e-3, 5e-5), (12e-3, 2e-5)]).unwrap();
        Sides { left_m, right_m: Profile::constant(4e-5), length_m: 12e-3 }
    }

    #[test]
    fn moving_there_and_back_returns() {
        let way = |s: f64| 1e-5 - 2e-3 * s;
        let back = bent().moved(way).moved(|s| -way(s));
        for s in [0.0, 2e-3, 4e-3, 7e-3, 12e-3] {
            assert!((back.left_m.at(s) - bent().left_m.at(s)).abs() < 1e-18, "{s}");
            assert!((back.right_m.at(s) - 4e-5).abs() < 1e-18, "{s}");
        }
        // The nearer side of the step.
        assert!((back.left_m.at_within(4e-3, 3e-3) - 3e-5).abs() < 1e-18);
    }

    #[test]
    fn means_and_extremes_by_hand() {
        // Left: 4 mm at 0.03 mm, 8 mm at 0.035 mm on average; right 0.04 mm.
        let mean = 0.5 * ((4.0 * 3e-5 + 8.0 * 3.5e-5) / 12.0 + 4e-5);
        assert!((bent().mean_m() - mean).abs() < 1e-18);
        assert_eq!(bent().least(Side::Left), (2e-5, 12e-3));
        assert!((bent().worst_off_centre_m() - 1e-5).abs() < 1e-18);
    }
}
