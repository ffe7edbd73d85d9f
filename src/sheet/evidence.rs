//! What was measured of the reeds of a set says of what was measured of none: loss, and the inertia of the air.
//!
//! All that tells is taken at once, in logarithms. A ring-down (or quality factor) tells how far the loss of its tongue is
//! from the usual one at its pitch, a softest blow how far onset is from the one computed. What the reeds have in common is
//! unknown in five ways ([`Unknown`]), each near zero before anything is measured; the spreads of the keys say how far each
//! may be off, and how much of that is the single reed's own. With rows `r = A z + own`, `z` of unit variance, the estimate is
//! `z = (1 + A' W A)^-1 A' W r`, a linear regression with what is assumed as its prior (any text on Bayesian estimation),
//! repeated since onset does not follow quite in proportion. The weights `W` are those of Student's distribution with four
//! degrees of freedom (K. L. Lange, R. J. A. Little and J. M. G. Taylor, *J. Am. Stat. Assoc.* 84 (1989) 881; from memory), so
//! that a cracked reed does not speak for its set. What is one reed's own is not inferred here: it stands out of the run.

use nalgebra::{SMatrix, SVector};
use rayon::prelude::*;

use super::checked::CheckedReed;
use super::keys::{Key, find};
use super::reed_spec::ReedSpec;
use super::spread::{Law, Spread};
use super::value::{Value, rounded};
use crate::physics::coefficients::usual_quality_factor;
use crate::physics::onset::Search;
use crate::physics::{Coefficients, ReedModel};

/// How far a softest blow may lie from the model's onset, besides what tolerances make of it (relative; assumed).
pub const BEYOND_ONSET: f64 = 0.05;

/// So far above onset a softest blow is read, as nobody waits for ever, and by so much hose, habit and patience move all that
/// one person reads (logarithms, the second a standard deviation; assumed: from onset itself to the pressure at which the reed
/// speaks as soon as it is to, twice that).
const HABIT: [f64; 2] = [0.3, 0.4];
/// What tolerances of gap and slot, and unmeasured weight, curve and leak of a reed, make of its onset (relative, a standard
/// deviation; computed to be 0.06 to 0.15 over the reeds of a set).
const OTHERWISE: f64 = 0.1;
/// How far that habit may be another an octave higher (the same measure; assumed).
const HABIT_WITH_PITCH: f64 = 0.2;
/// By so much the power of the frequency with which the quality factor goes may be off (a standard deviation; assumed).
const POWER: f64 = 0.35;
/// Degrees of freedom of Student's distribution.
const TAILS: f64 = 4.0;
/// Steps in which a finding is told (logarithm): less would have every reed solved anew for each that is measured.
const STEP: f64 = 0.02;

/// What is inferred of a set where it was not measured.
pub(super) const INFERRED: [&str; 2] = ["quality_factor", "inertance_factor"];

/// What is unknown of a set.
#[derive(Debug, Clone, Copy)]
enum Unknown {
    /// Loss of all tongues.
    Loss,
    /// Loss that goes otherwise with pitch.
    LossWithPitch,
    /// Inertance of the air.
    Inertance,
    /// The way softest blows are read.
    Blown,
    /// The way they are read of high notes otherwise than of low ones.
    BlownWithPitch,
}

const UNKNOWNS: usize = 5;
type Row = SVector<f64, UNKNOWNS>;
type Square = SMatrix<f64, UNKNOWNS, UNKNOWNS>;

/// A key that is inferred: its standard deviation, as a logarithm, and the share of its variance that a set has in common.
#[derive(Debug, Clone, Copy)]
struct Prior {
    deviation: f64,
    common: f64,
}

impl Prior {
    fn of(name: &str) -> Option<Self> {
        match find(name)?.spread? {
            Spread { law: Law::Times(times), common } => Some(Self { deviation: times.ln() / Spread::Z_90, common }),
            _ => None,
        }
    }

