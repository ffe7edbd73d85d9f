//! A quantity that varies over pitch, given at a few notes.

use super::notes::Note;

/// Values at notes; between them the logarithm of the value is linear over the MIDI number, beyond them it is constant.
///
/// ```
/// use freereed::sheet::{Note, NoteCurve};
/// let note = |name| Note::parse(name).unwrap();
/// let soft = NoteCurve::new(vec![(note("C4"), 100.0), (note("C6"), 400.0)]).unwrap();
/// assert!((soft.at(note("C5")) - 200.0).abs() < 1e-9);
/// assert_eq!(soft.at(note("C3")), 100.0);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct NoteCurve {
    points: Vec<(Note, f64)>,
}

impl NoteCurve {
    /// A curve through points; none if there is no point, two at one note, or a value that is not positive.
    pub fn new(mut points: Vec<(Note, f64)>) -> Option<Self> {
        points.sort_by_key(|point| point.0);
        let twice = points.windows(2).any(|pair| pair[0].0 == pair[1].0);
        let positive = points.iter().all(|&(_, value)| value.is_finite() && value > 0.0);
        (!points.is_empty() && !twice && positive).then_some(Self { points })
    }

    /// The points, lowest note first.
    pub fn points(&self) -> &[(Note, f64)] {
        &self.points
    }

    /// The value at a note.
    pub fn at(&self, note: Note) -> f64 {
        let right = self.points.partition_point(|point| point.0 <= note);
        if right == 0 {
            return self.points[0].1;
        }
        let (low, below) = self.points[right - 1];
        let Some(&(high, above)) = self.points.get(right) else { return below };
        let share = f64::from(note.midi() - low.midi()) / f64::from(high.midi() - low.midi());
        below * (above / below).powf(share)
    }

    /// The same curve with every value multiplied by `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self { points: self.points.iter().map(|&(note, value)| (note, value * factor)).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_logarithm_is_linear_over_pitch() {
        let note = |midi| Note::from_midi(midi).unwrap();
        let curve = NoteCurve::new(vec![(note(96), 400.0), (note(60), 100.0), (note(72), 200.0)]).unwrap();
        assert!((curve.at(note(66)) - 100.0 * 2f64.sqrt()).abs() < 1e-9);
        assert!((curve.at(note(84)) - 200.0 * 2f64.sqrt()).abs() < 1e-9);
        assert_eq!((curve.at(note(0)), curve.at(note(72)), curve.at(note(127))), (100.0, 200.0, 400.0));
        assert_eq!(curve.scaled(1e-3).at(note(60)), 0.1);
    }

    #[test]
    fn what_is_no_curve_is_none() {
        let note = Note::from_midi(60).unwrap();
        assert!(NoteCurve::new(vec![]).is_none());
        assert!(NoteCurve::new(vec![(note, 1.0), (note, 2.0)]).is_none());
        assert!(NoteCurve::new(vec![(note, 0.0)]).is_none());
    }
}
