//! What every lesson has: words, a table, figures, a question, and its answer at the end of the booklet.

use maud::{Markup, PreEscaped, html};

/// A picture of a lesson.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// The picture, one SVG document.
    pub svg: String,
    /// What it shows.
    pub caption: String,
}

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
                @for (k, figure) in self.figures.iter().enumerate() { (figure.to_html(first_figure + k)) }
                div.question id={ "question-" (number) } {
                    h3 { "Question " (number) }
                    p { (self.question) }
                    p.turn { a href={ "#answer-" (number) } { "Think first; the answer is at the end." } }
                }
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

impl Figure {
    fn to_html(&self, number: usize) -> Markup {
        html! {
            figure id={ "figure-" (number) } {
                div.drawing { (PreEscaped(with_own_ids(&self.svg, number))) }
                figcaption { b { "Figure " (number) "." } " " (self.caption) }
            }
        }
    }
}

/// The SVG with its names made its own: in one page no two drawings may share one.
fn with_own_ids(svg: &str, number: usize) -> String {
    let own = |before: &str| (before.to_owned(), format!("{before}figure-{number}-"));
    let named = [" id=\"", "url(#", "href=\"#"].map(own);
    let body = svg.find("<svg").map_or(svg, |start| &svg[start..]);
    named.iter().fold(body.to_owned(), |svg, (before, after)| svg.replace(before, after))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_do_not_share_names() {
        let svg = "<?xml version=\"1.0\"?><svg><clipPath id=\"a\"/><g clip-path=\"url(#a)\"/></svg>";
        let own = with_own_ids(svg, 3);
        assert_eq!(own, "<svg><clipPath id=\"figure-3-a\"/><g clip-path=\"url(#figure-3-a)\"/></svg>");
    }
}
