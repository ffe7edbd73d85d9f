//! How even a set is in level: every reed beside the run of its neighbours.

use super::Picture;
use super::marks::{Area, Marks, at, pen};
use super::near::{NearLabel, Placer};
use super::notes::{self, NoteAxis};
use super::page::{KeyItem, Page, WIDTH, height_of, named_line};
use super::reed::{ReedLabel, absent, by_pitch, kinds, mark};
use super::scale::{Scale, signed};
use super::{LARGEST, count_of_reeds, palette, verb, with_left_out};

const PLOT_HEIGHT: f64 = 330.0;
/// Room between the key and the plot.
const EDGE: f64 = 8.0;
const AXIS_TITLE: &str = "level at normal playing (dB at 1 m)";
/// The axis when nothing sets it (dB).
const USUAL_DB: (f64, f64) = (55.0, 85.0);

/// A reed and its level.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelsReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// Its level (dB); `None` where it does not speak, or nothing is known.
    pub level_db: Option<f64>,
    /// The level that the run of its neighbours has in its place (dB); `None` where too few are known.
    pub run_db: Option<f64>,
}

/// Level over the notes of a set, beside the run of the set.
///
/// Reeds that stand off the run by more than is let pass are named.
///
/// ```
/// use freereed::chart::{Breath, LevelsChart, LevelsReed, ReedLabel, Slide};
/// let reed = ReedLabel {
///     id: "5-blow-in".into(),
///     hole: 5,
///     note: "C#5".into(),
///     midi_note: 73,
///     breath: Breath::Blow,
///     slide: Slide::In,
/// };
/// let chart = LevelsChart {
///     set_name: "a set".into(),
///     reeds: vec![LevelsReed { reed, level_db: Some(66.0), run_db: Some(70.5) }],
///     passes_db: 1.0,
///     small_print: String::new(),
/// };
/// assert!(chart.picture().to_svg().contains("5-blow-in −4.5 dB"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct LevelsChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<LevelsReed>,
    /// How far a reed may stand off the run without being named (dB).
    pub passes_db: f64,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl LevelsChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        Drawing { chart: self, reeds: by_pitch(&self.reeds, |reed| &reed.reed) }.picture()
    }
}

impl LevelsReed {
    fn level(&self) -> Option<f64> {
        known(self.level_db)
    }

    /// Above the run (dB).
    fn off(&self) -> Option<f64> {
        Some(self.level()? - known(self.run_db)?)
    }

    fn in_words(&self) -> String {
        let id = &self.reed.id;
        match (self.off(), self.level()) {
            (Some(off), _) => format!("{id} {} dB", signed(off, 1)),
            (None, Some(level)) => format!("{id} {level:.1} dB in all"),
            (None, None) => format!("{id} not known"),
        }
    }
}

fn known(db: Option<f64>) -> Option<f64> {
    db.filter(|db| db.abs() <= LARGEST)
}

struct Drawing<'a> {
    chart: &'a LevelsChart,
    reeds: Vec<&'a LevelsReed>,
}

