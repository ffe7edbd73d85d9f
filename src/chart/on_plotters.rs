//! A picture on a drawing area of `plotters`, whatever draws there: a figure of many panels, a window, a notebook.

use plotters::coord::Shift;
use plotters::drawing::DrawingAreaErrorKind;
use plotters::prelude::{Circle, DrawingArea, DrawingBackend, PathElement, Polygon, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{
    Color, FontFamily, FontStyle, FontTransform, IntoFont, RGBAColor, RGBColor, ShapeStyle, TextStyle,
};

use super::marks::{Anchor, Area, HOLLOW, Mark, Pen, Point, Type, at};
use super::palette;
use super::picture::Picture;

/// A font as `plotters` sizes it is so many times as high as its letters are set.
const FONT_BOX: f64 = 1.24;
/// Width of the line that closes seams.
const SEAM: f64 = 0.8;
/// From the baseline to the middle of a line of text, in sizes of its type.
const MIDDLE: f64 = 0.35;
/// A slanted text that has to stand upright is so much smaller, to take no more height.
const UPRIGHT: f64 = std::f64::consts::FRAC_1_SQRT_2;

type Drawn<DB> = Result<(), DrawingAreaErrorKind<<DB as DrawingBackend>::ErrorType>>;

impl Picture {
    /// Draws the picture into the upper left of an area, as large as its proportion lets it be.
    ///
    /// Lines and letters grow with the area. Places are whole pixels there: where it is written as SVG, an area of ten times
    /// the size is drawn on and shown smaller. Text turns by quarters of a circle only, so that slanted names stand upright;
    /// what is shown where a pointer rests on a mark, and the description, are left out.
    ///
    /// # Errors
    /// What the backend meets.
    ///
    /// ```
    /// use freereed::chart::PitchChart;
    /// use plotters::prelude::{IntoDrawingArea, SVGBackend};
    /// let chart = PitchChart {
    ///     set_name: "a set".into(),
    ///     reeds: vec![],
    ///     tolerance_cents: None,
    ///     small_print: String::new(),
    /// };
    /// let mut figure = String::new();
    /// {
    ///     let area = SVGBackend::with_string(&mut figure, (1740, 1200)).into_drawing_area();
    ///     let (left, _right) = area.split_horizontally(870);
    ///     chart.picture().draw_on(&left)?;
    ///     area.present()?;
    /// }
    /// assert!(figure.contains("a set"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn draw_on<DB: DrawingBackend>(&self, area: &DrawingArea<DB, Shift>) -> Drawn<DB> {
        let (width, height) = area.dim_in_pixel();
        let scale = (f64::from(width) / self.width).min(f64::from(height) / self.height);
        let onto = Onto { area, scale };
        onto.rectangle(Area { left: 0.0, top: 0.0, right: self.width, bottom: self.height }, palette::PAPER)?;
        onto.all(&self.marks)
    }
}

struct Onto<'a, DB: DrawingBackend> {
    area: &'a DrawingArea<DB, Shift>,
    /// Pixels in a unit of the picture.
    scale: f64,
}

