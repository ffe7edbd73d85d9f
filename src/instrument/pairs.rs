//! Notes that sound together: how alike in level, and how fast they beat.

use super::assess::{PitchFrom, ReedAssessment};
use super::figure::Figure;
use super::finding::IN_TUNE_CENTS;
use super::interval::Interval;
use super::known::Uncertainty;
use super::margin::{Margin, MarginOf};
use super::run::OffRun;
use crate::sheet::{Job, PairEnd, notes};

/// What two reeds may be apart in level, beyond what the run of the set has between their notes (dB): a doubling of power.
pub const LEVEL_PASSES_DB: f64 = 3.0;
/// How many holes apart two notes can be blown at once: what a mouth covers.
pub const REACH: u32 = 4;
/// What is looked at where the job names no pairs: thirds, sixths and octaves.
const USUAL: [i32; 5] = [3, 4, 8, 9, 12];

/// Two reeds that sound together.
#[derive(Debug, Clone, PartialEq)]
pub struct PairAssessment {
    /// Id of the lower reed.
    pub lower: String,
    /// Id of the upper.
    pub upper: String,
    /// The interval, where it is one whose beats are heard.
    pub interval: Option<Interval>,
    /// Level of the upper less that of the lower, at the normal pressure (dB).
    pub level_difference_db: Option<f64>,
    /// What of that is beyond the run of the set (dB).
    pub level_off_db: Option<f64>,
    /// Its margin.
    pub level: Option<Margin>,
    /// How it beats, where both pitches were measured.
    pub beats: Option<Beats>,
}

/// How two notes beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beats {
    /// Beats of the partials that lie together in the just interval (1/s).
    pub per_s: f64,
    /// As the job's tuning has it (1/s).
    pub meant_per_s: f64,
    /// Half of the interval that holds the true rate in 80 % of all cases (1/s).
    pub uncertainty_per_s: f64,
    /// How much wider the interval is than meant (cents).
    pub wide_cents: f64,
    /// What is let pass of that, less its size.
    pub margin: Margin,
}

impl PairAssessment {
    /// Whether level or beats are more off than is let pass.
    pub fn is_off(&self) -> bool {
        self.margins().any(|margin| !margin.verdict().good)
    }

    /// How far it is off, in what is let pass.
    pub(super) fn worst(&self) -> f64 {
        let level = self.level_off_db.map_or(0.0, |off| off.abs() / LEVEL_PASSES_DB);
        let beats = self.beats.map_or(0.0, |beats| beats.wide_cents.abs() / IN_TUNE_CENTS);
        level.max(beats)
    }

    /// Which two, and what is off: a sentence without its point.
    pub fn words(&self) -> String {
        let mut words = Vec::new();
        if let Some(beats) = self.beats.filter(|beats| !beats.margin.verdict().good) {
            words.push(format!(
                "beats {:.1} +- {:.1} per s, {:.1} meant ({})",
                beats.per_s,
                beats.uncertainty_per_s,
                beats.meant_per_s,
                beats.margin.verdict().surety.words()
            ));
        }
        if let Some((level, off)) = self.level.filter(|level| !level.verdict().good).zip(self.level_off_db) {
            let way = if off > 0.0 { "loud" } else { "soft" };
            words.push(format!("the upper {:.1} dB too {way} ({})", off.abs(), level.verdict().surety.words()));
        }
        let interval = self.interval.map_or(String::new(), |interval| format!(", {}", interval.name));
        format!("{} and {}{interval}: {}", self.lower, self.upper, words.join("; "))
    }

    fn margins(&self) -> impl Iterator<Item = Margin> {
        self.level.into_iter().chain(self.beats.map(|beats| beats.margin))
    }
}

