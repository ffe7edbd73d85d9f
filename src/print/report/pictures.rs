//! The set in pictures.

use maud::{Markup, html};

use super::Report;
use crate::print::charts::charts;
use crate::print::page::Figure;

/// How many there are; those of the other sections count on.
pub(super) const PICTURES: usize = 3;

/// A picture that has its own headline.
pub(super) fn picture(svg: String, number: usize) -> Markup {
    Figure { svg, caption: String::new() }.to_html(number)
}

impl Report<'_> {
    pub(super) fn pictures(&self) -> Markup {
        let [pitch, window, speaking] = charts(self.job, self.assessment).map(|(_, svg)| svg);
        let pictures: [String; PICTURES] = [window, speaking, pitch];
        html! {
            section.pictures {
                h2 { "The set in pictures" }
                @if self.has_reeds() {
                    @for (k, svg) in pictures.into_iter().enumerate() { (picture(svg, k + 1)) }
                } @else {
                    p { "There is nothing to draw before a reed is measured." }
                }
            }
        }
    }
}
