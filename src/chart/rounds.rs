//! What was expected of each reed and what was measured, round by round.

use super::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use super::near::{NearLabel, Placer};
use super::page::{KeyItem, LEFT, Page, RIGHT, SeriesName, TICK_SIZE, height_of, series_names};
use super::reed::{arrowhead, diamond};
use super::scale::Scale;
use super::{Picture, palette, text, verb, with_left_out};
use crate::instrument::rounds::{Basis, Outcome, Quantity, Reach, ReedRound};

const PLOT_HEIGHT: f64 = 340.0;
/// Room between the key and the plot.
const EDGE: f64 = 8.0;
/// Room below the plot for the names of the rounds.
const BELOW: f64 = 46.0;
const AXIS_TITLE: &str = "measured above expected, in times of its +-";
/// The axis reaches at least so far both ways, and ends there at the latest: what lies beyond is an arrowhead.
const REACH: f64 = 3.0;
const AXIS_END: f64 = 8.0;
/// Half the size of a mark.
const HALF: f64 = 4.6;
/// Bands of once and twice what +- gives or takes: half-width, shade, and how many lie inside.
const BANDS: [(f64, &str, &str); 2] =
    [(2.0, palette::STRIPE, "19 in 20 inside"), (1.0, palette::WANTED, "2 in 3 inside")];
/// What is compared, in the order of the key.
const ALL: [(Quantity, &str); 4] = [
    (Quantity::Pluck, "plucked pitch"),
    (Quantity::TipGap, "tip gap"),
    (Quantity::RingDown, "ring-down"),
    (Quantity::SoftestBlow, "softest blow"),
];

/// How far each measurement of each round lies from what was expected of it, in times of what the tolerances and what was
/// known before give or take. What lies twice as far, and each aim that was missed, is named.
#[derive(Debug, Clone)]
pub struct RoundsChart<'a> {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The rounds, the oldest first.
    pub rounds: &'a [ReedRound],
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

/// A measurement of which something was expected.
#[derive(Clone, Copy)]
struct Shown<'a> {
    of: &'a ReedRound,
    outcome: &'a Outcome,
    /// In times of its doubt.
    off: f64,
}

impl Shown<'_> {
    fn is_aim(&self) -> bool {
        self.outcome.basis == Basis::Aim
    }

    /// Whether it came out as an aim or an expectation has it.
    fn is_good(&self) -> bool {
        !self.outcome.is_surprise() && self.outcome.reach().is_none_or(|reach| reach == Reach::AsAimed)
    }

    /// Whether it lies beyond the axis: 1 above it, -1 below.
    fn beyond(&self) -> Option<f64> {
        (self.off.abs() > AXIS_END).then(|| self.off.signum())
    }

    /// "4-blow-in softest blow +25 %".
    fn in_words(&self) -> String {
        let [name, _, _, _, off, _] = self.outcome.cells();
        format!("{} {name} {}", self.of.id, off.replace('-', "−"))
    }

    /// All of it.
    fn at_length(&self) -> String {
        let [name, _, measured, expected, off, verdict] = self.outcome.cells();
        let Self { of: ReedRound { round, id, .. }, .. } = self;
        format!("{round}: {id}, {name} {measured}, expected {expected}: {off}, {verdict}")
    }
}

