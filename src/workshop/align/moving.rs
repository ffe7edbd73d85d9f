//! The move that centres a tongue: how far to shift its pad, how far to turn it about its rivet.

use std::f64::consts::FRAC_1_SQRT_2;

use crate::workshop::sides::Sides;

/// A sideways move, linear along the tongue: both to the right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Shift of the pad (m).
    pub shift_m: f64,
    /// How much further right each metre from the rivet goes by turning (m/m), the difference of two sines.
    pub slope: f64,
    /// From the rivet to the edge of the clamp (m).
    pub rivet_m: f64,
}

impl Move {
    /// How far it moves the tongue at `s` from the clamp (m).
    pub fn at_m(&self, s: f64) -> f64 {
        self.shift_m + self.slope * (s + self.rivet_m)
    }

    /// Furthest that it moves a tongue of this length anywhere (m).
    pub fn furthest_m(&self, length_m: f64) -> f64 {
        self.at_m(0.0).abs().max(self.at_m(length_m).abs())
    }

    /// Whether it moves a tongue of this length further than clearances known to `tolerance_m` can tell: half the difference
    /// of two readings, each off by that.
    pub fn shows(&self, length_m: f64, tolerance_m: f64) -> bool {
        self.furthest_m(length_m) > FRAC_1_SQRT_2 * tolerance_m
    }

    /// The sides after it.
    pub fn applied(&self, sides: &Sides) -> Sides {
        sides.moved(|s| self.at_m(s))
    }

    /// The best move of a tongue whose clearances are known to `tolerance_m`: the straight line through what it is off the
    /// middle undone, unless tongue or slot are so bent that this leaves less room at the closest place than could be had.
    /// The turn or the shift alone where that does as well, as far as can be measured.
    pub fn best(sides: &Sides, rivet_m: f64, tolerance_m: f64) -> Self {
        let (offset, slope) = straight_line(sides);
        let room = Room::of(sides);
        let most = room.at(room.most_at());
        // Half the tolerance less cannot be read; less than there is now would do harm.
        let enough = (most - 0.5 * tolerance_m).max(room.of_move(0.0, 0.0));
        let turn = room.nearest_slope(-slope, enough);
        // By least squares with this turn the middle of the tongue goes to the middle of the slot.
        let middle = 0.5 * sides.length_m;
        let at_clamp = room.nearest_shift(-(offset + slope * middle) - turn * middle, turn, enough);
        let both = Self { shift_m: at_clamp - turn * rivet_m, slope: turn, rivet_m };
        let half = 0.5 * tolerance_m;
        let left_over = |by: &Self| by.applied(sides).worst_off_centre_m();
        let left_by_both = left_over(&both);
        let as_good = |alone: &Self, rest: Self| {
            let (left, unread) = (left_over(alone), !rest.shows(sides.length_m, tolerance_m));
            let centred = left <= left_by_both.max(half) || unread && left <= left_by_both + half;
            centred && room.of_move(alone.at_m(0.0), alone.slope) >= enough
        };
        let turned = Self { shift_m: 0.0, slope: turn_alone(sides, rivet_m), rivet_m };
        let shifted = Self { shift_m: -offset - slope * middle, slope: 0.0, rivet_m };
        if as_good(&turned, Self { slope: 0.0, ..both }) {
            turned
        } else if as_good(&shifted, Self { shift_m: 0.0, ..both }) {
            shifted
        } else {
            both
        }
    }
}

/// The straight line `(a, b)` nearest to the off-centre `a + b s`, by least squares along the tongue.
pub fn straight_line(sides: &Sides) -> (f64, f64) {
    let length = sides.length_m;
    let mean = sides.integral(|_, left, right| 0.5 * (left - right)) / length;
    let moment = sides.integral(|s, left, right| 0.5 * (left - right) * (s - 0.5 * length));
    let slope = 12.0 * moment / length.powi(3);
    (mean - 0.5 * slope * length, slope)
}

/// The turn about the rivet that leaves the least off-centre, by least squares.
fn turn_alone(sides: &Sides, rivet_m: f64) -> f64 {
    let tip = rivet_m + sides.length_m;
    let moment = sides.integral(|s, left, right| 0.5 * (left - right) * (s + rivet_m));
    -3.0 * moment / (tip.powi(3) - rivet_m.powi(3))
}

/// Room at the closest place after a move by `a + b s` to the right: a concave function of `a` and `b`, as it is the least
/// of the straight lines `left + a + b s` and `right - a - b s`.
struct Room {
    /// Place, left, right (m) wherever a side bends.
    corners: Vec<(f64, f64, f64)>,
    /// No slope beyond this can leave the most room.
    steepest: f64,
}

impl Room {
    fn of(sides: &Sides) -> Self {
        let corners: Vec<_> = sides.corners().collect();
        let widest = corners.iter().fold(0.0, |most: f64, corner| most.max(corner.1.abs()).max(corner.2.abs()));
        Self { corners, steepest: 4.0 * widest / sides.length_m }
    }

    /// Least clearances left and right after turning by `b`.
    fn sides(&self, b: f64) -> (f64, f64) {
        let least =
            |value: &dyn Fn(&(f64, f64, f64)) -> f64| self.corners.iter().map(value).fold(f64::INFINITY, f64::min);
        (least(&|&(s, left, _)| left + b * s), least(&|&(s, _, right)| right - b * s))
    }

    /// With the best shift: half of both.
    fn at(&self, b: f64) -> f64 {
        let (left, right) = self.sides(b);
        0.5 * (left + right)
    }

    fn of_move(&self, a: f64, b: f64) -> f64 {
        let (left, right) = self.sides(b);
        (left + a).min(right - a)
    }

    /// The slope with the most room, by thirds.
    fn most_at(&self) -> f64 {
        let (mut low, mut high) = (-self.steepest, self.steepest);
        for _ in 0..100 {
            let third = (high - low) / 3.0;
            if self.at(low + third) < self.at(high - third) { low += third } else { high -= third }
        }
        0.5 * (low + high)
    }

    /// The slope nearest to `wanted` that leaves `enough` room, by halving.
    fn nearest_slope(&self, wanted: f64, enough: f64) -> f64 {
        if self.at(wanted) >= enough {
            return wanted;
        }
        let (mut outside, mut inside) = (wanted, self.most_at());
        for _ in 0..60 {
            let middle = 0.5 * (outside + inside);
            if self.at(middle) >= enough { inside = middle } else { outside = middle }
        }
        inside
    }

    /// The shift nearest to `wanted` that leaves `enough` room with slope `b`.
    fn nearest_shift(&self, wanted: f64, b: f64, enough: f64) -> f64 {
        let (left, right) = self.sides(b);
        let (low, high) = (enough - left, right - enough);
        // Rounding may set them in the wrong order by a hair.
        if low < high { wanted.clamp(low, high) } else { 0.5 * (low + high) }
    }
}
