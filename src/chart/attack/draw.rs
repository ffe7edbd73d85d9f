//! The drawing of an attack.

use super::{AttackChart, run};
use crate::chart::Picture;
use crate::chart::flags::{Flag, Flags};
use crate::chart::frame::{Frame, HEADING, LEVEL_AXIS, Signs, length, mm};
use crate::chart::marks::{Area, Marks, Point, at, pen};
use crate::chart::page::{Page, RIGHT, SeriesName, series_names};
use crate::chart::scale::Scale;
use crate::chart::{LARGEST, palette};
use crate::units;

const PRESSURE_HEIGHT: f64 = 54.0;
const TIP_HEIGHT: f64 = 200.0;
const ENVELOPE_HEIGHT: f64 = 120.0;
const SWINGS_HEIGHT: f64 = 130.0;
/// Room to the right of the data for names.
const NAME_ROOM: f64 = 30.0;

/// Motion that takes less than this share of the height above the plate is shown without the plate.
const LEAST_MOTION: f64 = 0.2;

pub(super) struct Drawing<'a> {
    pub chart: &'a AttackChart,
}

/// Pairs in other units.
fn scaled(values: &[(f64, f64)], by: f64) -> Vec<(f64, f64)> {
    values.iter().map(|(time_s, value)| (1000.0 * time_s, by * value)).collect()
}

fn values(pairs: &[(f64, f64)]) -> impl Iterator<Item = f64> + '_ {
    pairs.iter().map(|pair| pair.1)
}

