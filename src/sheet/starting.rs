//! Reeds to start from without a file: invented, of sizes that are usual (common practice, no source).

use super::of_layout::Layout;
use super::reed_spec::ReedSpec;
use super::tuning::Tuning;
use super::value::rounded;

/// Pitch (Hz) of the first reed of [`ReedSpec::harmonica_like`] and of the one of [`ReedSpec::harmonium_like`].
const LOWEST_HZ: f64 = 262.0;
const HARMONIUM_HZ: f64 = 150.0;

impl ReedSpec {
    /// A reed as a chromatic harmonica of three octaves from C4 may have one at a plucked pitch (Hz): phosphor bronze, its
    /// thickness found from the pitch; length 17.5 mm at C4 and 3.4 mm less an octave, width 2.3 mm and 0.16 mm less, side
    /// clearance 30 um and 3 um less, tip gap 0.40 mm and 0.65 times that an octave up. Chamber and weight at the tip are assumed
    /// as of a mouth-blown set, and listed so. Below C4, and above C7, the same lines go on.
    ///
    /// Change what is known of yours with [`ReedSpec::with`], in millimetres, by the names of `freereed keys`.
    ///
    /// ```
    /// use freereed::sheet::ReedSpec;
    /// let checked = ReedSpec::harmonica_like(440.0).with("tip_gap_mm", 0.3).checked().unwrap();
    /// let pluck_hz = checked.reed.beam.modes(1)[0].frequency_hz;
    /// assert!((pluck_hz - 440.0).abs() < 0.01);
    /// ```
    pub fn harmonica_like(pluck_hz: f64) -> Self {
        let octaves = (pluck_hz / LOWEST_HZ).log2();
        let [length, width] = [17.5 - 3.4 * octaves, 2.3 - 0.16 * octaves];
        let [gap, clearance] = [0.40 * 0.65_f64.powf(octaves), 0.030 - 0.003 * octaves];
        let note = Tuning::default().nearest(pluck_hz).map(|near| near.note);
        let of_layout = note.map(|note| Layout::three_octaves().at(0, note));
        Self { of_layout, ..Self::of_sizes("harmonica-like reed", "C51000", [length, width, gap, clearance], pluck_hz) }
    }

    /// A reed as a harmonium may have one at a plucked pitch (Hz), on a windchest: brass, its thickness found from the pitch; 40
    /// mm long at 150 Hz and shorter as the root of the pitch, a ninth as wide, tip gap 1.2 mm and side clearance 60 um there
    /// and in proportion to the length elsewhere, plate 2.5 mm.
    pub fn harmonium_like(pluck_hz: f64) -> Self {
        let scale = (HARMONIUM_HZ / pluck_hz).sqrt();
        let sizes = [40.0, 40.0 / 9.0, 1.2, 0.06].map(|at_150_hz| scale * at_150_hz);
        Self::of_sizes("harmonium-like reed", "C26000", sizes, pluck_hz).with("plate_thickness_mm", 2.5)
    }

    fn of_sizes(name: &str, alloy: &str, sizes: [f64; 4], pluck_hz: f64) -> Self {
        let empty = Self::parse(name, "").expect("an empty file is one");
        let keys = ["length_mm", "width_mm", "tip_gap_mm", "side_clearance_mm"];
        let sized = keys.into_iter().zip(sizes).fold(empty, |spec, (key, mm)| spec.with(key, rounded(mm)));
        sized.with("alloy", alloy).with("measured_pluck_hz", pluck_hz)
    }
}
