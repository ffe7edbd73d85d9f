//! Invented sets of reeds for the tests of the charts.

#![allow(dead_code, unused_imports)]

pub mod layout;
pub mod one_reed;
mod reading;
mod strange;
mod windows;

use freereed::chart::{
    Breath, GapsChart, GapsReed, LevelsChart, LevelsReed, PitchChart, PitchReed, Playable, PlayerPressures, ReedLabel,
    Slide, SoftestChart, SoftestReed, SpeakingChart, SpeakingReed, Speech, Window, WindowChart, WindowReed,
};

pub use reading::*;
pub use strange::*;
pub use windows::*;

const NAMES: [&str; 12] = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];
pub const SMALL_PRINT: &str = "Invented values. Assumed: breath 33 degC, saturated, 4 % CO2; quality factor 60; \
    clearance 0.03 mm at the sides and the tip where it was not measured; the player's pressures and the time allowed \
    are those of an invented player, interpolated between C4, C5, C6 and D7. Model freereed 0.1.0.";

/// The 48 reeds of a solo-tuned instrument of 12 holes in C.
pub fn solo_tuned() -> Vec<ReedLabel> {
    let mut reeds = Vec::new();
    for hole in 0..12 {
        let octave = 60 + 12 * (hole / 4);
        let (blow, draw) = ([0, 4, 7, 12][hole as usize % 4], [2, 5, 9, 11][hole as usize % 4]);
        for (breath, slide, midi_note) in [
            (Breath::Blow, Slide::Out, octave + blow),
            (Breath::Blow, Slide::In, octave + blow + 1),
            (Breath::Draw, Slide::Out, octave + draw),
            (Breath::Draw, Slide::In, if hole == 11 { 98 } else { octave + draw + 1 }),
        ] {
            reeds.push(label(hole + 1, breath, slide, midi_note));
        }
    }
    reeds
}

/// A reed named after its place.
pub fn label(hole: i32, breath: Breath, slide: Slide, midi_note: i32) -> ReedLabel {
    let way = if breath == Breath::Blow { "blow" } else { "draw" };
    let place = if slide == Slide::Out { "out" } else { "in" };
    let note = format!("{}{}", NAMES[midi_note.rem_euclid(12) as usize], midi_note.div_euclid(12) - 1);
    ReedLabel { id: format!("{hole}-{way}-{place}"), hole: hole as u32, note, midi_note, breath, slide }
}

/// A number between -1 and 1 that looks random and is the same every time.
pub fn noise(seed: i32) -> f64 {
    let mixed = (seed as u32).wrapping_add(77).wrapping_mul(2_654_435_761);
    let mixed = (mixed ^ (mixed >> 15)).wrapping_mul(2_246_822_519);
    f64::from(mixed >> 8) / f64::from(1u32 << 23) - 1.0
}

/// The first `count` reeds, spread over the set.
pub fn some_reeds(count: usize) -> Vec<ReedLabel> {
    let all = solo_tuned();
    (0..count).map(|k| all[k * all.len() / count].clone()).collect()
}

pub fn pitch_chart(reeds: Vec<ReedLabel>, cents: impl Fn(usize, &ReedLabel) -> Option<f64>) -> PitchChart {
    let reed = |(k, reed): (usize, ReedLabel)| PitchReed { deviation_cents: cents(k, &reed), reed };
    PitchChart {
        set_name: "Invented set in C".into(),
        reeds: reeds.into_iter().enumerate().map(reed).collect(),
        tolerance_cents: Some(5.0),
        small_print: SMALL_PRINT.into(),
    }
}

pub fn demo_pitch(count: usize) -> PitchChart {
    pitch_chart(some_reeds(count), |k, reed| match reed.id.as_str() {
        "3-draw-out" => Some(-31.6),
        "5-blow-in" => Some(14.2),
        "4-blow-out" => Some(-8.1),
        "9-draw-in" => Some(-11.9),
        "9-draw-out" => Some(-9.7),
        "7-blow-out" | "11-draw-in" => None,
        _ => Some(4.6 * noise(k as i32)),
    })
}

/// Gaps that fall with pitch, some far off, one that no gap suits, one below the plate.
pub fn demo_gaps(count: usize) -> GapsChart {
    let gaps = |(k, reed): (usize, ReedLabel)| {
        let alone_m = 0.45e-3 * 2f64.powf(-f64::from(reed.midi_note - 60) / 20.0);
        let (wanted_m, usual_m) =
            (alone_m * (1.0 + 0.02 * noise(k as i32)), alone_m * (1.0 + 0.1 * noise(k as i32 + 7)));
        let now_m = match reed.id.as_str() {
            "3-draw-out" => 2.6 * usual_m,
            "5-blow-in" => 0.3 * usual_m,
            "9-draw-in" => -0.02e-3,
            _ => usual_m,
        };
        let is_left = (now_m / wanted_m - 1.0).abs() < 0.05;
        let suits = reed.id != "7-blow-out";
        GapsReed { now_m, wanted_m, alone_m, is_left, suits, reed }
    };
    GapsChart {
        set_name: "Invented set in C".into(),
        reeds: some_reeds(count).into_iter().enumerate().map(gaps).collect(),
        small_print: SMALL_PRINT.into(),
    }
}

/// Levels that rise with pitch, two reeds off the run, one silent; too few reeds have no run.
pub fn demo_levels(count: usize) -> LevelsChart {
    let level = |(k, reed): (usize, ReedLabel)| {
        let run = 62.0 + 0.4 * f64::from(reed.midi_note - 60);
        let level_db = match reed.id.as_str() {
            "3-draw-out" => Some(run - 5.5),
            "5-blow-in" => Some(run + 2.1),
            "9-draw-in" => None,
            _ => Some(run + 0.4 * noise(k as i32)),
        };
        LevelsReed { level_db, run_db: (count > 4).then_some(run), reed }
    };
    LevelsChart {
        set_name: "Invented set in C".into(),
        reeds: some_reeds(count).into_iter().enumerate().map(level).collect(),
        passes_db: 1.0,
        small_print: SMALL_PRINT.into(),
    }
}

