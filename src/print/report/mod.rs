//! The report on a set: one file to print, for the customer and for the bench.
//!
//! Two pages first: what is so, with the plates as they lie, and what is to be done, with room to sign; all else is an
//! appendix. Values in, one HTML file out that needs nothing else; it is read on a screen, and printed on A4 or Letter.

mod evenness;
mod found;
mod head;
mod next;
mod pictures;
mod plates;
mod protocol;
mod reeds;
mod rounds;
mod sign;
mod summary;
mod trust;
mod work;

use maud::{Markup, html};

use super::page::{STYLE, document, keep_units, safety};
use crate::chart::LevelsChart;
use crate::instrument::Assessment;
use crate::instrument::balance::Balance;
use crate::instrument::rounds::{Fit, Rounds};
use crate::instrument::work::WorkList;
use crate::physics::coefficients::MODEL_VERSION;
use crate::print::charts::levels_chart;
use crate::sheet::{Date, Job};

const OWN_STYLE: &str = include_str!("style.css");

/// Everything that the report tells of.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// The job, with the fit applied where there is one.
    pub job: &'a Job,
    /// Its reeds.
    pub assessment: &'a Assessment,
    /// Their gaps.
    pub balance: &'a Balance,
    /// What is to be done.
    pub work: &'a WorkList,
    /// What was done.
    pub rounds: &'a Rounds,
    /// Loss and leaks as the rounds make them out, where the assessment used them.
    pub fit: Option<&'a Fit>,
    /// The day on which it is made.
    pub date: Date,
}

impl Report<'_> {
    /// The report as one HTML page: no network, no script.
    pub fn to_html(&self) -> String {
        let levels = levels_chart(self.job, self.assessment);
        let body = html! {
            main {
                div.first {
                    (self.head())
                    (self.summary())
                    (self.plates())
                }
                div.second {
                    (self.work())
                    (self.measure_next())
                    (safety())
                    (self.sign())
                }
                p.kind.appendix { "Appendix: " (self.name()) }
                (self.asked())
                (self.pictures())
                (self.evenness(&levels))
                (self.reeds())
                (self.rounds())
                (self.protocol())
                (self.assumed())
                (self.trust())
                footer {
                    p { "Computed by freereed " (env!("CARGO_PKG_VERSION")) ", model " (MODEL_VERSION) ", on " (self.date.to_string()) "." }
                }
            }
        };
        keep_units(&document(&format!("Report: {}", self.name()), &[STYLE, OWN_STYLE], &body))
    }

    fn name(&self) -> &str {
        self.job.instrument.name.as_deref().unwrap_or("This set")
    }

    /// Whether there is a reed to show.
    fn has_reeds(&self) -> bool {
        self.assessment.good_rows().next().is_some()
    }

    fn levels_known(levels: &LevelsChart) -> impl Iterator<Item = (f64, &str)> {
        levels.reeds.iter().filter_map(|reed| Some((reed.level_db? - reed.run_db?, reed.reed.id.as_str())))
    }
}

/// Heads of a plain table, and its rows, the first cell of each naming it.
fn plain_table(caption: &str, heads: &[&str], rows: &[Vec<String>]) -> Markup {
    html! {
        div.table {
            table {
                caption { (caption) }
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody {
                    @for cells in rows {
                        tr {
                            @for (k, cell) in cells.iter().enumerate() {
                                @if k == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}
