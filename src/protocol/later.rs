//! Which reeds wait, where many cannot be told.

use super::{ReedTests, Why};

/// Reeds that are tested where more cannot be told (assumed: two to an octave and both ends, of three octaves).
const FEW: usize = 8;

/// Of reeds that cannot be told, and were neither worked on nor tested, all but a few spread over the pitch.
pub(super) fn later(reeds: &[ReedTests], worked_on: impl Fn(&str) -> bool) -> Vec<String> {
    let untouched = |reed: &&ReedTests| {
        let tested = reed.steps.iter().any(|step| step.found.is_some());
        reed.why == Why::CannotTell && !tested && !worked_on(&reed.reed)
    };
    let mut crowd: Vec<&ReedTests> = reeds.iter().filter(untouched).collect();
    if crowd.len() <= FEW {
        return Vec::new();
    }
    crowd.sort_by_key(|reed| reed.note.midi());
    let last = crowd.len() - 1;
    let few: Vec<usize> = (0..FEW).map(|k| (k * last + (FEW - 1) / 2) / (FEW - 1)).collect();
    let others = crowd.iter().enumerate().filter(|(place, _)| !few.contains(place));
    others.map(|(_, reed)| reed.reed.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::protocol::{Step, Test};
    use crate::sheet::{Breath, Note, Slide};

    fn untold(midi: i32) -> ReedTests {
        let step = Step { test: Test::SoftestBlow, pressure_pa: None, allowed_s: None, target_hz: None, found: None };
        ReedTests {
            reed: midi.to_string(),
            hole: 1,
            breath: Breath::Blow,
            slide: Slide::Out,
            note: Note::from_midi(midi).unwrap(),
            why: Why::CannotTell,
            steps: vec![step],
        }
    }

    #[test]
    fn of_many_that_cannot_be_told_a_few_from_end_to_end_are_tested_first() {
        let many: Vec<ReedTests> = (60..96).rev().map(untold).collect();
        let waiting = later(&many, |_| false);
        let tested: Vec<i32> = (60..96).filter(|midi| !waiting.contains(&midi.to_string())).collect();
        assert_eq!((tested.len(), tested[0], tested[FEW - 1]), (FEW, 60, 95));
        let steps: Vec<i32> = tested.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert!(steps.iter().all(|step| *step == 5), "{steps:?}");
    }

    #[test]
    fn nobody_waits_who_was_worked_on_or_is_wrong_or_is_one_of_a_few() {
        assert!(later(&(60..60 + FEW as i32).map(untold).collect::<Vec<_>>(), |_| false).is_empty());
        let mut many: Vec<ReedTests> = (60..96).map(untold).collect();
        many[7].why = Why::Wrong;
        let waiting = later(&many, |id| id == "68");
        assert!(!waiting.contains(&"67".to_owned()) && !waiting.contains(&"68".to_owned()), "{waiting:?}");
    }
}
