//! The card of the bench: the plates as they lie, one cell a reed, with what is next and room for what is measured then.

use maud::{Markup, html};

use super::in_short::Standing;
use super::in_words::in_words;
use super::page::{Place, Plates, document, keep_units};
use super::work::next_words;
use crate::instrument::work::{ReedWork, WorkList};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::Job;

const STYLE: &str = include_str!("style.css");
/// So many holes are legible side by side on a sheet of paper.
const MOST_HOLES: usize = 12;
/// What is measured after work, with its unit.
const READINGS: [(&str, &str); 3] = [("gap", "mm"), ("pluck", "Hz"), ("soft", "Pa")];
/// What the work took, which stands in the list alone.
const TIME: (&str, &str) = ("time", "min");

/// The card as one HTML page that needs nothing else, to print on A4 or Letter, lying.
pub fn to_html(job: &Job, list: &WorkList) -> String {
    let name = job.instrument.name.as_deref().unwrap_or("This set");
    let plates = Plates::of(job);
    let body = html! {
        @for part in plates.parts(MOST_HOLES) {
            section.page {
                (head(name, list))
                div.scroll { (plates.table(&part, |place| cell(list, place))) }
            }
        }
        section.page {
            h1 { (name) ": in this order" }
            (in_order(list))
            (small_print())
        }
    };
    keep_units(&document(&format!("Bench card: {name}"), &[STYLE], &body))
}

fn head(name: &str, list: &WorkList) -> Markup {
    html! {
        h1 { (name) ": bench card" }
        p.small {
            (list.work().count()) " reeds to work on, " (tenths(list.minutes_all())) " min. Suit the player now: " (list.suit_now()) " of "
            (list.reeds.len()) "; after the work, by the model: " (list.suit_then())
            ". Grey: to work on; the number is the order, +1: one more step after it, told in the list. Measured at the bench on: ____________"
        }
    }
}

/// To a tenth, without a zero after the point.
fn tenths(minutes: f64) -> f64 {
    (10.0 * minutes).round() / 10.0
}

fn cell(list: &WorkList, place: Place) -> Markup {
    let id = place.id();
    match list.reeds.iter().enumerate().find(|(_, work)| work.now.reed.id == id) {
        Some((index, work)) => reed_cell(index + 1, work, &id),
        None => html! { td { div.cell { div.name { (id) } div.what { "not assessed yet" } (boxes()) } } },
    }
}

/// A reed with its number in the order of work.
fn reed_cell(number: usize, work: &ReedWork, id: &str) -> Markup {
    let next = work.next();
    let more = work.route().skip(1).count();
    html! {
        td.work[next.is_some()] {
            div.cell {
                div.name { (id) }
                div.note {
                    (work.now.reed.note.to_string())
                    @if next.is_some() { span.number { (number) } }
                }
                div.what {
                    @match next {
                        Some(next) => (next.plan.short()),
                        None if Standing::of(&work.now) == Standing::Suits => "leave",
                        None => "doubtful, hear it",
                    }
                    @if more > 0 { span.more { ", +" (more) } }
                }
                (boxes())
            }
        }
    }
}

fn boxes() -> Markup {
    html! { div.boxes { @for (name, unit) in READINGS { div { b { (name) } b { (unit) } } } } }
}

fn in_order(list: &WorkList) -> Markup {
    let readings = || READINGS.into_iter().chain([TIME]);
    html! {
        table.list {
            thead {
                tr {
                    th.n scope="col" {} th.id scope="col" { "reed" } th.t scope="col" { "min" } th scope="col" { "what to do" }
                    @for (name, unit) in readings() { th.box scope="col" { (name) ", " (unit) } }
                }
            }
            tbody {
                @for (index, (work, next)) in list.work().enumerate() {
                    tr {
                        td.n { (index + 1) }
                        th.id scope="row" { b { (work.now.reed.note.to_string()) } " " span { (work.now.reed.id) } }
                        td.t { (tenths(next.minutes)) }
                        td.do {
                            @for (k, part) in next_words(work, next).iter().enumerate() {
                                @if k == 0 { b { (in_words(part)) } } @else { "; " (in_words(part)) }
                            }
                        }
                        @for (name, unit) in readings() { td.box { span { (name) ", " (unit) } } }
                    }
                }
            }
        }
    }
}

fn small_print() -> Markup {
    html! {
        p.small {
            "Computed by freereed " (env!("CARGO_PKG_VERSION")) ", model " (MODEL_VERSION) ". gap: tip gap. pluck: plucked pitch. soft: the \
             softest blow at which it speaks. time: what the work took. Lengths count from the clamp. Write what was measured into a \
             round of the job and plan again."
        }
        p.small {
            "Care: filings and dust of brass and beryllium copper are harmful, edges are sharp, small parts do not belong in the \
             mouth. Local rules and qualified people come first."
        }
    }
}
