//! What every chart has: headline, key, axes and small print, set from the top of the page down.

use super::marks::{Anchor, Area, Marks, Pen, Point, at, pen, plain};
use super::picture::Picture;
use super::scale::Scale;
use super::{palette, text};

/// Width of every chart; its height follows from what it has to say. 180 mm wide on paper its smallest letters, of 12 units,
/// are of 7 points.
pub(super) const WIDTH: f64 = 870.0;
/// Empty edge that no text enters.
pub(super) const MARGIN: f64 = 24.0;
/// Where the data begins.
pub(super) const LEFT: f64 = 88.0;
/// Where the data ends; labels of whole series stand to the right of it.
pub(super) const RIGHT: f64 = WIDTH - 124.0;

const TITLE_SIZE: f64 = 21.0;
const BOLD_IS_WIDER: f64 = 1.1;
const SUBTITLE_SIZE: f64 = 14.0;
const KEY_SIZE: f64 = 12.5;
const SMALL_SIZE: f64 = 12.0;
/// Size of the numbers and names along the axes.
pub(super) const TICK_SIZE: f64 = 12.0;

/// A sign and what it stands for. The sign is drawn around the point it is given, 26 units wide at most.
pub(super) struct KeyItem<'a> {
    pub sign: &'a dyn Fn(&mut Marks, Point),
    pub meaning: String,
}

/// A page being set.
pub(super) struct Page {
    pub marks: Marks,
    title: String,
    y: f64,
}

impl Page {
    /// A page with its headline and the line below it.
    pub fn open(title: &str, subtitle: &str) -> Self {
        let mut page = Self { marks: Marks::default(), title: title.to_owned(), y: MARGIN };
        for line in text::wrap(title, TITLE_SIZE * BOLD_IS_WIDER, WIDTH - 2.0 * MARGIN) {
            page.y += TITLE_SIZE;
            page.marks.text(at(MARGIN, page.y - 2.0), &line, plain(TITLE_SIZE).bold());
            page.y += 4.0;
        }
        for line in text::wrap(subtitle, SUBTITLE_SIZE, WIDTH - 2.0 * MARGIN) {
            page.y += SUBTITLE_SIZE * text::LINE;
            page.marks.text(at(MARGIN, page.y), &line, plain(SUBTITLE_SIZE).coloured(palette::SOFT_INK));
        }
        page.y += 10.0;
        page
    }

    /// A line of signs with their meanings, in as many rows as it takes.
    pub fn key(&mut self, items: &[KeyItem<'_>]) {
        if items.is_empty() {
            return;
        }
        let mut x = MARGIN;
        self.y += 18.0;
        for item in items {
            let wide = 32.0 + text::width(&item.meaning, KEY_SIZE);
            if x > MARGIN && x + wide > WIDTH - MARGIN {
                x = MARGIN;
                self.y += 20.0;
            }
            (item.sign)(&mut self.marks, at(x + 13.0, self.y - 4.0));
            self.marks.text(at(x + 30.0, self.y), &item.meaning, plain(KEY_SIZE).coloured(palette::SOFT_INK));
            x += wide + 18.0;
        }
        self.y += 8.0;
    }

    /// The next `height` of the page, as wide as the data.
    pub fn take(&mut self, height: f64) -> Area {
        let top = self.y;
        self.y += height;
        Area { left: LEFT, top, right: RIGHT, bottom: self.y }
    }

    /// Grid lines and numbers of the upright axis, and its title. Numbers have a sign where some are below zero.
    pub fn upright_axis(&mut self, plot: Area, scale: Scale, title: &str) {
        let unsigned = scale.ends().0 >= 0.0;
        for tick in scale.ticks() {
            let y = height_of(plot, scale, tick.value);
            let ranked = if tick.label.is_empty() { pen(palette::FINE_GRID, 0.8) } else { pen(palette::GRID, 1.0) };
            self.marks.line(at(plot.left, y), at(plot.right, y), ranked);
            if !tick.label.is_empty() {
                let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::End);
                self.marks.text(
                    at(plot.left - 8.0, y + 4.2),
                    if unsigned { tick.label.trim_start_matches('+') } else { &tick.label },
                    style,
                );
            }
        }
        let middle = (plot.top + plot.bottom) / 2.0;
        let style = plain(13.0).anchored(Anchor::Middle).turned(-90.0);
        self.marks.text(at(MARGIN + 10.0, middle), title, style);
    }

