//! `freereed assess` on small sets.

use std::collections::BTreeSet;

use crate::support::cli::{Bench, HEAD, JOB, ROWS, number, sheet};
use serde_json::Value;

const FILES: [&str; 5] = ["assess.csv", "assess.json", "pitch.svg", "speaking.svg", "window.svg"];
const IDS: [&str; 5] = ["8-blow-out", "7-draw-out", "7-blow-out", "6-blow-out", "5-blow-out"];

fn bench(rows: &[&str]) -> Bench {
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(rows))])
}

fn ids(json: &Value) -> Vec<&str> {
    json["reeds"].as_array().unwrap().iter().map(|reed| reed["id"].as_str().unwrap()).collect()
}

#[test]
fn a_healthy_set_as_table_and_as_files() {
    let bench = bench(&ROWS);
    let run = bench.run(&["assess", "job.toml", "--table", "--out", "out"]).code(0);
    assert!(run.err.is_empty() && run.out.starts_with("A small set\n"), "{}{}", run.out, run.err);
    let lines: Vec<&str> = run.out.lines().skip(4).take(ROWS.len()).collect();
    assert_eq!(lines.iter().map(|line| line.split_whitespace().next().unwrap()).collect::<Vec<_>>(), IDS);
    assert!(lines.iter().all(|line| line.contains(" good, ")), "{}", run.out);
    for part in ["Nothing to mend", "Evenness", "C5 to B5", "C6 to B6", "Assumed: ", "Care: "] {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    assert_eq!(bench.names("out"), FILES);
    let json: Value = serde_json::from_str(&bench.read("out/assess.json")).unwrap();
    assert_eq!(ids(&json), IDS);
    json["reeds"].as_array().unwrap().iter().for_each(promised);
    evenness(&json["set"]["evenness"]);
    table(&bench.read("out/assess.csv"));
    for name in ["pitch.svg", "speaking.svg", "window.svg"] {
        let text = bench.read(&format!("out/{name}"));
        let svg = roxmltree::Document::parse(&text).unwrap();
        assert_eq!(svg.root_element().tag_name().name(), "svg");
        assert!(IDS.iter().all(|id| text.contains(id)), "{name}");
    }
}

/// What every reed of the answer has.
fn promised(reed: &Value) {
    for key in ["natural_frequency_hz", "onset_pressure_pa", "onset_frequency_hz", "pressure_limit_pa", "mass_kg"] {
        assert!(number(reed, key) > 0.0);
    }
    assert!(reed.as_object().unwrap().contains_key("choke_pressure_pa"));
    for key in ["modes_hz", "windows_pa", "growth", "assumed"] {
        assert!(!reed[key].as_array().unwrap().is_empty(), "{key}");
    }
    assert!(reed["note"].is_string() && reed.get("error").is_none());
    assert!(number(&reed["pitch"], "cents").abs() < 5.0 && reed["pitch"]["from"] == "plucked");
    assert!(number(reed, "playable_low_pa") < 500.0 && number(reed, "playable_high_pa") > 2000.0);
    assert_eq!((&reed["verdict"], reed["findings"].as_array().unwrap().len()), (&"good".into(), 0));
    assert!(["sure", "likely", "cannot tell"].contains(&reed["surety"].as_str().unwrap()));
    for key in ["soft_start_log", "hard_start_log", "time_log", "pitch_cents", "clearance_m"] {
        let margin = &reed["margins"][key];
        assert!(
            number(margin, "value") > 0.0 && margin["good"] == true && margin["against"] == "demand",
            "{key}: {margin}"
        );
        assert!((0.0..=1.0).contains(&number(margin, "probability_good")), "{margin}");
    }
    let attacks = reed["attacks"].as_array().unwrap();
    assert_eq!(attacks.iter().map(|attack| number(attack, "pressure_pa")).collect::<Vec<_>>(), [500.0, 1000.0, 2000.0]);
    for attack in attacks {
        assert!(attack["speaks"] == true && attack["settled"] == true);
        let numbers = ["tip_amplitude_m", "frequency_hz", "mean_flow_m3_s", "level_db_at_1m", "evaluations"];
        assert!(numbers.iter().all(|key| number(attack, key) > 0.0) && attack["mean_tip_m"].is_number());
        assert!(number(attack, "t50_s") < number(attack, "t90_s"));
    }
}

fn evenness(octaves: &Value) {
    let octaves = octaves.as_array().unwrap();
    let counts: Vec<_> = octaves.iter().map(|octave| (number(octave, "octave"), number(octave, "reeds"))).collect();
    assert_eq!(counts, [(5.0, 4.0), (6.0, 1.0)]);
    for octave in octaves {
        for key in ["onset_over_soft", "t50_over_allowed", "level_db"] {
            let [low, median, high] = ["low", "median", "high"].map(|part| number(&octave[key], part));
            assert!(low <= median && median <= high && (number(octave, "reeds") > 1.0) == (low < high));
        }
    }
}

fn table(text: &str) {
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let head = table.headers().unwrap().clone();
    let column = |name: &str| head.iter().position(|known| known == name).unwrap();
    let rows: Vec<_> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.iter().map(|row| &row[0]).collect::<Vec<_>>(), IDS);
    for row in &rows {
        assert_eq!(&row[column("verdict")], "good");
        for name in ["cents_from_target", "onset_pa", "choke_pa", "t50_normal_ms", "level_normal_db", "playable_low_pa"]
        {
            assert!(row[column(name)].parse::<f64>().unwrap().is_finite(), "{name}");
        }
        assert!(row[column("assumed")].contains("rest_exponent"));
    }
}

