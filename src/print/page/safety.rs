//! Where work can hurt: the usual caution.

use maud::{Markup, html};

/// The box of cautions that stands in everything made for the bench.
pub(in crate::print) fn safety() -> Markup {
    html! {
        div.safety id="safety" {
            h2 { "Before you touch a file" }
            ul {
                li {
                    b { "Dust and filings." } " Brass may hold lead. Dust of beryllium copper (C17200) is very dangerous to the lungs: do not \
                     file or sand it dry, nor without extraction and the training that local rules ask for. Wipe wet; do not sweep \
                     dry or blow. Do not eat at the bench. Wash your hands."
                }
                li { b { "Solvents." } " Air the room, keep them from flames and skin, and read the safety data sheet." }
                li {
                    b { "Edges and small parts." } " Slot edges and shims cut. Reeds, rivets and valves do not belong in the mouth. Clean \
                     an instrument before anybody plays it."
                }
                li { b { "Sound." } " A reed blown hard close to the ear is loud for long hours of work: protect your hearing." }
            }
            p { "This is the usual caution, no more. Local rules, safety data sheets and qualified people come first." }
        }
    }
}
