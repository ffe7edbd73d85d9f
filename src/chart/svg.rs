//! A small writer of SVG: shapes and text at decimal positions, escaped, with no dependence on a font being installed.

use std::fmt::Write;

use super::palette;

/// Fonts asked for, the most usual first; any sans-serif will do.
const FONTS: &str = "Helvetica Neue, Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif";

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

    fn attributes(&self) -> String {
        let dash = if self.dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", self.dash) };
        format!("stroke=\"{}\" stroke-width=\"{}\"{dash}", self.colour, number(self.width))
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

/// A drawing under way.
#[derive(Debug, Default)]
pub(super) struct Svg {
    body: String,
}

impl Svg {
    fn put(&mut self, element: std::fmt::Arguments<'_>) {
        self.body.write_fmt(element).expect("a String takes any text");
        self.body.push('\n');
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, pen: Pen) {
        let [x1, y1, x2, y2] = [from.x, from.y, to.x, to.y].map(number);
        self.put(format_args!(r#"<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {}/>"#, pen.attributes()));
    }

    /// A line through points; fewer than two leave no mark.
    pub fn path(&mut self, points: &[Point], pen: Pen) {
        if points.len() > 1 {
            let places = places(points);
            let pen = pen.attributes();
            self.put(format_args!(r#"<polyline points="{places}" fill="none" stroke-linejoin="round" {pen}/>"#));
        }
    }

    /// A filled shape, outlined with `pen`.
    pub fn polygon(&mut self, points: &[Point], fill: &str, pen: Pen) {
        let places = places(points);
        let pen = pen.attributes();
        self.put(format_args!(r#"<polygon points="{places}" fill="{fill}" stroke-linejoin="round" {pen}/>"#));
    }

    /// A filled shape without an outline.
    pub fn patch(&mut self, points: &[Point], fill: &str) {
        let places = places(points);
        self.put(format_args!(r#"<polygon points="{places}" fill="{fill}"/>"#));
    }

    /// Filled shapes side by side, without seams where they touch.
    pub fn patches(&mut self, shapes: &[Vec<Point>], fill: &str) {
        if !shapes.is_empty() {
            let outline: String = shapes.iter().map(|shape| format!("M{}Z", places(shape))).collect();
            self.put(format_args!(r#"<path d="{outline}" fill="{fill}"/>"#));
        }
    }

    /// A filled rectangle.
    pub fn fill(&mut self, area: Area, fill: &str) {
        let [x, y] = [area.left, area.top].map(number);
        let [width, height] = [(area.right - area.left).max(0.0), (area.bottom - area.top).max(0.0)].map(number);
        self.put(format_args!(r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>"#));
    }

    /// A filled circle, outlined with `pen`.
    pub fn circle(&mut self, centre: Point, radius: f64, fill: &str, pen: Pen) {
        let [x, y, radius] = [centre.x, centre.y, radius].map(number);
        self.put(format_args!(r#"<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}" {}/>"#, pen.attributes()));
    }

    /// One line of text.
    pub fn text(&mut self, place: Point, text: &str, style: Type) {
        let [x, y, size] = [place.x, place.y, style.size].map(number);
        let anchor = match style.anchor {
            Anchor::Start => "",
            Anchor::Middle => r#" text-anchor="middle""#,
            Anchor::End => r#" text-anchor="end""#,
        };
        let weight = if style.bold { r#" font-weight="bold""# } else { "" };
        let turn = match style.turn_deg {
            0.0 => String::new(),
            degrees => format!(r#" transform="rotate({} {x} {y})""#, number(degrees)),
        };
        let (colour, text) = (style.colour, escape(text));
        self.put(format_args!(
            r#"<text x="{x}" y="{y}" font-size="{size}" fill="{colour}"{anchor}{weight}{turn}>{text}</text>"#
        ));
    }

    /// What `draw` adds, shown under `tooltip` where a pointer rests on it.
    pub fn group(&mut self, tooltip: &str, draw: impl FnOnce(&mut Self)) {
        self.tagged("<g>", tooltip, draw);
    }

    /// The same of a reed or a note, which whoever shows the chart finds by `data-WHAT` and its name.
    pub fn group_of(&mut self, what: &str, name: &str, tooltip: &str, draw: impl FnOnce(&mut Self)) {
        self.tagged(&format!("<g data-{what}=\"{}\">", escape(name)), tooltip, draw);
    }

    fn tagged(&mut self, tag: &str, tooltip: &str, draw: impl FnOnce(&mut Self)) {
        self.put(format_args!("{tag}<title>{}</title>", escape(tooltip)));
        draw(self);
        self.put(format_args!("</g>"));
    }

    /// The whole document, with its name and description for those who cannot see it.
    pub fn finish(self, width: f64, height: f64, title: &str, description: &str) -> String {
        let [width, height] = [width, height].map(number);
        let (title, description, body) = (escape(title), escape(description), self.body);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
             font-family=\"{FONTS}\">\n<title>{title}</title>\n<desc>{description}</desc>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n{body}</svg>\n",
            palette::PAPER
        )
    }
}

fn places(points: &[Point]) -> String {
    points.iter().map(|point| format!("{},{}", number(point.x), number(point.y))).collect::<Vec<_>>().join(" ")
}

/// A coordinate to a hundredth of a unit, as short as it can be written.
fn number(value: f64) -> String {
    debug_assert!(value.is_finite(), "a coordinate is {value}");
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// Text as XML takes it; characters XML has no place for become a replacement mark.
fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            '\u{fffe}' | '\u{ffff}' => escaped.push('\u{fffd}'),
            other if other.is_control() => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}
