//! Room for names: who assessed, who worked, who played.

use maud::{Markup, html};

use super::Report;

const WHO: [&str; 3] = ["Assessed by", "Work done by", "Played by"];
const LINES_FOR_REMARKS: usize = 2;

impl Report<'_> {
    pub(super) fn sign(&self) -> Markup {
        html! {
            section.sign {
                h2 { "Signed" }
                table {
                    thead { tr { th scope="col" { "who" } th scope="col" { "name" } th scope="col" { "date" } th scope="col" { "signature" } } }
                    tbody { @for who in WHO { tr { th scope="row" { (who) } td {} td {} td {} } } }
                }
                h3 { "Remarks" }
                @for _ in 0..LINES_FOR_REMARKS { div.rule {} }
            }
        }
    }
}
