//! Lesson: how filing moves the pitch.

use maud::{Markup, html};

use super::Figure;
use super::bench::Bench;
use super::lesson::{Lesson, table};
use super::words::{self, list, pitch, signed_cents};
use crate::physics::Beam;
use crate::print::charts::filing_chart;
use crate::sheet::{Tuning, notes};
use crate::units::significant;

/// One stretch of the tongue, and what a cut there does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins (m from the clamp).
    pub from_m: f64,
    /// Where it ends (m from the clamp).
    pub to_m: f64,
    /// How far the cut moves the pitch (cents).
    pub cents: f64,
}

impl Stretch {
    fn place(&self) -> String {
        words::stretch(self.from_m, self.to_m)
    }
}

/// The tongue thinned a little, stretch by stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct FilingLesson {
    /// Plucked pitch as it is (Hz).
    pub pluck_hz: f64,
    /// Depth of every cut (m).
    pub cut_m: f64,
    /// The stretches, from the clamp to the tip; those too thin for the cut are left out.
    pub stretches: Vec<Stretch>,
    /// Places where filing does not move the pitch (m from the clamp).
    pub neutral_m: Vec<f64>,
    /// Mass on the tip (kg).
    pub tip_mass_kg: f64,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// Number of stretches.
const STRETCHES: usize = 8;
/// Depth of a cut: a few strokes of a fine file, or less on a thin tongue (m; share of the thinnest place).
const CUT_M: f64 = 5e-6;
const CUT_SHARE: f64 = 0.03;
/// Moves smaller than this are none (cents).
const NO_MOVE_CENTS: f64 = 0.05;
/// How flat or sharp the reeds of the question are (cents).
const ASKED_CENTS: f64 = 10.0;

