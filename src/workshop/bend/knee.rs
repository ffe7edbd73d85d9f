//! How a metal passes from springing back to staying bent, and what a rectangle of it does: moment, curvature and work.

/// Fully plastic moment over the moment that just yields, for a sharp knee: 3/2 for a rectangle.
pub const SHAPE_FACTOR: f64 = 1.5;

/// How sharply a metal yields.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Knee {
    /// Elastic, then perfectly plastic: the limit of [`Knee::Round`] for an endless exponent.
    Sharp,
    /// Round, after W. Ramberg and W. R. Osgood (NACA Technical Note 902, 1943): a stress `sigma` strains by
    ///
    /// ```text
    /// eps = sigma / E + 0.002 (sigma / sigma_y)^n                                            (K1)
    /// ```
    ///
    /// with `sigma_y` the 0.2 % proof stress that mills and tables give. The larger the exponent the sharper the knee.
    Round {
        /// `n`, 2 or more. A whole number: what is known of it asks for no finer one.
        exponent: i32,
    },
}

/// Permanent strain at the stress that tables call the yield strength of a strip: the 0.2 % proof stress (ISO 6892-1).
const PROOF_STRAIN: f64 = 2e-3;
/// Permanent strain of the surface from which a tongue counts as bent for good: the offset of 0.01 %. What a push leaves
/// below it is less than a feeler tells on most tongues, and is computed all the same.
const STAYS_STRAIN: f64 = 1e-4;
/// Share of the fully plastic moment up to which the curvature of a sharp knee follows its equation. Nearer to it the
/// curvature runs away; there it goes on along the tangent, so that a search may pass through. No plan ends there: see
/// `Limit::Hinge`.
const FOLLOWED_TO: f64 = 0.995;

impl Knee {
    /// Exponents between which the knee of spring strip lies (assumed): its 0.01 % offset stress is then 0.69 to 0.86 of the
    /// 0.2 % proof stress.
    pub const EXPONENTS: [i32; 2] = [8, 20];

    /// The knee that is taken where nothing is known (assumed): an exponent of 12, with which 0.78 of the proof stress
    /// leaves 0.01 %.
    pub const fn usual() -> Self {
        Self::Round { exponent: 12 }
    }
}

/// A rectangle of a metal, in units of what the elastic one has when its surface is at the yield strength: `m = M/M_y`,
/// `k = kappa/kappa_y`, and `s`, the stress of the surface over the yield strength.
///
/// Sharp: `m = k` up to 1, then `m = 3/2 (1 - 1/(3 k^2))`.
///
/// Round: strain grows linearly with height in the section, so with (K1), `a = 0.002 E/sigma_y`, and `t` the share of the
/// surface's strain that is plastic, `t/(1 - t) = a s^(n-1)`, the integrals over the height are closed:
///
/// ```text
/// k = s + a s^n                                                                              (K2)
/// m = 3 s [ (1 - t)^2/3 + t (1 - t) (n + 1)/(n + 2) + t^2 n/(2 n + 1) ]                      (K3)
/// dm/ds = (1 + (n - 1) t)/s (3 s - 2 m)                                                      (K4)
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    knee: Knee,
    elastic_strain: f64,
}

impl Curve {
    /// For a metal whose yield strength over its modulus is `elastic_strain`.
    pub fn new(knee: Knee, elastic_strain: f64) -> Self {
        Self { knee, elastic_strain }
    }

    /// `a`.
    fn offset(&self) -> f64 {
        PROOF_STRAIN / self.elastic_strain
    }

    /// `m` at `k`, neither below zero.
    pub fn moment(&self, k: f64) -> f64 {
        match self.knee {
            Knee::Sharp if k <= 1.0 => k,
            Knee::Sharp => SHAPE_FACTOR * (1.0 - 1.0 / (3.0 * k * k)),
            Knee::Round { exponent } => self.round(exponent, self.stress(exponent, k)).moment,
        }
    }

    /// `k` at `m`, the inverse of [`Curve::moment`]; it has the sign of `m`.
    pub fn curvature(&self, m: f64) -> f64 {
        const LAST: f64 = FOLLOWED_TO * SHAPE_FACTOR;
        let size = m.abs();
        let k = match self.knee {
            Knee::Sharp if size <= 1.0 => size,
            Knee::Sharp => {
                let k = 1.0 / (3.0 - 2.0 * size.min(LAST)).sqrt();
                k + k.powi(3) * (size - LAST).max(0.0)
            }
            Knee::Round { exponent } => self.round_curvature(exponent, size),
        };
        k.copysign(m)
    }

