//! The card of the bench: the plates as they lie, one cell a reed, with what is next and room for what is measured then.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::page::document;
use super::work::next_words;
use crate::instrument::work::{ReedWork, WorkList};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Breath, Job, Slide};

const STYLE: &str = include_str!("style.css");
/// So many holes are legible side by side on a sheet of paper.
const MOST_HOLES: usize = 12;
/// What is measured after work, with its unit.
const READINGS: [(&str, &str); 4] = [("gap", "mm"), ("pluck", "Hz"), ("soft", "Pa"), ("time", "min")];

/// Rows from the top: the blow plate above, the draw plate below.
const PLATES: [(Breath, Slide); 4] =
    [(Breath::Blow, Slide::Out), (Breath::Blow, Slide::In), (Breath::Draw, Slide::Out), (Breath::Draw, Slide::In)];

/// The card as one HTML page that needs nothing else, to print on A4 or Letter, lying.
pub fn to_html(job: &Job, list: &WorkList) -> String {
    let name = job.instrument.name.as_deref().unwrap_or("This set");
    let places: Vec<Place<'_>> =
        list.reeds.iter().enumerate().map(|(index, work)| Place { number: index + 1, work }).collect();
    let mut holes: BTreeSet<u32> = places.iter().map(|place| place.work.now.reed.hole).collect();
    holes.extend(waiting(job).filter_map(|id| id.split('-').next()?.parse::<u32>().ok()));
    let holes: Vec<u32> = holes.into_iter().collect();
    let sheets = holes.len().div_ceil(MOST_HOLES).max(1);
    let body = html! {
        @for part in holes.chunks(holes.len().div_ceil(sheets).max(1)) {
            section.page {
                (head(name, list))
                (plates(job, &places, part))
            }
        }
        section.page {
            h1 { (name) ": in this order" }
            (in_order(list))
            (small_print())
        }
    };
    document(&format!("Bench card: {name}"), &[STYLE], &body)
}

/// A reed and its number in the order of work.
struct Place<'a> {
    number: usize,
    work: &'a ReedWork,
}

/// Reeds of the sheet that could not be assessed, by their ids.
fn waiting(job: &Job) -> impl Iterator<Item = &str> {
    job.reeds.iter().filter_map(|row| row.as_ref().err()?.id.as_deref())
}

fn head(name: &str, list: &WorkList) -> Markup {
    html! {
        h1 { (name) ": bench card" }
        p.small {
            (list.work().count()) " reeds to work on, " (tenths(list.minutes_all())) " min. Suit the player now: " (list.suit_now()) " of "
            (list.reeds.len()) "; after the work, by the model: " (list.suit_then())
            ". Grey: to work on; the number is the order. Measured at the bench on: ____________"
        }
    }
}

/// To a tenth, without a zero after the point.
fn tenths(minutes: f64) -> f64 {
    (10.0 * minutes).round() / 10.0
}

fn plates(job: &Job, places: &[Place<'_>], holes: &[u32]) -> Markup {
    let waiting: BTreeSet<&str> = waiting(job).collect();
    let has = |breath: Breath, slide: Slide| {
        let id = format!("-{}-{}", breath.name(), slide.name());
        let waits = waiting.iter().any(|waiting| waiting.ends_with(&id));
        waits || places.iter().any(|place| place.work.now.reed.breath == breath && place.work.now.reed.slide == slide)
    };
    let rows: Vec<(Breath, Slide)> = PLATES.into_iter().filter(|&(breath, slide)| has(breath, slide)).collect();
    html! {
        table.plate {
            thead { tr { th.side {} @for hole in holes { th { (hole) } } } }
            tbody {
                @for (k, &(breath, slide)) in rows.iter().enumerate() {
                    @if k > 0 && rows[k - 1].0 != breath { tr.between { td colspan=(holes.len() + 1) {} } }
                    tr {
                        th.side { span { (breath.name()) ", slide " (slide.name()) } }
                        @for &hole in holes {
                            (cell(places, &waiting, hole, breath, slide))
                        }
                    }
                }
            }
        }
    }
}

fn cell(places: &[Place<'_>], waiting: &BTreeSet<&str>, hole: u32, breath: Breath, slide: Slide) -> Markup {
    let here = places.iter().find(|place| {
        let reed = &place.work.now.reed;
        (reed.hole, reed.breath, reed.slide) == (hole, breath, slide)
    });
    let id = format!("{hole}-{}-{}", breath.name(), slide.name());
    match here {
        Some(place) => reed_cell(place, &id),
        None if waiting.contains(id.as_str()) => html! {
            td { div.cell { div.name { (id) } div.what { "not assessed yet" } (boxes()) } }
        },
        None => html! { td {} },
    }
}

fn reed_cell(place: &Place<'_>, id: &str) -> Markup {
    let next = place.work.next();
    html! {
        td.work[next.is_some()] {
            div.cell {
                div.name { (id) }
                div.note {
                    (place.work.now.reed.note.to_string())
                    @if next.is_some() { span.number { (place.number) } }
                }
                div.what { @match next { Some(next) => (next.plan.short()), None => "leave" } }
                (boxes())
            }
        }
    }
}

fn boxes() -> Markup {
    html! { div.boxes { @for (name, unit) in READINGS { div { b { (name) } b { (unit) } } } } }
}

fn in_order(list: &WorkList) -> Markup {
    html! {
        table.list {
            thead {
                tr {
                    th.n {} th.id { "reed" } th.t { "min" } th { "what to do" }
                    @for (name, unit) in READINGS { th.box { (name) ", " (unit) } }
                }
            }
            tbody {
                @for (index, (work, next)) in list.work().enumerate() {
                    tr {
                        td { (index + 1) }
                        td { b { (work.now.reed.note.to_string()) } br; (work.now.reed.id) }
                        td { (tenths(next.minutes)) }
                        td {
                            @for (k, part) in next_words(work, next).iter().enumerate() {
                                @if k == 0 { b { (part) } } @else { "; " (part) }
                            }
                        }
                        @for _ in READINGS { td {} }
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
