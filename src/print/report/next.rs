//! What to measure next: what a row still lacks, and what would tell most.

use maud::{Markup, html};

use super::Report;
use crate::print::in_words::in_words;
use crate::print::still_to_measure::StillToMeasure;
use crate::print::to_measure::Unknown;

impl Report<'_> {
    pub(super) fn measure_next(&self) -> Markup {
        let still = StillToMeasure::of(&self.assessment.reeds);
        let missing = still.map(|still| still.lines(usize::MAX)).unwrap_or_default();
        let next = Unknown::next(self.job, self.assessment);
        html! {
            section.next {
                h2 { "What to measure next" }
                @if missing.is_empty() && next.is_empty() {
                    p { "Nothing more is needed: what was assumed weighs little." }
                } @else {
                    ul {
                        @for line in &missing { li { (in_words(line)) } }
                        @for unknown in next {
                            li {
                                b { (in_words(unknown.words())) }
                                @if let Some(how) = unknown.how() { ". " (in_words(how)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
