//! The drawing of playable windows.

use super::bars::draw_bar;
use super::{Bar, Fault, PlayerPressures, Shown, WindowChart, WindowReed, key};
use crate::chart::Picture;
use crate::chart::flags::{Flag, Flags};
use crate::chart::marks::{Area, Marks, Pen, Point, at, pen};
use crate::chart::notes::{self, NoteAxis};
use crate::chart::page::{Page, SeriesName, height_of, row_name, series_names};
use crate::chart::reed::{absent, cross};
use crate::chart::scale::{Scale, short};
use crate::chart::{count_of_reeds, palette, plottable, verb, with_left_out};

const PLOT_HEIGHT: f64 = 340.0;
const SILENT_ROW: f64 = 32.0;
const AXIS_TITLE: &str = "mouth pressure (kPa, log scale)";
/// The axis when nothing sets it (kPa).
const USUAL_KPA: (f64, f64) = (0.05, 5.0);
/// How far an open bar must end below the top.
const HEAD: f64 = 16.0;

pub(super) struct Drawing<'a> {
    pub chart: &'a WindowChart,
    pub reeds: Vec<&'a WindowReed>,
    pub shown: Vec<Shown>,
}

/// Where pressures are on the page.
#[derive(Clone, Copy)]
struct Levels {
    plot: Area,
    scale: Scale,
    /// The height at which open bars end.
    open: f64,
}

impl Levels {
    fn of(&self, pressure_pa: f64) -> f64 {
        height_of(self.plot, self.scale, pressure_pa / 1000.0)
    }

