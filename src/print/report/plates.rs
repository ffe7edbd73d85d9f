//! The plates as they lie, each reed by its verdict: in colour, and by a mark where there is none.

use maud::{Markup, html};

use super::Report;
use crate::instrument::ReedAssessment;
use crate::print::in_short::Standing;
use crate::print::page::{Place, Plates};
use crate::sheet::RowError;

/// So many holes lie side by side across a page.
const MOST_HOLES: usize = 16;

/// What is said of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Mark {
    class: &'static str,
    sign: &'static str,
    words: &'static str,
}

const SUITS: Mark = Mark { class: "suits", sign: "\u{2713}", words: "suits" };
const DOUBTFUL: Mark = Mark { class: "doubtful", sign: "?", words: "doubtful" };
const DOES_NOT: Mark = Mark { class: "fails", sign: "\u{2717}", words: "does not suit" };
const NOT_MEASURED: Mark = Mark { class: "open", sign: "\u{2013}", words: "not measured" };
const WRONG_IN_SHEET: Mark = Mark { class: "open", sign: "!", words: "wrong in the sheet" };

impl Report<'_> {
    /// With a key that counts them: the counts are those of the sentences above.
    pub(super) fn plates(&self) -> Markup {
        let plates = Plates::of(self.job);
        let of_rows: Vec<Mark> = self.assessment.reeds.iter().map(mark).collect();
        html! {
            div.plates {
                @for part in plates.parts(MOST_HOLES) { (plates.table(&part, |place| self.place(place))) }
                p.key {
                    @for mark in [SUITS, DOUBTFUL, DOES_NOT, NOT_MEASURED, WRONG_IN_SHEET] {
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
        let mark = mark(row);
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

fn mark(row: &Result<ReedAssessment, RowError>) -> Mark {
    match row {
        Ok(reed) => match Standing::of(reed) {
            Standing::Suits => SUITS,
            Standing::Doubtful => DOUBTFUL,
            Standing::DoesNot => DOES_NOT,
        },
        Err(error) if error.still_needs().is_some() || error.not_measured() => NOT_MEASURED,
        Err(_) => WRONG_IN_SHEET,
    }
}
