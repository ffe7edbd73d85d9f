//! The life of one reed.

use freereed::physics::bending::StressCycle;
use freereed::print::life as print;
use freereed::units;
use freereed::workshop::Caution;
use freereed::workshop::life::{Change, Improvement, Life, SwingFrom, improvements, life, steps};

use super::{Arguments, USUAL_HARD_PA, notes, span, span_hours, time, two_digits};
use crate::cli::Outcome;
use crate::cli::bench::{Report, print_report};
use crate::cli::failure::Failure;
use crate::cli::subject::subject;

pub(super) fn one(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = subject(arguments.file.as_deref(), arguments.job.as_deref(), arguments.reed.as_deref())?;
    let pressure_pa = arguments.pressure_pa.or(subject.hard_pa()).unwrap_or(USUAL_HARD_PA);
    let playing = arguments.playing(pressure_pa, subject.conditions.rise_s);
    let life = life(&subject.checked, &playing).map_err(|refusal| Failure::Call(refusal.to_string()))?;
    let improvements = improvements(&subject.checked, &life);
    let report = Report {
        title: title(&life),
        facts: facts(&life).into_iter().chain(improvement_facts(&life, &improvements)).collect(),
        steps: &steps(&life, &subject.checked.reed.beam),
        after: None,
        notes: notes(arguments, &life, Some(&subject)),
        cautions: vec![Caution::filing(&subject.checked.metal), Caution::SmallParts, Caution::Sound],
        json: print::to_json(&life, &improvements),
    };
    print_report(&subject, &report, arguments.json)
}

fn title(life: &Life) -> String {
    let playing = &life.playing;
    let hard = units::pascal(playing.pressure_pa);
    let hours = units::significant(playing.hours, 3);
    let low = life.factor.low;
    let verdict = match low {
        factor if factor >= 1.5 => "does not tire",
        factor if factor >= 1.0 => "just lasts",
        _ => "may break",
    };
    match life.swing_from {
        SwingFrom::Measured(_) => {
            format!("{verdict} in {hours} h of playing at {hard}: safety {} or more", units::significant(low, 2))
        }
        _ => format!(
            "bears a tip swing of {} or more for {hours} h of playing; how far it swings at {hard} is to be measured",
            units::metres(life.bears_swing_m().low)
        ),
    }
}

fn facts(life: &Life) -> Vec<(String, String)> {
    let swing = match life.swing_from {
        SwingFrom::Measured(_) => "as measured",
        _ => "by the model: weak, and so is each stress",
    };
    let place = |cycle: &StressCycle| {
        format!("{} to either side of {}", units::stress(cycle.amplitude_pa), units::stress(cycle.mean_pa.abs()))
    };
    let strength = &life.strength;
    let mut facts = vec![
        ("swing of the tip".to_owned(), format!("{} to either side ({swing})", units::metres(life.swing_m))),
        ("tires most".to_owned(), format!("{}: {}", at(life.worst.at_m), place(&life.worst))),
        ("largest in the attack".to_owned(), units::stress(life.peak_pa)),
        (
            "load cycles".to_owned(),
            format!("{}, {} at {}", power(life.cycles), time(life), units::hertz(life.frequency_hz)),
        ),
        (
            "bears about zero".to_owned(),
            format!(
                "{} at {} cycles, times {} for a surface {}",
                span(strength.fatigue_pa, units::stress),
                power(strength.fatigue_cycles),
                span(life.surface_factor, two_digits),
                life.playing.surface.name()
            ),
        ),
        ("bears a tip swing of".to_owned(), span(life.bears_swing_m(), units::metres)),
    ];
    if life.worst.at_m > 0.0 {
        facts.insert(2, ("at the root".to_owned(), place(&life.root)));
    }
    if let Some(factor) = life.yield_factor {
        let swing = units::metres(factor * life.swing_m);
        facts.push(("bends for good at".to_owned(), format!("a tip swing of some {swing}")));
    }
    if matches!(life.swing_from, SwingFrom::Measured(_)) {
        facts.push(("safety against breaking".to_owned(), span(life.factor, two_digits)));
        facts.extend(life.yield_factor.map(|factor| ("safety against bending".to_owned(), two_digits(factor))));
    }
    let hours = match life.hours() {
        Some(hours) => format!("{} of playing", span_hours(hours)),
        None => "not given: life goes with a high power of the swing, some seventh to tenth; measure it (measured_swing_mm at \
                 measured_at_pa)"
            .to_owned(),
    };
    facts.push(("hours until it breaks".to_owned(), hours));
    facts
}

fn improvement_facts(life: &Life, improvements: &[Improvement]) -> Vec<(String, String)> {
    let one = |improvement: &Improvement| {
        let text = match (&improvement.life, improvement.life_ratio) {
            (Some(better), Some(ratio)) => {
                let stress = better.worst.peak_pa() / life.worst.peak_pa() - 1.0;
                let effect = match improvement.change {
                    Change::Polished => format!("bears {} more", percent(better.factor.low / life.factor.low - 1.0)),
                    _ if stress < 0.0 => format!("stress {} less", percent(-stress)),
                    _ => format!("stress {} more", percent(stress)),
                };
                format!("{effect}, lasts about {}", times(ratio))
            }
            _ => "would not sound its note".to_owned(),
        };
        (changed(improvement.change), text)
    };
    improvements.iter().map(one).collect()
}

fn changed(change: Change) -> String {
    let percent = |share: f64| percent((share - 1.0).abs());
    match change {
        Change::Polished => "polished along".to_owned(),
        Change::Softer(share) => format!("blown {} softer", percent(share)),
        Change::LessGap(share) => format!("{} less gap", percent(share)),
        Change::Thicker(factor) => format!("{} thicker, longer", percent(factor)),
    }
}

/// "3.2 times", "over 1000 times".
fn times(ratio: f64) -> String {
    if ratio > 1000.0 { "over 1000 times".to_owned() } else { format!("{} times", units::significant(ratio, 2)) }
}

/// "4.2 %".
fn percent(share: f64) -> String {
    format!("{} %", two_digits(100.0 * share))
}

/// "at the root", "at 3.20 mm from the clamp".
fn at(place_m: f64) -> String {
    if place_m == 0.0 { "at the root".to_owned() } else { format!("at {} from the clamp", units::metres(place_m)) }
}

/// "6.3e8".
fn power(count: f64) -> String {
    format!("{count:.1e}")
}
