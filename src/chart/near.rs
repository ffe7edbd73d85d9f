//! Labels beside the points they name, moved apart and joined to them by a fine line where they had to move far.

use super::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use super::{palette, text};

const SIZE: f64 = 12.0;
/// How far from its point a label may begin.
const DISTANCES: [f64; 9] = [9.0, 13.0, 18.0, 25.0, 34.0, 46.0, 62.0, 84.0, 112.0];
/// Directions to try, the most legible first.
const DIRECTIONS: [(f64, f64); 8] =
    [(1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (0.8, -0.6), (-0.8, -0.6), (0.8, 0.6), (-0.8, 0.6)];

/// A point and what to say about it: the whole, and the least that is of use.
pub(super) struct NearLabel {
    pub point: Point,
    pub whole: String,
    pub least: String,
}

/// Keeps track of what is taken.
pub(super) struct Placer {
    bounds: Area,
    taken: Vec<Area>,
}

impl Placer {
    /// Labels may stand anywhere in `bounds` but on the areas `taken`.
    pub fn new(bounds: Area, taken: Vec<Area>) -> Self {
        Self { bounds, taken }
    }

    /// Places the labels in the order given; returns how many found no place.
    pub fn draw(mut self, marks: &mut Marks, labels: &[NearLabel]) -> usize {
        labels.iter().filter(|label| !self.draw_one(marks, label)).count()
    }

    fn draw_one(&mut self, marks: &mut Marks, label: &NearLabel) -> bool {
        [&label.whole, &label.least].into_iter().any(|words| {
            let Some((area, leader)) = self.room_for(words, label.point) else { return false };
            if let Some((from, to)) = leader {
                marks.line(from, to, pen(palette::SOFT_INK, 0.8));
                self.taken.extend(along(from, to));
            }
            marks.text(at(area.left + 2.0, area.bottom - 0.25 * SIZE - 1.0), words, plain(SIZE));
            self.taken.push(area);
            true
        })
    }

    fn room_for(&self, words: &str, point: Point) -> Option<(Area, Option<(Point, Point)>)> {
        let size = text::area(words, SIZE, at(0.0, 0.0), Anchor::Start);
        let half_wide = (size.right - size.left) / 2.0 + 2.0;
        let half_high = (size.bottom - size.top) / 2.0 + 1.0;
        let places = DISTANCES.iter().flat_map(|distance| DIRECTIONS.map(|direction| (*distance, direction)));
        places
            .map(|(distance, (dx, dy))| {
                let centre =
                    at(point.x + distance * dx + half_wide * sign(dx), point.y + distance * dy + half_high * sign(dy));
                let area = Area {
                    left: centre.x - half_wide,
                    right: centre.x + half_wide,
                    top: centre.y - half_high,
                    bottom: centre.y + half_high,
                };
                let nearest = at(point.x.clamp(area.left, area.right), point.y.clamp(area.top, area.bottom));
                let edge = at(point.x + 7.0 * dx, point.y + 7.0 * dy);
                (area, (distance > DISTANCES[0]).then_some((edge, nearest)))
            })
            .find(|(area, leader)| {
                let free = |area: &Area| !self.taken.iter().any(|taken| taken.overlaps(area));
                self.bounds.holds(area) && free(area) && leader.is_none_or(|(a, b)| along(a, b).all(|dot| free(&dot)))
            })
    }
}

fn sign(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value.signum() }
}

/// Small areas that cover a line.
fn along(from: Point, to: Point) -> impl Iterator<Item = Area> {
    (0..=12).map(move |k| {
        let share = f64::from(k) / 12.0;
        Area::around(at(from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)), 1.5)
    })
}