    /// Work of bending up to `k`, the integral of `m dk`.
    pub fn work(&self, k: f64) -> f64 {
        match self.knee {
            Knee::Sharp if k <= 1.0 => 0.5 * k * k,
            Knee::Sharp => 1.5 * k - 1.5 + 0.5 / k,
            Knee::Round { exponent } => {
                let (s, n) = (self.stress(exponent, k), f64::from(exponent));
                let t = self.round(exponent, s).plastic;
                // The work of each fibre, s^2/2 + a n s^(n+1)/(n+1), over the height.
                let squares = (1.0 - t).powi(2) / 6.0 + t * t * n * n / ((n + 1.0) * (2.0 * n + 1.0));
                let mixed = t * (1.0 - t) * n * (1.0 / (n + 1.0) + 0.5) / (n + 2.0);
                3.0 * s * k * (squares + mixed)
            }
        }
    }

    /// Permanent strain of a surface strained to `k` times the elastic one.
    pub fn permanent_strain(&self, k: f64) -> f64 {
        let s = match self.knee {
            Knee::Sharp => k.min(1.0),
            Knee::Round { exponent } => self.stress(exponent, k),
        };
        (k - s) * self.elastic_strain
    }

    /// `k` at which the surface is strained by so much for good.
    pub fn at_permanent_strain(&self, strain: f64) -> f64 {
        let s = match self.knee {
            Knee::Sharp => 1.0,
            Knee::Round { exponent } => (strain / PROOF_STRAIN).powf(1.0 / f64::from(exponent)),
        };
        s + strain / self.elastic_strain
    }

    /// `k` from which a tongue counts as bent for good: where the surface yields, or keeps 0.01 %.
    pub fn stays_at(&self) -> f64 {
        if self.knee == Knee::Sharp { 1.0 } else { self.at_permanent_strain(STAYS_STRAIN) }
    }

    fn round(&self, exponent: i32, s: f64) -> Round {
        let n = f64::from(exponent);
        let t = 1.0 / (1.0 + 1.0 / (self.offset() * s.powi(exponent - 1)));
        let elastic = 1.0 - t;
        let bracket = elastic * elastic / 3.0 + t * elastic * (n + 1.0) / (n + 2.0) + t * t * n / (2.0 * n + 1.0);
        let moment = 3.0 * s * bracket; // (K3)
        Round { plastic: t, moment, slope: (1.0 + (n - 1.0) * t) / s * (3.0 * s - 2.0 * moment) } // (K4)
    }

    /// (K3) solved for `s`, by Newton's method kept within bounds: the stress in the section is nowhere larger than at the
    /// surface and nowhere below a straight line, so `m/1.5 <= s <= m`. Then (K2).
    fn round_curvature(&self, exponent: i32, m: f64) -> f64 {
        if m == 0.0 {
            return 0.0;
        }
        let (mut low, mut high) = (m / SHAPE_FACTOR, m);
        let mut s = high;
        for _ in 0..100 {
            let here = self.round(exponent, s);
            let off = here.moment - m;
            if off > 0.0 {
                high = s
            } else {
                low = s
            }
            let next = s - off / here.slope;
            // Convergence is quadratic, by some `n`: the next step would be of the square of this one.
            if (next - s).abs() <= 1e-7 / f64::from(exponent) * s {
                s = next;
                break;
            }
            // At an end of the bounds it has been: near a sharp knee it would go to and fro between them.
            s = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        s + self.offset() * s.powi(exponent) // (K2)
    }

    /// (K2) solved for `s`, by Newton's method from above, where it cannot overshoot.
    fn stress(&self, exponent: i32, k: f64) -> f64 {
        let (a, n) = (self.offset(), f64::from(exponent));
        let mut s = k.min((k / a).powf(1.0 / n));
        for _ in 0..100 {
            let plastic = a * s.powi(exponent - 1);
            let next = s - (s + s * plastic - k) / (1.0 + n * plastic);
            // NaN where all is zero.
            if s.is_nan() || s - next <= 1e-15 * s {
                break;
            }
            s = next;
        }
        s
    }
}

/// A round knee at a stress of the surface.
struct Round {
    /// `t`.
    plastic: f64,
    /// `m`.
    moment: f64,
    /// `dm/ds`.
    slope: f64,
}
