//! How much of the pad a round head holds down.
//!
//! Head and hole are circles, the pad is a rectangle, all three with one centre. In one quadrant of a rectangle with half
//! sides `a` and `b` the circle of radius `R` reaches out to `a/cos t` up to the angle `A = acos(a/R)`, to `b/sin t` within
//! `B = acos(b/R)` of the other axis, and to `R` between; where the circle is beyond a side or a corner the angles end there.
//! Integrating over the angle:
//!
//! ```text
//! area        = a^2/2 tan A + R^2/2 (pi/2 - A - B) + b^2/2 tan B
//! its moment  = a^3/6 (sec A tan A + asinh tan A) + R^3/3 (pi/2 - A - B) + the same of b and B     (integral of r dS)
//! ```

use std::f64::consts::FRAC_PI_2;

/// A round head on a rectangular pad, both centred on the hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    /// Diameter of the head, of the screw or the closed rivet (m).
    pub head_m: f64,
    /// Diameter of the hole in the pad (m); zero where the tongue is held without one.
    pub hole_m: f64,
    /// Size of the pad along the tongue (m).
    pub pad_length_m: f64,
    /// Size of the pad across the tongue (m).
    pub pad_width_m: f64,
}

/// Why a head cannot hold a pad.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HeadFault {
    /// The head falls through the hole.
    #[error(
        "a head of {head_mm} mm falls through a hole of {hole_mm} mm; measure both again: the head is the wider of the two"
    )]
    HeadInHole {
        /// Diameter of the head (mm).
        head_mm: f64,
        /// Diameter of the hole (mm).
        hole_mm: f64,
    },
    /// The hole cuts the pad in two.
    #[error(
        "a hole of {hole_mm} mm leaves nothing of a pad {pad_mm} mm wide; give the pad as length along the reed x width, in mm"
    )]
    HoleOverPad {
        /// Diameter of the hole (mm).
        hole_mm: f64,
        /// Smaller side of the pad (mm).
        pad_mm: f64,
    },
}

impl Head {
    /// Checks that the head can hold the pad.
    ///
    /// # Errors
    /// A hole as wide as the head or as the pad.
    pub fn check(&self) -> Result<(), HeadFault> {
        let mm = |m: f64| (1e6 * m).round() / 1e3;
        let narrow_m = self.pad_length_m.min(self.pad_width_m);
        if self.hole_m >= self.head_m {
            return Err(HeadFault::HeadInHole { head_mm: mm(self.head_m), hole_mm: mm(self.hole_m) });
        }
        if self.hole_m >= narrow_m {
            return Err(HeadFault::HoleOverPad { hole_mm: mm(self.hole_m), pad_mm: mm(narrow_m) });
        }
        Ok(())
    }

    /// Share of the pad that the head covers, seen from above, the hole under it counted as covered.
    ///
    /// ```
    /// use freereed::workshop::fasten::Head;
    /// let head = Head { head_m: 2e-3, hole_m: 1e-3, pad_length_m: 2e-3, pad_width_m: 2e-3 };
    /// assert!((head.covered_share() - std::f64::consts::FRAC_PI_4).abs() < 1e-12, "a circle in its square");
    /// ```
    pub fn covered_share(&self) -> f64 {
        self.area_m2(self.head_m) / self.pad_m2()
    }

    /// Area on which the head bears: what it covers less the hole (m2).
    pub fn bearing_m2(&self) -> f64 {
        self.area_m2(self.head_m) - self.area_m2(self.hole_m)
    }

    /// Share of the pad's metal on which the head bears.
    pub fn bearing_share(&self) -> f64 {
        self.bearing_m2() / (self.pad_m2() - self.area_m2(self.hole_m))
    }

    /// Mean distance of the bearing metal from the centre (m): the lever of friction under even pressure. For a head that
    /// the pad does not clip, `(2/3)(R^3 - r^3)/(R^2 - r^2)`.
    pub fn friction_lever_m(&self) -> f64 {
        (self.moment_m3(self.head_m) - self.moment_m3(self.hole_m)) / self.bearing_m2()
    }

    /// The pad's strip between the head's rim and the root edge, on the middle line (m): no head presses on it.
    pub fn bare_to_root_m(&self) -> f64 {
        (0.5 * (self.pad_length_m - self.head_m)).max(0.0)
    }

    /// The same head, wider or narrower.
    #[must_use]
    pub fn with_head(self, head_m: f64) -> Self {
        Self { head_m, ..self }
    }

    fn pad_m2(&self) -> f64 {
        self.pad_length_m * self.pad_width_m
    }

    /// Area of a circle about the centre, as far as it lies on the pad.
    fn area_m2(&self, diameter_m: f64) -> f64 {
        4.0 * self.over_quadrant(diameter_m, |side, angle| 0.5 * side * side * angle.tan(), |r| 0.5 * r * r)
    }

    /// Integral of the distance from the centre over the same.
    fn moment_m3(&self, diameter_m: f64) -> f64 {
        let beside = |side: f64, angle: f64| {
            let tan = angle.tan();
            side.powi(3) / 6.0 * (tan / angle.cos() + tan.asinh())
        };
        4.0 * self.over_quadrant(diameter_m, beside, |r| r.powi(3) / 3.0)
    }

    /// `beside(side, angle)` for the angles that end on each side of the pad, `within(R)` per radian for those between.
    fn over_quadrant(&self, diameter_m: f64, beside: impl Fn(f64, f64) -> f64, within: impl Fn(f64) -> f64) -> f64 {
        let (radius, a, b) = (0.5 * diameter_m, 0.5 * self.pad_length_m, 0.5 * self.pad_width_m);
        if radius == 0.0 {
            return 0.0;
        }
        let angle = |side: f64, other: f64| (side / radius).min(1.0).acos().min(other.atan2(side));
        let (to_a, to_b) = (angle(a, b), angle(b, a));
        beside(a, to_a) + within(radius) * (FRAC_PI_2 - to_a - to_b).max(0.0) + beside(b, to_b)
    }
}
