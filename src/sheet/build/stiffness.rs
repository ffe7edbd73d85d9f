//! The stiffness that was measured: what it says about the profile of the tongue.

use super::Build;
use super::thickness::scale_for;
use super::tip::{Form, Plan};
use crate::physics::{Beam, crossing};
use crate::sheet::keys::Table;
use crate::sheet::layer::Entry;
use crate::sheet::value::{Fault, Value, rounded};

/// Relative accuracy to which a stiffness is met.
const ACCURACY: f64 = 1e-10;
/// The heaviest tip and the thinnest that are looked for.
const EXTREMES: [Form; 2] = [Form { weight_share: 1.0, thinning: 0.0 }, Form { weight_share: 0.0, thinning: 0.8 }];

impl<'a> Build<'a> {
    /// Static stiffness at the tip (N/m) and where it was typed: `k = F/g`, the force that brings the tip down to the plate over
    /// the tip gap, or as typed.
    pub(super) fn stiffness_given(&self) -> Option<(f64, &'a Entry)> {
        if let Some(entry) = self.given(Table::Reed, "stiffness_n_m") {
            return Some((self.given_si(Table::Reed, "stiffness_n_m")?, entry));
        }
        let entry = self.given(Table::Reed, "closing_force_g")?;
        let force_n = self.given_si(Table::Reed, "closing_force_g")?;
        Some((force_n / self.tip_height_m().filter(|gap_m| *gap_m > 0.0)?, entry))
    }

    /// Height of the tip above the plate (m), where it was typed.
    fn tip_height_m(&self) -> Option<f64> {
        let stations = self.given(Table::Reed, "rest_stations_mm").map(|entry| (&entry.value, entry.key));
        match stations {
            Some((Value::Stations(stations), key)) => stations.last().map(|(_, gap)| key.si(*gap)),
            _ => self.given_si(Table::Reed, "tip_gap_mm"),
        }
    }

    /// A tip that does not stand above the plate cannot be brought down to it.
    pub(super) fn refuse_closed(&mut self) {
        let closed = self.tip_height_m().is_some_and(|gap_m| gap_m <= 0.0);
        if let (true, Some(entry)) = (closed, self.given(Table::Reed, "closing_force_g")) {
            let fault = Fault::new("is a force that closes a gap, and the tip does not stand above the plate");
            self.fault(entry, fault.cure("give stiffness_n_m instead: any force over how far it moves the tip"));
        }
    }

    /// Profile and thickness scale with which the tongue has both pitch and stiffness: a weight at the tip where it is stiffer
    /// than the plain strip of its pitch, a thinned tip where it is softer. At one pitch the stiffness grows with the weight
    /// and falls with the thinning. No solution is a contradiction of the two, which is told.
    pub(super) fn form_found(
        &mut self,
        plan: &Plan,
        pluck_hz: f64,
        (stiffness_n_m, entry): (f64, &Entry),
    ) -> Option<Form> {
        let ratio = |form: Form| {
            let scale = scale_for(&plan.with(form), pluck_hz)?;
            Some((plan.with(form).scaled(scale).tip_stiffness_n_m() / stiffness_n_m).ln())
        };
        let plain = ratio(Form::default())?;
        if plain.abs() <= ACCURACY {
            return Some(Form::default());
        }
        let extreme = EXTREMES[usize::from(plain > 0.0)];
        let at = |x: f64| Form { weight_share: x * extreme.weight_share, thinning: x * extreme.thinning };
        // With a soft root the extreme itself may not reach the pitch.
        let reached = (0..20).map(|k| 0.8_f64.powi(k)).find_map(|x| Some((x, ratio(at(x))?)));
        let found = reached
            .filter(|end| end.1 * plain <= 0.0)
            .map(|end| crossing([(0.0, plain), end], ACCURACY, |x| ratio(at(x)).unwrap_or(f64::NAN)));
        if found.is_none() {
            let ends = EXTREMES.map(|form| ratio(form).map_or(plain, |ratio| ratio));
            self.fault(entry, contradiction(entry, stiffness_n_m, ends, self.given(Table::Reed, "measured_pluck_hz")));
        }
        found.map(at)
    }

    /// Lists the profile that was found.
    pub(super) fn tell_form(&mut self, form: Form, stiffness: &Entry) {
        let why = |how: &str| format!("found from {} and measured_pluck_hz; taken to {how}", stiffness.key.name);
        if form.thinning > 0.0 {
            self.assume("tip_thinning", rounded(form.thinning).to_string(), why("grow evenly from root to tip"));
        } else {
            self.assume("tip_weight_share", rounded(form.weight_share).to_string(), why("sit at the very tip"));
        }
    }

    /// A stiffness beside a profile that was typed, or without a pitch, only checks the tongue.
    pub(super) fn compare_stiffness(&mut self, beam: &Beam) {
        let Some((measured, entry)) = self.stiffness_given() else { return };
        let computed = beam.tip_stiffness_n_m();
        let share = |name: &str| self.spec.relative_tolerance(name).unwrap_or(0.0);
        let cubed = 3.0 * share("length_mm").hypot(share("thickness_mm"));
        let gap = if entry.key.name == "closing_force_g" { share("tip_gap_mm") } else { 0.0 };
        let allowed = share(entry.key.name).hypot(gap).hypot(cubed);
        if (measured / computed).ln().abs() > allowed {
            self.notes.push(format!(
                "the stiffness measured ({}: {} N/m) and that of the tongue as typed ({} N/m) disagree by more than the tolerances allow ({} %)",
                entry.place.typed(),
                rounded(measured),
                rounded(computed),
                (100.0 * allowed).round()
            ));
        }
        if self.given(Table::Reed, "measured_pluck_hz").is_none() {
            self.notes.push(format!(
                "{} is only compared: with measured_pluck_hz it would give thickness and profile",
                entry.key.name
            ));
        }
    }
}

/// Both measurements, and what either would have to be. `ends`: stiffness at the pitch over that measured, in the logarithm,
/// with the heaviest tip and the thinnest.
fn contradiction(entry: &Entry, stiffness_n_m: f64, ends: [f64; 2], pluck: Option<&Entry>) -> Fault {
    let [stiffest, softest] = ends.map(|ratio| stiffness_n_m * ratio.exp());
    let typed = |n_m: f64| match &entry.value {
        Value::Number(number) => rounded(number * n_m / stiffness_n_m),
        _ => f64::NAN,
    };
    let pitch = pluck.map(|pluck| pluck.place.typed()).unwrap_or_default();
    let unit = entry.key.unit;
    Fault::new(format!(
        "says {} N/m, and a tongue of these sizes with the plucked pitch ({pitch}) has {} to {} N/m: the two contradict each other",
        rounded(stiffness_n_m),
        rounded(softest),
        rounded(stiffest)
    ))
    .allowed(format!("{} to {} {unit} for that pitch", typed(softest), typed(stiffest)))
    .cure("measure both again: the force in grams at the very tip, the gap, the octave of the pitch, length and width")
}
