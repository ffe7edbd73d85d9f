//! A retuning in words.

use super::{Pass, RetunePlan, SENSED_DEPTH_M, Work};
use crate::sheet::notes;
use crate::units;
use crate::workshop::{Caution, Steps};

impl RetunePlan {
    /// What is done, in a line.
    pub fn title(&self) -> String {
        format!("{} by {}: {}", self.way(), units::cents_size(self.need_cents), amount(&self.work))
    }

    /// What to do, pass by pass.
    pub fn steps(&self) -> Steps {
        let mut steps = Vec::new();
        for (k, pass) in self.passes.iter().enumerate() {
            steps.push(self.pass(k, pass));
            steps.push(self.measure(k, pass));
        }
        if self.standing.bench_sounding_hz.is_none() {
            steps.push(format!(
                "Blow it at {} and measure the sounding pitch: the plan stands on the plucked one, and the sounding one is \
                 what is heard. Write both down (measured_sounding_hz, measured_at_pa).",
                units::pascal(self.standing.pressure_pa)
            ));
        }
        steps.push(
            "Some days later, played in between, measure again and touch up: fresh work settles (common practice, no source)."
                .to_owned(),
        );
        Steps { steps, stop: self.stop() }
    }

    /// Where it can hurt.
    pub fn cautions(&self) -> Vec<Caution> {
        let filing = Caution::filing(&self.after.metal);
        match self.work {
            Work::File { .. } => vec![filing, Caution::Edges],
            Work::Weigh { .. } => vec![Caution::Solder, filing],
        }
    }

