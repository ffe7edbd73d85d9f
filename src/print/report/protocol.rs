//! What to test before the set is signed off.

use maud::{Markup, html};

use super::{Report, plain_table};
use crate::print::in_words::in_words;
use crate::print::protocol::{before, found_words, later_words, pair_words, progress, step_words, sweep_words};
use crate::protocol::Protocol;

impl Report<'_> {
    pub(super) fn protocol(&self) -> Markup {
        let protocol = Protocol::of(self.job, self.assessment);
        let blank = String::new;
        let mut rows: Vec<Vec<String>> = Vec::new();
        for reed in &protocol.reeds {
            for (k, step) in reed.steps.iter().enumerate() {
                let name = if k == 0 { format!("{} {}", reed.reed, reed.note) } else { blank() };
                let found = if step.found.is_some() { found_words(step) } else { blank() };
                rows.push(vec![name, in_words(&step_words(step)), found]);
            }
        }
        rows.extend(later_words(&protocol).map(|words| vec!["the others".to_owned(), in_words(&words), blank()]));
        rows.extend(
            protocol.pairs.iter().map(|pair| vec!["two at once".to_owned(), in_words(&pair_words(pair)), blank()]),
        );
        let sweeps = protocol.sweeps.map(|sweep| in_words(&sweep_words(sweep, &protocol)));
        rows.extend(sweeps.into_iter().map(|words| vec!["all reeds".to_owned(), words, blank()]));
        html! {
            section.protocol {
                h2 { "Test protocol" }
                p { (progress(&protocol)) ". " (before().join(" ")) }
                (plain_table("What to test, doubtful reeds first", &["reed", "test", "found"], &rows))
            }
        }
    }
}