    fn shared(&self) -> f64 {
        self.deviation * self.common.sqrt()
    }

    fn own_variance(&self) -> f64 {
        self.deviation * self.deviation * (1.0 - self.common)
    }
}

/// What the set says of a number that was not measured of a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Told {
    /// In place of the value assumed of any reed, so many times that.
    pub(super) times: f64,
    /// How it is spread about that.
    pub(super) spread: Spread,
}

impl Told {
    /// Moved by `ln_times`, with `common` of the variance left in common and `own` each reed's.
    fn of(ln_times: f64, common: f64, own: f64) -> Self {
        let deviation = (common + own).sqrt();
        let times = (Spread::Z_90 * deviation).exp();
        // Upwards, and in steps that one more reading seldom passes.
        let spread = Spread { law: Law::Times((20.0 * times).ceil() / 20.0), common: rounded(common / (common + own)) };
        Self { times: (STEP * (ln_times / STEP).round()).exp(), spread }
    }
}

/// What the set says of one reed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct OfEvidence {
    loss: Option<Told>,
    inertance: Option<Told>,
    /// Softest blows over what is computed, all alike.
    pub(super) blown_times: Option<f64>,
    /// Ring-downs and softest blows that it leans on.
    counts: [usize; 2],
}

impl OfEvidence {
    /// What is told in place of what is assumed for a key.
    pub(super) fn of(&self, key: &Key) -> Option<Told> {
        let place = INFERRED.iter().position(|name| key.name == *name)?;
        [self.loss, self.inertance][place]
    }

    /// Where it comes from.
    pub(super) fn why(&self) -> String {
        let count = |count: usize, what: &str| match count {
            0 => None,
            1 => Some(format!("1 {what}")),
            _ => Some(format!("{count} {what}s")),
        };
        let [rings, blows] = self.counts;
        let all: Vec<String> =
            [count(rings, "ring-down"), count(blows, "softest blow")].into_iter().flatten().collect();
        format!("not measured; what {} of the set say", all.join(" and "))
    }
}

/// A row of the regression.
#[derive(Debug, Clone)]
struct Reading {
    by: Row,
    off: f64,
    own_variance: f64,
}

/// What a set says, over pitch.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    found: Row,
    covariance: Square,
    loss: Prior,
    inertance: Prior,
    counts: [usize; 2],
}

impl Evidence {
    /// Of the reeds of a set; nothing where nothing that tells was measured of any.
    pub(super) fn of(reeds: &[&CheckedReed]) -> Option<Self> {
        let (loss, inertance) = (Prior::of(INFERRED[0])?, Prior::of(INFERRED[1])?);
        let rings: Vec<Reading> = reeds.iter().filter_map(|reed| ring(reed, &loss)).collect();
        let blows: Vec<Blow> = reeds.par_iter().filter_map(|reed| Blow::of(reed, &loss, &inertance)).collect();
        let counts = [rings.len(), blows.len()];
        if counts == [0, 0] {
            return None;
        }
        const ROUNDS: usize = 4;
        let (mut found, mut covariance) = (Row::zeros(), Square::identity());
        for _ in 0..ROUNDS {
            let blown = blows.par_iter().filter_map(|blow| blow.reading(&found, &loss, &inertance));
            let all: Vec<Reading> = rings.iter().cloned().chain(blown.collect::<Vec<_>>()).collect();
            (found, covariance) = regression(&all, found);
            if blows.is_empty() {
                break;
            }
        }
        Some(Self { found, covariance, loss, inertance, counts })
    }

    /// A reed with what this says of it in place of what is assumed of any; as it was where it assumes nothing of that.
    pub(super) fn told(&self, reed: &CheckedReed) -> CheckedReed {
        let of_evidence = self.at(frequency_hz(reed));
        let assumes = INFERRED.iter().any(|name| is_assumed(reed, name));
        let mut spec = reed.spec.clone();
        spec.of_evidence = of_evidence;
        let told = if assumes { spec.checked().ok() } else { None };
        told.unwrap_or_else(|| CheckedReed { spec, ..reed.clone() })
    }

