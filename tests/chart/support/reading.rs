//! What a reader finds on a chart.

use roxmltree::{Document, Node};

/// All words of a chart, one text a line.
pub fn words(svg: &str) -> String {
    let document = Document::parse(svg).unwrap();
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    texts.map(|node| format!("{}\n", node.text().unwrap_or_default())).collect()
}

#[track_caller]
pub fn assert_says(svg: &str, expected: &[&str]) {
    let words = words(svg);
    for line in expected {
        assert!(words.contains(line), "{line:?} is not in\n{words}");
    }
}

/// A chart of whatever kind is a document with finite coordinates.
pub fn check(svg: &str) {
    Document::parse(svg).unwrap();
    let mut coordinates = svg.split('"').skip(1).step_by(2);
    assert!(coordinates.all(|value| !value.contains("NaN") && !value.contains("inf")));
}

pub fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap_or_else(|| panic!("no {name} in {node:?}")).parse().unwrap()
}

/// An axis as its printed numbers show it.
pub struct Axis {
    ticks: Vec<(f64, f64)>,
    is_log: bool,
}

impl Axis {
    /// The upright axis: numbers that end at the left edge of the plot.
    pub fn upright(svg: &str, is_log: bool) -> Self {
        let document = Document::parse(svg).unwrap();
        let texts = document.descendants().filter(|node| node.attribute("text-anchor") == Some("end"));
        let ticks = texts.filter(|node| number(*node, "x") < 100.0);
        Self { ticks: ticks.filter_map(|node| Some((value(node)?, number(node, "y") - 4.2))).collect(), is_log }
    }

    /// The level axis: numbers in the lowest row of those that stand alone, above a title.
    pub fn level(svg: &str, is_log: bool) -> Self {
        let document = Document::parse(svg).unwrap();
        let texts = document.descendants().filter(|node| node.attribute("text-anchor") == Some("middle"));
        let numbers: Vec<_> = texts.filter(|node| value(*node).is_some()).collect();
        let lowest = numbers.iter().map(|node| number(*node, "y")).fold(0.0, f64::max);
        let row = numbers.into_iter().filter(|node| number(*node, "y") == lowest);
        Self { ticks: row.filter_map(|node| Some((value(node)?, number(node, "x")))).collect(), is_log }
    }

    /// The value at a place, by the ticks furthest apart.
    pub fn value_at(&self, place: f64) -> f64 {
        let along = |value: f64| if self.is_log { value.ln() } else { value };
        let by_value = |a: &&(f64, f64), b: &&(f64, f64)| a.0.total_cmp(&b.0);
        let (low, high) = (self.ticks.iter().min_by(by_value).unwrap(), self.ticks.iter().max_by(by_value).unwrap());
        let share = (place - low.1) / (high.1 - low.1);
        let found = along(low.0) + share * (along(high.0) - along(low.0));
        if self.is_log { found.exp() } else { found }
    }
}

fn value(node: Node<'_, '_>) -> Option<f64> {
    node.text()?.replace('−', "-").parse().ok()
}

/// Centres of the circles of a radius.
pub fn circles(svg: &str, radius: &str) -> Vec<[f64; 2]> {
    let document = Document::parse(svg).unwrap();
    let circles = document.descendants().filter(|node| node.attribute("r") == Some(radius));
    circles.map(|node| [number(node, "cx"), number(node, "cy")]).collect()
}

/// The points of every shape or line of a kind whose attribute has the value.
pub fn outlines(svg: &str, tag: &str, attribute: &str, wanted: &str) -> Vec<Vec<[f64; 2]>> {
    let document = Document::parse(svg).unwrap();
    let nodes =
        document.descendants().filter(|node| node.has_tag_name(tag) && node.attribute(attribute) == Some(wanted));
    let points = |node: Node<'_, '_>| {
        let pairs = node.attribute("points").unwrap().split(' ').map(|pair| pair.split_once(',').unwrap());
        pairs.map(|(x, y)| [x.parse().unwrap(), y.parse().unwrap()]).collect()
    };
    nodes.map(points).collect()
}
