//! The figures a reed is judged by.

use serde::{Deserialize, Serialize};

/// One figure of a reed, in the measure in which its doubt is added up: a logarithm where a ratio counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Figure {
    /// `ln` of the onset (Pa).
    Onset,
    /// `ln` of the softest pressure at which it speaks in time (Pa).
    Low,
    /// `ln` of the hardest (Pa).
    High,
    /// `ln` of the speaking time at the soft pressure (s).
    SoftTime,
    /// The same at the normal pressure.
    Time,
    /// The same at the hard pressure.
    HardTime,
    /// Growth of small motion at the soft pressure, over the time allowed (1): what can still be told of a reed that does
    /// not speak.
    SoftGrowth,
    /// Pitch at the normal pressure, above the target (cents).
    Pitch,
    /// Level at the normal pressure (dB at 1 m).
    Level,
    /// `ln` of the largest stress at the hard pressure (Pa).
    Stress,
    /// Least clearance when played, offset and turn included (m).
    Clearance,
}

impl Figure {
    /// How many there are.
    pub const COUNT: usize = 11;
}

/// The figures of a reed, where they exist.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Figures(pub(super) [Option<f64>; Figure::COUNT]);

impl Figures {
    /// One of them.
    pub fn get(&self, figure: Figure) -> Option<f64> {
        self.0[figure as usize]
    }

    /// Sets one; what is no number is left out.
    pub(super) fn set(&mut self, figure: Figure, value: Option<f64>) {
        self.0[figure as usize] = value.filter(|value| value.is_finite());
    }

    /// Whether another differs by so much that what lies between need not be straight: in a logarithm by a seventh, or in that
    /// one of them is missing.
    pub(super) fn is_far_from(&self, other: &Self) -> bool {
        const FAR: f64 = 0.15;
        const LOGARITHMS: [Figure; 6] =
            [Figure::Onset, Figure::Low, Figure::High, Figure::SoftTime, Figure::Time, Figure::HardTime];
        LOGARITHMS.iter().any(|figure| match (self.get(*figure), other.get(*figure)) {
            (Some(a), Some(b)) => (a - b).abs() > FAR,
            (a, b) => a.is_some() != b.is_some(),
        })
    }

    /// Figure by figure, where both exist.
    pub(super) fn minus(&self, other: &Self) -> Self {
        Self(std::array::from_fn(|k| Some(self.0[k]? - other.0[k]?)))
    }
}
