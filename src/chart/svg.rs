//! A picture as an SVG document: escaped, with no dependence on a font being installed.

use std::fmt::Write;

use super::marks::{Anchor, Mark, Pen, Point, Type};
use super::palette;
use super::picture::Picture;

/// Fonts asked for, the most usual first; any sans-serif will do.
const FONTS: &str = "Helvetica Neue, Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif";

/// The whole document, with its name and description for those who cannot see it.
pub(super) fn document(picture: &Picture) -> String {
    let [width, height] = [picture.width, picture.height].map(number);
    let (title, description) = (escape(&picture.title), escape(&picture.description));
    let mut body = Body(String::new());
    body.all(&picture.marks);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         font-family=\"{FONTS}\">\n<title>{title}</title>\n<desc>{description}</desc>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n{}</svg>\n",
        palette::PAPER,
        body.0
    )
}

/// The elements written so far.
struct Body(String);

impl Body {
    fn put(&mut self, element: std::fmt::Arguments<'_>) {
        self.0.write_fmt(element).expect("a String takes any text");
        self.0.push('\n');
    }

    fn all(&mut self, marks: &[Mark]) {
        marks.iter().for_each(|mark| self.mark(mark));
    }

    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Line { from, to, pen } => {
                let ([x1, y1, x2, y2], pen) = ([from.x, from.y, to.x, to.y].map(number), stroke(pen));
                self.put(format_args!(r#"<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {pen}/>"#));
            }
            Mark::Path { points, pen } => {
                let (places, pen) = (places(points), stroke(pen));
                self.put(format_args!(r#"<polyline points="{places}" fill="none" stroke-linejoin="round" {pen}/>"#));
            }
            Mark::Shapes { shapes, fill, pen } => match (shapes.as_slice(), pen) {
                ([shape], Some(pen)) => {
                    let (places, pen) = (places(shape), stroke(pen));
                    self.put(format_args!(
                        r#"<polygon points="{places}" fill="{fill}" stroke-linejoin="round" {pen}/>"#
                    ));
                }
                ([shape], None) => self.put(format_args!(r#"<polygon points="{}" fill="{fill}"/>"#, places(shape))),
                (shapes, _) => {
                    let outline: String = shapes.iter().map(|shape| format!("M{}Z", places(shape))).collect();
                    self.put(format_args!(r#"<path d="{outline}" fill="{fill}"/>"#));
                }
            },
            Mark::Fill { area, fill } => {
                let [x, y] = [area.left, area.top].map(number);
                let [width, height] =
                    [(area.right - area.left).max(0.0), (area.bottom - area.top).max(0.0)].map(number);
                self.put(format_args!(r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>"#));
            }
            Mark::Circle { centre, radius, fill, pen } => {
                let ([x, y, radius], pen) = ([centre.x, centre.y, *radius].map(number), stroke(pen));
                self.put(format_args!(r#"<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}" {pen}/>"#));
            }
            Mark::Text { place, text, style } => self.text(*place, text, *style),
            Mark::Group { tooltip, of, marks } => {
                let of = of.as_ref().map(|(what, name)| format!(" data-{what}=\"{}\"", escape(name)));
                self.put(format_args!("<g{}><title>{}</title>", of.unwrap_or_default(), escape(tooltip)));
                self.all(marks);
                self.put(format_args!("</g>"));
            }
        }
    }

    fn text(&mut self, place: Point, text: &str, style: Type) {
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
}

fn stroke(pen: &Pen) -> String {
    let dash = if pen.dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", pen.dash) };
    format!("stroke=\"{}\" stroke-width=\"{}\"{dash}", pen.colour, number(pen.width))
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
