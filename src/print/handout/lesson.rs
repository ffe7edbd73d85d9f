//! What every lesson has: words, a table, a question, figures, and the answer at the end of the booklet.

use maud::{Markup, html};

use crate::print::page::Figure;

/// A lesson ready to be printed.
pub(super) struct Lesson<'a> {
    pub title: &'static str,
    pub text: Markup,
    pub figures: &'a [Figure],
    pub question: String,
    pub answer: String,
}

impl Lesson<'_> {
    /// The lesson as a chapter; its figures are numbered from `first_figure` on.
    pub fn to_html(&self, number: usize, first_figure: usize) -> Markup {
        html! {
            section.lesson id={ "lesson-" (number) } {
                h2 { span.number { (number) } " " (self.title) }
                (self.text)
                div.question id={ "question-" (number) } {
                    h3 { "Question " (number) }
                    p { (self.question) }
                    p.turn { a href={ "#answer-" (number) } { "Think first; the answer is at the end." } }
                }
                @for (k, figure) in self.figures.iter().enumerate() { (figure.to_html(first_figure + k)) }
            }
        }
    }

    /// The answer, for the end of the booklet.
    pub fn answer_to_html(&self, number: usize) -> Markup {
        html! {
            div.answer id={ "answer-" (number) } {
                h3 { a href={ "#question-" (number) } { "Answer to question " (number) } }
                p { (self.answer) }
            }
        }
    }
}

/// A table: heads, then rows; the marked row is the reed as it is.
pub(super) fn table(caption: &str, heads: &[&str], rows: &[(bool, Vec<String>)]) -> Markup {
    html! {
        div.table {
            table {
                caption { (caption) }
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody {
                    @for (is_own, cells) in rows {
                        tr class=[is_own.then_some("own")] {
                            @for (k, cell) in cells.iter().enumerate() {
                                @if k == 0 {
                                    th scope="row" { (cell) @if *is_own { span.mark { " as it is" } } }
                                } @else {
                                    td { (cell) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
