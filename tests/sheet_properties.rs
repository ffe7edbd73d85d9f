//! Whatever is typed, nothing panics; whatever is in range, makes a reed the physics accepts.

use freereed::sheet::keys::Kind;
use freereed::sheet::{Job, KEYS, Key, ReedFile, ReedSpec, Table, Value};
use proptest::prelude::*;
use proptest::sample::Index;

const JOB: &str =
    "sheet = \"sheet.csv\"\n[defaults]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.2\n";

/// Pieces that reed files are made of, so that random texts come near to real ones.
fn scraps() -> impl Strategy<Value = String> {
    let keys = KEYS.iter().map(|key| key.name.to_owned());
    let marks = ["[reed]", "[slot]", "[chamber]", "[[chamber]]", "[air]", "[player]", "[alloys.x]", "[instrument]"]
        .into_iter()
        .chain([
            " = ",
            "=",
            "\n",
            "\r\n",
            ",",
            ";",
            "\t",
            "\"",
            "'",
            "[",
            "]",
            "[[0, 1], [15, 2]]",
            "{ C4 = 1 }",
            "#",
            " ",
        ])
        .chain([
            "nan",
            "inf",
            "-1",
            "0",
            "1e999",
            "12.5",
            "0,25",
            "1 234",
            "true",
            "1979-05-27",
            "hole",
            "breath",
            "slide",
        ])
        .chain([
            "note",
            "blow",
            "draw",
            "in",
            "out",
            "C4",
            "\u{feff}",
            "\u{e9}",
            "\u{1f3b5}",
            "holes = \"1-4\"",
            "0x1F",
            "1_0",
        ]);
    let all: Vec<String> = keys.chain(marks.map(str::to_owned)).collect();
    proptest::collection::vec(proptest::sample::select(all), 0..60).prop_map(|pieces| pieces.concat())
}

/// Text with the grammar of a reed or job file and any values in it: what gets past the parser.
fn nearly_a_file() -> impl Strategy<Value = String> {
    let tables =
        ["reed", "slot", "chamber", "air", "player", "air.blow", "plate", "defaults", "tolerances", "instrument"];
    let values = [
        "0",
        "1",
        "-1",
        "0.2",
        "2",
        "12.5",
        "15",
        "60",
        "1000",
        "1e9",
        "nan",
        "inf",
        "\"x\"",
        "\"C51000\"",
        "\"H08\"",
        "[]",
        "[[]]",
        "[[0, 1]]",
        "[[0, 0.2], [15, 0.2]]",
        "[[0, 2], [6, 2], [6, 1], [12.5, 2]]",
        "[[nan, nan], [15, inf]]",
        "{}",
        "{ C4 = 100, C7 = 200 }",
        "true",
        "\"1-4\"",
        "\"C\"",
        "\"just\"",
        "07:32:00",
    ];
    let more =
        ["soft_pa", "attack_rise_ms", "time_allowed_ms", "key", "temperament", "offsets_cents", "holes", "pluck_cents"];
    let names: Vec<&str> = KEYS.iter().map(|key| key.name).chain(more).collect();
    let line = (proptest::sample::select(names), proptest::sample::select(values.to_vec()));
    let table = (proptest::sample::select(tables.to_vec()), proptest::collection::btree_map(line.0, line.1, 0..12));
    let write = |(name, lines): (&str, std::collections::BTreeMap<&str, &str>)| {
        let lines: String = lines.into_iter().map(|(key, value)| format!("{key} = {value}\n")).collect();
        format!("[{name}]\n{lines}")
    };
    proptest::collection::vec(table.prop_map(write), 1..5)
        .prop_map(|tables| format!("sheet = \"y\"\n{}", tables.concat()))
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![nearly_a_file(), scraps(), ".{0,200}", "[\\x00-\\x7f]{0,200}"]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_a_reed_file_panic(text in any_text()) {
        if let Err(error) = ReedFile::parse("x", &text) {
            prop_assert!(!error.problems.is_empty());
            for (_, span) in error.shown() {
                prop_assert!(error.source_text.get(span).is_some());
            }
        }
    }

    #[test]
    fn no_text_makes_a_job_panic(text in any_text()) {
        if let Err(error) = Job::parse(("x", &text), ("y", "hole,breath,slide,note\n1,blow,in,C4\n")) {
            prop_assert!(!error.problems.is_empty());
        }
    }

    #[test]
    fn no_text_makes_a_sheet_panic(text in any_text(), heading in any::<bool>()) {
        let text = if heading { format!("hole,breath,slide,note,tip_gap_mm\n{text}") } else { text };
        match Job::parse(("x", JOB), ("y", &text)) {
            Ok(job) => {
                for error in job.reeds.iter().filter_map(|reed| reed.as_ref().err()) {
                    prop_assert!(!error.error.problems.is_empty());
                    for (_, span) in error.error.shown() {
                        prop_assert!(error.error.source_text.get(span).is_some());
                    }
                }
            }
            Err(error) => prop_assert!(!error.problems.is_empty()),
        }
    }
}

