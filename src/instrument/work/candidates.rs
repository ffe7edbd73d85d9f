//! Which operations could help a reed, each planned by the workshop: by what is wrong, the cheap to plan first.

use super::super::assess::ReedAssessment;
use super::super::cause::Cause;
use super::super::finding::Finding;
use super::super::neighbours::{ODD, mean_clearance_m, measured_quality};
use super::candidate::{Plan, Planned, Refused, Remeasure, Suspicion};
use super::one::ReedWork;
use super::worth::pitch_is_measured;
use super::{Bench, Tongues};
use crate::answer::Conditions;
use crate::sheet::{CheckedReed, Feel, Operation};
use crate::study::changed::tip_gap_m;
use crate::workshop::align::{
    Alignment, Options as AlignOptions, Placement, USUAL_RIVET_M, Warmth, clearance_tolerance_m,
};
use crate::workshop::care::Care;
use crate::workshop::regap::{RegapOptions, RegapRefusal, WantedGap, regap};
use crate::workshop::replace::{ReplaceOptions, replace};
use crate::workshop::retune::{LEAST_CENTS, Method, RetuneOptions, RetunePlan, RetuneRefusal, Target, retune};
use crate::workshop::seal::leak::{LeakPlan, Source};
use crate::workshop::sides::Sides;

/// Whether a finding is about speaking.
pub(super) fn is_about_speaking(finding: &Finding) -> bool {
    matches!(
        finding,
        Finding::NeverSpeaks { .. }
            | Finding::NotInTime { .. }
            | Finding::BehindTarget { .. }
            | Finding::PlayersWord(Feel::TooStiff | Feel::Late)
    )
}

/// A reed for which operations are planned.
pub(super) struct Asked<'a> {
    bench: &'a Bench<'a>,
    reed: &'a ReedAssessment,
    checked: &'a CheckedReed,
    conditions: Conditions,
    /// What is planned on it before.
    before: &'a ReedWork,
    refused: Vec<Refused>,
}

impl<'a> Asked<'a> {
    pub fn of(bench: &'a Bench<'a>, reed: &'a ReedAssessment, before: &'a ReedWork) -> Self {
        Self { bench, reed, checked: &reed.reed.checked, conditions: reed.conditions(), before, refused: Vec::new() }
    }

    /// What could not be planned.
    pub fn refused(self) -> Vec<Refused> {
        self.refused
    }

    /// What is cheap to plan.
    pub fn first(&mut self) -> Vec<Planned> {
        let found: Vec<&Finding> = self.reed.findings.iter().filter(|it| it.asks_for_work(self.reed)).collect();
        let any = |which: fn(&Finding) -> bool| found.iter().any(|it| which(it));
        if any(|it| matches!(it, Finding::Contradiction { .. })) {
            return vec![measure(Remeasure::Contradiction)];
        }
        let out_of_tune = any(|it| matches!(it, Finding::OutOfTune { .. }));
        if out_of_tune && !pitch_is_measured(self.reed) {
            return vec![measure(Remeasure::Pitch)];
        }
        if let Some(suspicion) = self.suspicion() {
            return vec![Planned { plan: Plan::Clean(suspicion), after: None }];
        }
        let late = any(is_about_speaking) || any(|it| matches!(it, Finding::OutOfRun { .. }));
        let airy = any(|it| matches!(it, Finding::PlayersWord(Feel::Airy)));
        if airy && !late && self.checked.reed.slot.leak_area_m2 <= 0.0 {
            return vec![measure(Remeasure::Leak)];
        }
        let mut all = Vec::new();
        if late || any(|it| matches!(it, Finding::OffCentre { .. })) {
            all.extend(self.align());
        }
        if late {
            all.extend(self.fasten());
            all.extend(self.close_edges());
        }
        if late || airy {
            all.extend(self.seal());
        }
        if out_of_tune {
            all.extend(self.retune());
        }
        // One that no gap suits is bent when it is mended.
        if self.bench.is_to_be_bent(self.reed) || late && self.before.is_mended_in_part() {
            all.extend(self.regap());
        }
        all
    }

    /// Why it is to be looked over first, if it was not.
    fn suspicion(&self) -> Option<Suspicion> {
        let of = |found: &Finding| match found {
            Finding::OutOfTune { cents, .. } => Care::before_tuning(*cents).map(|_| Suspicion::Flat),
            Finding::HarderThanComputed { .. } => Some(Suspicion::Harder),
            _ => None,
        };
        let looked_over = self.before.is_looked_over();
        self.reed.findings.iter().filter(|_| !looked_over).find_map(of)
    }

    fn refuse<T>(&mut self, operation: Operation, why: impl ToString) -> Option<T> {
        self.refused.push(Refused { operation, why: why.to_string() });
        None
    }

    fn align(&mut self) -> Option<Planned> {
        let options = AlignOptions {
            placement: Placement::AsInFile,
            tolerance_m: clearance_tolerance_m(self.checked),
            rivet_m: USUAL_RIVET_M,
            warmth: Warmth::usual(self.checked),
        };
        match Alignment::plan(self.checked, &options) {
            Ok(plan) if plan.needed => {
                Some(Planned { after: Some(plan.after.clone()), plan: Plan::Align(Box::new(plan)) })
            }
            Ok(_) => None,
            Err(refusal) => self.refuse(Operation::Align, refusal),
        }
    }

    fn seal(&mut self) -> Option<Planned> {
        if self.checked.reed.slot.leak_area_m2 <= 0.0 {
            return None;
        }
        match LeakPlan::of(self.checked, &Source::InFile, &self.conditions) {
            Ok(plan) if plan.needed => {
                Some(Planned { after: Some(plan.after.clone()), plan: Plan::Seal(Box::new(plan)) })
            }
            Ok(_) => None,
            Err(refusal) => self.refuse(Operation::Seal, refusal),
        }
    }

