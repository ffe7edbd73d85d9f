//! How softly each reed of a set starts: the blow that was measured, beside what is computed and the player's soft.

use super::Picture;
use super::marks::{Area, Marks, Point, at, pen};
use super::near::{NearLabel, Placer};
use super::notes::{self, NoteAxis};
use super::page::{KeyItem, Page, WIDTH, height_of, named_line};
use super::reed::{ReedLabel, absent, by_pitch, kinds, mark};
use super::scale::Scale;
use super::{count_of_reeds, palette, plottable, with_left_out};

const PLOT_HEIGHT: f64 = 330.0;
/// Room between the key and the plot.
const EDGE: f64 = 8.0;
const AXIS_TITLE: &str = "softest blow (Pa)";
/// The axis when nothing sets it (Pa).
const USUAL_PA: (f64, f64) = (50.0, 1000.0);
/// Half the width of a mark of what is computed.
const TICK: f64 = 5.0;

/// A reed and how softly it starts.
#[derive(Debug, Clone, PartialEq)]
pub struct SoftestReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// The least pressure at which it was found to start (Pa).
    pub measured_pa: Option<f64>,
    /// The softest pressure at which it speaks in time by all else that is known (Pa).
    pub computed_pa: Option<f64>,
    /// The player's soft pressure at its note (Pa).
    pub soft_pa: f64,
}

/// The softest blow over the notes of a set. Reeds that need more than the player's soft are named.
///
/// ```
/// use freereed::chart::{Breath, ReedLabel, Slide, SoftestChart, SoftestReed};
/// let reed = ReedLabel {
///     id: "5-blow-in".into(),
///     hole: 5,
///     note: "C#5".into(),
///     midi_note: 73,
///     breath: Breath::Blow,
///     slide: Slide::In,
/// };
/// let reed = SoftestReed { reed, measured_pa: Some(310.0), computed_pa: Some(180.0), soft_pa: 250.0 };
/// let chart = SoftestChart { set_name: "a set".into(), reeds: vec![reed], small_print: String::new() };
/// assert!(chart.picture().to_svg().contains("5-blow-in 310 Pa"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct SoftestChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<SoftestReed>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl SoftestChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        Drawing { chart: self, reeds: by_pitch(&self.reeds, |reed| &reed.reed) }.picture()
    }
}

impl SoftestReed {
    fn measured(&self) -> Option<f64> {
        self.measured_pa.and_then(plottable)
    }

    fn computed(&self) -> Option<f64> {
        self.computed_pa.and_then(plottable)
    }

    /// As measured; where it was not, as computed.
    fn known(&self) -> Option<f64> {
        self.measured().or(self.computed())
    }

    /// Whether the player's soft blow does not start it.
    fn is_beyond(&self) -> bool {
        self.known().is_some_and(|pressure_pa| pressure_pa > self.soft_pa)
    }

    fn in_words(&self) -> String {
        let id = &self.reed.id;
        match (self.measured(), self.computed()) {
            (Some(measured), Some(computed)) => format!("{id} {measured:.0} Pa, {computed:.0} Pa computed"),
            (Some(measured), None) => format!("{id} {measured:.0} Pa"),
            (None, Some(computed)) => format!("{id} {computed:.0} Pa computed"),
            (None, None) => format!("{id} speaks in time at no pressure"),
        }
    }
}

struct Drawing<'a> {
    chart: &'a SoftestChart,
    reeds: Vec<&'a SoftestReed>,
}

