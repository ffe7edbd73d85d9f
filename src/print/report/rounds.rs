//! What was done, expected and measured in earlier rounds.

use maud::{Markup, html};

use super::{Report, plain_table};
use crate::instrument::rounds::{ReedRound, legend};
use crate::units::significant;

impl Report<'_> {
    pub(super) fn rounds(&self) -> Markup {
        html! {
            section.rounds {
                h2 { "Rounds of measuring" }
                @if self.job.rounds.is_empty() {
                    p { "None yet: what is measured after work will stand here, beside what was expected." }
                }
                @for round in &self.job.rounds {
                    @let name = round.name();
                    (round_table(&name, self.rounds.rows.iter().filter(|row| row.round == name)))
                }
                @if let Some(legend) = legend(&self.rounds.rows) { p.small { (legend) } }
                @if !self.rounds.minutes.is_empty() { (self.minutes_table()) }
                @if let Some(fit) = self.fit { p { (fit.sentence()) } }
            }
        }
    }

    fn minutes_table(&self) -> Markup {
        let heads = ["work", "times", "minutes spent", "estimated", "not written down"];
        let rows = self.rounds.minutes.iter().map(|row| {
            vec![
                row.operation.name().to_owned(),
                row.timed.to_string(),
                significant(row.spent_minutes, 3),
                significant(row.estimated_minutes, 3),
                if row.untimed == 0 { "-".to_owned() } else { row.untimed.to_string() },
            ]
        });
        plain_table("Minutes spent beside the estimate", &heads, &rows.collect::<Vec<_>>())
    }
}

fn round_table<'a>(name: &str, rows: impl Iterator<Item = &'a ReedRound>) -> Markup {
    html! {
        table.list.round {
            caption { "Round " (name) }
            thead { tr {
                @for (k, head) in ReedRound::HEAD.iter().enumerate() {
                    @if k + 1 < ReedRound::HEAD.len() { th scope="col" { (head) } } @else { th scope="col" { "verdict" } }
                }
            } }
            @for row in rows {
                tbody {
                    @for (k, cells) in row.lines().iter().enumerate() {
                        tr {
                            @if k == 0 { th scope="row" { (row.id) } td { (row.done()) } } @else { td {} td {} }
                            @for cell in cells { td { (cell) } }
                        }
                    }
                }
            }
        }
    }
}