impl RoundsChart<'_> {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let shown: Vec<Shown<'_>> = self.shown().collect();
        let (title, subtitle) = self.headline(&shown);
        let mut page = Page::open(&title, &subtitle);
        key(&mut page, &shown);
        page.take(EDGE);
        let plot = page.take(PLOT_HEIGHT);
        let furthest = shown.iter().map(|shown| shown.off.abs()).fold(REACH, f64::max);
        let scale = Scale::around_zero((1.08 * furthest).min(AXIS_END));
        let height = |off: f64| height_of(plot, scale, off);
        for (count, shade, _) in BANDS {
            page.marks.fill(Area { top: height(count), bottom: height(-count), ..plot }, shade);
        }
        page.upright_axis(plot, scale, AXIS_TITLE);
        let slot = (RIGHT - LEFT) / shown.len().max(1) as f64;
        let place = |k: usize, shown: &Shown<'_>| at(LEFT + (k as f64 + 0.5) * slot, height(shown.off));
        let places: Vec<Point> = shown.iter().enumerate().map(|(k, shown)| place(k, shown)).collect();
        let marks = &mut page.marks;
        let ends = days(marks, plot, slot, &shown);
        for (shown, &place) in shown.iter().zip(&places) {
            let draw = |marks: &mut Marks| match shown.beyond() {
                Some(way) => arrowhead(marks, place, way * HALF, palette::INK),
                None => sign(marks, place, shown.outcome.quantity, !shown.is_aim()),
            };
            marks.group_of("reed", &shown.of.id, &shown.at_length(), draw);
        }
        let end = |off: f64| at(plot.right - 6.0, height(off));
        let name =
            |off: f64, name: &str| SeriesName { name: name.to_owned(), colour: palette::SOFT_INK, end: end(off) };
        let bands = BANDS.iter().map(|(count, _, named)| name(*count, named));
        series_names(marks, plot, bands.chain([name(0.0, "as expected")]).collect());
        let left_out = names(marks, plot, &ends, &shown, &places);
        if shown.is_empty() {
            page.empty(plot, "Nothing was expected of what was measured.");
        }
        page.take(BELOW);
        page.close(&with_left_out(left_out, &self.small_print), &description(&shown))
    }

    /// In the order of rounds and rows.
    fn shown(&self) -> impl Iterator<Item = Shown<'_>> {
        let all = self.rounds.iter().flat_map(|of| of.outcomes.iter().map(move |outcome| (of, outcome)));
        all.filter_map(|(of, outcome)| Some(Shown { of, outcome, off: outcome.off_doubts()? }))
    }

    fn headline(&self, shown: &[Shown<'_>]) -> (String, String) {
        let count = |is_aim: bool| {
            let of = || shown.iter().filter(move |shown| shown.is_aim() == is_aim);
            (of().filter(|shown| shown.is_good()).count(), of().count())
        };
        let (told, aimed) = (count(false), count(true));
        let title = match (told, aimed) {
            ((_, 0), (_, 0)) => "Nothing to compare yet".to_owned(),
            ((_, 0), (good, all)) => format!("{good} of {all} aims of the work {} reached", verb(good, "was", "were")),
            ((good, all), _) => format!("{good} of {all} measurements came out as expected"),
        };
        let aims = match (told, aimed) {
            ((_, 0), _) | (_, (_, 0)) => String::new(),
            (_, (good, all)) => format!(" · {good} of {all} aims of the work reached, as near as they can be read"),
        };
        (title, format!("{} · round by round{aims}", self.set_name))
    }
}

