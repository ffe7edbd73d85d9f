//! What is assumed, and what the model can say.

use maud::{Markup, html};

use super::{Report, plain_table};
use crate::answer::{Quantity, ROWS};
use crate::instrument::IN_TUNE_CENTS;
use crate::predict::Trust;
use crate::print::assumed::assumed;
use crate::print::in_words::{in_words, meaning_of};
use crate::print::work::operations;

/// What the report tells of each reed.
const TOLD: [Quantity; 8] = [
    Quantity::Plucked,
    Quantity::Onset,
    Quantity::Choke,
    Quantity::HalfTime,
    Quantity::PlayableLow,
    Quantity::PlayableHigh,
    Quantity::Level,
    Quantity::Sounding,
];

impl Report<'_> {
    pub(super) fn assumed(&self) -> Markup {
        let reeds: Vec<_> = self.assessment.good_rows().map(|reed| &reed.reed.checked).collect();
        let rates = self.job.rates.assumed(operations(self.work));
        let assumed = assumed(self.job, &reeds).into_iter().map(|one| (one.key, one.value));
        let assumed = assumed.chain(rates.into_iter().map(|rate| (rate.key, rate.value)));
        let rows: Vec<Vec<String>> = assumed.map(|(key, value)| vec![meaning_of(&key), in_words(&value)]).collect();
        html! {
            section.assumed {
                h2 { "What is assumed" }
                @if rows.is_empty() {
                    p { "Nothing: every input was given." }
                } @else {
                    p { "These values were not given, and were assumed. Each one that is measured makes the rest surer." }
                    (plain_table("What it is, and what it is taken as", &["input", "assumed"], &rows))
                }
                @if self.fit.is_some() {
                    p { "Loss and leaks are fitted to what the rounds of measuring say, not measured." }
                }
            }
        }
    }

    pub(super) fn trust(&self) -> Markup {
        let rows = [("sure", Trust::Sure), ("fair", Trust::Fair), ("weak", Trust::Weak)].map(|(word, trust)| {
            let told = ROWS.iter().filter(|row| row.trust == trust && TOLD.contains(&row.quantity));
            let mut what: Vec<&str> = told.map(|row| row.meaning).collect();
            if trust == Trust::Sure {
                what.push("the order of reeds and of changes");
            }
            vec![word.to_owned(), trust.meaning().to_owned(), what.join("; ")]
        });
        html! {
            section {
                h2 { "What the model can say" }
                (plain_table("How far to trust each number", &["trust", "meaning", "of what"], &rows))
                p {
                    "In tune is within " (IN_TUNE_CENTS) " cents of the target. The model takes one reed on its chamber, the air in \
                     lumps (a chamber much shorter than a wavelength), quasi-steady jets, small slopes, an ideal mouth. What a player feels beyond pressure and time is not in it: the player has the last word."
                }
            }
        }
    }
}