    fn end(&self, pressure_pa: Option<f64>) -> f64 {
        pressure_pa.map_or(self.open, |pressure_pa| self.of(pressure_pa))
    }
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        key::set(&mut page, self);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        let faults = self.faults();
        let flags = faults.iter().map(|(index, fault)| {
            let id = &self.reeds[*index].reed.id;
            Flag { x: axis.x(*index), whole: format!("{id} {}", fault.in_words()), least: id.clone() }
        });
        let flags = Flags::arrange(&flags.collect::<Vec<_>>());
        let flag_room = page.take(flags.height());
        let row = page.take(if self.has_silent() { SILENT_ROW } else { 0.0 });
        let plot = page.take(PLOT_HEIGHT);
        let levels = self.levels(plot);
        axis.stripes(&mut page.marks, Area { top: row.top, ..plot });
        self.player_band(&mut page.marks, &axis, levels);
        page.upright_axis(plot, levels.scale, AXIS_TITLE);
        flags.draw(&mut page.marks, flag_room, |flag| match self.shown[faults[flag].0] {
            Shown::Bar(bar) if bar.is_open() => levels.open - HEAD,
            Shown::Bar(bar) => bar.ends().map(|end| levels.of(end)).fold(plot.bottom, f64::min) - 3.0,
            Shown::Silent | Shown::Nothing => (row.top + row.bottom) / 2.0 - 7.0,
        });
        if self.has_silent() {
            row_name(&mut page.marks, row, ["never", "sounds"]);
        }
        for index in 0..self.reeds.len() {
            let tooltip = self.in_words(index);
            let reed = self.reeds[index];
            page.marks.group_of("reed", &reed.reed.id, &tooltip, |marks| self.reed(marks, &axis, index, row, levels));
        }
        self.player_lines(&mut page.marks, &axis, levels);
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(flags.left_out, &self.chart.small_print), &self.description())
    }

    pub fn faults(&self) -> Vec<(usize, Fault)> {
        let faults = self.reeds.iter().zip(&self.shown).enumerate();
        faults.filter_map(|(index, (reed, shown))| Some((index, shown.fault(&reed.player)?))).collect()
    }

    fn has_silent(&self) -> bool {
        self.shown.iter().any(|shown| matches!(shown, Shown::Silent))
    }

    pub fn bars(&self) -> impl Iterator<Item = &Bar> {
        self.shown.iter().filter_map(Shown::bar)
    }

    pub fn unknown(&self) -> usize {
        self.shown.iter().filter(|shown| matches!(shown, Shown::Nothing)).count()
    }

    /// The limit of what was asked, if any bar reaches it (Pa).
    fn limit_pa(&self) -> Option<f64> {
        plottable(self.chart.pressure_limit_pa).filter(|_| self.bars().any(Bar::is_open))
    }

    fn levels(&self, plot: Area) -> Levels {
        let player = self.reeds.iter().flat_map(|reed| [reed.player.soft_pa, reed.player.hard_pa]);
        let all_pa = self.bars().flat_map(Bar::ends).chain(player).chain(self.limit_pa());
        let scale = Scale::log_over(all_pa.map(|pressure_pa| pressure_pa / 1000.0), USUAL_KPA);
        let top = plot.top + HEAD;
        let open = self.limit_pa().map_or(top, |limit_pa| height_of(plot, scale, limit_pa / 1000.0).max(top));
        Levels { plot, scale, open }
    }

    fn headline(&self) -> (String, String) {
        let known = self.reeds.len() - self.unknown();
        let faults = self.faults();
        let name = &self.chart.set_name;
        if known == 0 {
            let nothing = if self.reeds.is_empty() { "No reeds to show" } else { "No window is known for any reed" };
            return (nothing.to_owned(), name.clone());
        }
        let good = known - faults.len();
        let of_all = count_of_reeds(self.reeds.len());
        let title = format!("{good} of {of_all} {} in time from soft to hard playing", verb(good, "speaks", "speak"));
        let tally = |kind: fn(&Fault) -> bool| faults.iter().filter(|(_, fault)| kind(fault)).count();
        let soft = tally(|fault| matches!(fault, Fault::NotSoft { .. } | Fault::Neither { .. }));
        let hard = tally(|fault| matches!(fault, Fault::NotHard { .. } | Fault::Neither { .. }));
        let (silent, slow) = (tally(|fault| *fault == Fault::Silent), tally(|fault| *fault == Fault::TooSlow));
        let parts = [
            (soft, verb(soft, "does not speak softly", "do not speak softly")),
            (hard, verb(hard, "gives out before hard playing", "give out before hard playing")),
            (slow, verb(slow, "is too slow at any pressure", "are too slow at any pressure")),
            (silent, verb(silent, "never sounds", "never sound")),
            (self.unknown(), verb(self.unknown(), "is not known", "are not known")),
        ];
        let parts = parts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}"));
        let parts: Vec<String> = parts.collect();
        (title, if parts.is_empty() { name.clone() } else { format!("{name} · {}", parts.join(", ")) })
    }

    fn in_words(&self, index: usize) -> String {
        let reed = &self.reeds[index];
        let said = match (self.shown[index].fault(&reed.player), self.shown[index]) {
            (Some(fault), _) => fault.in_words(),
            (None, Shown::Nothing) => "not known".to_owned(),
            (None, _) => "speaks in time from soft to hard".to_owned(),
        };
        format!("{} ({}): {said}", reed.reed.id, reed.reed.printed_note())
    }

    fn description(&self) -> String {
        let faults: Vec<String> = self.faults().iter().map(|(index, _)| self.in_words(*index)).collect();
        let listed = if faults.is_empty() { "none".to_owned() } else { faults.join("; ") };
        format!(
            "An upright bar for each of {}, in order of pitch, over the pressures at which it speaks in time; upright \
             axis: {AXIS_TITLE}. Reeds that do not cover the player's band: {listed}.",
            count_of_reeds(self.reeds.len())
        )
    }

    fn player_band(&self, marks: &mut Marks, axis: &NoteAxis<'_>, levels: Levels) {
        let both = |index: usize| {
            let player = &self.reeds[index].player;
            plottable(player.soft_pa).zip(plottable(player.hard_pa))
        };
        let soft = axis.across(|index| both(index).map(|(soft_pa, _)| levels.of(soft_pa)));
        let hard = axis.across(|index| both(index).map(|(_, hard_pa)| levels.of(hard_pa)));
        for (soft, hard) in soft.into_iter().zip(hard) {
            let outline: Vec<Point> = soft.into_iter().chain(hard.into_iter().rev()).collect();
            marks.patch(&outline, palette::WANTED);
        }
    }

    fn player_lines(&self, marks: &mut Marks, axis: &NoteAxis<'_>, levels: Levels) {
        type Pressure = fn(&PlayerPressures) -> f64;
        let lines: [(&str, Pressure, Pen); 3] = [
            ("hard", |player| player.hard_pa, pen(palette::INK, 1.1).dashed("6 3")),
            ("normal", |player| player.normal_pa, pen(palette::INK, 1.3)),
            ("soft", |player| player.soft_pa, pen(palette::INK, 1.1).dashed("2 3")),
        ];
        let mut names = Vec::new();
        for (name, pressure_pa, pen) in lines {
            let runs = axis.across(|index| plottable(pressure_pa(&self.reeds[index].player)).map(|pa| levels.of(pa)));
            for run in &runs {
                marks.path(run, pen);
            }
            if let Some(end) = runs.last().and_then(|run| run.last()) {
                names.push(SeriesName { name: name.to_owned(), colour: palette::INK, end: *end });
            }
        }
        if let Some(limit_pa) = self.limit_pa() {
            let name = format!("limit {} kPa", short(limit_pa / 1000.0, 2));
            let end = at(levels.plot.right, levels.of(limit_pa));
            marks.line(at(levels.plot.left, end.y), end, pen(palette::ABSENT, 1.0).dashed("1 3"));
            names.push(SeriesName { name, colour: palette::SOFT_INK, end });
        }
        series_names(marks, levels.plot, names);
    }

    fn reed(&self, marks: &mut Marks, axis: &NoteAxis<'_>, index: usize, row: Area, levels: Levels) {
        let x = axis.x(index);
        match self.shown[index] {
            Shown::Nothing => absent(marks, at(x, levels.plot.bottom - 7.0)),
            Shown::Silent => cross(marks, at(x, (row.top + row.bottom) / 2.0), 5.0, pen(palette::VERMILION, 2.4)),
            Shown::Bar(bar) => {
                let is_faulty = self.shown[index].fault(&self.reeds[index].player).is_some();
                draw_bar(marks, x, axis.half_bar(), &bar, is_faulty, |pressure_pa| levels.end(pressure_pa));
            }
        }
    }
}
