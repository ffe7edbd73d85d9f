//! Steps and lines of equal value on a grid (marching triangles): each cell of the grid is cut into four triangles that
//! meet in its middle, at the mean of its corners, and in each the field is a plane. A cell with a missing corner has only
//! the quarters of the corners that are known.

use std::collections::BTreeMap;

use crate::chart::marks::{Point, at};

/// A place and the height of the field there.
type Node = (Point, f64);

/// The corners of a cell of the grid, one after the other round it, and whether each height is known.
type Cell = [(Node, bool); 4];

/// A field on a grid.
pub(super) struct Field {
    xs: Vec<f64>,
    ys: Vec<f64>,
    /// Height and whether it is known, `[row][column]`.
    heights: Vec<Vec<(f64, bool)>>,
}

impl Field {
    /// The field over the places of columns and rows, with the heights `[row][column]`, missing where there is none.
    ///
    /// A missing height beside known ones is guessed: it bends the field within the quarters of cells that are drawn, and is
    /// itself not drawn.
    pub fn new(xs: Vec<f64>, ys: Vec<f64>, heights: &[Vec<Option<f64>>]) -> Self {
        let filled = |j: usize, i: usize| match heights[j][i] {
            Some(height) => (height, true),
            None => (beside(heights, j, i), false),
        };
        let heights = (0..ys.len()).map(|j| (0..xs.len()).map(|i| filled(j, i)).collect()).collect();
        Self { xs, ys, heights }
    }

    /// The shapes of each step between rising `levels`: one more than there are levels, the lowest first.
    pub fn steps(&self, levels: &[f64]) -> Vec<Vec<Vec<Point>>> {
        let mut steps = vec![Vec::new(); levels.len() + 1];
        let step_of = |height: f64| levels.partition_point(|level| *level <= height);
        for cell in self.cells() {
            let corners = cell.map(|(node, _)| node);
            let step = step_of(corners[0].1);
            if is_whole(&cell) && corners.iter().all(|(_, height)| step_of(*height) == step) {
                steps[step].push(corners.map(|(place, _)| place).to_vec());
            } else {
                triangles(&cell).iter().for_each(|triangle| cut(triangle, levels, &mut steps));
            }
        }
        steps
    }

    /// The lines along which the field is at `level`.
    pub fn lines(&self, level: f64) -> Vec<Vec<Point>> {
        let triangles = self.cells().flat_map(|cell| triangles(&cell));
        join(triangles.filter_map(|triangle| crossing(&triangle, level)).filter(|(a, b)| a != b).collect())
    }

    /// The four corners of each cell, one after the other round it.
    fn cells(&self) -> impl Iterator<Item = Cell> + '_ {
        let node = |row: usize, column: usize| {
            let (height, is_known) = self.heights[row][column];
            ((at(self.xs[column], self.ys[row]), height), is_known)
        };
        let rows = 1..self.ys.len();
        rows.flat_map(move |j| {
            (1..self.xs.len()).map(move |i| [node(j - 1, i - 1), node(j - 1, i), node(j, i), node(j, i - 1)])
        })
    }
}

/// A missing height by going straight on from the known ones on each side, or else the mean of the corners around it;
/// zero if none is known.
fn beside(heights: &[Vec<Option<f64>>], row: usize, column: usize) -> f64 {
    let height = |dj: isize, di: isize| -> Option<f64> {
        let (j, i) = (row.checked_add_signed(dj)?, column.checked_add_signed(di)?);
        heights.get(j)?.get(i).copied().flatten()
    };
    let straight = |(dj, di): (isize, isize)| {
        let near = height(dj, di)?;
        Some(height(2 * dj, 2 * di).map_or(near, |far| 2.0 * near - far))
    };
    let sides: Vec<f64> = [(0, 1), (0, -1), (1, 0), (-1, 0)].into_iter().filter_map(straight).collect();
    let corners = [(1, 1), (1, -1), (-1, 1), (-1, -1)].into_iter().filter_map(|(dj, di)| height(dj, di));
    let known = if sides.is_empty() { corners.collect() } else { sides };
    known.iter().sum::<f64>() / known.len().max(1) as f64
}

fn is_whole(cell: &Cell) -> bool {
    cell.iter().all(|(_, is_known)| *is_known)
}

/// The plane pieces of a cell: four triangles about its middle, or two for the quarter of each corner that is known.
fn triangles(cell: &Cell) -> Vec<[Node; 3]> {
    let corners = cell.map(|(node, _)| node);
    let middle = mean(&corners);
    if is_whole(cell) {
        return (0..4).map(|k| [corners[k], corners[(k + 1) % 4], middle]).collect();
    }
    let quarter = |k: usize| {
        let side = |l: usize| mean(&[corners[k], corners[l % 4]]);
        [[corners[k], side(k + 1), middle], [side(k + 3), corners[k], middle]]
    };
    (0..4).filter(|k| cell[*k].1).flat_map(quarter).collect()
}

fn mean(nodes: &[Node]) -> Node {
    let of = |value: fn(&Node) -> f64| nodes.iter().map(value).sum::<f64>() / nodes.len() as f64;
    (at(of(|node| node.0.x), of(|node| node.0.y)), of(|node| node.1))
}