/// Names what is not as expected, and aims that were missed; returns how many found no room.
fn names(marks: &mut Marks, plot: Area, ends: &[f64], shown: &[Shown<'_>], places: &[Point]) -> usize {
    let signs = places.iter().map(|&place| Area::around(place, HALF + 1.0));
    let taken = signs.chain(ends.iter().map(|&x| Area { left: x - 1.0, right: x + 1.0, ..plot })).collect();
    let odd = shown.iter().zip(places).filter(|(shown, _)| !shown.is_good());
    let label = |(shown, &point): (&Shown<'_>, &Point)| NearLabel {
        point,
        whole: shown.in_words(),
        least: shown.of.id.clone(),
    };
    let (left, right) = (plot.left + 2.0, plot.right - 2.0);
    let room = Area { left, right, top: plot.top + 2.0, bottom: plot.bottom - 2.0 };
    Placer::new(room, taken).draw(marks, &odd.map(label).collect::<Vec<_>>())
}

/// The rounds side by side: a line between two, the day of each below where it has room; where the lines are.
fn days(marks: &mut Marks, plot: Area, slot: f64, shown: &[Shown<'_>]) -> Vec<f64> {
    marks.line(at(plot.left, plot.bottom), at(plot.right, plot.bottom), pen(palette::INK, 1.0));
    let (mut first, mut ends) = (0, Vec::new());
    for round in shown.chunk_by(|a, b| a.of.round == b.of.round) {
        let [left, right] = [first, first + round.len()].map(|k| LEFT + k as f64 * slot);
        if first > 0 {
            marks.line(at(left, plot.top), at(left, plot.bottom + 6.0), pen(palette::ABSENT, 1.0));
            ends.push(left);
        }
        let day = &round[0].of.round;
        if text::width(day, TICK_SIZE) < right - left {
            let style = plain(TICK_SIZE).anchored(Anchor::Middle).coloured(palette::SOFT_INK);
            marks.text(at(0.5 * (left + right), plot.bottom + 18.0), day, style);
        }
        first += round.len();
    }
    let title = "round of measuring, its reeds in the order of its sheet";
    marks.text(at(0.5 * (LEFT + RIGHT), plot.bottom + 38.0), title, plain(13.0).anchored(Anchor::Middle));
    ends
}

fn key(page: &mut Page, shown: &[Shown<'_>]) {
    let drawn = |quantity: Quantity| move |marks: &mut Marks, point: Point| sign(marks, point, quantity, true);
    let signs = ALL.map(|(quantity, name)| (quantity, name, drawn(quantity)));
    let is_there = |of: Quantity| shown.iter().any(|shown| shown.outcome.quantity == of);
    let there = signs.iter().filter(|(quantity, ..)| is_there(*quantity));
    let mut items: Vec<KeyItem<'_>> =
        there.map(|(_, name, sign)| KeyItem { sign, meaning: (*name).to_owned() }).collect();
    let aim = |marks: &mut Marks, point: Point| sign(marks, point, Quantity::TipGap, false);
    if shown.iter().any(Shown::is_aim) {
        items.push(KeyItem { sign: &aim, meaning: "hollow: the work aimed at it".to_owned() });
    }
    let beyond = |marks: &mut Marks, point: Point| arrowhead(marks, at(point.x, point.y - HALF), HALF, palette::INK);
    if shown.iter().any(|shown| shown.beyond().is_some()) {
        items.push(KeyItem { sign: &beyond, meaning: "beyond the axis".to_owned() });
    }
    page.key(&items);
}

/// The mark of a quantity, filled or hollow.
fn sign(marks: &mut Marks, centre: Point, quantity: Quantity, is_filled: bool) {
    let colour = match quantity {
        Quantity::Pluck => palette::BLUE,
        Quantity::TipGap => palette::VERMILION,
        Quantity::RingDown => palette::SOFT_INK,
        Quantity::SoftestBlow => palette::SKY_TEXT,
    };
    let (fill, edge) = (if is_filled { colour } else { palette::PAPER }, pen(colour, 1.6));
    let Area { left, top, right, bottom } = Area::around(centre, HALF);
    match quantity {
        Quantity::Pluck => marks.circle(centre, HALF, fill, edge),
        Quantity::TipGap => diamond(marks, centre, 1.2 * HALF, fill, edge),
        Quantity::RingDown => marks.polygon(&[at(centre.x, top), at(right, bottom), at(left, bottom)], fill, edge),
        Quantity::SoftestBlow => {
            marks.polygon(&[at(left, top), at(right, top), at(right, bottom), at(left, bottom)], fill, edge);
        }
    }
}

fn description(shown: &[Shown<'_>]) -> String {
    let odd: Vec<String> = shown.iter().filter(|shown| !shown.is_good()).map(Shown::at_length).collect();
    let listed = if odd.is_empty() { "none".to_owned() } else { odd.join("; ") };
    format!(
        "A mark for each of {} measurements, round by round; upright axis: {AXIS_TITLE}. Off by more than twice that, or \
         beside the aim: {listed}.",
        shown.len()
    )
}