impl<DB: DrawingBackend> Onto<'_, DB> {
    fn all(&self, marks: &[Mark]) -> Drawn<DB> {
        marks.iter().try_for_each(|mark| self.mark(mark))
    }

    fn mark(&self, mark: &Mark) -> Drawn<DB> {
        match mark {
            Mark::Line { from, to, pen } => self.line(&[*from, *to], pen),
            Mark::Path { points, pen } => self.line(points, pen),
            Mark::Shapes { shapes, fill, pen } => {
                shapes.iter().try_for_each(|shape| self.shape(shape, fill, pen.as_ref()))
            }
            Mark::Fill { area, fill } => self.rectangle(*area, fill),
            Mark::Circle { centre, radius, fill, pen } => self.circle(*centre, *radius, fill, pen),
            Mark::Text { place, text, style } => self.text(*place, text, *style),
            Mark::Group { marks, .. } => self.all(marks),
        }
    }

    fn line(&self, points: &[Point], pen: &Pen) -> Drawn<DB> {
        if pen.width <= 0.0 {
            return Ok(());
        }
        let style = self.stroke(pen);
        dashes(points, pen.dash).iter().try_for_each(|dash| self.area.draw(&PathElement::new(self.pixels(dash), style)))
    }

    fn shape(&self, points: &[Point], fill: &str, pen: Option<&Pen>) -> Drawn<DB> {
        let outline: Vec<Point> = points.iter().chain(points.first()).copied().collect();
        if fill != HOLLOW {
            self.area.draw(&Polygon::new(self.pixels(points), colour(fill).filled()))?;
            // What draws may leave seams between shapes side by side.
            self.area.draw(&PathElement::new(self.pixels(&outline), colour(fill).stroke_width(self.width(SEAM))))?;
        }
        pen.map_or(Ok(()), |pen| self.line(&outline, pen))
    }

    fn rectangle(&self, area: Area, fill: &str) -> Drawn<DB> {
        let corners = [at(area.left, area.top), at(area.right, area.bottom)].map(|corner| self.pixel(corner));
        self.area.draw(&Rectangle::new(corners, colour(fill).filled()))
    }

    fn circle(&self, centre: Point, radius: f64, fill: &str, pen: &Pen) -> Drawn<DB> {
        let radius = (self.scale * radius).round().max(1.0) as i32;
        if fill != HOLLOW {
            self.area.draw(&Circle::new(self.pixel(centre), radius, colour(fill).filled()))?;
        }
        if pen.width > 0.0 {
            self.area.draw(&Circle::new(self.pixel(centre), radius, self.stroke(pen)))
        } else {
            Ok(())
        }
    }

    fn text(&self, place: Point, text: &str, style: Type) -> Drawn<DB> {
        // The middle of a line that stands upright is beside its baseline.
        let upright = style.turn_deg < 0.0;
        let slanted = upright && style.turn_deg > -90.0;
        let size = if slanted { UPRIGHT * style.size } else { style.size };
        let middle = if upright { at(place.x - MIDDLE * size, place.y) } else { at(place.x, place.y - MIDDLE * size) };
        let anchor = match style.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let font = (FontFamily::SansSerif, FONT_BOX * self.scale * size);
        let weight = if style.bold { FontStyle::Bold } else { FontStyle::Normal };
        let turn = if upright { FontTransform::Rotate270 } else { FontTransform::None };
        let set = TextStyle::from(font.into_font().style(weight).transform(turn));
        let ink = colour(style.colour);
        let set = set.color(&ink).pos(Pos::new(anchor, VPos::Center));
        self.area.draw(&Text::new(text, self.pixel(middle), set))
    }

    fn stroke(&self, pen: &Pen) -> ShapeStyle {
        colour(pen.colour).stroke_width(self.width(pen.width))
    }

    fn width(&self, units: f64) -> u32 {
        (self.scale * units).round().max(1.0) as u32
    }

    fn pixel(&self, point: Point) -> (i32, i32) {
        ((self.scale * point.x).round() as i32, (self.scale * point.y).round() as i32)
    }

    fn pixels(&self, points: &[Point]) -> Vec<(i32, i32)> {
        points.iter().map(|&point| self.pixel(point)).collect()
    }
}

/// A colour of the palette, "#rrggbb".
fn colour(name: &str) -> RGBAColor {
    let part = |from: usize| name.get(from..from + 2).and_then(|two| u8::from_str_radix(two, 16).ok()).unwrap_or(0);
    RGBColor(part(1), part(3), part(5)).to_rgba()
}

/// The pieces of a line through points that are drawn, where dashes and gaps are so long, one after the other.
fn dashes(points: &[Point], pattern: &str) -> Vec<Vec<Point>> {
    let lengths: Vec<f64> = pattern.split(' ').filter_map(|length| length.parse().ok()).collect();
    let Some(&first) = lengths.first().filter(|_| lengths.iter().sum::<f64>() > 0.0) else {
        return vec![points.to_vec()];
    };
    let (mut pieces, mut piece) = (Vec::new(), points.first().copied().into_iter().collect::<Vec<_>>());
    let (mut k, mut left) = (0, first);
    for ends in points.windows(2) {
        let (across, down) = (ends[1].x - ends[0].x, ends[1].y - ends[0].y);
        let length = across.hypot(down);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let here = at(ends[0].x + across * done / length, ends[0].y + down * done / length);
            piece.push(here);
            if k % 2 == 0 {
                pieces.push(std::mem::take(&mut piece));
            }
            piece = vec![here];
            k += 1;
            left = lengths[k % lengths.len()];
        }
        left -= length - done;
        piece.push(ends[1]);
    }
    if k % 2 == 0 {
        pieces.push(piece);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_are_as_long_as_asked_and_go_round_corners() {
        let corner = [at(0.0, 0.0), at(5.0, 0.0), at(5.0, 5.0)];
        let pieces = dashes(&corner, "4 2");
        let length = |piece: &[Point]| piece.windows(2).map(|p| (p[1].x - p[0].x).hypot(p[1].y - p[0].y)).sum::<f64>();
        assert_eq!(pieces.iter().map(|piece| length(piece)).collect::<Vec<_>>(), [4.0, 4.0]);
        assert_eq!(pieces[1], [at(5.0, 1.0), at(5.0, 5.0)]);
        assert_eq!(dashes(&corner, ""), [corner.to_vec()]);
    }
}
