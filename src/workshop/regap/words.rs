//! Another gap in words.

use super::instead::over;
use super::{CardLine, RegapPlan};
use crate::units::metres;
use crate::workshop::bend::Direction;
use crate::workshop::{Caution, Steps};

impl RegapPlan {
    /// What is done, in a line.
    pub fn title(&self) -> String {
        let bend = &self.bend;
        let (what, how) = match bend.direction {
            Direction::Down => ("close", "push it down"),
            Direction::Up => ("open", "lift it"),
        };
        let length_m = self.before.reed.beam.length_m;
        let now_m = self.before.reed.rest.height_m(length_m, length_m);
        format!(
            "{what} the tip gap from {} to {}: {how} at {}{}, in steps",
            metres(now_m),
            metres(bend.wanted_gap_m),
            metres(bend.push.place_m),
            over(&bend.push, bend.direction)
        )
    }

    /// What to do, push by push.
    pub fn steps(&self) -> Steps {
        let mut steps = vec![self.set_up(), self.zero(), self.next_push()];
        steps.extend(self.go_on());
        steps.push(
            "Look along the tongue against the light: no crease, no twist, free of the slot on all sides. Leave it some hours \
             and measure once more: a fresh bend can creep a little (common practice, no source)."
                .to_owned(),
        );
        Steps { steps, stop: self.stop() }
    }

    /// Where it can hurt.
    pub fn cautions(&self) -> Vec<Caution> {
        vec![Caution::Edges, Caution::SmallParts]
    }

    fn set_up(&self) -> String {
        let bend = &self.bend;
        let over = over(&bend.push, bend.direction);
        let over = if over.is_empty() { over } else { format!(" Bend it {}.", over.trim_start_matches(", ")) };
        let tool = "a tool with a smooth, straight edge, square across the tongue, so that it does not twist";
        match bend.direction {
            Direction::Down => {
                let length_m = self.before.reed.beam.length_m;
                let below_m = bend.tip.travel_m * bend.steps.last_travel_m / bend.place.travel_m
                    - self.before.reed.rest.height_m(length_m, length_m);
                format!(
                    "Lay the plate with the slot open beneath: the tip goes up to {} below its face. Push with {tool}.{over}",
                    metres(below_m)
                )
            }
            Direction::Up => format!("Hold the plate fast and lift the tongue from below with {tool}.{over}"),
        }
    }

    fn zero(&self) -> String {
        let place = metres(self.bend.push.place_m);
        if self.goes_on() {
            let elsewhere = if self.learned.is_some() { ", though the tongue lies elsewhere now" } else { "" };
            return format!(
                "Keep the zero of the first push at {place}, where the tongue lay then: every travel below counts from \
                 it{elsewhere}."
            );
        }
        format!(
            "Mark {place} from the clamp. Set the zero of a stop or dial gauge where the tool just touches the tongue there, and \
             keep that zero: every travel below counts from where the tongue lies now, also after it has moved."
        )
    }

    fn next_push(&self) -> String {
        let (bend, next_m) = (&self.bend, self.next_travel_m);
        let push = if self.goes_on() { "Push" } else { "First push: go" };
        let measure = format!("{push} to {} of travel there, let go, measure the tip gap.", metres(next_m));
        if bend.place.travel_m <= next_m || self.turns_back {
            return measure;
        }
        format!(
            "{measure} Only a tongue as soft as may be is at {} then; one as expected needs {}.",
            metres(bend.wanted_gap_m),
            metres(bend.place.travel_m)
        )
    }

    /// How to go on by what the push has left.
    fn go_on(&self) -> Vec<String> {
        let further = format!(
            "push {} further than the last time, let go, measure, and so on",
            metres(self.bend.steps.increment_m)
        );
        let line = |line: &CardLine| format!("{} if it is now {}", metres(line.travel_m), metres(line.gap_m));
        let card = self.card();
        let Some((first, others)) = card.split_first() else {
            return vec![format!("If the gap is not there, {further}.")];
        };
        let by_gap: Vec<String> = others.iter().map(line).collect();
        let by_gap = match by_gap.as_slice() {
            [] => String::new(),
            lines => format!(" After the push above that gives {}.", lines.join(", ")),
        };
        vec![
            format!(
                "Gap hardly changed (less than {})? Then go to {} from the same zero.",
                metres(self.bend.steps.stop_within_m),
                metres(first.travel_m)
            ),
            format!(
                "Changed, but not there? The change tells this tongue's own strength: plan again with that travel and that gap, \
                 as often as you like.{by_gap} Without a new plan {further}."
            ),
        ]
    }

    fn goes_on(&self) -> bool {
        self.pushed.is_some() && !self.turns_back
    }

    fn stop(&self) -> String {
        let steps = &self.bend.steps;
        format!(
            "when the gap is within {} of {}, or past it; in any case at {} of travel, where the tongue may kink; at once if it \
             shows a crease, twists or touches the slot. A tongue that has kinked is spoilt; bending it back does not mend it \
             (common practice, no source).",
            metres(steps.stop_within_m),
            metres(self.bend.wanted_gap_m),
            metres(steps.never_beyond_m)
        )
    }
}
