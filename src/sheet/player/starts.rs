//! Players to start from: round numbers, made up, until one's own are measured.

use crate::units::PA_PER_MM_WATER;

/// A made-up player: values at C4 and at C7, between them as a [`NoteCurve`](crate::sheet::NoteCurve) runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Its name in `[player] start`.
    pub name: &'static str,
    /// Who it is, in words.
    pub words: &'static str,
    /// Mouth pressure of soft, normal and hard playing (cm of water), each at C4 and at C7.
    pub pressures_cmh2o: [(f64, f64); 3],
    /// Time a reed may take to speak (ms), at C4 and at C7.
    pub time_allowed_ms: (f64, f64),
    /// Rise time of an attack (ms).
    pub attack_rise_ms: f64,
}

/// The players to start from: soft 1 to 3, normal 4 to 8, hard 12 to 20 cm of water, rising a little with pitch, which is what
/// lungs give (common practice, no source). No measurement stands behind them, so every number is listed as assumed.
pub const STARTS: [Start; 3] = [
    Start {
        name: "gentle",
        words: "breathes more than blows, slow airs",
        pressures_cmh2o: [(1.0, 1.5), (4.0, 5.0), (12.0, 14.0)],
        time_allowed_ms: (200.0, 300.0),
        attack_rise_ms: 20.0,
    },
    Start {
        name: "even",
        words: "between the two; assumed where no player is described",
        pressures_cmh2o: [(1.5, 2.5), (5.0, 6.5), (14.0, 17.0)],
        time_allowed_ms: (150.0, 250.0),
        attack_rise_ms: 10.0,
    },
    Start {
        name: "strong",
        words: "a loud, quick player",
        pressures_cmh2o: [(2.0, 3.0), (6.0, 8.0), (16.0, 20.0)],
        time_allowed_ms: (100.0, 180.0),
        attack_rise_ms: 5.0,
    },
];

impl Start {
    /// The one that is assumed where none is named.
    pub const USUAL: Self = STARTS[1];

    /// Mouth pressures of soft, normal and hard playing (Pa), each at C4 and at C7.
    pub fn pressures_pa(self) -> [(f64, f64); 3] {
        let pa = |cm: f64| 10.0 * PA_PER_MM_WATER * cm;
        self.pressures_cmh2o.map(|(low, high)| (pa(low), pa(high)))
    }

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
            let [soft, normal, hard] = start.pressures_cmh2o.map(ends);
            for (pressures, (least, most)) in
                [soft, normal, hard].into_iter().zip([(1.0, 3.0), (4.0, 8.0), (12.0, 20.0)])
            {
                assert!(least <= pressures[0] && pressures[0] < pressures[1] && pressures[1] <= most, "{}", start.name);
            }
            assert!((0..2).all(|end| soft[end] < normal[end] && normal[end] < hard[end]), "{}", start.name);
            assert_eq!(Start::find(&start.name.to_uppercase()), Some(start));
        }
        for pair in STARTS.windows(2) {
            for (below, above) in pair[0].pressures_cmh2o.into_iter().zip(pair[1].pressures_cmh2o) {
                assert!(below.0 < above.0 && below.1 < above.1);
            }
            assert!(pair[0].attack_rise_ms > pair[1].attack_rise_ms);
        }
        assert_eq!(Start::find("wild"), None);
    }
}
