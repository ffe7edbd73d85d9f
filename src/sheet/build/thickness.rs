//! The thickness that the plucked pitch asks for.

use super::Build;
use super::tip::{Form, PROFILE, Plan};
use super::tongue::{Tongue, hinge_n_m_per_rad};
use crate::physics::{Beam, crossing};
use crate::sheet::checked::{ThicknessFinding, Tip};
use crate::sheet::keys::{Table, find_in};
use crate::sheet::layer::Entry;
use crate::sheet::value::{Fault, rounded};

/// Relative accuracy to which the plucked pitch is met.
const PITCH_ACCURACY: f64 = 1e-9;

impl Build<'_> {
    /// Scales the thickness to the plucked pitch, if there is one, and finds the profile too where a stiffness is to be met.
    pub(super) fn thickness_found(
        &mut self,
        plan: Plan,
        measured: bool,
        stiffness: Option<(f64, &Entry)>,
    ) -> Option<Tongue> {
        if let Some(kept) = self.spec.kept {
            return self.thickness_kept(plan, measured, kept, stiffness.map(|(_, entry)| entry));
        }
        let Some(entry) = self.given(Table::Reed, "measured_pluck_hz") else {
            let beam = plan.scaled(1.0);
            self.refuse_hinge(&beam)?;
            self.compare_stiffness(&beam);
            return (!self.is_wrong(Table::Reed, "measured_pluck_hz")).then_some(Tongue { beam, thickness: None });
        };
        let pluck_hz = self.given_si(Table::Reed, "measured_pluck_hz")?;
        let plan = match stiffness {
            Some(stiffness) if scale_for(&plan, pluck_hz).is_some() => {
                let form = self.form_found(&plan, pluck_hz, stiffness)?;
                self.tell_form(form, stiffness.1);
                plan.with(form)
            }
            _ => plan,
        };
        let Some(scale) = scale_for(&plan, pluck_hz) else {
            self.fault(entry, out_of_reach(&plan.strip));
            return None;
        };
        let found = plan.scaled(scale);
        if let Some(fault) = thickness_fault(&found) {
            self.fault(entry, fault);
            return None;
        }
        self.refuse_hinge(&found)?;
        if stiffness.is_none() {
            self.compare_stiffness(&found);
        }
        let finding = self.finding(&plan, &found, scale, measured, pluck_hz);
        self.tell(&finding, entry);
        Some(Tongue { beam: found, thickness: Some(finding) })
    }

    /// A changed reed keeps the scale its pluck gave before the change, and what sits on its tip where nothing else is said of
    /// that.
    fn thickness_kept(
        &mut self,
        plan: Plan,
        measured: bool,
        kept: ThicknessFinding,
        stiffness: Option<&Entry>,
    ) -> Option<Tongue> {
        let typed = |name: &str| self.given(Table::Reed, name).is_some();
        let thinning = match (typed("thickness_stations_mm"), typed("tip_thinning")) {
            (true, _) => 0.0,
            (_, true) => plan.form.thinning,
            _ => kept.tip.thinning,
        };
        let plan = match kept.tip.mass_kg {
            Some(tip_mass_kg) => {
                Plan { strip: Beam { tip_mass_kg, ..plan.strip }, form: Form { weight_share: 0.0, thinning } }
            }
            None => plan.with(Form { thinning, ..plan.form }),
        };
        let as_typed = plan.scaled(1.0);
        let scale = match (measured, kept.measured) {
            (true, true) => kept.scale,
            (true, false) => 1.0,
            (false, _) => kept.mean_found_m / mean_thickness_m(&as_typed),
        };
        let beam = plan.scaled(scale);
        if let (Some(fault), Some(entry)) = (thickness_fault(&beam), self.given(Table::Reed, "measured_pluck_hz")) {
            self.fault(entry, fault);
            return None;
        }
        self.refuse_hinge(&beam)?;
        if let Some(entry) = stiffness {
            let weight_share = beam.tip_mass_kg / (beam.mass_kg() - beam.tip_mass_kg);
            self.tell_form(Form { weight_share, ..plan.form }, entry);
        }
        if !measured {
            self.assume_found(kept.mean_found_m, plan.form.thinning);
        }
        Some(Tongue { beam, thickness: Some(kept) })
    }

    fn finding(&self, plan: &Plan, found: &Beam, scale: f64, measured: bool, pluck_hz: f64) -> ThicknessFinding {
        let given = plan.scaled(1.0);
        let (given_m, found_m) = (mean_thickness_m(&given), mean_thickness_m(found));
        let tolerance = |name: &str| self.spec.tolerances.of(name).map_or(0.0, |typed| 1e-3 * typed);
        let of_thickness = tolerance("thickness_mm");
        // f ~ h / L^2: an error of the length is twice as much of the thickness found.
        let of_length = 2.0 * tolerance("length_mm") / given.length_m * found_m;
        let of_pluck = found_m * std::f64::consts::LN_2 * self.spec.tolerances.pluck_cents(pluck_hz) / 1200.0;
        // An assumed weight at the tip may as well be none.
        let is_assumed = self.assumed_numbers.iter().any(|(key, _)| key.name == PROFILE[1]);
        let weightless = scale_for(&plan.with(Form::default()), pluck_hz).filter(|_| is_assumed).unwrap_or(scale);
        let of_weight = (1.0 - weightless / scale).abs() * found_m;
        let tolerance_m = of_thickness.hypot(of_length).hypot(of_pluck) + of_weight;
        ThicknessFinding {
            scale: if measured { scale } else { 1.0 },
            measured,
            disagrees: measured && (found_m - given_m).abs() > tolerance_m,
            tolerance_m,
            mean_found_m: found_m,
            tip: Tip { mass_kg: Some(found.tip_mass_kg), thinning: plan.form.thinning },
        }
    }

    fn tell(&mut self, finding: &ThicknessFinding, pluck: &Entry) {
        if !finding.measured {
            self.assume_found(finding.mean_found_m, finding.tip.thinning);
        } else if finding.disagrees {
            let found_um = 1e6 * finding.mean_found_m;
            self.notes.push(format!(
                "the thickness measured and the plucked pitch ({}) disagree: the pitch asks for {:.1} um on the mean, {:.1} um measured, {:.1} um allowed by the tolerances",
                pluck.place.typed(),
                found_um,
                found_um / finding.scale,
                1e6 * finding.tolerance_m
            ));
        }
    }

    fn assume_found(&mut self, mean_m: f64, thinning: f64) {
        let (value, how) = if thinning > 0.0 {
            let root_mm = 1e3 * mean_m / (1.0 - 0.5 * thinning);
            let ends =
                format!("{} mm at the root, {} mm at the tip", rounded(root_mm), rounded((1.0 - thinning) * root_mm));
            (ends, "taken to fall evenly")
        } else {
            (format!("{} mm, uniform", rounded(1e3 * mean_m)), "taken to be the same all along")
        };
        self.assume("thickness_mm", value, format!("found from measured_pluck_hz; {how}"));
    }
}

