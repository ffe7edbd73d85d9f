//! What was done, expected and measured in earlier rounds.

use maud::{Markup, html};

use super::{Report, plain_table};
use crate::instrument::rounds::ReedRound;
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
            thead {
                tr { th scope="col" { "reed" } th scope="col" { "done" } th.time scope="col" { "minutes" } th scope="col" { "expected and measured" } }
            }
            tbody {
                @for row in rows {
                    tr {
                        th scope="row" { (row.id) }
                        td { (row.done()) }
                        td.time { @match row.minutes { Some(minutes) => (significant(minutes, 3)), None => "-" } }
                        td { @for sentence in row.sentences() { p { (sentence) } } }
                    }
                }
            }
        }
    }
}
