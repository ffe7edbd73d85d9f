//! Every picture of one reed.

use super::{
    attack_chart, bench_view, filing_chart, gap_chart, level_chart, map_chart, mode_chart, pitch_curve_chart,
    response_chart, spectrum_chart,
};
use crate::answer::Quantity;
use crate::physics::attack::Stop;
use crate::physics::sound::Cycle;
use crate::sheet::Tuning;
use crate::study::{MapOf, Study};

/// All pictures of one reed, each an SVG document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pictures {
    /// Reed and slot from the side and from the end.
    pub bench: String,
    /// Bending modes.
    pub modes: String,
    /// Where filing moves the pitch.
    pub filing: String,
    /// The playable window over the gap.
    pub gap: String,
    /// Speaking time over the pressure.
    pub response: String,
    /// Speaking time over gap and clearance.
    pub time_map: String,
    /// Dynamic range over gap and clearance.
    pub range_map: String,
    /// One attack.
    pub attack: String,
    /// Pitch over the pressure.
    pub pitch: String,
    /// Level over the pressure.
    pub level: String,
    /// Harmonics of the steady sound.
    pub spectrum: String,
}

/// Names of the files, without their ending, in the order of [`Pictures::all`].
pub const PICTURES: [&str; 11] = [
    "bench",
    "modes",
    "filing",
    "gap",
    "speaking-time",
    "map-speaking-time",
    "map-dynamic-range",
    "attack",
    "pitch",
    "level",
    "spectrum",
];

/// Gaps and clearances of a curve; pressures of a curve.
const CURVE: (usize, usize) = (60, 3);
const PRESSURES: usize = 60;
/// Gaps and clearances of a map of times, which takes one attack a point, and of one of ranges, which takes some twelve.
const TIME_MAP: (usize, usize) = (41, 41);
const RANGE_MAP: (usize, usize) = (9, 7);
const RESPONSE_GAPS: usize = 4;

impl Pictures {
    /// How many reeds are solved, for showing progress.
    pub const COUNT: usize =
        CURVE.0 * CURVE.1 + TIME_MAP.0 * TIME_MAP.1 + RANGE_MAP.0 * RANGE_MAP.1 + RESPONSE_GAPS * PRESSURES;

    /// Draws all of them; `done` is told of each reed that is solved.
    pub fn of(study: &Study, name: &str, tuning: &Tuning, done: &(dyn Fn() + Sync)) -> Self {
        let (checked, model) = (&study.checked, &study.model);
        let (gaps, clearances) = (study.gaps_m(CURVE.0), study.clearances_m(CURVE.1));
        let curves = study.gap_curves(&gaps, &clearances, done);
        let responses = study.responses(&study.gaps_m(RESPONSE_GAPS), &study.pressures_pa(PRESSURES), done);
        let map = |quantity, (gaps, clearances)| {
            let of = MapOf { quantity, gaps_m: &study.gaps_m(gaps), clearances_m: &study.clearances_m(clearances) };
            map_chart(name, study, &study.map(of, done), tuning).picture().to_svg()
        };
        let sustained = study.sustained();
        let mut attack = model.attack(&study.conditions.blow(), Stop::WhenSteady);
        let cycle = attack.steady.map(|steady| Cycle::last_of(model, &attack.trace, 1.0 / steady.frequency_hz));
        attack.steady = attack.steady.map(|steady| steady.with_swing_scaled(study.swing_scale));
        Self {
            bench: bench_view(name, checked, model, tuning).picture().to_svg(),
            modes: mode_chart(name, checked, model, 3, tuning).picture().to_svg(),
            filing: filing_chart(name, checked, model, tuning).picture().to_svg(),
            gap: gap_chart(name, study, &curves, tuning).picture().to_svg(),
            response: response_chart(name, study, &responses, tuning).picture().to_svg(),
            time_map: map(Quantity::HalfTime, TIME_MAP),
            range_map: map(Quantity::DynamicRange, RANGE_MAP),
            attack: attack_chart(name, checked, model, &attack, tuning).picture().to_svg(),
            pitch: pitch_curve_chart(name, study, sustained.as_ref(), tuning).picture().to_svg(),
            level: level_chart(name, study, sustained.as_ref(), tuning).picture().to_svg(),
            spectrum: spectrum_chart(name, checked, study.conditions.pressure_pa, cycle.as_ref(), tuning)
                .picture()
                .to_svg(),
        }
    }

    /// All of them with the names of their files, without their ending.
    pub fn all(&self) -> [(&'static str, &str); 11] {
        let drawn = [
            &self.bench,
            &self.modes,
            &self.filing,
            &self.gap,
            &self.response,
            &self.time_map,
            &self.range_map,
            &self.attack,
            &self.pitch,
            &self.level,
            &self.spectrum,
        ];
        std::array::from_fn(|k| (PICTURES[k], drawn[k].as_str()))
    }
}
