//! A new reed in words.

use super::shape::Profiled;
use super::{Candidate, Opening, ReplaceOptions};
use crate::units::{kilograms, metres};
use crate::workshop::retune::Work;
use crate::workshop::{Caution, Steps};

impl Candidate {
    /// What it is made of, in a line.
    pub fn title(&self) -> String {
        let profile = match self.tongue.profile.work() {
            None => "uniform".to_owned(),
            Some(work) => format!("{}, {}", self.tongue.profile.name(), amount(&work)),
        };
        format!("{} strip, {} long, {profile}", metres(self.tongue.strip_m), metres(self.tongue.length_m))
    }

    /// What to do.
    pub fn steps(&self, opening: &Opening, options: &ReplaceOptions) -> Steps {
        let metal = &self.reed.metal.name;
        let mut steps = vec![
            format!(
                "Cut {} strip of {metal} to a width of {}: the slot's {} less {} at each side. Free length {} from the clamp's \
                 edge to the tip, and the pad as on the old reed.",
                metres(self.tongue.strip_m),
                thousandths(opening.width_m),
                thousandths(opening.width_m + 2.0 * opening.clearance_m),
                metres(opening.clearance_m),
                metres(self.tongue.length_m)
            ),
            "Take the burr off all edges along the length, no scratches across; try it in the slot against light."
                .to_owned(),
        ];
        match self.tongue.profile {
            Profiled::Uniform => {}
            Profiled::ThinnedRoot(work) | Profiled::ThinnedTip(work) => steps.push(format!(
                "Before mounting, take {}: four fifths of it first, measured with a micrometer, the ends of the patch run out.",
                amount(&work)
            )),
            Profiled::Weighted(work) => steps.push(format!("Put {}: lead-free solder, thin and even.", amount(&work))),
        }
        let length_m = self.reed.reed.beam.length_m;
        steps.push(format!(
            "Fasten and centre it, set the tip {} above the plate.",
            metres(self.reed.reed.rest.height_m(length_m, length_m))
        ));
        steps.push(format!(
            "Pluck and measure. It should pluck {:.1} Hz, give or take {:.0} cents by what strip and length are known to; write \
             the pitch down as measured_pluck_hz and bring it to its note with retune, root or tip.",
            options.pluck_hz, self.raw_cents
        ));
        Steps {
            steps,
            stop: format!(
                "when it plucks within {:.0} cents: the rest is retune's. Further off than that, measure strip and length again \
                 before filing.",
                self.raw_cents
            ),
        }
    }

    /// Where it can hurt.
    pub fn cautions(&self) -> Vec<Caution> {
        let solder = matches!(self.tongue.profile, Profiled::Weighted(_)).then_some(Caution::Solder);
        let always = [Caution::filing(&self.reed.metal), Caution::Edges, Caution::SmallParts];
        always.into_iter().chain(solder).collect()
    }
}

/// A width to the thousandth of a millimetre, as a clearance needs it.
fn thousandths(width_m: f64) -> String {
    format!("{:.3} mm", 1e3 * width_m)
}

/// The work at a strip.
pub(super) fn amount(work: &Work) -> String {
    match *work {
        Work::File { from_m, to_m, depth_m } => {
            format!("{:.3} mm off {} to {} from the clamp", 1e3 * depth_m, metres(from_m), metres(to_m))
        }
        Work::Weigh { mass_kg } => format!("{} on the tip", kilograms(mass_kg)),
    }
}
