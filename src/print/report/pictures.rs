//! The set in pictures.

use maud::{Markup, html};

use super::Report;
use crate::print::charts::charts;
use crate::print::page::Figure;

/// What each picture is read by, in the order of [`charts`]: pitch, window, speaking time.
const CAPTIONS: [&str; 3] = [
    "Pitch of each reed beside its target.",
    "Where each reed speaks in time, beside what the player gives.",
    "How long each reed takes to speak at the player's three pressures.",
];
/// How many there are; those of the other sections count on.
pub(super) const PICTURES: usize = CAPTIONS.len();

impl Report<'_> {
    pub(super) fn pictures(&self) -> Markup {
        let [pitch, window, speaking] = charts(self.job, self.assessment).map(|(_, svg)| svg);
        let [of_pitch, of_window, of_speaking] = CAPTIONS;
        let figures = [(window, of_window), (speaking, of_speaking), (pitch, of_pitch)];
        html! {
            section.pictures {
                h2 { "The set in pictures" }
                @if self.has_reeds() {
                    @for (k, (svg, caption)) in figures.into_iter().enumerate() {
                        (Figure { svg, caption: caption.to_owned() }.to_html(k + 1))
                    }
                } @else {
                    p { "There is nothing to draw before a reed is measured." }
                }
            }
        }
    }
}