pub fn demo_softest(count: usize) -> SoftestChart {
    let one = |(k, reed): (usize, ReedLabel)| {
        let soft_pa = player(reed.midi_note).soft_pa;
        let computed_pa = 0.7 * soft_pa;
        let (measured_pa, computed_pa) = match reed.id.as_str() {
            "3-draw-out" => (Some(1.6 * soft_pa), Some(computed_pa)),
            "5-blow-in" => (None, Some(1.2 * soft_pa)),
            "9-draw-in" => (None, None),
            _ => ((k % 3 != 0).then_some(computed_pa * (1.0 + 0.1 * noise(k as i32))), Some(computed_pa)),
        };
        SoftestReed { reed, measured_pa, computed_pa, soft_pa }
    };
    SoftestChart {
        set_name: "Invented set in C".into(),
        reeds: some_reeds(count).into_iter().enumerate().map(one).collect(),
        small_print: SMALL_PRINT.into(),
    }
}

/// The player's pressures at a note (Pa).
pub fn player(midi_note: i32) -> PlayerPressures {
    let rise = 2f64.powf(f64::from(midi_note - 60) / 16.0);
    PlayerPressures { soft_pa: 130.0 * rise, normal_pa: 330.0 * rise, hard_pa: 900.0 * rise }
}

pub fn window_chart(reeds: Vec<ReedLabel>, window: impl Fn(usize, &ReedLabel) -> Window) -> WindowChart {
    let reed =
        |(k, reed): (usize, ReedLabel)| WindowReed { window: window(k, &reed), player: player(reed.midi_note), reed };
    WindowChart {
        set_name: "Invented set in C".into(),
        reeds: reeds.into_iter().enumerate().map(reed).collect(),
        pressure_limit_pa: 20e3,
        small_print: SMALL_PRINT.into(),
    }
}

pub fn demo_window(count: usize) -> WindowChart {
    window_chart(some_reeds(count), |k, reed| {
        let at_note = player(reed.midi_note);
        let (onset_pa, lowest_pa) =
            (at_note.soft_pa * (0.42 + 0.12 * noise(k as i32)), at_note.soft_pa * (0.75 + 0.2 * noise(k as i32 + 90)));
        let choke_pa = (k % 3 == 0).then(|| at_note.hard_pa * (2.2 + 0.5 * noise(k as i32 + 200)));
        let highest_pa = choke_pa.map(|choke_pa| 0.9 * choke_pa);
        let whole = Window::Sounds { onset_pa, choke_pa, playable: Some(Playable { lowest_pa, highest_pa }) };
        match reed.id.as_str() {
            "3-draw-out" => Window::Silent,
            "5-blow-in" => Window::Sounds {
                onset_pa: 2.1 * onset_pa,
                choke_pa: None,
                playable: Some(Playable { lowest_pa: 2.4 * lowest_pa, highest_pa: None }),
            },
            "2-blow-out" => Window::Sounds {
                onset_pa: 0.5 * onset_pa,
                choke_pa: Some(0.72 * at_note.hard_pa),
                playable: Some(Playable { lowest_pa: 0.6 * lowest_pa, highest_pa: Some(0.6 * at_note.hard_pa) }),
            },
            "9-draw-in" => Window::Sounds { onset_pa: 3.0 * onset_pa, choke_pa: None, playable: None },
            "9-draw-out" => Window::Sounds {
                onset_pa: 2.0 * onset_pa,
                choke_pa: Some(0.9 * at_note.hard_pa),
                playable: Some(Playable { lowest_pa: 2.0 * lowest_pa, highest_pa: Some(0.8 * at_note.hard_pa) }),
            },
            "7-blow-out" => Window::Unknown,
            _ => whole,
        }
    })
}

pub fn speaking_chart(reeds: Vec<ReedLabel>, answers: impl Fn(usize, &ReedLabel) -> [Speech; 3]) -> SpeakingChart {
    let reed = |(k, reed): (usize, ReedLabel)| {
        let [soft, normal, hard] = answers(k, &reed);
        let allowed_s = Some(0.14 * 2f64.powf(-f64::from(reed.midi_note - 60) / 24.0));
        SpeakingReed { reed, soft, normal, hard, allowed_s }
    };
    SpeakingChart {
        set_name: "Invented set in C".into(),
        reeds: reeds.into_iter().enumerate().map(reed).collect(),
        small_print: SMALL_PRINT.into(),
    }
}

pub fn demo_speaking(count: usize) -> SpeakingChart {
    speaking_chart(some_reeds(count), |k, reed| {
        let base_s = 0.05 * 2f64.powf(-f64::from(reed.midi_note - 60) / 22.0) * (1.0 + 0.18 * noise(k as i32));
        let speaks = |factor: f64| Speech::Speaks { t50_s: factor * base_s };
        match reed.id.as_str() {
            "3-draw-out" => [Speech::Silent; 3],
            "5-blow-in" => [Speech::Silent, speaks(3.4), speaks(0.9)],
            "2-blow-out" => [speaks(1.6), speaks(0.9), Speech::Silent],
            "9-draw-in" => [speaks(6.0), speaks(3.6), speaks(0.7)],
            "9-draw-out" => [Speech::Silent, Speech::Silent, speaks(4.5)],
            "7-blow-out" => [Speech::Unknown; 3],
            _ => [speaks(1.7), speaks(0.9), speaks(0.45)],
        }
    })
}
