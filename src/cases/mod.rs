//! Published and independent check values, one table for tests, benches and the `verify` command.
//!
//! Every [`Check`] is recomputed through the very functions the program uses and set beside a value from outside: a paper,
//! a standard, a handbook, an exact solution, or an equation of the model evaluated by hand. The source says which.
//!
//! - `beam`: roots and shapes of cantilevers, tapers, tip mass, root spring, static deflection
//! - `torsion`: twisting of a strip
//! - `bend`: bending past yield, springback, the elastica
//! - `air`: density, speed of sound and viscosity of moist air
//! - `flow`: the limits of the flow law, the slot in series, drag
//! - `chamber`: the air behind the reed, its channel, stray leaks
//! - `onset`: observations on blown free reeds
//! - `oscillator`: orbits of the van der Pol oscillator
//! - `outside`: attacks by a general-purpose integrator on the same equations
//! - `sound`: A-weighting and the monopole
//! - `pitch`: notes, intervals, beats
//! - `replace`: lengths and weights of new tongues for a pitch
//! - `retune`: metal off and weight on for a change of pitch
//! - `fasten`: heads over pads, torque and clamp force, friction of a ring, the root spring a pitch asks for
//! - `seal`: slits, leak-down, a turned tongue
//! - `life`: the S-N line, mean stress, surface and notch factors
//! - `profile`: weight or taper from pitch and stiffness, by an independent program
//! - `reference`: full reeds solved by an independent program on a general-purpose library
//! - `orbits`: what sounds on and what does not, by long runs of that program
//!
//! Tolerances come from the digits of the source, from the known error of the method, or from the spread of the
//! observation; each file says which.

mod air;
mod beam;
mod bend;
mod chamber;
mod fasten;
mod flow;
mod life;
mod onset;
mod orbits;
mod oscillator;
pub mod outside;
mod pitch;
mod profile;
pub mod reeds;
mod reference;
mod replace;
mod retune;
mod seal;
mod sound;
mod torsion;

/// One value computed by the program beside the same value from outside.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Check {
    /// Subject, the same for all checks of one file.
    pub group: &'static str,
    /// What is compared.
    pub name: String,
    /// Value found by the functions of this crate.
    pub computed: f64,
    /// Value from outside.
    pub published: f64,
    /// Largest difference allowed, in `unit`: always absolute, so that it can be read beside the values.
    pub allowed: f64,
    /// Unit of all three.
    pub unit: &'static str,
    /// Where the published value comes from.
    pub source: &'static str,
}

impl Check {
    /// Whether the two values agree. A value that is not a number agrees with nothing.
    ///
    /// ```
    /// let checks = freereed::cases::checks();
    /// assert!(checks.iter().all(|check| check.passes()));
    /// ```
    pub fn passes(&self) -> bool {
        self.difference().abs() <= self.allowed
    }

    /// Computed minus published.
    pub fn difference(&self) -> f64 {
        self.computed - self.published
    }
}

/// Every check, recomputed now.
pub fn checks() -> Vec<Check> {
    [
        beam::checks(),
        torsion::checks(),
        bend::checks(),
        air::checks(),
        flow::checks(),
        chamber::checks(),
        onset::checks(),
        oscillator::checks(),
        outside::checks(),
        sound::checks(),
        pitch::checks(),
        retune::checks(),
        replace::checks(),
        seal::checks(),
        fasten::checks(),
        life::checks(),
        profile::checks(),
        reference::checks(),
        orbits::checks(),
    ]
    .concat()
}

/// Gathers the checks of one group.
struct Group {
    name: &'static str,
    checks: Vec<Check>,
}

impl Group {
    fn new(name: &'static str) -> Self {
        Self { name, checks: Vec::new() }
    }

    /// `computed` must equal `published` to within `allowed`.
    fn add(&mut self, name: impl Into<String>, computed: f64, published: Published) {
        self.checks.push(Check {
            group: self.name,
            name: name.into(),
            computed,
            published: published.value,
            allowed: published.allowed,
            unit: published.unit,
            source: published.source,
        });
    }
}

/// A value from outside.
#[derive(Clone, Copy)]
struct Published {
    value: f64,
    allowed: f64,
    unit: &'static str,
    source: &'static str,
}

impl Published {
    /// A value with an absolute tolerance.
    fn within(value: f64, allowed: f64, unit: &'static str, source: &'static str) -> Self {
        Self { value, allowed, unit, source }
    }

    /// A value with a tolerance relative to it.
    fn relative(value: f64, share: f64, unit: &'static str, source: &'static str) -> Self {
        Self { value, allowed: share * value.abs(), unit, source }
    }
}
