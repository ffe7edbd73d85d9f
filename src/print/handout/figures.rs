//! The pictures that take longest: what the reed would do over gaps, clearances and pressures.

use super::{Booklet, Figure};
use crate::answer::{Conditions, Quantity};
use crate::physics::attack::Stop;
use crate::physics::sound::Cycle;
use crate::print::charts::{
    gap_chart, level_chart, map_chart, mode_chart, pitch_curve_chart, response_chart, spectrum_chart,
};
use crate::sheet::{CheckedReed, Tuning};
use crate::study::{MapOf, Study, StudyError};

/// Gaps and clearances of a curve and of maps of times and ranges, gaps and pressures of speaking times.
const CURVE: (usize, usize) = (40, 3);
const TIME_MAP: (usize, usize) = (17, 17);
const RANGE_MAP: (usize, usize) = (7, 5);
const RESPONSE: (usize, usize) = (4, 60);

/// How many reeds are solved for the pictures.
pub const FIGURE_STEPS: usize =
    CURVE.0 * CURVE.1 + TIME_MAP.0 * TIME_MAP.1 + RANGE_MAP.0 * RANGE_MAP.1 + RESPONSE.0 * RESPONSE.1;

impl Booklet {
    /// Adds the pictures over gaps, clearances and pressures to their lessons; `done` is told of each reed that is solved.
    ///
    /// # Errors
    /// A value for which the equations have no meaning, or a measured swing where the reed does not sound.
    pub fn add_figures(
        &mut self,
        checked: &CheckedReed,
        name: &str,
        done: &(dyn Fn() + Sync),
    ) -> Result<(), StudyError> {
        let conditions = Conditions { pressure_pa: self.gap.blows.firm_pa, ..Conditions::default() };
        let study = Study::of(checked.clone(), conditions)?;
        let tuning = &self.facts.tuning.clone();
        self.gap.figures.push(windows(&study, name, tuning, done));
        self.edge
            .figures
            .extend([Quantity::HalfTime, Quantity::DynamicRange].map(|of| map(&study, of, name, tuning, done)));
        let mut modes = mode_chart(name, checked, &study.model, 2, tuning);
        modes.small_print.clear();
        self.height.figures.push(figure(
            modes.picture().to_svg(),
            "How the tongue swings. Nearly all of its sound comes from the first way. A shorter tongue swings the same way, \
             only faster and over less way.",
        ));
        self.attack.figures.push(responses(&study, name, tuning, done));
        let sustained = study.sustained();
        let mut level = level_chart(name, &study, sustained.as_ref(), tuning);
        level.small_print.clear();
        self.attack.figures.push(figure(
            level.picture().to_svg(),
            "How loud it is, from the softest to the hardest breath. A reed that sounds already goes on where it could not be \
             started any more.",
        ));
        let mut pitch = pitch_curve_chart(name, &study, sustained.as_ref(), tuning);
        pitch.small_print.clear();
        self.trust.figures.push(figure(
            pitch.picture().to_svg(),
            "The pitch it sounds at, beside the pitch it is plucked at. How far apart they lie is among the weakest numbers \
             here; measure it.",
        ));
        self.trust.figures.push(spectrum(&study, name, tuning));
        Ok(())
    }
}

fn figure(svg: String, caption: impl Into<String>) -> Figure {
    Figure { svg, caption: caption.into() }
}

fn windows(study: &Study, name: &str, tuning: &Tuning, done: &(dyn Fn() + Sync)) -> Figure {
    let curves = study.gap_curves(&study.gaps_m(CURVE.0), &study.clearances_m(CURVE.1), done);
    let mut chart = gap_chart(name, study, &curves, tuning);
    chart.small_print.clear();
    figure(
        chart.picture().to_svg(),
        "From the softest to the hardest blow that speaks within a tenth of a second, for every gap. Outside the band it \
         comes late or not at all.",
    )
}

fn map(study: &Study, quantity: Quantity, name: &str, tuning: &Tuning, done: &(dyn Fn() + Sync)) -> Figure {
    let points = if quantity == Quantity::HalfTime { TIME_MAP } else { RANGE_MAP };
    let (gaps, clearances) = (study.gaps_m(points.0), study.clearances_m(points.1));
    let found = study.map(MapOf { quantity, gaps_m: &gaps, clearances_m: &clearances }, done);
    let mut chart = map_chart(name, study, &found, tuning);
    chart.small_print.clear();
    let caption = match quantity {
        Quantity::HalfTime => {
            "A map of waiting: gap to the right, clearance upwards. Along a line the reed takes the same time to speak."
        }
        _ => "A map of loudness: how many decibels lie between the softest and the hardest blow that speak in time.",
    };
    figure(chart.picture().to_svg(), caption)
}

fn responses(study: &Study, name: &str, tuning: &Tuning, done: &(dyn Fn() + Sync)) -> Figure {
    let curves = study.responses(&study.gaps_m(RESPONSE.0), &study.pressures_pa(RESPONSE.1), done);
    let mut chart = response_chart(name, study, &curves, tuning);
    chart.small_print.clear();
    figure(
        chart.picture().to_svg(),
        "How long it takes to speak, from a soft to a hard blow, with its own gap and with others.",
    )
}

fn spectrum(study: &Study, name: &str, tuning: &Tuning) -> Figure {
    let attack = study.model.attack(&study.conditions.blow(), Stop::WhenSteady);
    let cycle = attack.steady.map(|steady| Cycle::last_of(&study.model, &attack.trace, 1.0 / steady.frequency_hz));
    let mut chart = spectrum_chart(name, &study.checked, study.conditions.pressure_pa, cycle.as_ref(), tuning);
    chart.small_print.clear();
    figure(
        chart.picture().to_svg(),
        "What the sound is made of, under the firm blow. Cover, hands and room are not in it.",
    )
}
