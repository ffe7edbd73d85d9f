//! What a picture is made of: shapes and text at decimal positions, in the order in which they are drawn.

use super::palette;

/// A place on the page, in its units, from the top left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
}

/// The point at `x`, `y`.
pub(super) const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// An upright rectangle on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    /// The square around a point that reaches `half` to each side.
    pub fn around(centre: Point, half: f64) -> Self {
        Self { left: centre.x - half, top: centre.y - half, right: centre.x + half, bottom: centre.y + half }
    }

    /// Whether two rectangles share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether `other` lies wholly inside.
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left && self.top <= other.top && self.right >= other.right && self.bottom >= other.bottom
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub colour: &'static str,
    pub width: f64,
    /// Lengths of dash and gap; empty for an unbroken line.
    pub dash: &'static str,
}

/// An unbroken line.
pub(super) const fn pen(colour: &'static str, width: f64) -> Pen {
    Pen { colour, width, dash: "" }
}

impl Pen {
    /// The same line, dashed.
    pub const fn dashed(self, dash: &'static str) -> Self {
        Self { dash, ..self }
    }
}

/// Which end of a text its position names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set. Its position is the middle of the baseline's chosen end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Type {
    pub size: f64,
    pub colour: &'static str,
    pub bold: bool,
    pub anchor: Anchor,
    /// Degrees clockwise about its position.
    pub turn_deg: f64,
}

/// Plain text that starts at its position.
pub(super) const fn plain(size: f64) -> Type {
    Type { size, colour: palette::INK, bold: false, anchor: Anchor::Start, turn_deg: 0.0 }
}

impl Type {
    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    pub const fn coloured(self, colour: &'static str) -> Self {
        Self { colour, ..self }
    }
    pub const fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
    pub const fn turned(self, turn_deg: f64) -> Self {
        Self { turn_deg, ..self }
    }
}

/// One thing that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Mark {
    /// A straight line.
    Line { from: Point, to: Point, pen: Pen },
    /// A line through points.
    Path { points: Vec<Point>, pen: Pen },
    /// Filled shapes side by side, without seams where they touch, each outlined where there is a pen.
    Shapes { shapes: Vec<Vec<Point>>, fill: String, pen: Option<Pen> },
    /// A filled rectangle.
    Fill { area: Area, fill: String },
    /// A filled circle, outlined.
    Circle { centre: Point, radius: f64, fill: String, pen: Pen },
    /// One line of text.
    Text { place: Point, text: String, style: Type },
    /// Marks of one thing: what it is said to be, and the name and kind by which whoever shows the picture finds it.
    Group { tooltip: String, of: Option<(&'static str, String)>, marks: Vec<Mark> },
}

/// The fill of a shape or circle that shows what is behind it.
pub(super) const HOLLOW: &str = "none";

/// A picture under way.
#[derive(Debug, Default)]
pub(super) struct Marks(pub(super) Vec<Mark>);

impl Marks {
    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.0.push(Mark::Line { from, to, pen });
    }

    /// A line through points; fewer than two leave no mark.
    pub fn path(&mut self, points: &[Point], pen: Pen) {
        if points.len() > 1 {
            self.0.push(Mark::Path { points: points.to_vec(), pen });
        }
    }

    /// A filled shape, outlined with `pen`.
    pub fn polygon(&mut self, points: &[Point], fill: &str, pen: Pen) {
        self.0.push(Mark::Shapes { shapes: vec![points.to_vec()], fill: fill.to_owned(), pen: Some(pen) });
    }

    /// A filled shape without an outline.
    pub fn patch(&mut self, points: &[Point], fill: &str) {
        self.patches(&[points.to_vec()], fill);
    }

    /// Filled shapes side by side, without seams where they touch.
    pub fn patches(&mut self, shapes: &[Vec<Point>], fill: &str) {
        if !shapes.is_empty() {
            self.0.push(Mark::Shapes { shapes: shapes.to_vec(), fill: fill.to_owned(), pen: None });
        }
    }

    /// A filled rectangle.
    pub fn fill(&mut self, area: Area, fill: &str) {
        self.0.push(Mark::Fill { area, fill: fill.to_owned() });
    }

    /// A filled circle, outlined with `pen`.
    pub fn circle(&mut self, centre: Point, radius: f64, fill: &str, pen: Pen) {
        self.0.push(Mark::Circle { centre, radius, fill: fill.to_owned(), pen });
    }

    /// One line of text.
    pub fn text(&mut self, place: Point, text: &str, style: Type) {
        self.0.push(Mark::Text { place, text: text.to_owned(), style });
    }

    /// What `draw` adds, shown under `tooltip` where a pointer rests on it.
    pub fn group(&mut self, tooltip: &str, draw: impl FnOnce(&mut Self)) {
        self.grouped(tooltip, None, draw);
    }

    /// The same of a reed or a note, which whoever shows the chart finds by `data-WHAT` and its name.
    pub fn group_of(&mut self, what: &'static str, name: &str, tooltip: &str, draw: impl FnOnce(&mut Self)) {
        self.grouped(tooltip, Some((what, name.to_owned())), draw);
    }

    fn grouped(&mut self, tooltip: &str, of: Option<(&'static str, String)>, draw: impl FnOnce(&mut Self)) {
        let mut inner = Self::default();
        draw(&mut inner);
        self.0.push(Mark::Group { tooltip: tooltip.to_owned(), of, marks: inner.0 });
    }
}
