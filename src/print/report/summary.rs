//! The first page: the verdict in a few sentences, and the plates.

use maud::{Markup, html};

use super::Report;
use crate::print::in_short::{InShort, Line};
use crate::print::in_words::in_words;
use crate::print::still_to_measure::{NOTHING_YET, StillToMeasure};

impl Report<'_> {
    pub(super) fn summary(&self) -> Markup {
        let lines = InShort::of(self.job, self.assessment).verdict_lines();
        let wrong = self.wrong_rows();
        html! {
            section.summary {
                h2 { "In short" }
                @if lines.is_empty() && wrong.is_empty() { p { (NOTHING_YET) } }
                @for lines in lines.chunk_by(|a, b| is_item(a) == is_item(b)) {
                    @if is_item(&lines[0]) {
                        ul { @for line in lines { li { (told(line)) } } }
                    } @else {
                        @for line in lines { p { (told(line)) } }
                    }
                }
                @match StillToMeasure::of(&self.assessment.reeds) {
                    None => { @if self.has_reeds() && wrong.is_empty() { p { "Every reed of the sheet is measured." } } },
                    Some(still) => p { (still.head()) "; what is missing stands on the next page." },
                }
                @if !wrong.is_empty() {
                    h3 { "Wrong in the sheet, and left out" }
                    ul { @for line in &wrong { li { (line) } } }
                }
            }
        }
    }

    /// Rows that are wrong, in the set and elsewhere, those apart that only lack something.
    fn wrong_rows(&self) -> Vec<String> {
        let wrong = self.job.bad_rows().filter(|row| row.still_needs().is_none());
        wrong.map(|row| in_words(&format!("{}: {row}", row.name()))).collect()
    }
}

/// Whether a line is one of a list.
fn is_item(line: &Line) -> bool {
    line.lead.starts_with(' ')
}

fn told(line: &Line) -> Markup {
    let lead = line.lead.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = in_words(&line.text);
    let text = text.trim_start();
    let between = if text.starts_with([':', ',', '.', ';']) || lead.is_empty() { "" } else { " " };
    html! { @if !lead.is_empty() { b { (lead) } } (between) (text) }
}