/// Mean thickness along the tongue (m).
fn mean_thickness_m(beam: &Beam) -> f64 {
    let span = |ends: &[f64]| {
        (ends[1] - ends[0]) * beam.thickness_m.at_within(0.5 * (ends[0] + ends[1]), 0.5 * (ends[0] + ends[1]))
    };
    beam.breaks().windows(2).map(span).sum::<f64>() / beam.length_m
}

fn out_of_reach(beam: &Beam) -> Fault {
    let message = match beam.root_spring_n_m_per_rad {
        Some(_) => "no allowed thickness gives this pitch with so soft a root",
        None => "no allowed thickness gives this pitch",
    };
    Fault::new(message)
        .allowed(thickness_range())
        .cure("check length_mm, tip_mass_mg, root_spring_n_m_per_rad, the alloy, and the octave of the pitch")
}

fn thickness_fault(beam: &Beam) -> Option<Fault> {
    let key = find_in(Table::Reed, "thickness_mm")?;
    let (thin, thick) = beam.thickness_m.range();
    let outside = [thin, thick].map(|m| key.typed(m)).into_iter().find(|mm| !(key.least..=key.most).contains(mm))?;
    let fault = Fault::new(format!("asks for a thickness of {} mm", rounded(outside)));
    Some(fault.allowed(thickness_range()).cure("check length_mm, the alloy, and the octave of the pitch"))
}

fn thickness_range() -> String {
    find_in(Table::Reed, "thickness_mm").map(super::Key::range_text).unwrap_or_default()
}

/// The factor on the thickness that makes the first frequency `pluck_hz`; none where no allowed thickness does.
///
/// With a weight at the tip that grows with the tongue, or none, and without root spring the frequency is proportional to the
/// thickness. A weight that stays, or a spring, only lowers it, so the factor sought is never below the proportional one: the
/// search walks up from there, within the allowed range. With a soft root the frequency has a highest value (beyond it more
/// thickness is only more weight): the walk ends there.
pub(super) fn scale_for(plan: &Plan, pluck_hz: f64) -> Option<f64> {
    const STEP: f64 = 1.05;
    let frequency = |plan: &Plan, scale: f64| plan.scaled(scale).modes(1)[0].frequency_hz;
    let strip = &plan.strip;
    let bare = Beam { tip_mass_kg: 0.0, root_spring_n_m_per_rad: None, ..strip.clone() };
    let proportional = pluck_hz / frequency(&Plan { strip: bare, ..plan.clone() }, 1.0);
    if strip.tip_mass_kg == 0.0 && strip.root_spring_n_m_per_rad.is_none() {
        return Some(proportional);
    }
    let key = find_in(Table::Reed, "thickness_mm")?;
    let as_typed = plan.scaled(1.0);
    let (thin, thick) = as_typed.thickness_m.range();
    // As the tongue grows stiffer its root comes nearer to a hinge.
    let to_hinge =
        strip.root_spring_n_m_per_rad.map_or(f64::INFINITY, |spring| (spring / hinge_n_m_per_rad(&as_typed)).cbrt());
    let (mut low, highest) = (proportional.max(key.si(key.least) / thin), to_hinge.min(key.si(key.most) / thick));
    if low > highest {
        return None;
    }
    let mut below = frequency(plan, low);
    while below < pluck_hz && low < highest {
        let high = (low * STEP).min(highest);
        let above = frequency(plan, high);
        if above >= pluck_hz {
            let off = |scale: f64| frequency(plan, scale) - pluck_hz;
            let ends = [(low, below - pluck_hz), (high, above - pluck_hz)];
            return Some(crossing(ends, 0.1 * PITCH_ACCURACY * pluck_hz, off));
        }
        if above < below {
            return None;
        }
        (low, below) = (high, above);
    }
    // At the start of the walk the pitch is met, or already passed at the least thickness.
    ((below / pluck_hz - 1.0).abs() <= PITCH_ACCURACY).then_some(low)
}
