//! Words set directly beside the lines and marks they name, where they cover nothing else.

use super::marks::{Anchor, Area, Marks, Point, Type, at, pen, plain};
use super::text;

const SIZE: f64 = 12.5;
/// Distance of words from what they name.
const NEAR: [f64; 6] = [5.0, 9.0, 15.0, 24.0, 38.0, 56.0];
/// Words further away than this are joined to their place by a fine line.
const FAR: f64 = 20.0;
/// Distance of words from other lines than their own, where there is such a place.
const APART: f64 = 12.0;
/// Half the room kept free around a line.
const HALF_LINE: f64 = 2.0;
/// Places tried along a line.
const PLACES: usize = 40;
/// Directions to try, the most legible first.
const DIRECTIONS: [(f64, f64); 6] = [(0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (1.0, -1.0), (-1.0, -1.0)];

/// The same around a mark.
const ROUND: [(f64, f64); 8] =
    [(1.0, 0.0), (-1.0, 0.0), (1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0), (0.0, -1.0), (0.0, 1.0)];

/// Keeps track of what is taken.
pub(super) struct Words {
    bounds: Area,
    taken: Vec<Area>,
    /// How many words found no place.
    pub left_out: usize,
}

impl Words {
    /// Words may stand anywhere in `bounds`.
    pub fn new(bounds: Area) -> Self {
        Self { bounds, taken: Vec::new(), left_out: 0 }
    }

    /// No words on this area.
    pub fn keep_off(&mut self, area: Area) {
        self.taken.push(area);
    }

    /// No words on this line.
    pub fn keep_off_line(&mut self, points: &[Point]) {
        self.taken.extend(covering(points));
    }

    /// Names a line, from its far end back: where no other line is near, if there is such a place.
    pub fn beside_line(&mut self, marks: &mut Marks, line: &[Point], words: &str, colour: &'static str) {
        let own = covering(line);
        let others: Vec<Area> = self.taken.iter().filter(|taken| !own.contains(taken)).copied().collect();
        let is_apart = |area: &Area| {
            let wide = Area { top: area.top - APART, bottom: area.bottom + APART, ..*area };
            !others.iter().any(|other| other.overlaps(&wide))
        };
        let along = places(line);
        let end = along.last().map(|end| (*end, vec![(1.0, 0.0)]));
        let rest = along.iter().rev().skip(1).map(|place| (*place, DIRECTIONS.to_vec()));
        let candidates: Vec<_> = end.into_iter().chain(rest).collect();
        let style = plain(SIZE).coloured(colour);
        let apart = self.room(&candidates, &NEAR[..2], words, style, is_apart);
        let room = apart.or_else(|| self.room(&candidates, &NEAR, words, style, |_| true));
        self.set(marks, room, words, style);
    }

    /// Names a mark that reaches `reach` each way.
    pub fn beside_point(&mut self, marks: &mut Marks, point: Point, reach: f64, words: &str, style: Type) {
        self.keep_off(Area::around(point, reach));
        let sides = ROUND.map(|(dx, dy)| (at(point.x + reach * dx, point.y + reach * dy), vec![(dx, dy)]));
        let room = self.room(&sides, &NEAR, words, style, |_| true);
        self.set(marks, room, words, style);
    }

    /// The first free room for words near one of the places, and the place.
    fn room(
        &self,
        places: &[(Point, Vec<(f64, f64)>)],
        distances: &[f64],
        words: &str,
        style: Type,
        is_good: impl Fn(&Area) -> bool,
    ) -> Option<(Area, Point)> {
        distances.iter().find_map(|distance| {
            places.iter().find_map(|(place, directions)| {
                let mut rooms = directions.iter().map(|way| beside(*place, *way, *distance, words, style));
                rooms.find(|area| self.is_free(area) && is_good(area)).map(|area| (area, *place))
            })
        })
    }

    fn set(&mut self, marks: &mut Marks, room: Option<(Area, Point)>, words: &str, style: Type) {
        let Some((area, place)) = room else {
            self.left_out += 1;
            return;
        };
        let nearest = at(place.x.clamp(area.left, area.right), place.y.clamp(area.top, area.bottom));
        if (nearest.x - place.x).hypot(nearest.y - place.y) > FAR {
            marks.line(place, nearest, pen(style.colour, 0.8));
        }
        marks.text(at(area.left, area.bottom - 0.25 * style.size), words, style.anchored(Anchor::Start));
        self.taken.push(area);
    }

    fn is_free(&self, area: &Area) -> bool {
        self.bounds.holds(area) && !self.taken.iter().any(|taken| taken.overlaps(area))
    }
}

/// Small areas that cover a line.
fn covering(points: &[Point]) -> Vec<Area> {
    let mut areas = Vec::new();
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let steps = ((to.x - from.x).hypot(to.y - from.y) / (2.0 * HALF_LINE)).ceil().max(1.0);
        areas.extend((0..=steps as usize).map(|k| {
            let share = k as f64 / steps;
            Area::around(at(from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)), HALF_LINE)
        }));
    }
    areas
}

/// The room of words that stand `near` a place in a direction.
fn beside(place: Point, (dx, dy): (f64, f64), near: f64, words: &str, style: Type) -> Area {
    let bold = if style.bold { 1.08 } else { 1.0 };
    let size = text::area(words, bold * style.size, at(0.0, 0.0), Anchor::Start);
    let (half_wide, half_high) = ((size.right - size.left) / 2.0, (size.bottom - size.top) / 2.0);
    let centre = at(place.x + dx * (near + half_wide), place.y + dy * (near + half_high));
    Area {
        left: centre.x - half_wide,
        right: centre.x + half_wide,
        top: centre.y - half_high,
        bottom: centre.y + half_high,
    }
}

/// Places along a line, evenly spread from its beginning to its end.
pub(super) fn places(line: &[Point]) -> Vec<Point> {
    let lengths: Vec<f64> = line.windows(2).map(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y)).collect();
    let whole: f64 = lengths.iter().sum();
    if whole <= 0.0 {
        return line.last().copied().into_iter().collect();
    }
    let mut places = Vec::new();
    let (mut walked, mut leg) = (0.0, 0);
    for k in 0..=PLACES {
        let wanted = whole * k as f64 / PLACES as f64;
        while leg + 1 < lengths.len() && walked + lengths[leg] < wanted {
            walked += lengths[leg];
            leg += 1;
        }
        let share = if lengths[leg] > 0.0 { ((wanted - walked) / lengths[leg]).min(1.0) } else { 0.0 };
        let (from, to) = (line[leg], line[leg + 1]);
        places.push(at(from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)));
    }
    places
}
