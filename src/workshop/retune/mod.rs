//! Retuning: metal off the tip raises a reed, metal off near the root or a weight on the tip lowers it.
//!
//! What is promised is a *difference*: the pitch that was measured, moved by what the model says the work does. The
//! model's own sounding pitch is weak and never the ground of a plan. The amount is exact for the model: the tongue is
//! solved again with the patch thinned until the pitch is met, not taken from a slope.

mod body;
mod passes;
mod refusal;
mod settling;
mod standing;
mod words;
mod work;

pub use body::Body;
pub use passes::{FIRST_SHARE, Pass};
pub use refusal::{LongerPatch, RetuneRefusal};
pub use settling::Settling;
pub use standing::{Basis, Standing};
pub(crate) use work::least_thickness_m;
pub use work::{Work, work_for};

use crate::physics::Beam;
use crate::sheet::{CheckedReed, notes};

/// What a tuner can tell on a reed (cents): a plan for less has nothing to do.
pub const LEAST_CENTS: f64 = 1.0;
/// A stroke that moves more than this is too coarse for the last cents.
const COARSE_CENTS: f64 = 2.0;
/// Places at which the plan tells what filing does.
const SENSED: usize = 5;
/// Depth for which it tells it (m).
pub const SENSED_DEPTH_M: f64 = 10e-6;

/// To what pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// So many cents from where it is.
    Cents(f64),
    /// A sounding frequency (Hz) in play.
    Hertz(f64),
}

/// How.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Take metal off the tongue.
    File,
    /// Put a weight on the tip, or take off the one that is there.
    Weight,
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct RetuneOptions {
    /// The pitch wanted.
    pub target: Target,
    /// File or weight.
    pub method: Method,
    /// Where to file: from and to (m from the clamp). Without it the outer fifth to raise; to lower, a fifth of the length
    /// from a twentieth of it on, clear of the clamp.
    pub patch_m: Option<(f64, f64)>,
    /// Largest share of the local thickness that may go, or of the tongue's mass that may be added to its tip.
    pub most_share: f64,
    /// Mouth pressure at which the pitch is wanted (Pa).
    pub pressure_pa: f64,
    /// Temperature of the reed when it is measured on the bench (degC); without it as the reed states, else 20.
    pub bench_c: Option<f64>,
    /// Temperature of the reed in play (degC); without it as on the bench.
    pub playing_c: Option<f64>,
    /// Depth of the lightest stroke that can be repeated (m).
    pub stroke_m: f64,
    /// With only a plucked pitch: add the model's step from plucked to sounding, which is weak.
    pub with_model_shift: bool,
}

impl RetuneOptions {
    /// Filing, with what is usual for the rest: a fifth of the thickness at most, strokes of half a micrometre.
    pub fn to(target: Target, pressure_pa: f64) -> Self {
        Self {
            target,
            method: Method::File,
            patch_m: None,
            most_share: 0.2,
            pressure_pa,
            bench_c: None,
            playing_c: None,
            stroke_m: 0.5e-6,
            with_model_shift: false,
        }
    }
}

/// What filing does over a patch, to first order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensed {
    /// From (m from the clamp).
    pub from_m: f64,
    /// To (m from the clamp).
    pub to_m: f64,
    /// Change of the plucked pitch (cents) for [`SENSED_DEPTH_M`] taken off, the full width.
    pub cents: f64,
}

/// A reed retuned.
#[derive(Debug, Clone)]
pub struct RetunePlan {
    /// The pitch before, and how it is known.
    pub standing: Standing,
    /// The pitch wanted in play (Hz), where the pitch is known at all.
    pub wanted_hz: Option<f64>,
    /// Change that is needed in play (cents).
    pub need_cents: f64,
    /// What to do.
    pub work: Work,
    /// Change of the plucked pitch (cents), the tongue solved again.
    pub pluck_cents: f64,
    /// The same by the slope alone (cents): how far that would be off.
    pub first_order_cents: f64,
    /// Change of the sounding pitch (cents), where the reed sounds at the pressure asked.
    pub sounding_cents: Option<f64>,
    /// The reed as it will be.
    pub after: CheckedReed,
    /// The tongue before and after.
    pub body: (Body, Body),
    /// How far the amount may be off, as a share of it, by the tolerances of thickness and patch.
    pub doubt: f64,
    /// What filing does along the tongue.
    pub sensed: Vec<Sensed>,
    /// Where filing does nothing to the pitch (m from the clamp).
    pub neutral_m: Vec<f64>,
    /// Pass by pass.
    pub passes: Vec<Pass>,
    /// What the lightest stroke on the patch moves (cents); of a weight, a tenth of it.
    pub stroke_cents: f64,
    /// How near the mark to stop (cents): within half the lightest stroke another makes it worse; no less than a tuner can
    /// tell.
    pub stop_short_cents: f64,
    /// Depth of the lightest stroke (m).
    pub stroke_m: f64,
    /// How the tongue cools.
    pub settling: Settling,
}