impl Drawing<'_> {
    fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        page.take(EDGE);
        let plot = page.take(PLOT_HEIGHT);
        let all = self.reeds.iter().flat_map(|reed| [reed.measured(), reed.computed(), plottable(reed.soft_pa)]);
        let scale = Scale::log_over(all.flatten(), USUAL_PA);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        axis.stripes(&mut page.marks, plot);
        page.upright_axis(plot, scale, AXIS_TITLE);
        let height = |pressure_pa: f64| height_of(plot, scale, pressure_pa);
        let soft = axis.across(|index| plottable(self.reeds[index].soft_pa).map(height));
        let dashed = pen(palette::INK, 1.1).dashed("2 3");
        let name_of_soft = named_line(&mut page.marks, plot, &soft, dashed, ("player's soft", palette::INK));
        let heights: Vec<[Option<f64>; 2]> =
            self.reeds.iter().map(|reed| [reed.measured(), reed.computed()].map(|known| known.map(height))).collect();
        for (index, (reed, heights)) in self.reeds.iter().zip(&heights).enumerate() {
            let words = format!("{}: {}", reed.reed.printed_note(), reed.in_words());
            let foot = at(axis.x(index), plot.bottom - 7.0);
            page.marks.group_of("reed", &reed.reed.id, &words, |marks| one(marks, &reed.reed, foot, *heights));
        }
        let taken = name_of_soft.into_iter().chain(soft.iter().flat_map(|line| along(line))).collect();
        let left_out = self.names(&mut page.marks, &axis, plot, taken, &heights);
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn headline(&self) -> (String, String) {
        let name = &self.chart.set_name;
        let measured = self.reeds.iter().filter(|reed| reed.measured().is_some()).count();
        let good = self.reeds.iter().filter(|reed| reed.known().is_some() && !reed.is_beyond()).count();
        let of_all = count_of_reeds(self.reeds.len());
        let title = if self.reeds.is_empty() {
            "No reeds to show".to_owned()
        } else {
            format!("The player's soft blow starts {good} of {of_all}")
        };
        let how = match measured {
            0 => "computed, none was measured".to_owned(),
            _ => format!("measured on {measured}, computed on the others"),
        };
        (title, format!("{name} · {how}"))
    }

    fn description(&self) -> String {
        let out: Vec<String> = self.reeds.iter().filter(|reed| reed.is_beyond()).map(|reed| reed.in_words()).collect();
        let listed = if out.is_empty() { "none".to_owned() } else { out.join("; ") };
        format!(
            "The softest blow of each of {}, in order of pitch, beside the player's soft; upright axis: {AXIS_TITLE}. Beyond \
             it: {listed}.",
            count_of_reeds(self.reeds.len())
        )
    }

    fn key(&self, page: &mut Page) {
        let kinds = kinds();
        let is_there = |of: (_, _)| {
            self.reeds.iter().any(|reed| reed.measured().is_some() && (reed.reed.breath, reed.reed.slide) == of)
        };
        let mut items: Vec<KeyItem<'_>> = kinds
            .iter()
            .filter(|kind| is_there(kind.of))
            .map(|kind| KeyItem { sign: &kind.sign, meaning: format!("{}, measured", kind.meaning) })
            .collect();
        items.push(KeyItem { sign: &computed, meaning: "computed: softest in time".to_owned() });
        if self.reeds.iter().any(|reed| reed.known().is_none()) {
            items.push(KeyItem { sign: &absent, meaning: "speaks in time at no pressure".to_owned() });
        }
        page.key(&items);
    }

    /// Names what the player's soft blow does not start; returns how many found no room.
    fn names(
        &self,
        marks: &mut Marks,
        axis: &NoteAxis<'_>,
        plot: Area,
        mut taken: Vec<Area>,
        heights: &[[Option<f64>; 2]],
    ) -> usize {
        let mut labels = Vec::new();
        for (index, (reed, both)) in self.reeds.iter().zip(heights).enumerate() {
            let x = axis.x(index);
            taken.extend(both.iter().flatten().map(|y| Area::around(at(x, *y), 6.5)));
            if let Some(y) = both[0].or(both[1]).filter(|_| reed.is_beyond()) {
                let whole = format!("{} {:.0} Pa", reed.reed.id, reed.known().unwrap_or_default());
                labels.push(NearLabel { point: at(x, y), whole, least: reed.reed.id.clone() });
            }
        }
        let bounds = Area { top: plot.top + 2.0, right: WIDTH - 8.0, bottom: plot.bottom - 2.0, ..plot };
        Placer::new(bounds, taken).draw(marks, &labels)
    }
}

/// A reed: what was measured, what is computed, and how far they lie apart.
fn one(marks: &mut Marks, reed: &ReedLabel, foot: Point, heights: [Option<f64>; 2]) {
    let x = foot.x;
    if let [Some(measured), Some(calculated)] = heights {
        marks.line(at(x, measured), at(x, calculated), pen(palette::ABSENT, 1.2));
    }
    if let Some(y) = heights[1] {
        computed(marks, at(x, y));
    }
    match heights {
        [Some(y), _] => mark(marks, at(x, y), reed.breath, reed.slide),
        [None, None] => absent(marks, foot),
        _ => {}
    }
}

fn computed(marks: &mut Marks, place: Point) {
    marks.line(at(place.x - TICK, place.y), at(place.x + TICK, place.y), pen(palette::INK, 2.0));
}

/// Room that a line takes.
fn along(line: &[Point]) -> impl Iterator<Item = Area> + '_ {
    line.windows(2).map(|pair| Area {
        left: pair[0].x,
        top: pair[0].y.min(pair[1].y) - 3.0,
        right: pair[1].x,
        bottom: pair[0].y.max(pair[1].y) + 3.0,
    })
}