/// A value somewhere in a key's range, its ends included.
fn within(key: &Key, share: f64) -> f64 {
    let share = ((share * 1.1) - 0.05).clamp(0.0, 1.0);
    // Ranges over many powers of ten are searched on a logarithmic scale.
    if key.least > 0.0 && key.most / key.least > 100.0 {
        (key.least * (key.most / key.least).powf(share)).clamp(key.least, key.most)
    } else {
        (key.least + share * (key.most - key.least)).clamp(key.least, key.most)
    }
}

#[derive(Debug, Clone)]
struct Draw {
    shares: Vec<f64>,
    present: Vec<bool>,
    ways: [Index; 5],
    alloy: Index,
}

fn draw() -> impl Strategy<Value = Draw> {
    let count = KEYS.len();
    let shares = proptest::collection::vec(0.0..1.0, 3 * count);
    let present = proptest::collection::vec(any::<bool>(), count);
    (shares, present, any::<[Index; 5]>(), any::<Index>()).prop_map(|(shares, present, ways, alloy)| Draw {
        shares,
        present,
        ways,
        alloy,
    })
}

impl Draw {
    /// Keys that may stand together: of each group of alternatives one way is drawn.
    fn spec(&self) -> ReedSpec {
        let ways: [&[&[&str]]; 5] = [
            &[&["width_mm"], &["width_stations_mm"]],
            &[&["thickness_mm"], &["thickness_stations_mm"], &["thickness_mm", "tip_thinning"]],
            &[&[], &["tip_mass_mg"], &["tip_weight_share"]],
            &[&["tip_gap_mm"], &["rest_stations_mm"]],
            &[
                &[],
                &["side_clearance_mm"],
                &["side_clearance_stations_mm"],
                &["left_clearance_mm", "right_clearance_mm"],
                &["left_clearance_stations_mm", "right_clearance_mm"],
                &["left_clearance_stations_mm", "right_clearance_stations_mm"],
            ],
        ];
        let drawn: Vec<&str> =
            ways.iter().zip(&self.ways).flat_map(|(ways, index)| *index.get(ways)).copied().collect();
        let grouped: Vec<&str> = ways.iter().flat_map(|ways| ways.iter().flat_map(|way| way.iter())).copied().collect();
        let whole = |table: Table| KEYS.iter().position(|key| key.table == table).unwrap();
        let chosen = |k: usize, key: &Key| match (key.table, key.name) {
            (Table::Reed, "length_mm") => true,
            (_, name) if grouped.contains(&name) => drawn.contains(&name),
            // Found from the pitch in its own test; the rest pairs with what is drawn here.
            (Table::Reed, "measured_pluck_hz" | "closing_force_g" | "ring_down_s" | "alloy" | "temper") => false,
            (Table::Reed, "root_gap_mm" | "rest_exponent") => self.present[k] && drawn.contains(&"tip_gap_mm"),
            (Table::Chamber | Table::Player, _) => self.present[whole(key.table)],
            (Table::Air, "inertance_factor" | "contraction" | "drag_coefficient") => self.present[k],
            (Table::Air, "density_kg_m3" | "sound_speed_m_s" | "viscosity_pa_s") => self.present[whole(Table::Air)],
            (Table::Air, _) => self.present[k] && !self.present[whole(Table::Air)],
            _ => self.present[k],
        };
        let length_mm = within(&KEYS[0], self.shares[0]);
        let mut spec = ReedSpec::parse("drawn", "").unwrap();
        for (k, key) in KEYS.iter().enumerate().filter(|(k, key)| chosen(*k, key)) {
            let value = |j: usize| within(key, self.shares[3 * k + j]);
            let value = match key.kind {
                Kind::Stations => {
                    let middle = length_mm * (0.006 + 0.988 * self.shares[3 * k + 2]);
                    Value::Stations(vec![(0.0, value(0)), (middle, value(1)), (length_mm, value(2))])
                }
                // Stiff enough to be no hinge for any tongue in range.
                _ if key.name == "root_spring_n_m_per_rad" => Value::Number(value(0).max(100.0)),
                // More than the own loss of any metal, be it as stiff and light as the ranges go.
                _ if key.name == "quality_factor" => Value::Number(value(0).min(10.0)),
                // Longer than the circle around the largest channel.
                _ if key.name == "channel_perimeter_mm" => Value::Number(value(0).max(160.0)),
                _ if key.name == "length_mm" => Value::Number(length_mm),
                _ => Value::Number(value(0)),
            };
            spec = spec.with(&key.full_name(), value);
        }
        let alloys: Vec<&str> = freereed::sheet::known_alloys().iter().map(|alloy| alloy.name.as_str()).collect();
        spec.with("alloy", *self.alloy.get(&alloys))
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_in_range_makes_a_reed(draw in draw()) {
        let spec = draw.spec();
        let checked = spec.checked().map_err(|error| TestCaseError::fail(format!("{error}\n{}", spec.to_toml())))?;
        prop_assert!(checked.reed.check().is_ok());
        let frequency = checked.reed.beam.modes(1)[0].frequency_hz;
        prop_assert!(frequency.is_finite() && frequency > 0.0, "{frequency} Hz\n{}", spec.to_toml());
        // Written out and read again it is the same reed.
        let again = ReedSpec::parse("again", &spec.to_toml()).unwrap().checked().unwrap();
        prop_assert_eq!(again.reed, checked.reed);
    }

    #[test]
    fn a_pluck_is_met_or_refused(draw in draw(), pitch in 5.0f64..5000.0, near in 0.8f64..1.2) {
        let spec = draw.spec();
        let beam = spec.checked().unwrap().reed.beam;
        let as_measured = beam.modes(1)[0].frequency_hz;
        // The beam's own round-off grows with the contrast of its stiffness and with close stations; only a tongue that
        // a hand would make shows what the search does.
        let contrast = |(least, most): (f64, f64)| most / least;
        let breaks = beam.breaks();
        let near_stations = breaks.windows(2).any(|pair| pair[1] - pair[0] < 0.05 * beam.length_m);
        let even = contrast(beam.thickness_m.range()) < 3.0 && contrast(beam.width_m.range()) < 3.0 && !near_stations;
        for pluck in [pitch, near * as_measured] {
            if let Ok(found) = spec.with("measured_pluck_hz", pluck).checked() {
                if found.temperature_c.is_none() {
                    let hz = found.reed.beam.modes(1)[0].frequency_hz;
                    prop_assert!(!even || (hz / pluck - 1.0).abs() < 1e-7, "{} for {pluck}\n{}", hz / pluck - 1.0, spec.to_toml());
                }
                prop_assert!(found.reed.check().is_ok());
            }
        }
    }
}