    /// Where the slot is wider than its neighbours' by more than the set scatters.
    fn close_edges(&mut self) -> Option<Planned> {
        let (clearance_m, neighbours) = (mean_clearance_m(&self.checked.reed), &self.bench.neighbours);
        let usual_m = neighbours.clearance_m(&self.reed.reed).filter(|usual_m| clearance_m / usual_m - 1.0 > ODD)?;
        if !neighbours.is_out(&Cause::Clearance { clearance_m, usual_m }) {
            return None;
        }
        match Sides::of(&self.checked.reed).no_wider_than(usual_m).applied(self.checked) {
            Ok((after, _)) => Some(Planned { plan: Plan::CloseEdges { clearance_m, usual_m }, after: Some(after) }),
            Err(refusal) => self.refuse(Operation::Seal, refusal),
        }
    }

    /// Where it rings shorter than its neighbours, both measured.
    fn fasten(&mut self) -> Option<Planned> {
        let both = measured_quality(self.checked).zip(self.bench.neighbours.quality(&self.reed.reed));
        let (quality, usual) = both.filter(|(quality, usual)| usual / quality - 1.0 > ODD)?;
        let after = self.checked.without("ring_down_s").and_then(|reed| reed.with("quality_factor", usual));
        match after {
            Ok(after) => {
                let pluck_hz = self.reed.prediction.natural_frequency_hz;
                Some(Planned { plan: Plan::Fasten { quality, usual, pluck_hz }, after: Some(after) })
            }
            Err(refusal) => self.refuse(Operation::Fasten, refusal),
        }
    }

    fn retune(&mut self) -> Option<Planned> {
        if self.reed.pitch.cents.abs() < LEAST_CENTS {
            return None;
        }
        match to_its_note(self.reed) {
            Ok(plan) => Some(Planned { after: Some(plan.after.clone()), plan: Plan::Retune(Box::new(plan)) }),
            Err(refusal) => self.refuse(Operation::Retune, refusal),
        }
    }

    /// To the gap that the set gives it.
    fn regap(&mut self) -> Option<Planned> {
        let wanted_m = self.bench.wanted_m(self.reed)?;
        match regap(self.checked, &RegapOptions::to(WantedGap::Gap(wanted_m), self.conditions)) {
            Ok(plan) => Some(Planned { after: Some(plan.after.clone()), plan: Plan::Regap(Box::new(plan)) }),
            Err(RegapRefusal::AlreadyThere { .. }) => None,
            Err(why @ RegapRefusal::YieldUnknown { .. }) => self.regap_unknown(wanted_m, &why),
            Err(refusal) => self.refuse(Operation::Regap, refusal),
        }
    }

    /// The tip raised or lowered with the shape it has: what it would do can be told, how far to push cannot.
    fn regap_unknown(&mut self, wanted_m: f64, why: &RegapRefusal) -> Option<Planned> {
        let gap_m = tip_gap_m(&self.checked.reed);
        match self.checked.with("tip_gap_mm", 1e3 * wanted_m) {
            Ok(after) => {
                let plan = Plan::RegapUnknown { gap_m, wanted_m, why: why.to_string() };
                Some(Planned { plan, after: Some(after) })
            }
            Err(refusal) => self.refuse(Operation::Regap, refusal),
        }
    }

    /// A new tongue at its note, with the gap that the set gives it and clearance as its run has it.
    pub fn replace(&mut self) -> Option<Planned> {
        let bench = self.bench;
        let strips_m = match bench.tongues {
            Tongues::Kept => return None,
            Tongues::NewAtLast { strips_m: [] } => vec![self.checked.reed.beam.thickness_m.range().1],
            Tongues::NewAtLast { strips_m: stock } => stock.to_vec(),
        };
        let clearance_m = mean_clearance_m(&self.checked.reed);
        let usual_m = bench.neighbours.clearance_m(&self.reed.reed).unwrap_or(clearance_m);
        let options = ReplaceOptions {
            clearance_m: Some(usual_m.min(clearance_m)),
            tip_gap_m: bench.wanted_m(self.reed),
            ..ReplaceOptions::of(self.reed.reed.target_hz, strips_m, self.conditions)
        };
        match replace(self.checked, &options) {
            Ok(found) => match found.best.into_iter().next() {
                Some(best) => Some(Planned { after: Some(best.reed.clone()), plan: Plan::Replace(Box::new(best)) }),
                None => {
                    self.refuse(Operation::Replace, "no tongue of these strips reaches its note and speaks in time")
                }
            },
            Err(refusal) => self.refuse(Operation::Replace, refusal),
        }
    }
}

/// A reed brought to its note: as much as is wanted with a file where that may be taken, else over a longer patch, else with a
/// weight.
///
/// # Errors
/// [`RetuneRefusal`].
pub fn to_its_note(reed: &ReedAssessment) -> Result<RetunePlan, RetuneRefusal> {
    let checked = &reed.reed.checked;
    let options = RetuneOptions::to(Target::Cents(-reed.pitch.cents), reed.conditions().pressure_pa);
    retune(checked, &options).or_else(|refusal| match refusal {
        RetuneRefusal::TooDeep { longer: Some(patch), .. } => {
            retune(checked, &RetuneOptions { patch_m: Some((patch.from_m, patch.to_m)), ..options })
        }
        RetuneRefusal::TooDeep { weight_kg: Some(_), .. } => {
            retune(checked, &RetuneOptions { method: Method::Weight, ..options })
        }
        other => Err(other),
    })
}

fn measure(what: Remeasure) -> Planned {
    Planned { plan: Plan::Measure(what), after: None }
}