    /// What it says of a reed at a frequency.
    fn at(&self, frequency_hz: f64) -> OfEvidence {
        let told = |by: Row, prior: &Prior| {
            let common = (by.transpose() * self.covariance * by)[0];
            Told::of(by.dot(&self.found), common, prior.own_variance())
        };
        let of_blows = self.counts[1] > 0;
        OfEvidence {
            loss: Some(told(by_loss(&self.loss, frequency_hz), &self.loss)),
            inertance: of_blows.then(|| told(unit(Unknown::Inertance) * self.inertance.shared(), &self.inertance)),
            blown_times: of_blows.then(|| (HABIT[0] + by_habit(frequency_hz).dot(&self.found)).exp()),
            counts: self.counts,
        }
    }
}

fn unit(of: Unknown) -> Row {
    let mut row = Row::zeros();
    row[of as usize] = 1.0;
    row
}

/// What the logarithm of the quality factor goes with.
fn by_loss(prior: &Prior, frequency_hz: f64) -> Row {
    unit(Unknown::Loss) * prior.shared() + unit(Unknown::LossWithPitch) * POWER * (frequency_hz / A4_HZ).ln()
}

/// What the logarithm of a softest blow goes with, besides onset.
fn by_habit(frequency_hz: f64) -> Row {
    let octaves = (frequency_hz / A4_HZ).log2();
    unit(Unknown::Blown) * HABIT[1] + unit(Unknown::BlownWithPitch) * HABIT_WITH_PITCH * octaves
}

/// Where the usual loss is anchored.
const A4_HZ: f64 = 440.0;

fn is_assumed(reed: &CheckedReed, name: &str) -> bool {
    find(name).is_some_and(|key| reed.assumed_number(key).is_some())
}

/// The frequency at which the loss of a reed is looked up (Hz).
fn frequency_hz(reed: &CheckedReed) -> f64 {
    reed.measured.pluck_hz.unwrap_or_else(|| reed.reed.beam.modes(1)[0].frequency_hz)
}

fn ring(reed: &CheckedReed, prior: &Prior) -> Option<Reading> {
    if is_assumed(reed, INFERRED[0]) {
        return None;
    }
    let frequency_hz = frequency_hz(reed);
    let read = ["ring_down_s", "quality_factor"].into_iter().find_map(|key| reed.spec.relative_tolerance(key));
    Some(Reading {
        by: by_loss(prior, frequency_hz),
        off: (reed.reed.quality_factor / usual_quality_factor(frequency_hz)).ln(),
        own_variance: prior.own_variance() + read.unwrap_or(0.0).powi(2),
    })
}

/// A softest blow, and the reed that answered it.
struct Blow<'a> {
    reed: &'a CheckedReed,
    pressure_pa: f64,
    frequency_hz: f64,
    /// What the logarithm of onset goes with.
    by: Row,
    own_variance: f64,
    /// From where onset is sought (Pa).
    well_below_pa: f64,
}

