//! Players to start from: round numbers, made up, until one's own are measured.

/// A made-up player: values at C4 and at C7, between them as a [`NoteCurve`](crate::sheet::NoteCurve) runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Its name in `[player] start`.
    pub name: &'static str,
    /// Who it is, in words.
    pub words: &'static str,
    /// Mouth pressure of soft, normal and hard playing (Pa), each at C4 and at C7.
    pub pressures_pa: [(f64, f64); 3],
    /// Time a reed may take to speak (ms), at C4 and at C7.
    pub time_allowed_ms: (f64, f64),
    /// Rise time of an attack (ms).
    pub attack_rise_ms: f64,
}

/// The players to start from. No measurement stands behind them, so every number is listed as assumed; they are chosen so
/// that a sound set, invented too, suits the even one.
pub const STARTS: [Start; 3] = [
    Start {
        name: "gentle",
        words: "breathes more than blows, slow airs",
        pressures_pa: [(110.0, 1400.0), (240.0, 2200.0), (500.0, 3500.0)],
        time_allowed_ms: (200.0, 300.0),
        attack_rise_ms: 20.0,
    },
    Start {
        name: "even",
        words: "between the two; assumed where no player is described",
        pressures_pa: [(160.0, 2300.0), (350.0, 3200.0), (750.0, 5500.0)],
        time_allowed_ms: (150.0, 250.0),
        attack_rise_ms: 10.0,
    },
    Start {
        name: "strong",
        words: "a loud, quick player",
        pressures_pa: [(250.0, 3000.0), (550.0, 4800.0), (1100.0, 8500.0)],
        time_allowed_ms: (100.0, 180.0),
        attack_rise_ms: 5.0,
    },
];

impl Start {
    /// The one that is assumed where none is named.
    pub const USUAL: Self = STARTS[1];

    /// The one of this name, in small letters or large.
    pub fn find(name: &str) -> Option<Self> {
        STARTS.into_iter().find(|start| start.name.eq_ignore_ascii_case(name))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_go_from_gentle_to_strong() {
        let ends = |pair: (f64, f64)| [pair.0, pair.1];
        for start in STARTS {
            let [soft, normal, hard] = start.pressures_pa.map(ends);
            assert!((0..2).all(|end| soft[end] < normal[end] && normal[end] < hard[end]), "{}", start.name);
            assert_eq!(Start::find(&start.name.to_uppercase()), Some(start));
        }
        for pair in STARTS.windows(2) {
            for (below, above) in pair[0].pressures_pa.into_iter().zip(pair[1].pressures_pa) {
                assert!(below.0 < above.0 && below.1 < above.1);
            }
            assert!(pair[0].attack_rise_ms > pair[1].attack_rise_ms);
        }
        assert_eq!(Start::find("wild"), None);
    }
}
