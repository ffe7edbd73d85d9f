//! Sizes that were not measured are read off the run of the neighbours in pitch.

use freereed::sheet::{Job, JobReed, ReedFile};

/// Eleven reeds whose length falls by 2 % a semitone and whose width is 2 mm; `sizes` of the sixth.
fn job(sizes: &str, odd: f64) -> Job {
    let notes = ["C5", "C#5", "D5", "D#5", "E5", "F5", "F#5", "G5", "G#5", "A5", "A#5"];
    let mut sheet = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,tip_gap_mm\n".to_owned();
    for (k, note) in notes.into_iter().enumerate() {
        let (midi, hole) = (k as i32, k + 1);
        let length = 14.0 * 0.98_f64.powi(midi) * if k == 2 { odd } else { 1.0 };
        let sizes = if k == 5 { sizes.to_owned() } else { format!("{length},2") };
        sheet += &format!("{hole},blow,out,{note},{sizes},{},0.2\n", 523.25 * 2.0_f64.powf(f64::from(midi) / 12.0));
    }
    Job::parse(("job.toml", "sheet = \"sheet.csv\"\n"), ("sheet.csv", &sheet)).unwrap()
}

fn sixth(job: &Job) -> &JobReed {
    job.reeds[5].as_ref().unwrap()
}

#[test]
fn a_length_left_out_is_that_of_the_run_whatever_one_odd_reed_is() {
    for odd in [1.0, 1.7] {
        let job = job(",", odd);
        let reed = sixth(&job);
        // The run is exact: 14 mm falling by 2 % a semitone.
        let expected_m = 14e-3 * 0.98_f64.powi(5);
        assert!((reed.checked.reed.beam.length_m / expected_m - 1.0).abs() < 1e-4, "{odd}");
        assert!((reed.checked.reed.beam.width_m.at(0.0) / 2e-3 - 1.0).abs() < 1e-9, "{odd}");
        for key in ["length_mm", "width_mm"] {
            let said = reed.checked.assumed.iter().find(|assumed| assumed.key == key);
            assert!(said.is_some_and(|assumed| assumed.why.contains("run of its neighbours")), "{key}: {said:?}");
        }
        let again = ReedFile::parse("reed.toml", &reed.checked.spec.to_toml()).unwrap();
        assert_eq!(again.reed.beam.length_m, reed.checked.reed.beam.length_m);
    }
}

#[test]
fn what_was_measured_stays_and_is_not_assumed() {
    let job = job("9.9,1.8", 1.0);
    let reed = sixth(&job);
    assert_eq!(reed.checked.reed.beam.length_m, 9.9e-3);
    assert!(!reed.checked.assumed.iter().any(|assumed| assumed.key == "length_mm" || assumed.key == "width_mm"));
}

#[test]
fn without_neighbours_a_length_is_asked_for() {
    let sheet = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,tip_gap_mm\n\
                 1,blow,out,C5,14,2,523,0.2\n2,blow,out,D5,,2,587,0.2\n3,blow,out,E5,13,2,659,0.2\n";
    let job = Job::parse(("job.toml", "sheet = \"sheet.csv\"\n"), ("sheet.csv", sheet)).unwrap();
    let error = job.reeds[1].as_ref().unwrap_err().to_string();
    assert!(error.contains("length_mm") && error.contains("sheet.csv:3"), "{error}");
}
