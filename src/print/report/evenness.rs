//! How even the set is.

use maud::{Markup, html};

use super::pictures::{PICTURES, picture};
use super::{Report, plain_table};
use crate::chart::{GapsChart, LevelsChart};
use crate::instrument::{GroupEvenness, OctaveEvenness, Spread};
use crate::print::charts::gaps_chart;
use crate::units::significant;

/// So many pairs are told.
const PAIRS: usize = 12;
const GROUPS: &str = "The middle reed of each group beside the run of its neighbours in pitch";
const GROUP_HEADS: [&str; 5] = ["group", "reeds", "onset", "time at normal", "level"];

impl Report<'_> {
    pub(super) fn evenness(&self, levels: &LevelsChart) -> Markup {
        let heads = ["octave", "reeds", "onset / soft pressure", "time at normal / allowed", "level at normal, dB"];
        let rows: Vec<Vec<String>> = self.assessment.evenness.iter().map(row).collect();
        let groups: Vec<Vec<String>> = self.assessment.groups.iter().map(group_row).collect();
        let (jumps, off) = (self.assessment.jumps_by_reed(), self.assessment.pairs_off());
        html! {
            @if self.has_reeds() {
                section.evenness {
                    h2 { "How even it is" }
                    (self.over_all(levels))
                    (picture(levels.picture().to_svg(), PICTURES + 1))
                    (picture(self.gaps().picture().to_svg(), PICTURES + 2))
                    (plain_table("The middle reed of each octave, and its extremes", &heads, &rows))
                    @if !groups.is_empty() { (plain_table(GROUPS, &GROUP_HEADS, &groups)) }
                    @if !jumps.is_empty() {
                        h3 { "Out of the run of its neighbours in pitch" }
                        ul { @for (reed, words) in &jumps { li { b { (reed) } " " (words) } } }
                    }
                    @if !self.assessment.pairs.is_empty() {
                        h3 { "Notes that sound together" }
                        p { (off.len()) " of " (self.assessment.pairs.len()) " pairs are off in level or beats." }
                        @if !off.is_empty() { ul { @for pair in off.iter().take(PAIRS) { li { (pair.words()) } } } }
                        @if off.len() > PAIRS { p { "And " (off.len() - PAIRS) " more, less far off." } }
                    }
                }
            }
        }
    }

    /// Gaps as the work list bends them: what is bent in one place is bent in the other.
    fn gaps(&self) -> GapsChart {
        let mut chart = gaps_chart(self.job, self.balance);
        for reed in &mut chart.reeds {
            let bent_to_m = self.gap_aimed_at_m(&reed.reed.id);
            reed.is_left = bent_to_m.is_none();
            reed.wanted_m = bent_to_m.unwrap_or(reed.wanted_m);
        }
        chart
    }
}

fn group_row(group: &GroupEvenness) -> Vec<String> {
    let [onset, time, level] = group.words();
    vec![group.group.to_owned(), group.reeds.to_string(), onset, time, level]
}

fn row(octave: &OctaveEvenness) -> Vec<String> {
    let cell = |spread: Option<Spread>, digits: i32| {
        spread.map_or("-".to_owned(), |s| {
            let [median, low, high] = [s.median, s.low, s.high].map(|value| significant(value, digits));
            format!("{median} ({low} to {high})")
        })
    };
    vec![
        format!("C{0} to B{0}", octave.octave),
        octave.reeds.to_string(),
        cell(octave.onset_over_soft, 2),
        cell(octave.t50_over_allowed, 2),
        cell(octave.level_db, 3),
    ]
}
