//! Reeds to start from.

use freereed::physics::ReedModel;
use freereed::physics::onset::Search;
use freereed::sheet::ReedSpec;

fn onset_pa(spec: &ReedSpec) -> f64 {
    let checked = spec.checked().unwrap_or_else(|error| panic!("{error}"));
    let model = ReedModel::new(checked.reed).unwrap();
    model.onset(&Search::default()).expect("it speaks").pressure_pa
}

/// Each is a whole reed at its pitch that speaks, a higher one only when blown harder (section 7 of the model).
#[test]
fn harmonica_reeds_speak_at_their_pitch_the_higher_the_harder() {
    let onsets: Vec<f64> = [262.0, 370.0, 523.0, 740.0, 1047.0, 1480.0, 2093.0]
        .into_iter()
        .map(|pluck_hz| {
            let spec = ReedSpec::harmonica_like(pluck_hz);
            let checked = spec.checked().unwrap();
            let found_hz = checked.reed.beam.modes(1)[0].frequency_hz;
            assert!((found_hz / pluck_hz - 1.0).abs() < 1e-6, "{found_hz} for {pluck_hz}");
            let of_chamber = checked.assumed.iter().any(|assumed| assumed.key.contains("volume_mm3"));
            assert!(of_chamber, "the chamber is assumed, and said to be: {:?}", checked.assumed);
            onset_pa(&spec)
        })
        .collect();
    assert!(onsets.windows(2).all(|pair| pair[0] < pair[1]), "{onsets:?}");
}

/// Onset within a factor of three of 0.2 kPa for reeds of 100 to 200 Hz, as published observation of organ reeds has it.
#[test]
fn harmonium_reeds_start_as_published_ones_do() {
    for pluck_hz in [100.0, 150.0, 200.0] {
        let onset_pa = onset_pa(&ReedSpec::harmonium_like(pluck_hz));
        assert!((200.0 / 3.0..600.0).contains(&onset_pa), "{pluck_hz} Hz: {onset_pa} Pa");
    }
}

#[test]
fn a_pitch_no_reed_has_is_told() {
    for pluck_hz in [f64::NAN, f64::INFINITY, 0.0, -3.0, 1e6] {
        let error = ReedSpec::harmonica_like(pluck_hz).checked().unwrap_err().to_string();
        assert!(error.contains("measured_pluck_hz"), "{pluck_hz}: {error}");
        assert!(ReedSpec::harmonium_like(pluck_hz).checked().is_err());
    }
}
