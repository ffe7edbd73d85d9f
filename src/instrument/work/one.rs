//! The work on one reed, round by round.

use super::super::assess::ReedAssessment;
use super::super::finding::Finding;
use super::super::judged::changed_reed;
use super::super::margin::MarginOf;
use super::super::word::NOTICED;
use super::candidate::{Candidate, Outcome, Plan, Planned, Refused, Remeasure, Suspicion};
use super::candidates::Asked;
use super::choice;
use super::worth::Demands;
use super::{Bench, Tongues};
use crate::physics::ReedModel;
use crate::physics::attack::{Blow, Stop};
use crate::sheet::{CheckedReed, Feel, JobReed, Measured};

/// A reed has no more faults than there are operations.
const MOST_ROUNDS: usize = 5;

/// What was considered with the reed as it then was, and what was taken.
#[derive(Debug, Clone)]
pub struct Round {
    /// What could be next, the gain for each minute falling.
    pub considered: Vec<Candidate>,
    /// What could not be planned.
    pub refused: Vec<Refused>,
    /// Which of those considered is next, if any.
    pub chosen: Option<usize>,
}

impl Round {
    /// The one that is next.
    pub fn next(&self) -> Option<&Candidate> {
        self.chosen.map(|index| &self.considered[index])
    }
}

/// The work on one reed.
#[derive(Debug, Clone)]
pub struct ReedWork {
    /// The reed as it is.
    pub now: ReedAssessment,
    /// What is asked of it, as it is.
    pub demands: Demands,
    /// The rounds, each with the reed as the one before leaves it; none where there is nothing to do.
    pub rounds: Vec<Round>,
}

impl ReedWork {
    /// The next operation; nothing where there is nothing to do.
    pub fn next(&self) -> Option<&Candidate> {
        self.rounds.first().and_then(Round::next)
    }

    /// All operations, the next one first.
    pub fn route(&self) -> impl Iterator<Item = &Candidate> {
        self.rounds.iter().filter_map(Round::next)
    }

    /// The reed after all of them.
    pub fn then(&self) -> &ReedAssessment {
        self.before(self.rounds.len())
    }

    /// Whether the route ends with a measurement: what comes then nobody knows.
    pub fn waits_for_measuring(&self) -> bool {
        self.route().any(|next| matches!(next.plan, Plan::Measure(_)))
    }

    /// Whether it is cleaned and looked over on the way.
    pub(super) fn is_looked_over(&self) -> bool {
        self.route().any(|next| matches!(next.plan, Plan::Clean(_)))
    }

    /// Whether anything is changed on the way.
    pub(super) fn is_mended_in_part(&self) -> bool {
        self.route().any(|next| next.outcome.is_some())
    }

    /// The reed before an operation of a round, counted from 0.
    pub fn before(&self, round: usize) -> &ReedAssessment {
        let mut before = self.rounds[..round].iter().rev().filter_map(|round| round.next()?.outcome.as_ref());
        before.next().map_or(&self.now, |outcome| &outcome.after)
    }

    /// Without a new tongue where that does.
    pub(super) fn plan(bench: &Bench<'_>, now: &ReedAssessment) -> Self {
        let lesser = Self::routed(bench, now, false);
        if matches!(bench.tongues, Tongues::Kept) || !lesser.may_need_a_tongue() {
            return lesser;
        }
        let renewed = Self::routed(bench, now, true);
        if renewed.may_need_a_tongue() { lesser } else { renewed }
    }

    /// Whether what is left after it all may call for a new tongue.
    fn may_need_a_tongue(&self) -> bool {
        let then = self.then();
        // What a player hardly notices is not worth a tongue.
        let noticed = |of: MarginOf| then.margin(of).is_some_and(|it| it.value.is_none_or(|value| value < -NOTICED));
        let speaks_ill = |found: &Finding| match found {
            Finding::NeverSpeaks { .. } => true,
            Finding::NotInTime { .. } | Finding::BehindTarget { .. } => {
                found.asks_for_work(then) && found.margin().is_some_and(noticed)
            }
            _ => false,
        };
        then.findings.iter().any(speaks_ill)
    }

    fn routed(bench: &Bench<'_>, now: &ReedAssessment, new_tongue: bool) -> Self {
        let demands = Demands::of(now, bench.wanted_m(now));
        let mut work = Self { now: now.clone(), demands, rounds: Vec::new() };
        while work.rounds.len() < MOST_ROUNDS {
            let Some(round) = work.round(bench, new_tongue) else { break };
            // Work is planned on for a reed that is found sound.
            let goes_on =
                round.next().is_some_and(|next| next.outcome.is_some() || matches!(next.plan, Plan::Clean(_)));
            work.rounds.push(round);
            if !goes_on {
                break;
            }
        }
        work
    }

