//! What to test before the set is signed off.

use maud::{Markup, html};

use super::{Report, plain_table};
use crate::print::protocol::{HEAD, before, progress, rows};
use crate::protocol::Protocol;

impl Report<'_> {
    pub(super) fn protocol(&self) -> Markup {
        let protocol = Protocol::of(self.job, self.assessment);
        let rows: Vec<Vec<String>> = rows(&protocol).into_iter().map(Vec::from).collect();
        html! {
            section.protocol {
                h2 { "Test protocol" }
                p { (progress(&protocol)) ". " (before().join(" ")) }
                (plain_table("What to test, doubtful reeds first", &HEAD, &rows))
            }
        }
    }
}
