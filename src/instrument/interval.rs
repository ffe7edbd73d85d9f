//! Intervals of two notes, and how fast they beat.

/// A consonant interval: its semitones, its name, and the just ratio of upper to lower.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// Semitones.
    pub semitones: i32,
    /// Its name.
    pub name: &'static str,
    /// Just ratio: the partial of the lower note, over that of the upper, that lie together.
    pub ratio: (u32, u32),
}

const fn interval(semitones: i32, name: &'static str, over: u32, under: u32) -> Interval {
    Interval { semitones, name, ratio: (over, under) }
}

impl Interval {
    /// Those whose beats are heard.
    pub const ALL: [Self; 10] = [
        interval(0, "unison", 1, 1),
        interval(3, "minor third", 6, 5),
        interval(4, "major third", 5, 4),
        interval(5, "fourth", 4, 3),
        interval(7, "fifth", 3, 2),
        interval(8, "minor sixth", 8, 5),
        interval(9, "major sixth", 5, 3),
        interval(12, "octave", 2, 1),
        interval(16, "tenth", 5, 2),
        interval(19, "twelfth", 3, 1),
    ];

    /// The interval of so many semitones, where it is one of these.
    pub fn of(semitones: i32) -> Option<Self> {
        Self::ALL.into_iter().find(|interval| interval.semitones == semitones)
    }

    /// Beats per second of two notes whose partials lie together in the just interval `n:m`: `|m f_upper - n f_lower|`.
    pub fn beats_per_s(&self, lower_hz: f64, upper_hz: f64) -> f64 {
        self.difference_hz(lower_hz, upper_hz).abs()
    }

    /// The same with its sign: above zero where the interval is wider than just.
    pub fn difference_hz(&self, lower_hz: f64, upper_hz: f64) -> f64 {
        let (over, under) = self.ratio;
        f64::from(under) * upper_hz - f64::from(over) * lower_hz
    }
}

#[cfg(test)]
mod tests {
    use super::Interval;
    use crate::sheet::{Note, Tuning};

    /// Beats in equal temperament at A4 = 440 Hz as piano tuners' tables give them (W. B. White, *Piano Tuning and Allied
    /// Arts*, 1946; the values from memory).
    #[test]
    fn beats_are_those_of_tuners_tables() {
        let table = [
            ("F3", "A3", 6.93),
            ("A3", "C#4", 8.73),
            ("F3", "D4", 7.92),
            ("A3", "D4", 0.99),
            ("A3", "E4", 0.74),
            ("C4", "E4", 10.38),
            ("C4", "G4", 0.89),
            ("E4", "G4", 17.79),
            ("A3", "A4", 0.0),
        ];
        for (lower, upper, beats) in table {
            let [lower, upper] = [lower, upper].map(|name| Note::parse(name).unwrap());
            let [f1, f2] = [lower, upper].map(|note| Tuning::default().frequency_hz(note));
            let found = Interval::of(upper.midi() - lower.midi()).unwrap().beats_per_s(f1, f2);
            assert!((found - beats).abs() < 0.0051, "{lower} {upper}: {found}");
        }
    }
}