    fn round(&self, bench: &Bench<'_>, new_tongue: bool) -> Option<Round> {
        let reed = self.then();
        let bend_anyway = bench.is_to_be_bent(reed) && !self.route().any(|next| is_regap(&next.plan));
        let to_mend = reed.findings.iter().any(|found| found.asks_for_work(reed));
        if !to_mend && !bend_anyway {
            return None;
        }
        let mut asked = Asked::of(bench, reed, self);
        let mut considered = self.tried(bench, reed, asked.first());
        if new_tongue && !considered.iter().any(mends_all_timing(reed)) {
            let more = asked.replace();
            considered.extend(self.tried(bench, reed, more));
        }
        let refused = asked.refused();
        // A stable sort: of equal ones the one planned first.
        considered.sort_by(|a, b| b.rank().total_cmp(&a.rank()));
        let measure = considered.iter().position(|candidate| candidate.outcome.is_none());
        let mut chosen = measure.or_else(|| choice::next(&considered));
        if chosen.is_none() && bend_anyway {
            // The set asks for it, though it gains the reed by itself little.
            chosen = considered.iter().position(|candidate| is_regap(&candidate.plan) && spoils_nothing(candidate));
        }
        // That a reed is out of the run, and nothing gained by bringing it there, is no work.
        let odd = |found: &Finding| matches!(found, Finding::OutOfRun { .. } | Finding::HarderThanComputed { .. });
        if chosen.is_none() && reed.findings.iter().any(|found| found.asks_for_work(reed) && !odd(found)) {
            let last = self.at_a_loss(bench, reed);
            chosen = last.is_some().then_some(considered.len());
            considered.extend(last);
        }
        Some(Round { considered, refused, chosen })
    }

    /// What is done where nothing mends it: where the player finds fault with it it is looked over, else measured anew.
    fn at_a_loss(&self, bench: &Bench<'_>, reed: &ReedAssessment) -> Option<Candidate> {
        let complaint = self.now.says.is_some_and(|feel| feel != Feel::Good);
        let by_word = |found: &Finding| matches!(found, Finding::PlayersWord(_));
        let plan = if complaint && !self.is_looked_over() {
            Plan::Clean(Suspicion::Word)
        } else if reed.findings.iter().filter(|found| found.asks_for_work(reed)).all(by_word) {
            return None;
        } else {
            Plan::Measure(Remeasure::NothingMends)
        };
        Some(Candidate { minutes: plan.minutes(&bench.job.rates), plan, outcome: None })
    }

    fn tried(
        &self,
        bench: &Bench<'_>,
        reed: &ReedAssessment,
        plans: impl IntoIterator<Item = Planned>,
    ) -> Vec<Candidate> {
        plans.into_iter().map(|planned| try_on(bench, reed, planned)).collect()
    }
}

fn is_regap(plan: &Plan) -> bool {
    matches!(plan, Plan::Regap(_) | Plan::RegapUnknown { .. })
}

fn spoils_nothing(candidate: &Candidate) -> bool {
    candidate.outcome.as_ref().is_some_and(|outcome| outcome.spoils.is_empty())
}

/// Whether a candidate leaves no finding that is about speaking.
fn mends_all_timing(reed: &ReedAssessment) -> impl Fn(&Candidate) -> bool {
    let late: Vec<&'static str> =
        reed.findings.iter().filter(|found| super::candidates::is_about_speaking(found)).map(|it| it.kind()).collect();
    move |candidate| match &candidate.outcome {
        Some(outcome) => late.iter().all(|kind| outcome.mends.contains(kind)) && outcome.spoils.is_empty(),
        None => true,
    }
}

/// Assesses the reed as a plan leaves it.
fn try_on(bench: &Bench<'_>, before: &ReedAssessment, planned: Planned) -> Candidate {
    let outcome = planned.after.map(|after| {
        let new_tongue = matches!(planned.plan, Plan::Replace(_));
        let reed = JobReed { checked: measured_again(before, after, new_tongue), ..before.reed.clone() };
        let after = changed_reed(bench.job, before, &reed, &bench.neighbours);
        let kinds = |reed: &ReedAssessment| reed.findings.iter().map(|found| found.kind()).collect::<Vec<_>>();
        let (was, is) = (kinds(before), kinds(&after));
        let wanted_m = bench.wanted_m(before);
        let demands = Demands::of(&after, wanted_m);
        Outcome {
            gain: Demands::of(before, wanted_m).loss() - demands.loss(),
            mends: was.iter().filter(|kind| !is.contains(kind)).copied().collect(),
            spoils: Finding::brought(before, &after),
            demands,
            after: Box::new(after),
        }
    });
    Candidate { minutes: planned.plan.minutes(&bench.job.rates), plan: planned.plan, outcome }
}

/// The changed reed with the pitches that would be measured on it: what was measured, moved by what the model says the work
/// does. A new tongue is plucked at what it is made for.
fn measured_again(before: &ReedAssessment, after: CheckedReed, new_tongue: bool) -> CheckedReed {
    let was = &before.reed.checked;
    let pluck = |checked: &CheckedReed| checked.reed.beam.modes(1)[0].frequency_hz;
    if new_tongue {
        let measured = Measured { pluck_hz: Some(pluck(&after)), ..Measured::default() };
        return CheckedReed { measured, ..after };
    }
    let sounding = was.measured.sounding_hz.zip(was.measured.at_pa).map(|(hz, at_pa)| {
        let both = sounding_hz(was, at_pa).zip(sounding_hz(&after, at_pa));
        hz * both.map_or(pluck(&after) / pluck(was), |(was, is)| is / was)
    });
    let pluck_hz = was.measured.pluck_hz.map(|hz| hz * pluck(&after) / pluck(was));
    CheckedReed { measured: Measured { pluck_hz, sounding_hz: sounding, ..was.measured }, ..after }
}

fn sounding_hz(checked: &CheckedReed, at_pa: f64) -> Option<f64> {
    let model = ReedModel::new(checked.reed.clone()).ok()?;
    model.attack(&Blow::to(at_pa), Stop::WhenSteady).steady.map(|steady| steady.frequency_hz)
}
