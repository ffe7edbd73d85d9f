//! The plates as they lie, each reed by its verdict: in colour, and by a mark where there is none.

use maud::{Markup, html};

use super::Report;
use crate::instrument::ReedAssessment;
use crate::print::page::{Mark, Place, Plates};
use crate::sheet::RowError;

/// So many holes lie side by side across a page.
const MOST_HOLES: usize = 16;

impl Report<'_> {
    /// With a key that counts them: the counts are those of the sentences above.
    pub(super) fn plates(&self) -> Markup {
        let plates = Plates::of(self.job);
        let mark = |row: &Result<ReedAssessment, RowError>| row.as_ref().map_or_else(Mark::of_row, Mark::of);
        let of_rows: Vec<Mark> = self.assessment.reeds.iter().map(mark).collect();
        html! {
            div.plates {
                @for part in plates.parts(MOST_HOLES) { (plates.table(&part, |place| self.place(place))) }
                p.key {
                    @for mark in Mark::ALL {
                        @let count = of_rows.iter().filter(|it| **it == mark).count();
                        @if count > 0 {
                            span { b.(mark.class) { (mark.sign) } " " (mark.words) ": " (count) } " "
                        }
                    }
                    @if self.work.work().next().is_some() { span { "A number: its place in the order of work." } }
                }
            }
        }
    }

    fn place(&self, place: Place) -> Markup {
        let id = place.id();
        let of_place = |row: &&Result<ReedAssessment, RowError>| match row {
            Ok(reed) => reed.reed.id == id,
            Err(error) => error.id.as_deref() == Some(id.as_str()),
        };
        let Some(row) = self.assessment.reeds.iter().find(of_place) else { return html! { td {} } };
        let mark = row.as_ref().map_or_else(Mark::of_row, Mark::of);
        let number = self.work.work().position(|(work, _)| work.now.reed.id == id);
        html! {
            td.(mark.class) title=(format!("{id}: {}", mark.words)) {
                span.note { @if let Ok(reed) = row { (reed.reed.note.to_string()) } @else { "\u{a0}" } }
                span.sign {
                    (mark.sign)
                    @if let Some(number) = number { " " span.order { (number + 1) } }
                }
            }
        }
    }
}