impl Drawing<'_> {
    fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        page.take(EDGE);
        let plot = page.take(PLOT_HEIGHT);
        let all = self.reeds.iter().flat_map(|reed| [reed.level(), known(reed.run_db)]).flatten();
        let scale = Scale::linear_over(all, USUAL_DB);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        axis.stripes(&mut page.marks, plot);
        page.upright_axis(plot, scale, AXIS_TITLE);
        let height = |db: Option<f64>| known(db).map(|db| height_of(plot, scale, db));
        let run = axis.across(|index| height(self.reeds[index].run_db));
        let name_of_run =
            named_line(&mut page.marks, plot, &run, pen(palette::GRID, 5.0), ("neighbours", palette::SOFT_INK));
        let heights: Vec<[Option<f64>; 2]> =
            self.reeds.iter().map(|reed| [reed.level_db, reed.run_db].map(height)).collect();
        for (index, (reed, [level, run])) in self.reeds.iter().zip(&heights).enumerate() {
            let x = axis.x(index);
            let words = format!("{}: {}", reed.reed.printed_note(), reed.in_words());
            page.marks.group_of("reed", &reed.reed.id, &words, |marks| match level {
                None => absent(marks, at(x, plot.bottom - 7.0)),
                Some(y) => {
                    if let Some(run) = run {
                        marks.line(at(x, *run), at(x, *y), pen(palette::ABSENT, 1.2));
                    }
                    mark(marks, at(x, *y), reed.reed.breath, reed.reed.slide);
                }
            });
        }
        let left_out = self.names(&mut page.marks, &axis, plot, name_of_run, &heights);
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn headline(&self) -> (String, String) {
        let name = &self.chart.set_name;
        let off: Vec<(f64, &LevelsReed)> = self.reeds.iter().filter_map(|reed| Some((reed.off()?, *reed))).collect();
        let Some((most, furthest)) = off.iter().max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())) else {
            let nothing = if self.reeds.is_empty() { "No reeds to show" } else { "Too few levels are known for a run" };
            return (nothing.to_owned(), name.clone());
        };
        let inside = off.iter().filter(|(off, _)| off.abs() <= self.chart.passes_db).count();
        let title = format!(
            "{inside} of {} {} within {:.1} dB of the run of the neighbours",
            count_of_reeds(self.reeds.len()),
            verb(inside, "is", "are"),
            self.chart.passes_db
        );
        let way = if *most > 0.0 { "louder" } else { "softer" };
        let far = format!(
            "furthest off: {} ({}), {:.1} dB {way}",
            furthest.reed.id,
            furthest.reed.printed_note(),
            most.abs()
        );
        (title, format!("{name} · {far}"))
    }

    fn description(&self) -> String {
        let out: Vec<String> = self.standing_off().map(|(_, reed)| reed.in_words()).collect();
        let listed = if out.is_empty() { "none".to_owned() } else { out.join("; ") };
        format!(
            "A mark for each of {}, in order of pitch, beside the run of its neighbours; upright axis: {AXIS_TITLE}. Off the \
             run: {listed}.",
            count_of_reeds(self.reeds.len())
        )
    }

    /// Those to be named, each with its place.
    fn standing_off(&self) -> impl Iterator<Item = (usize, &LevelsReed)> {
        let passes = self.chart.passes_db;
        let all = self.reeds.iter().copied().enumerate();
        all.filter(move |(_, reed)| reed.off().is_some_and(|off| off.abs() > passes))
    }

    fn key(&self, page: &mut Page) {
        let kinds = kinds();
        let mut items: Vec<KeyItem<'_>> = kinds
            .iter()
            .filter(|kind| self.reeds.iter().any(|reed| (reed.reed.breath, reed.reed.slide) == kind.of))
            .map(|kind| KeyItem { sign: &kind.sign, meaning: kind.meaning.to_owned() })
            .collect();
        if self.reeds.iter().any(|reed| reed.level().is_none()) {
            items.push(KeyItem { sign: &absent, meaning: "no level is known".to_owned() });
        }
        page.key(&items);
    }

    /// Names what stands off, the furthest first; returns how many found no room.
    fn names(
        &self,
        marks: &mut Marks,
        axis: &NoteAxis<'_>,
        plot: Area,
        name_of_run: Option<Area>,
        heights: &[[Option<f64>; 2]],
    ) -> usize {
        let mut taken: Vec<Area> = name_of_run.into_iter().collect();
        for (index, [level, run]) in heights.iter().enumerate() {
            let x = axis.x(index);
            taken.extend(level.map(|y| Area::around(at(x, y), 6.5)));
            taken.extend(run.map(|y| Area {
                left: x - 0.5 * axis.slot(),
                top: y - 3.0,
                right: x + 0.5 * axis.slot(),
                bottom: y + 3.0,
            }));
            if let (Some(level), Some(run)) = (level, run) {
                taken.push(Area { left: x - 1.5, top: level.min(*run), right: x + 1.5, bottom: level.max(*run) });
            }
        }
        let mut out: Vec<(f64, NearLabel)> = self
            .standing_off()
            .filter_map(|(index, reed)| {
                let point = at(axis.x(index), heights[index][0]?);
                Some((reed.off()?.abs(), NearLabel { point, whole: reed.in_words(), least: reed.reed.id.clone() }))
            })
            .collect();
        out.sort_by(|a, b| b.0.total_cmp(&a.0));
        let labels: Vec<NearLabel> = out.into_iter().map(|(_, label)| label).collect();
        let bounds = Area { top: plot.top + 2.0, right: WIDTH - 8.0, bottom: plot.bottom - 2.0, ..plot };
        Placer::new(bounds, taken).draw(marks, &labels)
    }
}