/// The job's own pairs; where it names none, thirds, sixths and octaves of the same breath and slide, at most four holes
/// apart. `levels` are the levels off the run, in the order of `reeds`.
pub(super) fn pairs(job: &Job, reeds: &[&ReedAssessment], levels: &[Option<OffRun>]) -> Vec<PairAssessment> {
    let find = |end: &PairEnd| -> Vec<usize> {
        let ids: Vec<&str> = job.sounding(end).map(|reed| reed.id.as_str()).collect();
        (0..reeds.len()).filter(|&k| ids.contains(&reeds[k].reed.id.as_str())).collect()
    };
    let places: Vec<(usize, usize)> = if job.pairs.is_empty() {
        usual(reeds)
    } else {
        let pair = |(lower, upper): (Vec<usize>, Vec<usize>)| {
            lower.into_iter().flat_map(move |a| upper.clone().into_iter().filter(move |b| a != *b).map(move |b| (a, b)))
        };
        job.pairs.iter().map(|pair| (find(&pair.lower), find(&pair.upper))).flat_map(pair).collect()
    };
    places.into_iter().map(|(a, b)| one_pair((reeds[a], levels[a]), (reeds[b], levels[b]))).collect()
}

fn usual(reeds: &[&ReedAssessment]) -> Vec<(usize, usize)> {
    let together = |a: &ReedAssessment, b: &ReedAssessment| {
        let (a, b) = (&a.reed, &b.reed);
        let apart = a.hole.abs_diff(b.hole);
        (a.breath, a.slide) == (b.breath, b.slide) && (1..=REACH).contains(&apart)
    };
    let interval = |a: &ReedAssessment, b: &ReedAssessment| b.reed.note.midi() - a.reed.note.midi();
    let all = (0..reeds.len()).flat_map(|a| (0..reeds.len()).map(move |b| (a, b)));
    all.filter(|&(a, b)| together(reeds[a], reeds[b]) && USUAL.contains(&interval(reeds[a], reeds[b]))).collect()
}

type WithLevel<'a> = (&'a ReedAssessment, Option<OffRun>);

fn one_pair((lower, level_low): WithLevel<'_>, (upper, level_high): WithLevel<'_>) -> PairAssessment {
    let level = |reed: &ReedAssessment| reed.figures.get(Figure::Level);
    let off = level_low.zip(level_high).map(|(low, high)| {
        let known = upper.uncertainties.get(Figure::Level).of_difference(lower.uncertainties.get(Figure::Level));
        (high.off - low.off, known)
    });
    let interval = Interval::of(upper.reed.note.midi() - lower.reed.note.midi());
    PairAssessment {
        lower: lower.reed.id.clone(),
        upper: upper.reed.id.clone(),
        interval,
        level_difference_db: level(upper).zip(level(lower)).map(|(upper, lower)| upper - lower),
        level_off_db: off.map(|(off, _)| off),
        level: off.map(|(off, known)| Margin::two_sided(MarginOf::Level, LEVEL_PASSES_DB, off, &known)),
        beats: interval.and_then(|interval| beats(&interval, lower, upper)),
    }
}

/// How two reeds beat in an interval, at the job's tuning; nothing where a pitch was not measured.
pub fn beats(interval: &Interval, lower: &ReedAssessment, upper: &ReedAssessment) -> Option<Beats> {
    let measured = |reed: &ReedAssessment| reed.pitch.from != PitchFrom::Computed;
    if !measured(lower) || !measured(upper) {
        return None;
    }
    let pitch = |reed: &ReedAssessment| *reed.uncertainties.get(Figure::Pitch);
    let known: Uncertainty = pitch(upper).of_difference(&pitch(lower));
    let (low, high) = (lower.pitch, upper.pitch);
    let wide_cents = high.cents - low.cents;
    // One cent of the interval moves the upper partial by so much.
    let hz_per_cent = f64::from(interval.ratio.1) * (notes::raised(high.frequency_hz, 1.0) - high.frequency_hz);
    Some(Beats {
        per_s: interval.beats_per_s(low.frequency_hz, high.frequency_hz),
        meant_per_s: interval.beats_per_s(low.target_hz, high.target_hz),
        uncertainty_per_s: known.half_interval() * hz_per_cent,
        wide_cents,
        margin: Margin::two_sided(MarginOf::Pitch, IN_TUNE_CENTS, wide_cents, &known),
    })
}
