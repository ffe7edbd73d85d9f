//! What is to be done, in order.

use maud::{Markup, html};

use super::Report;
use crate::print::work::{minutes, next_words, rates_assumed, totals};

impl Report<'_> {
    pub(super) fn work(&self) -> Markup {
        let any = self.work.work().next().is_some();
        html! {
            section.work {
                h2 { "What to do, in this order" }
                p { (totals(self.work).join(" ")) }
                @if any { (self.work_table()) }
                @if let Some(rates) = rates_assumed(self.job, self.work) { p.small { (rates) } }
                @if any {
                    p.small {
                        "Where a tip is bent, it is bent to the gap wanted in the chart of gaps and in the table of the reeds. Lengths \
                         count from the clamp. Each operation has its own command with all its steps. Measure after each, write what was measured into a \
                         round of the job, and plan again."
                    }
                }
            }
        }
    }

    fn work_table(&self) -> Markup {
        html! {
            table.list.to-do {
                thead {
                    tr {
                        th.number scope="col" { "no." } th scope="col" { "reed" } th scope="col" { "note" }
                        th.time scope="col" { "time" } th scope="col" { "what to do" } th.box scope="col" { "done" }
                    }
                }
                tbody {
                    @for (index, (work, next)) in self.work.work().enumerate() {
                        @let words = next_words(work, next);
                        tr {
                            td.number { (index + 1) }
                            th scope="row" { (work.now.reed.id) }
                            td { (work.now.reed.note.to_string()) }
                            td.time { (minutes(next.minutes)) }
                            td { @for (k, part) in words.iter().enumerate() { @if k == 0 { b { (part) } } @else { "; " (part) } } }
                            td.box { span.tick {} }
                        }
                    }
                }
            }
        }
    }
}