impl<'a> Blow<'a> {
    fn of(reed: &'a CheckedReed, loss: &Prior, inertance: &Prior) -> Option<Self> {
        let pressure_pa = reed.measured.softest_blow_pa?;
        let frequency_hz = frequency_hz(reed);
        let mut blow = Self {
            reed,
            pressure_pa,
            frequency_hz,
            by: Row::zeros(),
            own_variance: 0.0,
            well_below_pa: Search::COARSE.lowest_pa,
        };
        let here = blow.ln_onset(&Row::zeros(), loss, inertance);
        blow.well_below_pa = here.map_or(blow.well_below_pa, |ln_onset| 0.4 * ln_onset.exp());
        let slope = |z: Row| match [1.0, -1.0].map(|way| blow.ln_onset(&(z * way), loss, inertance)) {
            [Some(up), Some(down)] => Some(0.5 * (up - down)),
            [up, down] => up.zip(here).map(|(up, here)| up - here).or_else(|| Some(here? - down?)),
        };
        // A standard deviation of the loss that all have in common moves onset as one of the reed's own does.
        let by_own_loss = slope(unit(Unknown::Loss))? / loss.shared();
        let by_air = slope(unit(Unknown::Inertance))?;
        let read = reed.spec.tolerances().of("softest_blow_pa").unwrap_or(0.0) / pressure_pa;
        blow.by =
            by_own_loss * by_loss(loss, frequency_hz) + by_air * unit(Unknown::Inertance) + by_habit(frequency_hz);
        blow.own_variance =
            by_own_loss.powi(2) * loss.own_variance() * f64::from(u8::from(is_assumed(reed, INFERRED[0])))
                + BEYOND_ONSET.powi(2)
                + OTHERWISE.powi(2)
                + read.powi(2);
        Some(blow)
    }

    /// The logarithm of onset where the set is so; nothing where the reed does not speak.
    fn ln_onset(&self, at: &Row, loss: &Prior, inertance: &Prior) -> Option<f64> {
        let mut reed = self.reed.reed.clone();
        if is_assumed(self.reed, INFERRED[0]) {
            let ln_times = by_loss(loss, self.frequency_hz).dot(at);
            reed.quality_factor = usual_quality_factor(self.frequency_hz) * ln_times.exp();
        }
        if is_assumed(self.reed, INFERRED[1]) {
            let times = (inertance.shared() * at[Unknown::Inertance as usize]).exp();
            reed.coefficients =
                Coefficients { inertance_factor: times * reed.coefficients.inertance_factor, ..reed.coefficients };
        }
        let model = ReedModel::new(reed).ok()?;
        // From well below where it was: whatever grows there already is sought from no pressure.
        let near = Search { lowest_pa: self.well_below_pa, ..Search::COARSE };
        let onset = model.onset(&near).filter(|onset| onset.pressure_pa > 1.01 * self.well_below_pa);
        let onset = onset.or_else(|| model.onset(&Search::COARSE))?;
        Some(onset.pressure_pa.ln())
    }

    /// The row, as it is where the set is as found so far.
    fn reading(&self, found: &Row, loss: &Prior, inertance: &Prior) -> Option<Reading> {
        let off = self.pressure_pa.ln() - self.ln_onset(found, loss, inertance)?;
        let blown = HABIT[0] + by_habit(self.frequency_hz).dot(found);
        Some(Reading { by: self.by, off: off - blown + self.by.dot(found), own_variance: self.own_variance })
    }
}

/// The estimate and its covariance, from an estimate before.
fn regression(readings: &[Reading], before: Row) -> (Row, Square) {
    const ROUNDS: usize = 20;
    let mut found = before;
    let mut covariance = Square::identity();
    for _ in 0..ROUNDS {
        let (mut information, mut pull) = (Square::identity(), Row::zeros());
        for reading in readings {
            let left = reading.off - reading.by.dot(&found);
            let weight = (TAILS + 1.0) / (TAILS + left * left / reading.own_variance) / reading.own_variance;
            information += weight * reading.by * reading.by.transpose();
            pull += weight * reading.off * reading.by;
        }
        let Some(inverse) = information.try_inverse() else { break };
        (found, covariance) = (inverse * pull, inverse);
    }
    (found, covariance)
}

/// What a reed file would not know of the set: what it says in place of what is assumed of any reed.
pub(super) fn to_write(spec: &ReedSpec) -> Vec<(&'static Key, Value)> {
    let checked = if spec.of_evidence == OfEvidence::default() { None } else { spec.checked().ok() };
    let told = checked.iter().flat_map(|checked| &checked.assumed_numbers);
    told.filter(|(key, _)| spec.of_evidence.of(key).is_some())
        .map(|(key, number)| (*key, Value::Number(*number)))
        .collect()
}
