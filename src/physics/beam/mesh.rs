//! Elements along the tongue, and the stretches of each over which its section is linear.

use super::Beam;

/// Spans between stations that get elements of their own, at the most. A finer scan is integrated inside the elements.
const MOST_SPANS: usize = 24;
/// Elements of such a span at the least: the section may change as much over a short span as over a long one.
const FEWEST: usize = 4;
/// How many times finer the elements are where kinks of the section lie inside them: with 40 elements asked for, a scan of
/// 300 stations and more errs by under 1e-7 of the first frequency (tested).
const FINER: usize = 3;

/// A stretch inside one element over which width and thickness are linear.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    /// Where it begins and ends in its element, 0 to 1.
    x: [f64; 2],
    width: [f64; 2],
    thickness: [f64; 2],
}

impl Piece {
    /// Place in the element, weight, width and thickness at each point of a rule on 0..1.
    pub(super) fn points<const N: usize>(self, rule: [(f64, f64); N]) -> [(f64, f64, f64, f64); N] {
        let between = |ends: [f64; 2], u: f64| ends[0] + (ends[1] - ends[0]) * u;
        rule.map(|(u, weight)| {
            let part = weight * (self.x[1] - self.x[0]);
            (between(self.x, u), part, between(self.width, u), between(self.thickness, u))
        })
    }
}

/// Elements and their pieces.
#[derive(Debug)]
pub(super) struct Mesh {
    /// Ends of the elements (m).
    pub(super) nodes: Vec<f64>,
    pieces: Vec<Piece>,
    /// First piece of each element, and one past the last.
    first: Vec<usize>,
}

impl Mesh {
    /// Element ends at the stations as long as these are few; else only at the largest steps of the section, and all finer.
    /// Each span is cut evenly, `elements` or a few more in all.
    pub(super) fn new(beam: &Beam, elements: usize) -> Self {
        let breaks = beam.breaks();
        let nodes = if breaks.len() <= MOST_SPANS + 1 {
            nodes(&breaks, beam.length_m, elements)
        } else {
            let steps = super::breaks(beam.length_m, largest_steps(beam).into_iter());
            nodes(&steps, beam.length_m, FINER * elements)
        };
        let places = super::breaks(beam.length_m, breaks.into_iter().chain(nodes.iter().copied()));
        let (mut pieces, mut first) = (Vec::with_capacity(places.len()), vec![0]);
        for ends in places.windows(2) {
            let middle = 0.5 * (ends[0] + ends[1]);
            while middle > nodes[first.len()] {
                first.push(pieces.len());
            }
            let (from, to) = (nodes[first.len() - 1], nodes[first.len()]);
            pieces.push(Piece {
                x: [ends[0], ends[1]].map(|s| ((s - from) / (to - from)).clamp(0.0, 1.0)),
                width: [ends[0], ends[1]].map(|s| beam.width_m.at_within(s, middle)),
                thickness: [ends[0], ends[1]].map(|s| beam.thickness_m.at_within(s, middle)),
            });
        }
        first.push(pieces.len());
        Self { nodes, pieces, first }
    }

    /// Length (m) and pieces of each element.
    pub(super) fn elements(&self) -> impl DoubleEndedIterator<Item = (f64, &[Piece])> + '_ {
        let pieces = self.first.windows(2).map(|w| &self.pieces[w[0]..w[1]]);
        let lengths = self.nodes.windows(2).map(|w| w[1] - w[0]).collect::<Vec<_>>();
        lengths.into_iter().zip(pieces.collect::<Vec<_>>())
    }
}

/// Places of the largest steps of the section, by the ratio of its two values.
fn largest_steps(beam: &Beam) -> Vec<f64> {
    let stations = [&beam.width_m, &beam.thickness_m].into_iter().flat_map(|profile| profile.stations().windows(2));
    let step = |w: &[(f64, f64)]| (w[0].0 == w[1].0).then(|| (w[0].0, (w[1].1 / w[0].1).ln().abs()));
    let mut steps: Vec<(f64, f64)> = stations.filter_map(step).collect();
    steps.sort_by(|a, b| b.1.total_cmp(&a.1));
    steps.into_iter().take(MOST_SPANS - 1).map(|(place, _)| place).collect()
}

fn nodes(ends: &[f64], length: f64, elements: usize) -> Vec<f64> {
    let mut nodes = vec![0.0];
    let fewest = if ends.len() > 2 { FEWEST } else { 1 };
    for span in ends.windows(2) {
        let parts = ((span[1] - span[0]) / length * elements as f64 - 1e-9).ceil() as usize;
        let parts = parts.max(fewest);
        nodes.extend((1..parts).map(|k| span[0] + (span[1] - span[0]) * k as f64 / parts as f64));
        nodes.push(span[1]);
    }
    nodes
}
