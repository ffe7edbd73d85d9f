//! All that is wrong with a reed.

use super::assess::{PitchFrom, ReedAssessment};
use super::blown::harder_than_computed;
use super::cause::{Cause, Failing, Why};
use super::figure::Figure;
use super::finding::{CENTRED, Finding, in_tune_cents, margin_of};
use super::margin::{Against, Margin, MarginOf};
use super::neighbours::Neighbours;
use super::odd::{apart, other_gap, out_of_run};
use super::word::speaks_of;
use crate::sheet::Feel;
use crate::study::changed::tip_gap_m;
use crate::workshop::care::Care;

/// All that is wrong with a reed, what matters most first.
pub(super) fn findings(assessed: &ReedAssessment, neighbours: &Neighbours) -> Vec<Finding> {
    let mut found = Vec::new();
    let thickness = assessed.reed.checked.thickness.as_ref();
    found.extend(thickness.filter(|t| t.disagrees).map(|t| Finding::Contradiction { scale: t.scale }));
    let failing =
        Failing { reed: &assessed.reed, gap_m: tip_gap_m(&assessed.reed.checked.reed), demand: assessed.demand };
    if assessed.prediction.speaking.onset.is_none() {
        let cause = failing.why_silent(neighbours);
        let apart = apart(&cause, &assessed.reed.checked, neighbours);
        found.push(Finding::NeverSpeaks { why: Why { apart, ..Why::new(cause) } });
    } else {
        found.extend(behind_target(assessed));
        found.extend(not_in_time(assessed, &failing, neighbours));
        if found.is_empty() {
            found.extend(out_of_run(assessed, &failing, neighbours));
            found.extend(harder_than_computed(assessed));
        }
    }
    found.extend(players_word(assessed, &found));
    if assessed.pitch.cents.abs() > in_tune_cents(assessed) {
        let from = assessed.pitch.from;
        let as_the_set = from == PitchFrom::Plucked
            && Care::before_tuning(assessed.pitch.cents).is_none()
            && neighbours.is_out_of_tune(&assessed.reed) == Some(false);
        found.push(Finding::OutOfTune { cents: assessed.pitch.cents, from, as_the_set });
    }
    found.extend(off_centre(assessed));
    // Stable: what is far flat is looked over before anything else is done to it.
    found.sort_by_key(|found| match found {
        Finding::NeverSpeaks { .. } | Finding::Contradiction { .. } => 0,
        Finding::OutOfTune { cents, .. } if Care::before_tuning(*cents).is_some() => 1,
        _ => 2,
    });
    found
}

fn not_in_time(assessed: &ReedAssessment, failing: &Failing<'_>, neighbours: &Neighbours) -> Vec<Finding> {
    let allowed_s = assessed.demand.allowed_s;
    let all = ["soft", "normal", "hard"].into_iter().zip(&assessed.attacks).enumerate();
    let late = all.filter(|(k, _)| assessed.is_late(*k)).map(|(_, late)| late);
    // What another asks than the player stands in place of the player's demand.
    let suits_another = |margin: &Margin| {
        margin.against == Against::Target || margin.against != Against::Demand && margin.verdict().good
    };
    let late = late.filter(|(playing, _)| !assessed.margin(margin_of(playing)).is_some_and(suits_another));
    let by_run = assessed.is_judged_by_run();
    late.map(|(playing, attack)| {
        let pressure_pa = attack.blow.pressure_pa;
        // Where the whole set is late nothing mends a reed; what sets it apart is told.
        let why = match failing.why_at(pressure_pa, neighbours) {
            Why { cause: Cause::TongueOrChamber, .. } if by_run => Why::new(failing.why_silent(neighbours)),
            why => Why { whole: why.whole || by_run, ..why },
        };
        let why = Why { apart: apart(&why.cause, &assessed.reed.checked, neighbours), ..why };
        Finding::NotInTime { playing, pressure_pa, t50_s: attack.t50_s, allowed_s, why }
    })
    .collect()
}

fn behind_target(assessed: &ReedAssessment) -> Vec<Finding> {
    let other_gap = assessed.counterpart.and_then(|there| other_gap(&assessed.reed.checked, there.tip_gap_m));
    let all = [(MarginOf::Soft, Figure::Low), (MarginOf::Hard, Figure::High), (MarginOf::Time, Figure::Time)];
    let behind = all.into_iter().filter_map(|(of, figure)| {
        let margin = assessed.margin(of)?;
        let (own, theirs) = (assessed.figures.get(figure)?, assessed.counterpart?.figures.get(figure)?);
        let is = margin.against == Against::Target && !margin.verdict().good;
        is.then(|| Finding::BehindTarget { of, own: own.exp(), theirs: theirs.exp(), other_gap })
    });
    behind.collect()
}

/// What the player blames, unless it is found already; of a reed worked on since, whether that is still so.
fn players_word(assessed: &ReedAssessment, found: &[Finding]) -> Option<Finding> {
    let feel = assessed.reed.feel.filter(|feel| *feel != Feel::Good)?;
    let told = |finding: &Finding| match finding {
        Finding::NeverSpeaks { .. } => true,
        Finding::NotInTime { playing, .. } => speaks_of(feel).contains(&margin_of(playing)),
        _ => false,
    };
    let still = |of: &MarginOf| {
        let by_word = |margin: &Margin| matches!(margin.against, Against::Word { .. });
        assessed.margin(*of).is_some_and(|margin| by_word(margin) && !margin.verdict().good)
    };
    let blamed = assessed.says == Some(feel) || speaks_of(feel).iter().any(still);
    (blamed && !found.iter().any(told)).then_some(Finding::PlayersWord(feel))
}

fn off_centre(assessed: &ReedAssessment) -> Option<Finding> {
    let slot = &assessed.reed.checked.reed.slot;
    let (left, right) = (slot.left_clearance_m.range().0, slot.right_clearance_m.range().0);
    let (least_m, other_m, side) = if left < right { (left, right, "left") } else { (right, left, "right") };
    (least_m < CENTRED * 0.5 * (left + right)).then_some(Finding::OffCentre { least_m, side, other_m })
}