#[test]
fn bad_rows_are_told_and_the_others_done() {
    let text = ROWS[2].replace("787.2", "high");
    let zero = ROWS[3].replace("0.026", "0");
    let bench = bench(&[ROWS[0], &text, &zero, "nine,blow,out,C5,14,2,525,,0.27,0.027,,", ROWS[4]]);
    let run = bench.run(&["assess", "job.toml", "--out", "out", "--json"]).code(1);
    let complaint = run.complaint();
    for part in [
        "sheet.csv:3: measured_pluck_hz = high: is text; a number",
        "sheet.csv:4: side_clearance_mm = 0: is too small",
        "sheet.csv:5: hole = nine: is no number of a hole",
    ] {
        assert!(complaint.contains(part), "{part} is not in\n{}", run.err);
    }
    let json = run.json();
    let reeds = json["reeds"].as_array().unwrap();
    assert_eq!(reeds.len(), 5);
    promised(&reeds[0]);
    promised(&reeds[4]);
    for (place, id, line) in [(1, Some("7-blow-out"), 3), (2, Some("6-blow-out"), 4), (3, None, 5)] {
        let reed = &reeds[place];
        assert!(reed["error"].as_str().unwrap().contains(&format!("sheet.csv:{line}:")), "{reed}");
        assert_eq!((reed["id"].as_str(), reed["line"].as_u64()), (id, Some(line)));
        assert!(reed.get("onset_pressure_pa").is_none());
    }
    assert_eq!((number(&json["set"], "failed_rows"), number(&json["set"], "reeds")), (3.0, 5.0));
    let table = bench.read("out/assess.csv");
    assert_eq!(table.matches("not assessed").count(), 3, "{table}");
    assert_eq!(bench.names("out"), FILES);
}

#[test]
fn a_set_of_bad_rows_alone_has_failed_but_is_told() {
    let bench = bench(&["8,blow,out,C6,-10,2,1051,,0.19,0.024,,"]);
    let run = bench.run(&["assess", "job.toml", "--table"]).code(1);
    assert!(run.out.contains("8-blow-out") && run.out.contains("not assessed: line 2"), "{}", run.out);
    assert!(run.out.contains("No reed could be assessed") && !run.out.contains("Nothing to mend"), "{}", run.out);
    let run = bench.run(&["assess", "job.toml"]).code(1);
    assert!(
        run.out.contains("No reed could be assessed") && run.out.contains("1 row of the sheet is wrong"),
        "{}",
        run.out
    );
    assert!(run.complaint().contains("sheet.csv:2: length_mm = -10"), "{}", run.err);
}

#[test]
fn a_bad_verdict_is_no_failure() {
    let bench = bench(&["8,blow,out,C6,10.3,2,1051.8,0.0292,0.9,0.024,8,"]);
    let run = bench.run(&["assess", "job.toml"]).code(0);
    assert!(run.out.contains("0 of 1 reeds suit, 1 do") && run.out.contains("it does not speak (sure)"), "{}", run.out);
}

