//! An assessment as charts.

use crate::chart::{
    self, PitchChart, PitchReed, PlayerPressures, ReedLabel, SpeakingChart, SpeakingReed, Speech, Window, WindowChart,
    WindowReed,
};
use crate::instrument::{Assessment, IN_TUNE_CENTS, PitchFrom, ReedAssessment};
use crate::physics::attack::Attack;
use crate::physics::coefficients::MODEL_VERSION;
use crate::physics::onset::Search;
use crate::physics::playable::Edge;
use crate::sheet::Job;

/// Pitch, window and speaking time, each with the name of its file.
pub fn charts(job: &Job, assessment: &Assessment) -> [(&'static str, String); 3] {
    let set_name = set_name(job);
    let reeds = || assessment.good_rows();
    let small_print = small_print(job, assessment);
    let pitch = PitchChart {
        set_name: set_name.clone(),
        reeds: reeds().map(pitch_reed).collect(),
        tolerance_cents: Some(IN_TUNE_CENTS),
        small_print: small_print.clone(),
    };
    let window = WindowChart {
        set_name: set_name.clone(),
        reeds: reeds().map(window_reed).collect(),
        pressure_limit_pa: Search::default().limit_pa,
        small_print: small_print.clone(),
    };
    let speaking = SpeakingChart { set_name, reeds: reeds().map(speaking_reed).collect(), small_print };
    [
        ("pitch.svg", pitch.picture().to_svg()),
        ("window.svg", window.picture().to_svg()),
        ("speaking.svg", speaking.picture().to_svg()),
    ]
}

/// Names of the chart files.
pub const CHART_FILES: [&str; 3] = ["pitch.svg", "window.svg", "speaking.svg"];

pub(super) fn set_name(job: &Job) -> String {
    job.instrument.name.clone().unwrap_or_else(|| "This set".to_owned())
}

pub(super) fn small_print(job: &Job, assessment: &Assessment) -> String {
    let count = assessment.good_rows().filter(|reed| reed.prediction.onset_range_pa.is_some()).count();
    let loss = match count {
        0 => String::new(),
        _ => {
            format!(
                " Loss assumed (Q 100 at A4, plausible 0.4 to 4 times that) for {count} reeds: onset and speaking time lean on it."
            )
        }
    };
    let player = match job.assumed.iter().any(|a| a.key.ends_with("_pa")) {
        true => " Part of the player's pressures is assumed.",
        false => "",
    };
    format!(
        "Model {MODEL_VERSION}. Order of reeds and of changes: sure; onset and speaking time: fair; absolute level: weak.{loss}{player}"
    )
}

pub(super) fn label(assessed: &ReedAssessment) -> ReedLabel {
    let reed = &assessed.reed;
    ReedLabel {
        id: reed.id.clone(),
        hole: reed.hole,
        note: reed.note.to_string(),
        midi_note: reed.note.midi(),
        breath: reed.breath,
        slide: reed.slide,
    }
}

fn pitch_reed(assessed: &ReedAssessment) -> PitchReed {
    let measured = assessed.pitch.from != PitchFrom::Computed;
    PitchReed { reed: label(assessed), deviation_cents: measured.then_some(assessed.pitch.cents) }
}

fn window_reed(assessed: &ReedAssessment) -> WindowReed {
    let window = match assessed.prediction.onset_pa() {
        None => Window::Silent,
        Some(onset_pa) => Window::Sounds {
            onset_pa,
            choke_pa: assessed.prediction.speaking.choke.pressure_pa(),
            playable: assessed.playable.map(|window| chart::Playable {
                lowest_pa: window.low.pressure_pa,
                highest_pa: (window.high.edge != Edge::LimitOfSearch).then_some(window.high.pressure_pa),
            }),
        },
    };
    let player = &assessed.pressures;
    let player = PlayerPressures { soft_pa: player.soft_pa, normal_pa: player.normal_pa, hard_pa: player.hard_pa };
    WindowReed { reed: label(assessed), window, player }
}

fn speaking_reed(assessed: &ReedAssessment) -> SpeakingReed {
    let speech = |attack: &Attack| match attack.t50_s {
        Some(t50_s) => Speech::Speaks { t50_s },
        None if attack.speaks => Speech::Unknown,
        None => Speech::Silent,
    };
    let [soft, normal, hard] = &assessed.attacks;
    SpeakingReed {
        reed: label(assessed),
        soft: speech(soft),
        normal: speech(normal),
        hard: speech(hard),
        allowed_s: Some(assessed.demand.allowed_s),
    }
}
