//! The booklet around its lessons: first page, measures, safety, answers.

use maud::{Markup, html};

use super::bench::{Bench, Blows};
use super::lesson::Lesson;
use super::words::{at_any_pressure, feel, pitch, pressure, tip_place};
use crate::physics::Reed;
use crate::physics::coefficients::MODEL_VERSION;
use crate::print::page::{STYLE, document, keep_units, safety};
use crate::sheet::Tuning;
use crate::study::changed::{side_clearance_m, tip_gap_m};
use crate::units::{PA_PER_MM_WATER, metres, significant};

const OWN_STYLE: &str = include_str!("style.css");
const TITLE: &str = "What a free reed does";

/// What the first page tells of the reed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReedFacts {
    /// What the reader knows it by.
    pub name: String,
    /// Whether it is made up.
    pub invented: bool,
    /// Name and value of each fact.
    pub facts: Vec<(String, String)>,
    /// The three blows of the booklet.
    pub blows: Blows,
    /// What notes are named by.
    pub tuning: Tuning,
}

impl ReedFacts {
    pub(super) fn of(bench: &Bench<'_>, invented: bool) -> Self {
        let reed = bench.reed();
        let mut facts: Vec<(&str, String)> = vec![
            ("Length", metres(reed.beam.length_m)),
            ("Width", range(reed.beam.width_m.range())),
            ("Thickness", range(reed.beam.thickness_m.range())),
            ("Metal", bench.checked.metal.name.clone()),
            ("Plucked pitch", pitch(bench.model.modes()[0].frequency_hz, bench.tuning)),
            ("Gap", format!("the tip rests {}", tip_place(tip_gap_m(reed)))),
            ("Slot", format!("{} clear on each side at the tip", metres(side_clearance_m(reed)))),
            ("Plate", format!("{} thick", metres(reed.slot.plate_thickness_m))),
        ];
        facts.push(("Chamber", chamber(reed)));
        Self {
            name: bench.name.to_owned(),
            invented,
            facts: facts.into_iter().map(|(name, value)| (name.to_owned(), value)).collect(),
            blows: bench.blows,
            tuning: bench.tuning.clone(),
        }
    }

    fn to_html(&self) -> Markup {
        html! {
            h2 id="reed" { "The reed of this booklet" }
            p {
                "Everything you read here was computed for one reed: " b { (self.name) } "."
                @if self.invented {
                    " It is invented: no such reed lies on any bench. Its sizes are believable, and that is all they are."
                }
            }
            dl.facts { @for (name, value) in &self.facts { div { dt { (name) } dd { (value) } } } }
        }
    }
}

fn range((least, most): (f64, f64)) -> String {
    if most - least < 5e-7 { metres(most) } else { format!("{} to {}", metres(least), metres(most)) }
}

fn chamber(reed: &Reed) -> String {
    match &reed.chamber {
        None => "none: it stands on a large windchest".to_owned(),
        Some(chamber) => format!(
            "{} mm\u{b3}, fed through a channel {} long and {} mm\u{b2} wide",
            significant(chamber.volume_m3 * 1e9, 3),
            metres(chamber.channel_length_m),
            significant(chamber.channel_area_m2 * 1e6, 3)
        ),
    }
}

/// The whole page.
pub(super) fn page(facts: &ReedFacts, lessons: &[Lesson<'_>]) -> String {
    let mut figure = 1;
    let mut chapters = Vec::new();
    for (k, lesson) in lessons.iter().enumerate() {
        chapters.push(lesson.to_html(k + 1, figure));
        figure += lesson.figures.len();
    }
    let body = html! {
        main {
            header.front {
                h1 { (TITLE) }
                p.subtitle { "A booklet for those who learn to rebuild reeds" }
                p.about { "Computed for " b { (facts.name) } @if facts.invented { " (an invented reed)" } }
                (contents(lessons))
                (safety())
            }
            section.opening {
                (facts.to_html())
                (measures(facts))
            }
            @for chapter in &chapters { (chapter) }
            section.answers {
                h2 id="answers" { "Answers" }
                @for (k, lesson) in lessons.iter().enumerate() { (lesson.answer_to_html(k + 1)) }
            }
            footer {
                p {
                    "Computed by freereed " (env!("CARGO_PKG_VERSION")) ", model " (MODEL_VERSION) ". Give it your own reed, \
                     and every number, and every sentence that leans on one, is computed anew."
                }
            }
        }
    };
    let title = format!("{TITLE}: {}", facts.name);
    keep_units(&document(&title, &[STYLE, OWN_STYLE], &body))
}

fn contents(lessons: &[Lesson<'_>]) -> Markup {
    html! {
        nav aria-label="Contents" {
            ol {
                @for (k, lesson) in lessons.iter().enumerate() {
                    li { a href={ "#lesson-" (k + 1) } { (lesson.title) } }
                }
            }
            p {
                a href="#reed" { "The reed" } " · " a href="#measures" { "Pressure, time, pitch" } " · " a href="#safety" { "Safety" }
                " · " a href="#answers" { "Answers" }
            }
        }
    }
}

fn measures(facts: &ReedFacts) -> Markup {
    html! {
        h2 id="measures" { "Pressure, time, pitch" }
        p {
            b { "Pressure" } " is how hard the breath pushes. It is told in pascal (Pa). To see it, bend a clear tube to a U, fill it \
             half with water, and blow gently into one end: the water sinks on one side and rises on the other. The difference \
             between the two levels, in millimetres, is the pressure in millimetres of water. One is "
            (significant(PA_PER_MM_WATER, 2)) " Pa. Here are three breaths that suit this reed, and a rough guide to how they feel."
        }
        dl.facts {
            @for (name, pressure_pa) in ["Soft", "Firm", "Hard"].into_iter().zip(facts.blows.all_pa()) {
                div { dt { (name) } dd { (pressure(pressure_pa)) ": " (feel(pressure_pa)) } }
            }
        }
        p {
            b { "Time" } " is told in milliseconds (ms), thousandths of a second. Under some thirty, nobody notices a wait. At a \
             hundred, a quick player does. At three hundred, everybody does."
        }
        p {
            b { "Pitch" } " is told in hertz (Hz), swings a second, and small steps of it in cents: a hundred to the semitone. Notes \
             are named for an A of " (facts.tuning.concert_pitch_hz) " Hz."
        }
        p { b { "Never" } " in a table means: not " (at_any_pressure()) ", which is more than lungs can give." }
    }
}
