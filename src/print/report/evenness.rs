//! How even the set is.

use maud::{Markup, html};

use super::pictures::{PICTURES, picture};
use super::{Report, plain_table};
use crate::chart::LevelsChart;
use crate::instrument::{OctaveEvenness, Spread};
use crate::print::charts::gaps_chart;
use crate::units::significant;

impl Report<'_> {
    pub(super) fn evenness(&self, levels: &LevelsChart) -> Markup {
        let heads = ["octave", "reeds", "onset / soft pressure", "time at normal / allowed", "level at normal, dB"];
        let rows: Vec<Vec<String>> = self.assessment.evenness.iter().map(row).collect();
        html! {
            @if self.has_reeds() {
                section.evenness {
                    h2 { "How even it is" }
                    (picture(levels.to_svg(), PICTURES + 1))
                    (picture(gaps_chart(self.job, self.balance).to_svg(), PICTURES + 2))
                    (plain_table("The middle reed of each octave, and its extremes", &heads, &rows))
                }
            }
        }
    }
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
