//! A finished chart, to be written or drawn.

use super::marks::{Mark, Marks};
use super::svg;

/// A finished chart: [as an SVG document](Self::to_svg), [as a PNG](super::png), or drawn by `plotters`
/// [on any area](Self::draw_on).
///
/// Its size and the places of its marks are in units of its own, of which the smallest letters are twelve high.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) title: String,
    pub(super) description: String,
    pub(super) marks: Vec<Mark>,
}

impl Picture {
    pub(super) fn new((width, height): (f64, f64), title: &str, description: &str, marks: Marks) -> Self {
        let (title, description) = (title.to_owned(), description.to_owned());
        Self { width, height, title, description, marks: marks.0 }
    }

    /// Width and height; any size of the same proportion shows it undistorted.
    pub fn size(&self) -> (f64, f64) {
        (self.width, self.height)
    }

    /// Its headline.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What it shows, for those who cannot see it.
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The picture as an SVG document that scales to any width. The same values always give the same bytes.
    pub fn to_svg(&self) -> String {
        svg::document(self)
    }
}
