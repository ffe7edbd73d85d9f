//! The sustained sound over the pressure as charts.

use super::words::small_print;
use crate::answer::edge;
use crate::chart::{LevelChart, LevelEnd, LevelPoint, PitchCurveChart, PitchPoint};
use crate::physics::attack::Steady;
use crate::physics::playable::End;
use crate::sheet::Tuning;
use crate::study::{Study, Sustained};

/// Sounding pitch over the pressure.
pub fn pitch_curve_chart(name: &str, study: &Study, sustained: Option<&Sustained>, tuning: &Tuning) -> PitchCurveChart {
    let points = sustained.map_or(&[][..], |found| &found.points);
    let point = |point: &crate::study::SustainedPoint| PitchPoint {
        pressure_pa: point.pressure_pa,
        frequency_hz: Some(point.steady.frequency_hz),
        is_stable: point.stable,
    };
    PitchCurveChart {
        reed_name: name.to_owned(),
        plucked_hz: study.model.modes()[0].frequency_hz,
        a4_hz: tuning.concert_pitch_hz,
        points: points.iter().map(point).collect(),
        onset_pa: study.speaking.onset.map(|onset| onset.pressure_pa),
        player: None,
        small_print: small_print(
            &study.checked,
            tuning,
            "How far the sounding pitch lies from the plucked one: weak; which way it goes with pressure: fair.",
        ),
    }
}

/// Level over the pressure, with both ends of the playable window and of what lasts.
pub fn level_chart(name: &str, study: &Study, sustained: Option<&Sustained>, tuning: &Tuning) -> LevelChart {
    let points = sustained.map_or(&[][..], |found| &found.points);
    let point = |point: &crate::study::SustainedPoint| LevelPoint {
        pressure_pa: point.pressure_pa,
        level_db: Some(point.steady.level.db),
        is_stable: point.stable,
    };
    let window = sustained.and_then(|found| found.playable.as_ref());
    let end = |end: End, steady: Option<Steady>| LevelEnd {
        pressure_pa: end.pressure_pa,
        level_db: steady.map(|steady| steady.level.db),
        reason: edge(end).to_owned(),
    };
    LevelChart {
        reed_name: name.to_owned(),
        points: points.iter().map(point).collect(),
        onset_pa: study.speaking.onset.map(|onset| onset.pressure_pa),
        choke_pa: study.speaking.choke.pressure_pa(),
        lowest: window.map(|(window, range)| end(window.low, range.map(|range| range.low))),
        highest: window.map(|(window, range)| end(window.high, range.map(|range| range.high))),
        keeps_from_pa: sustained.map(|found| found.lowest_pa),
        keeps_to_pa: sustained.and_then(|found| found.highest_pa),
        player: None,
        small_print: small_print(
            &study.checked,
            tuning,
            "Levels in absolute terms: weak; differences and the order of changes: fair to sure. A point source in free air.",
        ),
    }
}