fn times(pairs: &[(f64, f64)]) -> impl Iterator<Item = f64> + '_ {
    pairs.iter().map(|pair| pair.0)
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let chart = self.chart;
        let title = chart.verdict();
        let mut page = Page::open(&title, &self.subtitle());
        let tip = scaled(&chart.tip, 1000.0);
        if tip.len() < 2 {
            let plot = page.take(TIP_HEIGHT);
            page.empty(plot, "There is no run to show.");
            return page.close(&chart.small_print, "An empty chart: there is no run to show.");
        }
        let across = Scale::over(times(&tip), 0.0);
        self.pressure(&mut page, across);
        page.take(HEADING);
        let flags = self.flags(across);
        let flag_room = page.take(flags.height());
        let tip_frame = self.tip(&mut page, across, &tip, flag_room.top);
        let envelope_frame = self.envelope(&mut page, across);
        let below = page.take(LEVEL_AXIS);
        tip_frame.level_axis(&mut page.marks, below.top, "time from the start of the blow (ms)");
        flags.draw(&mut page.marks, flag_room, |_| tip_frame.plot.bottom);
        self.marks(&mut page.marks, &envelope_frame);
        self.last_swings(&mut page);
        page.close(&chart.small_print, &format!("{title}. Height of the tip above the plate (mm) over the time (ms)."))
    }

    fn subtitle(&self) -> String {
        let chart = self.chart;
        let blown = format!("{} · blown to {}", chart.reed_name, units::pascal(chart.pressure_pa));
        let sounding =
            chart.sounding.as_ref().map_or(String::new(), |tone| format!(" · sounds at {}", tone.in_words()));
        let shown_s = times(&chart.tip).fold(0.0, f64::max);
        let rest = match chart.run_s > 1.01 * shown_s {
            true => format!(" · the run goes on to {}", units::seconds(chart.run_s)),
            false => String::new(),
        };
        blown + &sounding + &rest
    }

    /// The next plot of the page with a heading above it.
    fn frame(&self, page: &mut Page, height: f64, across: Scale, up: Scale) -> Frame {
        Frame { plot: Area { right: RIGHT - NAME_ROOM, ..page.take(height) }, across, up }
    }

    fn pressure(&self, page: &mut Page, across: Scale) {
        let kilo = self.chart.mouth.iter().any(|(_, pressure_pa)| *pressure_pa >= 1000.0);
        let (unit, by) = if kilo { ("kPa", 1e-3) } else { ("Pa", 1.0) };
        let mouth = scaled(&self.chart.mouth, by);
        page.take(HEADING);
        let frame = self.frame(page, PRESSURE_HEIGHT, across, Scale::over(values(&mouth).chain([0.0]), 0.04));
        frame.grid(&mut page.marks, 3.0, Signs::Minus);
        frame.heading(&mut page.marks, frame.plot.top, &format!("pressure in the mouth ({unit})"));
        let points: Vec<Point> = frame.points(mouth).collect();
        if let (Some(point), Some((_, last_pa))) = (points.last(), self.chart.mouth.last()) {
            let end = at(frame.plot.right, point.y);
            let name = units::pascal(*last_pa);
            series_names(&mut page.marks, frame.plot, vec![SeriesName { name, colour: palette::INK, end }]);
        }
        page.marks.path(&points, pen(palette::INK, 1.8));
    }

    fn tip(&self, page: &mut Page, across: Scale, tip: &[(f64, f64)], heading: f64) -> Frame {
        let frame = self.frame(page, TIP_HEIGHT, across, self.height_scale(tip));
        frame.grid(&mut page.marks, 6.0, Signs::Minus);
        frame.heading(&mut page.marks, heading, "height of the tip above the plate (mm)");
        run::draw(&mut page.marks, &frame, tip, 1000.0 * self.chart.swing_s);
        self.heights(&mut page.marks, &frame);
        frame
    }

    /// Heights (mm) with the rest in sight, and the plate too unless the motion would vanish beside it.
    fn height_scale(&self, tip: &[(f64, f64)]) -> Scale {
        let motion = || values(tip).chain([mm(self.chart.rest_m)]);
        let range = |scale: Scale| scale.ends().1 - scale.ends().0;
        let (near, whole) = (Scale::over(motion(), 0.06), Scale::over(motion().chain([0.0]), 0.06));
        if range(near) < LEAST_MOTION * range(whole) { near } else { whole }
    }

    /// The plate and the tip's rest, named to the right.
    fn heights(&self, marks: &mut Marks, frame: &Frame) {
        let mut names = Vec::new();
        let rest_m = self.chart.rest_m;
        for (height_m, name, pen) in [
            (0.0, "top of the plate".to_owned(), pen(palette::INK, 1.4)),
            (rest_m, format!("at rest {}", length(rest_m)), pen(palette::INK, 1.1).dashed("5 3")),
        ] {
            let (low, high) = frame.up.ends();
            if (low..=high).contains(&mm(height_m)) {
                let end = at(frame.plot.right, frame.y(mm(height_m)));
                marks.line(at(frame.plot.left, end.y), end, pen);
                names.push(SeriesName { name, colour: palette::INK, end });
            }
        }
        series_names(marks, frame.plot, names);
    }

    fn envelope(&self, page: &mut Page, across: Scale) -> Frame {
        let envelope = &self.chart.envelope;
        page.take(HEADING);
        // What only trembles gets no scale of its own.
        const LEAST_M_S: f64 = 1e-3;
        let up = Scale::over(values(envelope).chain(self.chart.final_speed_m_s).chain([0.0, LEAST_M_S]), 0.06);
        let frame = self.frame(page, ENVELOPE_HEIGHT, across, up);
        frame.grid(&mut page.marks, 4.0, Signs::Minus);
        frame.heading(&mut page.marks, frame.plot.top, "speed of the tip, half of peak to peak over one swing (m/s)");
        let points: Vec<Point> = frame.points(scaled(envelope, 1.0)).collect();
        page.marks.path(&points, pen(palette::BLUE, 2.0));
        frame
    }

    /// Times that can be marked, with the share of the final speed and the name of each.
    fn reached(&self) -> Vec<(f64, f64, &'static str)> {
        let end_s = times(&self.chart.tip).fold(0.0, f64::max);
        let both = [(self.chart.t50_s, 0.5, "half"), (self.chart.t90_s, 0.9, "nine tenths")];
        let known = both.into_iter().filter_map(|(time_s, share, name)| Some((time_s?, share, name)));
        known.filter(|(time_s, ..)| (0.0..=end_s).contains(time_s)).collect()
    }

    fn flags(&self, across: Scale) -> Flags {
        let (left, right) = (crate::chart::page::LEFT, RIGHT - NAME_ROOM);
        let flags = self.reached().into_iter().map(|(time_s, share, name)| {
            let (percent, time) = (format!("t{:.0}", 100.0 * share), units::seconds(time_s));
            Flag {
                x: left + across.share(1000.0 * time_s) * (right - left),
                whole: format!("{percent} = {time}: {name} the final speed"),
                least: format!("{percent} {time}"),
            }
        });
        Flags::arrange(&flags.collect::<Vec<_>>())
    }

    /// Dots where the envelope reaches its shares, and the shares to the right.
    fn marks(&self, marks: &mut Marks, frame: &Frame) {
        let Some(final_m_s) = self.chart.final_speed_m_s.filter(|speed| (1e-12..=LARGEST).contains(speed)) else {
            return;
        };
        let mut names = vec![SeriesName {
            name: format!("final {} m/s", units::significant(final_m_s, 3)),
            colour: palette::INK,
            end: at(frame.plot.right, frame.y(final_m_s)),
        }];
        for (time_s, share, name) in self.reached() {
            let (x, y) = (frame.x(1000.0 * time_s), frame.y(share * final_m_s));
            marks.line(at(x, frame.plot.top), at(x, frame.plot.bottom), pen(palette::SOFT_INK, 0.8));
            marks.line(at(x, y), at(frame.plot.right, y), pen(palette::SOFT_INK, 1.0).dashed("3 3"));
            marks.circle(at(x, y), 4.0, palette::INK, pen(palette::INK, 1.0));
            names.push(SeriesName { name: name.to_owned(), colour: palette::INK, end: at(frame.plot.right, y) });
        }
        series_names(marks, frame.plot, names);
    }

    fn last_swings(&self, page: &mut Page) {
        let swings = scaled(&self.chart.last_swings, 1000.0);
        if swings.len() < 2 {
            return;
        }
        page.take(HEADING);
        let from_ms = swings[0].0;
        let from_zero: Vec<(f64, f64)> = swings.iter().map(|(time, height)| (time - from_ms, *height)).collect();
        let up = self.height_scale(&swings);
        let frame = self.frame(page, SWINGS_HEIGHT, Scale::over(times(&from_zero), 0.0), up);
        frame.grid(&mut page.marks, 5.0, Signs::Minus);
        let heading = "the last swings of the run: height of the tip above the plate (mm)";
        frame.heading(&mut page.marks, frame.plot.top, heading);
        let points: Vec<Point> = frame.points(from_zero).collect();
        page.marks.path(&points, pen(palette::BLUE, 2.0));
        self.heights(&mut page.marks, &frame);
        let below = page.take(LEVEL_AXIS);
        frame.level_axis(&mut page.marks, below.top, "time (ms)");
    }
}
