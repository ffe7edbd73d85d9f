//! The second page begins with what is to be done, in order.

use maud::{Markup, html};

use super::Report;
use crate::instrument::work::Plan;
use crate::print::in_words::in_words;
use crate::print::work::{minutes, next_words, operations, totals};

impl Report<'_> {
    pub(super) fn work(&self) -> Markup {
        let any = self.work.work().next().is_some();
        html! {
            section.work {
                h2 { "What to do, in this order" }
                p { (totals(self.work).join(" ")) }
                @if any {
                    (self.work_table())
                    p.small {
                        "Lengths count from the clamp. Measure after each operation, write what was measured into a round of the job, and \
                         plan again."
                        @if !self.job.rates.assumed(operations(self.work)).is_empty() {
                            " Where no time for an operation is stated, it is assumed: the list stands in the appendix."
                        }
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
                        th.number scope="col" { "no." } th.which scope="col" { "reed" }
                        th.time scope="col" { "time" } th scope="col" { "what to do" } th.box scope="col" { "done" }
                    }
                }
                tbody {
                    @for (index, (work, next)) in self.work.work().enumerate() {
                        @let words = next_words(work, next);
                        tr {
                            td.number { (index + 1) }
                            th.which scope="row" { (work.now.reed.id) " " span { (work.now.reed.note.to_string()) } }
                            td.time { (minutes(next.minutes)) }
                            td.what {
                                @for (k, part) in words.iter().enumerate() {
                                    @if k == 0 { b { (in_words(part)) } } @else { "; " (in_words(part)) }
                                }
                            }
                            td.box { span.tick {} }
                        }
                    }
                }
            }
        }
    }

    /// The gap to which the work bends a reed (m); nothing where it is not bent.
    pub(super) fn gap_aimed_at_m(&self, id: &str) -> Option<f64> {
        let (work, _) = self.work.work().find(|(work, _)| work.now.reed.id == id)?;
        work.route().find_map(|step| match &step.plan {
            Plan::Regap(plan) => Some(plan.bend.wanted_gap_m),
            Plan::RegapUnknown { wanted_m, .. } => Some(*wanted_m),
            _ => None,
        })
    }
}