impl RetunePlan {
    /// Waiting for the tongue to cool before each measurement (s): once a pass.
    pub fn waiting_s(&self) -> f64 {
        self.passes.len() as f64 * self.settling.wait_s
    }

    /// Minutes that it takes: `at_hand_minutes`, the usual ones of such work with the hands, and the waiting.
    pub fn minutes(&self, at_hand_minutes: f64) -> f64 {
        at_hand_minutes + self.waiting_s() / 60.0
    }

    /// Where strokes move the pitch the same way and less, for the last cents; nothing where the patch itself is fine
    /// enough.
    pub fn finer(&self) -> Option<Sensed> {
        let same_way = |sensed: &&Sensed| sensed.cents * self.need_cents > 0.0;
        let finest = self.sensed.iter().filter(same_way).min_by(|a, b| a.cents.abs().total_cmp(&b.cents.abs()))?;
        let files = matches!(self.work, Work::File { .. });
        let by_stroke = finest.cents.abs() * self.stroke_m / SENSED_DEPTH_M;
        (files && self.stroke_cents.abs() > COARSE_CENTS && by_stroke < self.stroke_cents.abs()).then_some(*finest)
    }
}

/// Plans to bring a reed to a pitch.
///
/// ```
/// use freereed::{sheet::ReedFile, workshop::retune::{RetuneOptions, Target, Work, retune}};
/// let text = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\nmeasured_pluck_hz = 438\ntip_gap_mm = 0.25\n";
/// let reed = ReedFile::parse("reed.toml", text).unwrap();
/// let plan = retune(&reed, &RetuneOptions::to(Target::Hertz(440.0), 500.0)).unwrap();
/// assert!((plan.after.reed.beam.modes(1)[0].frequency_hz - 440.0).abs() < 1e-3);
/// assert!(matches!(plan.work, Work::File { from_m, .. } if from_m > 0.01), "raised at the tip");
/// ```
///
/// # Errors
/// Why there is no plan: no pitch to start from, more than the reed can give, a patch that does the opposite.
pub fn retune(checked: &CheckedReed, options: &RetuneOptions) -> Result<RetunePlan, RetuneRefusal> {
    let standing = Standing::of(checked, options)?;
    let need_cents = match (options.target, standing.playing_hz) {
        (Target::Cents(cents), _) => cents,
        (Target::Hertz(hz), Some(now)) => notes::cents(hz, now),
        (Target::Hertz(_), None) => return Err(RetuneRefusal::NoPitch),
    };
    if need_cents.abs() < LEAST_CENTS {
        return Err(RetuneRefusal::InTune { off_cents: -need_cents });
    }
    let found = work::find(checked, options, &standing, need_cents)?;
    let (beam, mode) = (&checked.reed.beam, &checked.reed.beam.modes(1)[0]);
    let stroke_cents = found.work.stroke_cents(beam, mode, options.stroke_m);
    Ok(RetunePlan {
        wanted_hz: standing.playing_hz.map(|hz| notes::raised(hz, need_cents)),
        need_cents,
        pluck_cents: found.pluck_cents,
        first_order_cents: found.work.first_order_cents(beam, mode),
        sounding_cents: found.sounding_cents,
        body: (Body::of(&checked.reed, &found.work), Body::of(&found.after.reed, &found.work)),
        doubt: found.work.doubt(checked),
        sensed: sensed(beam, &found.work),
        neutral_m: beam.neutral_places_m(mode),
        passes: passes::passes(&standing, &found.work, beam, options.stroke_m, need_cents),
        stroke_cents,
        stop_short_cents: (0.5 * stroke_cents.abs()).max(LEAST_CENTS),
        stroke_m: options.stroke_m,
        settling: Settling::of(checked, &standing, &found.work),
        standing,
        work: found.work,
        after: found.after,
    })
}

/// What filing does at places spread over the tongue, over a patch as long as the one planned.
fn sensed(beam: &Beam, work: &Work) -> Vec<Sensed> {
    let (mode, length) = (&beam.modes(1)[0], beam.length_m);
    let patch = match *work {
        Work::File { from_m, to_m, .. } => to_m - from_m,
        Work::Weigh { .. } => 0.2 * length,
    };
    let at = |k: usize| {
        let from_m = (length - patch) * k as f64 / (SENSED - 1) as f64;
        Sensed { from_m, to_m: from_m + patch, cents: beam.filing_cents(mode, from_m, from_m + patch, SENSED_DEPTH_M) }
    };
    (0..SENSED).map(at).collect()
}