    /// Says in the middle of an empty plot why it is empty.
    pub fn empty(&mut self, plot: Area, why: &str) {
        let middle = at((plot.left + plot.right) / 2.0, (plot.top + plot.bottom) / 2.0);
        let size = 16.0;
        let box_ = text::area(why, size, middle, Anchor::Middle);
        self.marks.fill(box_, palette::PAPER);
        self.marks.text(middle, why, plain(size).anchored(Anchor::Middle).coloured(palette::SOFT_INK));
    }

    /// Sets the small print and ends the document.
    pub fn close(mut self, small_print: &str, description: &str) -> Picture {
        self.y += 12.0;
        for line in text::wrap(small_print, SMALL_SIZE, WIDTH - 2.0 * MARGIN) {
            self.y += SMALL_SIZE * text::LINE;
            self.marks.text(at(MARGIN, self.y), &line, plain(SMALL_SIZE).coloured(palette::SOFT_INK));
        }
        Picture::new((WIDTH, (self.y + 16.0).ceil()), &self.title, description, self.marks)
    }
}

/// The height on the page of a value.
pub(super) fn height_of(plot: Area, scale: Scale, value: f64) -> f64 {
    plot.bottom - scale.share(value) * (plot.bottom - plot.top)
}

/// The name of a row above the plot, in two lines to its left.
pub(super) fn row_name(marks: &mut Marks, row: Area, lines: [&str; 2]) {
    let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::End);
    let middle = (row.top + row.bottom) / 2.0;
    marks.text(at(row.left - 8.0, middle - 2.5), lines[0], style);
    marks.text(at(row.left - 8.0, middle + 11.5), lines[1], style);
}

/// The name of a whole series, to the right of the data, joined to where the series ends.
pub(super) struct SeriesName {
    pub name: String,
    pub colour: &'static str,
    pub end: Point,
}

/// Sets the names of series below each other, each as near to its end as the others allow.
pub(super) fn series_names(marks: &mut Marks, plot: Area, mut names: Vec<SeriesName>) {
    names.sort_by(|a, b| a.end.y.total_cmp(&b.end.y));
    let heights = spread(&names.iter().map(|name| name.end.y).collect::<Vec<_>>(), 16.0, plot.top, plot.bottom);
    for (series, y) in names.iter().zip(heights) {
        let elbow = at(plot.right + 6.0, series.end.y);
        let leader = Pen { colour: series.colour, width: 0.8, dash: "1.5 2" };
        marks.path(&[at(series.end.x + 6.0, series.end.y), elbow, at(plot.right + 14.0, y)], leader);
        let name = text::shorten(&series.name, 12.5, WIDTH - 8.0 - plot.right - 17.0);
        marks.text(at(plot.right + 17.0, y + 4.2), &name, plain(12.5).coloured(series.colour));
    }
}

/// A line over the notes of a set, broken where nothing is known, its name at its end; where that stands.
pub(super) fn named_line(
    marks: &mut Marks,
    plot: Area,
    stretches: &[Vec<Point>],
    pen: Pen,
    (name, colour): (&str, &'static str),
) -> Option<Area> {
    for stretch in stretches {
        marks.path(stretch, pen);
    }
    let end = *stretches.last()?.last()?;
    series_names(marks, plot, vec![SeriesName { name: name.to_owned(), colour, end }]);
    Some(Area { left: plot.right, top: end.y - 12.0, right: WIDTH, bottom: end.y + 12.0 })
}

/// Rising heights, each moved as little as keeps them `gap` apart and, if there is room, between `low` and `high`.
fn spread(heights: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut moved = heights.to_vec();
    let mut floor = low;
    for height in &mut moved {
        *height = height.max(floor);
        floor = *height + gap;
    }
    let mut ceiling = high;
    for height in moved.iter_mut().rev() {
        *height = height.min(ceiling);
        ceiling = *height - gap;
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn names_stay_apart_and_inside() {
        assert_eq!(spread(&[10.0, 11.0, 12.0], 5.0, 0.0, 100.0), [10.0, 15.0, 20.0]);
        assert_eq!(spread(&[98.0, 99.0, 100.0], 5.0, 0.0, 100.0), [90.0, 95.0, 100.0]);
        assert_eq!(spread(&[10.0, 50.0], 5.0, 0.0, 100.0), [10.0, 50.0]);
    }
}