impl FilingLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        let beam = &bench.reed().beam;
        let pluck_hz = bench.model.modes()[0].frequency_hz;
        let edges: Vec<f64> = (0..=STRETCHES).map(|k| beam.length_m * k as f64 / STRETCHES as f64).collect();
        // A wedge may run out to nothing at the tip; every stretch has a thickness in its middle.
        let thinnest =
            edges.windows(2).map(|edge| beam.thickness_m.at(0.5 * (edge[0] + edge[1]))).fold(f64::MAX, f64::min);
        let cut_m = CUT_M.min(CUT_SHARE * thinnest);
        let stretch = |edge: &[f64]| stretch(beam, pluck_hz, edge[0], edge[1], cut_m);
        Self {
            pluck_hz,
            cut_m,
            stretches: edges.windows(2).filter_map(stretch).collect(),
            neutral_m: beam.neutral_places_m(&bench.model.modes()[0]),
            tip_mass_kg: beam.tip_mass_kg,
            figures: vec![along_the_tongue(bench)],
        }
    }

    pub(super) fn lesson(&self, tuning: &Tuning) -> Lesson<'_> {
        Lesson {
            title: "How filing moves the pitch",
            text: self.text(tuning),
            figures: &self.figures,
            question: format!(
                "This reed is {ASKED_CENTS:.0} cents flat. Where would you take metal off, and about how deep? And where, if it \
                 were {ASKED_CENTS:.0} cents sharp?"
            ),
            answer: self.answer(),
        }
    }

    fn text(&self, tuning: &Tuning) -> Markup {
        let rows: Vec<_> = self.stretches.iter().map(row).collect();
        html! {
            p {
                "Plucked, this tongue swings " b { (significant(self.pluck_hz, 4)) " times a second" } " ("
                (pitch(self.pluck_hz, tuning)) "). Two things set that number: how stiff the tongue is, and how heavy. Stiff makes it \
                 quick, heavy makes it slow."
            }
            p {
                "A file takes away both at once. But not everywhere alike. Near the clamp the tongue bends and hardly moves: \
                 there it is stiffness that you lose. Near the tip it moves and hardly bends: there it is weight."
            }
            (table(
                &format!("What a cut of {} over one stretch does to the pitch", depth(self.cut_m)),
                &["From the clamp", "Pitch moves by", "Which way"],
                &rows,
            ))
            p.small {
                "Tuners count in cents: a hundred to the semitone. A careful ear begins to hear a change of some five. The cut \
                 is the same everywhere, so you can compare the places."
            }
            p { (self.rule()) }
            p { (self.turning_sentence()) }
            p {
                "The work itself: first read the caution on the first page. Slide a thin shim under the tongue, file along it, never across, in few strokes. A scratch \
                 across is where a tongue breaks one day. Let it cool before you listen: a warm tongue is flat. And you can \
                 take metal off, but not put it back."
            }
        }
    }

    fn strongest(&self, sign: f64) -> Option<&Stretch> {
        let moves = self.stretches.iter().filter(|stretch| sign * stretch.cents > NO_MOVE_CENTS);
        moves.max_by(|a, b| (sign * a.cents).total_cmp(&(sign * b.cents)))
    }

    /// The rule of this tongue, from its table.
    fn rule(&self) -> String {
        let place = |stretch: &Stretch| format!("{} from the clamp", stretch.place());
        match (self.strongest(1.0), self.strongest(-1.0)) {
            (Some(up), Some(down)) if up.from_m > down.from_m => format!(
                "So the rule holds: take metal off near the tip to make it sharper, near the clamp to make it flatter. The most \
                 comes of it at {} ({}) and at {} ({}).",
                place(up),
                signed_cents(up.cents),
                place(down),
                signed_cents(down.cents)
            ),
            (Some(up), Some(down)) => format!(
                "On this tongue the usual rule is turned round: metal taken off at {} makes it sharper ({}), at {} flatter ({}). \
                 Trust the table, not the habit.",
                place(up),
                signed_cents(up.cents),
                place(down),
                signed_cents(down.cents)
            ),
            (None, Some(down)) => {
                let why = if self.tip_mass_kg > 0.0 {
                    " Its weight sits on the tip, not in the metal you can file."
                } else {
                    ""
                };
                format!(
                    "On this tongue every cut makes it flatter, most of all at {} ({}).{why} To sharpen it, file the weight on its \
                     tip.",
                    place(down),
                    signed_cents(down.cents)
                )
            }
            (Some(up), None) => {
                format!(
                    "On this tongue every cut makes it sharper, most of all at {} ({}).",
                    place(up),
                    signed_cents(up.cents)
                )
            }
            (None, None) => {
                "On this tongue so small a cut moves the pitch nowhere by as much as can be heard.".to_owned()
            }
        }
    }

    fn turning_sentence(&self) -> String {
        let places: Vec<String> = self.neutral_m.iter().map(|&place_m| words::place(place_m)).collect();
        match places.len() {
            0 => String::new(),
            1 => format!(
                "Between the two lies a place where both losses cancel: on this tongue about {} from the clamp. Metal that goes \
                 there changes how the tongue bends, but not its pitch.",
                places[0]
            ),
            _ => format!(
                "The two losses cancel at {} from the clamp: metal that goes there does not change the pitch.",
                list(&places)
            ),
        }
    }

    fn answer(&self) -> String {
        let cure = |stretch: &Stretch| {
            let depth_m = self.cut_m * ASKED_CENTS / stretch.cents.abs();
            format!("at {} from the clamp, about {} deep over that stretch", stretch.place(), depth(depth_m))
        };
        let flat = match self.strongest(1.0) {
            Some(up) => format!("Flat: take it off {}.", cure(up)),
            None => "Flat: no place on this tongue makes it sharper.".to_owned(),
        };
        let sharp = match self.strongest(-1.0) {
            Some(down) => format!("Sharp: take it off {}.", cure(down)),
            None => "Sharp: no place on this tongue makes it flatter.".to_owned(),
        };
        format!(
            "{flat} {sharp} Such a depth can hardly be measured at the bench: file a third of what you think, listen, and file \
             again. Metal gone near the clamp also makes the tongue weaker where it bends most, so leave no notch."
        )
    }
}

fn along_the_tongue(bench: &Bench<'_>) -> Figure {
    let mut chart = filing_chart(bench.name, bench.checked, &bench.model, bench.tuning);
    // The booklet has its own word on what is assumed.
    chart.small_print.clear();
    Figure {
        svg: chart.picture().to_svg(),
        caption:
            "What the file does to the pitch, all along the tongue. Above the line it makes the reed sharper, below it \
                  flatter."
                .to_owned(),
    }
}

fn stretch(beam: &Beam, pluck_hz: f64, from_m: f64, to_m: f64, cut_m: f64) -> Option<Stretch> {
    let cut = beam.filed(from_m, to_m, cut_m);
    cut.check().ok()?;
    Some(Stretch { from_m, to_m, cents: notes::cents(cut.modes(1)[0].frequency_hz, pluck_hz) })
}

fn row(stretch: &Stretch) -> (bool, Vec<String>) {
    let way = match stretch.cents {
        move_cents if move_cents > NO_MOVE_CENTS => "sharper",
        move_cents if move_cents < -NO_MOVE_CENTS => "flatter",
        _ => "stays",
    };
    (false, vec![stretch.place(), signed_cents(stretch.cents), way.to_owned()])
}

/// A depth as a thousandth of a millimetre is best said.
fn depth(depth_m: f64) -> String {
    format!("{} mm", significant(depth_m * 1e3, 1))
}