/// Cuts a triangle at the levels and adds its parts to the steps they belong to.
fn cut(triangle: &[Node; 3], levels: &[f64], steps: &mut [Vec<Vec<Point>>]) {
    let mut rest = triangle.to_vec();
    for (step, level) in levels.iter().enumerate() {
        let below = clip(&rest, |height| level - height);
        rest = clip(&rest, |height| height - level);
        add(&below, &mut steps[step]);
    }
    add(&rest, &mut steps[levels.len()]);
}

fn add(shape: &[Node], step: &mut Vec<Vec<Point>>) {
    if shape.len() > 2 {
        step.push(shape.iter().map(|(place, _)| *place).collect());
    }
}

/// The part of a shape where `inside` of the height is not negative (Sutherland and Hodgman 1974).
fn clip(shape: &[Node], inside: impl Fn(f64) -> f64) -> Vec<Node> {
    let mut kept = Vec::new();
    for k in 0..shape.len() {
        let (from, to) = (shape[k], shape[(k + 1) % shape.len()]);
        let (a, b) = (inside(from.1), inside(to.1));
        if a >= 0.0 {
            kept.push(from);
        }
        if a * b < 0.0 {
            kept.push(between(from, to, a / (a - b)));
        }
    }
    kept
}

fn between(from: Node, to: Node, share: f64) -> Node {
    let place = at(from.0.x + share * (to.0.x - from.0.x), from.0.y + share * (to.0.y - from.0.y));
    (place, from.1 + share * (to.1 - from.1))
}

/// Where a triangle is at the level, if it is on both sides of it.
fn crossing(triangle: &[Node; 3], level: f64) -> Option<(Point, Point)> {
    let is_above = |node: &Node| node.1 >= level;
    let mut found = [(0, 1), (1, 2), (2, 0)].into_iter().filter_map(|(k, l)| {
        // Always from the lower end, so that neighbours find the same place to the last bit.
        let (mut from, mut to) = (triangle[k], triangle[l]);
        if is_above(&from) {
            std::mem::swap(&mut from, &mut to);
        }
        (is_above(&from) != is_above(&to)).then(|| between(from, to, (level - from.1) / (to.1 - from.1)).0)
    });
    Some((found.next()?, found.next()?))
}

/// Pieces joined end to end into lines as long as can be.
fn join(pieces: Vec<(Point, Point)>) -> Vec<Vec<Point>> {
    let mut by_end: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (index, (a, b)) in pieces.iter().enumerate() {
        by_end.entry(key(*a)).or_default().push(index);
        by_end.entry(key(*b)).or_default().push(index);
    }
    let mut is_used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    for start in 0..pieces.len() {
        if std::mem::replace(&mut is_used[start], true) {
            continue;
        }
        let mut line = vec![pieces[start].0, pieces[start].1];
        for _ in 0..2 {
            while let Some(next) = next_piece(line[line.len() - 1], &by_end, &is_used) {
                is_used[next] = true;
                let (a, b) = pieces[next];
                line.push(if key(a) == key(line[line.len() - 1]) { b } else { a });
            }
            line.reverse();
        }
        lines.push(line);
    }
    lines
}

fn next_piece(end: Point, by_end: &BTreeMap<[i64; 2], Vec<usize>>, is_used: &[bool]) -> Option<usize> {
    by_end.get(&key(end))?.iter().copied().find(|index| !is_used[*index])
}

/// A place to a ten-thousandth of a unit.
fn key(place: Point) -> [i64; 2] {
    [place.x, place.y].map(|value| (value * 1e4).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(shape: &[Point]) -> f64 {
        let pairs = (0..shape.len()).map(|k| (shape[k], shape[(k + 1) % shape.len()]));
        0.5 * pairs.map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs()
    }

    fn field(height: impl Fn(f64, f64) -> Option<f64>) -> Field {
        let xs: Vec<f64> = (0..=20).map(f64::from).collect();
        let heights: Vec<Vec<_>> = xs.iter().map(|y| xs.iter().map(|x| height(*x, *y)).collect()).collect();
        Field::new(xs.clone(), xs, &heights)
    }

    #[test]
    fn the_steps_of_a_plane_have_the_areas_of_its_strips() {
        let steps = field(|x, y| Some(x + 0.0 * y)).steps(&[5.0, 12.5]);
        let areas: Vec<f64> = steps.iter().map(|step| step.iter().map(|shape| area(shape)).sum()).collect();
        for (found, expected) in areas.iter().zip([100.0, 150.0, 150.0]) {
            assert!((found - expected).abs() < 1e-9, "{areas:?}");
        }
    }

    #[test]
    fn a_ring_is_one_closed_line_near_its_circle() {
        let lines = field(|x, y| Some((x - 10.0).hypot(y - 10.0))).lines(6.3);
        assert_eq!(lines.len(), 1);
        let line = &lines[0];
        assert_eq!(key(line[0]), key(line[line.len() - 1]));
        // Between nodes a unit apart a straight line is within 1/(8 r) of a circle of radius r.
        assert!(line.iter().all(|p| ((p.x - 10.0).hypot(p.y - 10.0) - 6.3).abs() < 0.03));
    }

    #[test]
    fn holes_are_left_out_but_for_the_quarters_of_known_corners() {
        let whole = field(|x, y| (x != 10.0 || y != 10.0).then_some(1.0)).steps(&[]);
        let covered: f64 = whole[0].iter().map(|shape| area(shape)).sum();
        assert!((covered - (400.0 - 1.0)).abs() < 1e-9);
    }
}