    fn way(&self) -> &'static str {
        if self.need_cents > 0.0 { "raise" } else { "lower" }
    }

    fn pass(&self, k: usize, pass: &Pass) -> String {
        let last = k + 1 == self.passes.len();
        match pass.work {
            Work::File { from_m, to_m, depth_m } if k == 0 => {
                let rest = if last { ", stroke by stroke" } else { ", then measure before taking more" };
                format!(
                    "Slide a shim under the tongue so that it does not bend. Take {}{} off the upper face from {} to {}, counted from \
                     the clamp, the full width, strokes along the reed, the ends run out gently{rest}.",
                    um(depth_m),
                    self.strokes(depth_m),
                    units::metres(from_m),
                    self.place(to_m)
                )
            }
            Work::File { depth_m, .. } if last => format!(
                "Take the last {}{} stroke by stroke; pluck after each. Scale it by what the passes before have done.{}",
                um(depth_m),
                self.strokes(depth_m),
                self.finer_still()
            ),
            Work::File { depth_m, .. } => format!(
                "Take {}{} more off the same patch, scaled by what the pass before has done.",
                um(depth_m),
                self.strokes(depth_m)
            ),
            Work::Weigh { mass_kg } if mass_kg > 0.0 => format!(
                "Put {} on the upper face, at the very tip: lead-free solder, thin and even. A drop whose middle lies 1 mm \
                 back from the tip needs {} instead. Rather a little too much: what is too much is filed back. Keep the iron \
                 short: heat takes the spring out of rolled metal (common practice, no source).",
                units::kilograms(mass_kg),
                units::kilograms(mass_kg / self.share_of_tip_a_millimetre_back())
            ),
            Work::Weigh { mass_kg } => {
                let more = if k == 0 { "" } else { " more" };
                format!("File {}{more} off the weight on the tip, not off the tongue.", units::kilograms(-mass_kg))
            }
        }
    }

    fn strokes(&self, depth_m: f64) -> String {
        match (depth_m / self.stroke_m).round() {
            strokes if strokes < 2.0 => " (the lightest stroke)".to_owned(),
            strokes => format!(" (some {strokes} of the lightest strokes)"),
        }
    }

    fn finer_still(&self) -> String {
        let Some(finer) = self.finer() else { return String::new() };
        format!(
            " A stroke there moves {}; for less, file {} to {}, where one moves {}.",
            units::cents_size(self.stroke_cents),
            units::metres(finer.from_m),
            units::metres(finer.to_m),
            units::cents_size(finer.cents * self.stroke_m / SENSED_DEPTH_M)
        )
    }

    fn measure(&self, k: usize, pass: &Pass) -> String {
        let readings = [("plucked", pass.pluck_hz), ("sounding", pass.sounding_hz)];
        let reads: Vec<String> =
            readings.into_iter().filter_map(|(how, hz)| Some(format!("{} {how}", precise(hz?)))).collect();
        let reads = if reads.is_empty() { String::new() } else { format!(", {}", reads.join(" and ")) };
        let at = match (k, self.standing.measured_at_pa) {
            (0, Some(pressure)) => format!(" (sounding at {}, as before)", units::pascal(pressure)),
            _ => String::new(),
        };
        let wait = match k {
            0 => format!("Brush it clean, wait {} for it to cool", wait(self.settling.wait_s)),
            _ => "Clean, wait as before".to_owned(),
        };
        format!(
            "{wait}, measure{at}: it should have moved {} in all{reads}.",
            units::cents(pass.sounding_cents.unwrap_or(pass.cents))
        )
    }

    fn stop(&self) -> String {
        let short = self.stop_short_cents * self.need_cents.signum();
        let (bench, how) = match (self.passes.last(), self.standing.bench_sounding_hz.is_some()) {
            (Some(pass), true) => (pass.sounding_hz, "sounding"),
            (Some(pass), false) => (pass.pluck_hz, "plucked"),
            (None, _) => (None, ""),
        };
        let reading = bench.map_or(String::new(), |hz| format!(" ({} {how})", precise(notes::raised(hz, -short))));
        let least = match self.work {
            Work::File { .. } => {
                format!(
                    ", or when the patch is down to {}, whichever comes first",
                    um(self.body.1.least_thickness_m * (1.0 - self.doubt))
                )
            }
            Work::Weigh { .. } => String::new(),
        };
        format!("within {} of the mark{reading}{least}.", units::cents_size(self.stop_short_cents))
    }

    fn place(&self, place_m: f64) -> String {
        if (place_m - self.after.reed.beam.length_m).abs() < 1e-9 {
            format!("the tip ({})", units::metres(place_m))
        } else {
            units::metres(place_m)
        }
    }

    /// What a weight a millimetre back from the tip does, as a share of what it does at the tip: `phi^2`.
    fn share_of_tip_a_millimetre_back(&self) -> f64 {
        let beam = &self.after.reed.beam;
        beam.modes(1)[0].shape.at((beam.length_m - 1e-3).max(0.5 * beam.length_m)).powi(2)
    }
}

fn amount(work: &Work) -> String {
    match *work {
        Work::File { from_m, to_m, depth_m } => {
            format!("take {} off {} to {} from the clamp", um(depth_m), units::metres(from_m), units::metres(to_m))
        }
        Work::Weigh { mass_kg } if mass_kg > 0.0 => format!("put {} on the tip", units::kilograms(mass_kg)),
        Work::Weigh { mass_kg } => format!("take {} off the tip's weight", units::kilograms(-mass_kg)),
    }
}

/// A depth in millimetres, to the ten-thousandth that a plan can name.
pub(super) fn um(depth_m: f64) -> String {
    format!("{:.4} mm", 1e3 * depth_m)
}

/// A frequency to a tenth of a cent or so.
fn precise(hertz: f64) -> String {
    if hertz < 1000.0 { format!("{hertz:.2} Hz") } else { format!("{hertz:.1} Hz") }
}

/// A time to wait, rounded up.
fn wait(seconds: f64) -> String {
    if seconds < 55.0 {
        format!("{} s", (seconds / 10.0).ceil() * 10.0)
    } else {
        format!("{} min", (seconds / 30.0).ceil() * 0.5)
    }
}
