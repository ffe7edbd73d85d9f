//! `freereed fasten`: what holds the reed on its plate, and what a better fastener could win back.

mod words;

use clap::Args;
use freereed::print::fasten as print;
use freereed::workshop::fasten::{FastenRefusal, Fastening, Head, Pitches, Screw, Tightening, fasten};
use freereed::workshop::{Caution, Effect};

use super::Outcome;
use super::attack::within;
use super::bench::{BenchArguments, Report};
use super::failure::Failure;
use words::{facts, said, title};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// Diameter of the head of the screw or of the closed rivet, mm
    #[arg(long, value_name = "MM", requires = "pad_mm", value_parser = diameter, allow_hyphen_values = true)]
    head_mm: Option<f64>,
    /// Diameter of the hole in the pad, mm
    #[arg(long, value_name = "MM", default_value_t = 0.0, value_parser = hole, allow_hyphen_values = true)]
    hole_mm: f64,
    /// The pad, mm: along the reed x across it
    #[arg(long, value_name = "LENGTHxWIDTH", requires = "head_mm", value_parser = pad)]
    pad_mm: Option<(f64, f64)>,
    /// Thickness of the pad, mm; left out: as the tongue at its root
    #[arg(long, value_name = "MM", value_parser = thickness, allow_hyphen_values = true)]
    pad_thickness_mm: Option<f64>,
    /// Another head that is thought of, mm
    #[arg(long, value_name = "MM", requires = "head_mm", value_parser = diameter, allow_hyphen_values = true)]
    new_head_mm: Option<f64>,
    /// The screw by its thread: M1.4, or M1.4x0.2; left out: a rivet
    #[arg(long, value_name = "THREAD", value_parser = thread)]
    screw: Option<Screw>,
    /// Torque of the screw, N m
    #[arg(long, value_name = "NM", requires = "screw", value_parser = torque, allow_hyphen_values = true)]
    torque_n_m: Option<f64>,
    /// Yield strength of the screw, MPa
    #[arg(long, value_name = "MPA", requires = "screw", value_parser = strength, allow_hyphen_values = true)]
    screw_yield_mpa: Option<f64>,
    /// Yield strength of the plate or nut that holds the thread, MPa
    #[arg(long, value_name = "MPA", requires = "screw", value_parser = strength, allow_hyphen_values = true)]
    plate_yield_mpa: Option<f64>,
    /// Length of thread in plate or nut, mm; left out: the plate's thickness
    #[arg(long, value_name = "MM", requires = "screw", value_parser = length, allow_hyphen_values = true)]
    thread_mm: Option<f64>,
    /// Plucked pitch before tightening, Hz
    #[arg(long, value_name = "HZ", requires = "pitch_after_hz", value_parser = pitch, allow_hyphen_values = true)]
    pitch_before_hz: Option<f64>,
    /// Plucked pitch after tightening, Hz
    #[arg(long, value_name = "HZ", requires = "pitch_before_hz", value_parser = pitch, allow_hyphen_values = true)]
    pitch_after_hz: Option<f64>,
}

fn diameter(typed: &str) -> Result<f64, String> {
    within(typed, 0.3, 30.0, "a head is 0.3 to 30 mm across")
}

fn hole(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 20.0, "a hole is 0 (none) to 20 mm across")
}

fn thickness(typed: &str) -> Result<f64, String> {
    within(typed, 0.03, 5.0, "a pad is 0.03 to 5 mm thick")
}

fn length(typed: &str) -> Result<f64, String> {
    within(typed, 0.1, 20.0, "a thread is 0.1 to 20 mm long")
}

fn torque(typed: &str) -> Result<f64, String> {
    within(typed, 0.001, 20.0, "a torque is 0.001 to 20 N m; a driver marked in cN m: 5 cN m is 0.05 N m")
}

fn strength(typed: &str) -> Result<f64, String> {
    within(typed, 5.0, 3000.0, "a yield strength is 5 to 3000 MPa")
}

fn pitch(typed: &str) -> Result<f64, String> {
    within(typed, 5.0, 20000.0, "a plucked pitch is 5 to 20000 Hz")
}

fn thread(typed: &str) -> Result<Screw, String> {
    Screw::named(typed).ok_or_else(|| {
        format!("is no thread that is known; give {}, or any other with its pitch: M1.4x0.2", Screw::known().join(", "))
    })
}

fn pad(typed: &str) -> Result<(f64, f64), String> {
    let wrong = || "give length along the reed x width, in mm: 3.0x2.5".to_owned();
    let (length, width) = typed.split_once(['x', 'X']).ok_or_else(wrong)?;
    let side = |text: &str| within(text.trim(), 0.5, 40.0, "a side of a pad is 0.5 to 40 mm");
    Ok((side(length)?, side(width)?))
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let plan =
        fasten(&subject.checked, &arguments.fastening()).map_err(|refusal| Failure::Call(with_flags(&refusal)))?;
    let effect = plan
        .built_in
        .as_ref()
        .map(|after| Effect::of(&plan.before, after, &subject.conditions))
        .transpose()
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    let keys = plan.changed_keys();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan, subject.target_hz()),
        steps: &plan.steps(),
        after: plan.built_in.as_ref().zip(effect.as_ref()).map(|(after, effect)| (after, keys, effect)),
        notes: said(&plan, &subject),
        cautions: vec![Caution::filing(&subject.checked.metal), Caution::Edges, Caution::SmallParts],
        json: print::to_json(&plan),
    };
    arguments.bench.show(&subject, &report)
}

/// A refusal with the flags that would help.
fn with_flags(refusal: &FastenRefusal) -> String {
    match refusal {
        FastenRefusal::Nothing => format!(
            "{refusal} (--head-mm with --hole-mm and --pad-mm; --screw; --pitch-before-hz with --pitch-after-hz)"
        ),
        other => other.to_string(),
    }
}

impl Arguments {
    fn fastening(&self) -> Fastening {
        let metres = |mm: f64| 1e-3 * mm;
        let pascal = |mpa: f64| 1e6 * mpa;
        Fastening {
            head: self.head_mm.zip(self.pad_mm).map(|(head_mm, (length_mm, width_mm))| Head {
                head_m: metres(head_mm),
                hole_m: metres(self.hole_mm),
                pad_length_m: metres(length_mm),
                pad_width_m: metres(width_mm),
            }),
            new_head_m: self.new_head_mm.map(metres),
            pad_thickness_m: self.pad_thickness_mm.map(metres),
            screw: self.screw.map(|screw| Tightening {
                screw,
                torque_n_m: self.torque_n_m,
                screw_yield_pa: self.screw_yield_mpa.map(pascal),
                plate_yield_pa: self.plate_yield_mpa.map(pascal),
                thread_m: self.thread_mm.map(metres),
            }),
            pitches: self
                .pitch_before_hz
                .zip(self.pitch_after_hz)
                .map(|(before_hz, after_hz)| Pitches { before_hz, after_hz }),
        }
    }
}