#[test]
fn only_a_folder_of_its_own_is_written_to() {
    let bench = bench(&ROWS[..1]);
    let refused = |folder: &str, part: &str| {
        bench.run(&["assess", "job.toml", "--out", folder]).refused(&[part]);
    };
    std::fs::create_dir_all(bench.path("strange/assess.csv")).unwrap();
    bench.write("strange/assess.csv/precious.txt", "precious");
    refused("strange", "strange holds assess.csv, which is not an earlier output of this command; name a new folder");
    refused(".", "is not an earlier output of this command");
    refused("job.toml", "job.toml is not a folder that can be read");
    refused("job.toml/deep", "cannot write job.toml/deep");
    std::fs::create_dir(bench.path("here")).unwrap();
    let inside = bench.shell("cd here && \"$F\" assess ../job.toml --out .");
    inside.refused(&[". is the folder you are in; name a new folder"]);
    assert_eq!(bench.names("strange/assess.csv"), ["precious.txt"]);
    assert_eq!(bench.names("."), ["here", "job.toml", "sheet.csv", "strange"]);
    assert!(bench.names("here").is_empty());
}

#[test]
fn an_earlier_output_is_replaced_as_a_whole() {
    let bench = bench(&ROWS[..1]);
    let run = || bench.run(&["assess", "job.toml", "--out", "deep/in a/f\u{f6}lder"]).code(0);
    let folder = "deep/in a/f\u{f6}lder";
    let table = format!("{folder}/assess.csv");
    run();
    assert!(bench.read(&table).contains("8-blow-out"));
    std::fs::remove_file(bench.path(&format!("{folder}/window.svg"))).unwrap();
    bench.write("sheet.csv", sheet(&ROWS[4..]));
    run();
    assert_eq!(bench.names(folder), FILES);
    assert!(!bench.read(&table).contains("8-blow-out") && bench.read(&table).contains("5-blow-out"));
    // Nothing is left beside it, and a stranger stays.
    assert_eq!(bench.names("deep/in a"), ["f\u{f6}lder"]);
    bench.write(&format!("{folder}/notes.txt"), "mine");
    bench.run(&["assess", "job.toml", "--out", folder]).refused(&["holds notes.txt"]);
    assert_eq!(bench.names(folder).iter().map(String::as_str).collect::<BTreeSet<_>>().len(), FILES.len() + 1);
}

#[cfg(unix)]
#[test]
fn a_link_to_a_folder_stays_a_link() {
    let bench = bench(&ROWS[..1]);
    std::fs::create_dir(bench.path("real")).unwrap();
    std::os::unix::fs::symlink("real", bench.path("link")).unwrap();
    bench.run(&["assess", "job.toml", "--out", "link"]).code(0);
    assert!(bench.path("link").is_symlink());
    assert_eq!(bench.names("real"), FILES);
}

#[test]
fn sheets_come_as_spreadsheets_export_them() {
    let plain = bench(&ROWS[..1]);
    let expected = plain.run(&["assess", "job.toml", "--json"]).code(0).json();
    let semicolons =
        format!("\u{feff}{}\r\n{}\r\n;;;\r\n", HEAD.replace(',', ";"), ROWS[0].replace(',', ";").replace('.', ","));
    let quoted = format!("{HEAD}\n{}\n", ROWS[0].replace("10.3", "\"10,3\"").replace("C6", "\"C6\""));
    for text in [semicolons, quoted] {
        plain.write("sheet.csv", &text);
        assert_eq!(plain.run(&["assess", "job.toml", "--json"]).code(0).json(), expected, "{text}");
    }
    // The blank remark moves beyond the heading, and a leak of 0.5 would be read as none.
    plain.write("sheet.csv", format!("{HEAD}\n{}\n", ROWS[0].replace(",,", ",0,5,")));
    let run = plain.run(&["assess", "job.toml"]).code(1);
    let complaint = run.complaint();
    for part in
        ["sheet.csv:2: has 13 cells under 12 headings: decimal commas between commas?", "write decimals with a point"]
    {
        assert!(complaint.contains(part), "{}", run.err);
    }
}
