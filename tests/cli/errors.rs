//! What is wrong with a file or a call: told with file, line and cure, exit code 2, never a panic.

use std::fs::File;
use std::time::Instant;

use crate::support::cli::{Bench, HEAD, JOB, REED, ROWS, sheet};

/// Refuses a reed in which `line` stands in place of the line that begins with its key, or else at the end.
fn refuses_reed(line: &str, parts: &[&str]) {
    let key = line.split('=').next().unwrap();
    let mut lines: Vec<&str> = REED.lines().collect();
    match lines.iter_mut().find(|known| known.starts_with(key)) {
        Some(known) => *known = line,
        None => lines.push(line),
    }
    let at = lines.iter().position(|known| *known == line).unwrap() + 1;
    let bench = Bench::with(&[("bad.toml", &lines.join("\n"))]);
    let place = format!("bad.toml:{at}:");
    let parts = [&[place.as_str()], parts].concat();
    bench.run(&["predict", "bad.toml"]).refused(&parts);
    bench.run(&["attack", "bad.toml", "--pressure-pa", "500"]).refused(&parts);
}

#[test]
fn values_that_are_no_measurement_are_refused() {
    refuses_reed("length_mm = \"long\"", &["length_mm = \"long\": is text in quotes", "write it like length_mm = "]);
    refuses_reed("length_mm = -12.5", &["is too small", "3 to 80 mm", "check the unit (mm)"]);
    refuses_reed("side_clearance_mm = 0", &["is too small", "0.003 to 0.5 mm", "closer touches"]);
    refuses_reed("tip_gap_mm = nan", &["is not a finite number", "measure it, or leave the key out"]);
    refuses_reed("tip_gap_mm = inf", &["is not a finite number"]);
    refuses_reed("width_mm = -inf", &["is not a finite number"]);
    refuses_reed("thickness_mm = 1e300", &["is too large", "0.03 to 1.5 mm"]);
    refuses_reed("thickness_mm = 999999999999999999999999999999", &["is too large"]);
    refuses_reed("width_mm = true", &["is true or false", "write it like width_mm = "]);
    refuses_reed("alloy = \"unobtainium\"", &["alloy", "unobtainium"]);
    refuses_reed("alloy = 3", &["is a number", "write it like alloy = "]);
}

#[test]
fn keys_that_do_not_exist_are_refused_with_the_one_that_was_meant() {
    refuses_reed("chanel_area_mm2 = 20", &["chanel_area_mm2", "is not known", "did you mean channel_area_mm2?"]);
    refuses_reed("volume_ml = 0.5", &["volume_ml", "is in the wrong unit", "give volume_mm3 instead"]);
    refuses_reed("leak_mm2 = 1", &["leak_mm2", "does not belong here", "belongs in [slot]"]);
    refuses_reed("[chambre]", &["chambre", "did you mean chamber?"]);
    let wrong_unit = REED.replace("tip_gap_mm = 0.25", "tip_gap_um = 250");
    let run = Bench::with(&[("bad.toml", &wrong_unit)]).run(&["predict", "bad.toml"]);
    let run = run.refused(&["bad.toml:7:", "tip_gap_um: is in the wrong unit", "give tip_gap_mm instead, in mm"]);
    assert!(!run.err.contains("is missing"), "{}", run.err);
}

#[test]
fn broken_toml_is_shown() {
    let broken = |text: &str, parts: &[&str]| {
        Bench::with(&[("bad.toml", text)]).run(&["predict", "bad.toml"]).refused(parts);
    };
    broken("[reed]\nlength_mm = 12.5\nlength_mm = 12.5\n", &["bad.toml:3:", "duplicate key", "keep one of the two"]);
    broken("[reed]\nlength_mm = 12,5\n", &["bad.toml:2:", "cannot be read as TOML", "decimals have a point"]);
    broken("[reed\nlength_mm = 12.5\n", &["bad.toml:1:", "cannot be read as TOML"]);
    broken("[reed]\nlength_mm 12.5\n", &["bad.toml:2:", "cannot be read as TOML"]);
    broken("reed = 5\n", &["bad.toml:1:", "is a number; a table is needed", "write [reed] on a line of its own"]);
    broken("# nothing yet\n", &["bad.toml", "length_mm", "is missing"]);
}

#[test]
fn stations_out_of_order_are_refused() {
    let stations = |text: &str| REED.replace("thickness_mm = 0.14", &format!("thickness_stations_mm = {text}"));
    let refused = |text: &str, parts: &[&str]| {
        let bench = Bench::with(&[("bad.toml", &stations(text))]);
        bench.run(&["predict", "bad.toml"]).refused(&[&["bad.toml:4:", "thickness_stations_mm"], parts].concat());
    };
    refused("[[0, 0.1], [9, 0.1], [6, 0.1], [12.5, 0.1]]", &["order"]);
    refused("[[0, 0.1], [6, 0.1]]", &["12.5"]);
    refused("[[1, 0.1], [12.5, 0.1]]", &["0"]);
    refused("[[0, 0.1], [12.5, -0.1]]", &["at 12.5 mm is too small"]);
    refused("[]", &["station"]);
    refused("[[0, 0.1, 3], [12.5, 0.1]]", &["is a list", "[[0, 0.1], [12.5, 0.2]]"]);
}

#[test]
fn files_that_are_no_text_are_refused() {
    let bench = Bench::new();
    bench.write("empty.toml", "");
    bench.write("binary.toml", b"\x7fELF\x02\x01\x01\x00\x00");
    bench.write("latin.toml", b"[reed] # gr\xf6\xdfe\n");
    let wide: Vec<u8> = "\u{feff}[reed]".encode_utf16().flat_map(u16::to_le_bytes).collect();
    bench.write("wide.toml", wide);
    std::fs::create_dir(bench.path("folder.toml")).unwrap();
    // A hundred megabytes that take no room on the disk.
    File::create(bench.path("huge.toml")).unwrap().set_len(100 * 1024 * 1024).unwrap();
    let cases = [
        ("empty.toml", ["is empty", "is it the right file?"]),
        ("binary.toml", ["is not text: a zero byte in line 1, byte 8", "name a text file"]),
        ("latin.toml", ["is not UTF-8 text: line 1, byte 12", "save it again as UTF-8"]),
        ("wide.toml", ["is UTF-16 text", "save it again as UTF-8"]),
        ("folder.toml", ["is a folder, not a file", "name a file in it"]),
        ("huge.toml", ["is too large (100 MB); the limit is 16 MB", "is it the right file?"]),
        ("missing.toml", ["no such file", "check the path and its spelling"]),
    ];
    for (name, [what, cure]) in cases {
        let start = Instant::now();
        for call in [&["predict", name][..], &["attack", name, "--pressure-pa", "500"], &["assess", name]] {
            bench.run(call).refused(&[name, what, cure]);
        }
        // Three processes; reading and parsing what is refused would take far longer than this.
        assert!(start.elapsed().as_secs() < 5, "{name}");
    }
}

/// Refuses a sheet as a whole.
fn refuses_sheet(text: impl AsRef<[u8]>, parts: &[&str]) {
    let bench = Bench::with(&[("job.toml", JOB)]);
    bench.write("sheet.csv", text);
    bench.run(&["assess", "job.toml", "--out", "out"]).refused(parts);
    assert_eq!(bench.names("."), ["job.toml", "sheet.csv"]);
}

#[test]
fn sheets_that_are_wrong_as_a_whole_are_refused() {
    let good = sheet(&ROWS);
    refuses_sheet("", &["sheet.csv", "is empty", "(the sheet named in job.toml:1)"]);
    refuses_sheet(format!("{HEAD}\n"), &["sheet.csv", "has a heading but no reed below it", "one row for each reed"]);
    refuses_sheet(good.replace("hole,", "").as_str(), &["sheet.csv:1:", "hole: is a column that is missing"]);
    refuses_sheet(good.replacen(",note,", ",", 1), &["note: is a column that is missing"]);
    refuses_sheet(good.replace("length_mm", "length_cm"), &["sheet.csv:1:", "length_cm", "give length_mm instead"]);
    refuses_sheet(good.replace("tip_gap_mm", "tip_gab_mm"), &["sheet.csv:1:", "did you mean tip_gap_mm?"]);
    refuses_sheet(good.replace("leak_mm2", "tip_gap_mm"), &["is a column that stands twice", "keep one of the two"]);
    let twice = sheet(&[ROWS[0], ROWS[1], ROWS[0]]);
    refuses_sheet(
        twice,
        &["sheet.csv:4:", "8-blow-out", "in line 2 and here in line 4", "correct hole, breath or slide"],
    );
    refuses_sheet(b"hole,breath\n\x00\x01".as_slice(), &["sheet.csv", "is not text"]);
    refuses_sheet(good.replacen("8,blow", "\"8,blow", 1), &["sheet.csv:2:", "a quote opens here and never closes"]);
}

#[test]
fn what_is_no_sheet_at_all_is_refused_in_few_words() {
    let headless = sheet(&ROWS).split_once('\n').unwrap().1.to_owned();
    for text in [headless.as_str(), "<!DOCTYPE html>\n<p>\n", "hole|breath|slide\n1|blow|out\n"] {
        let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", text)]);
        let names = "begin with a line that names the columns: hole, breath, slide, note, length_mm, ...";
        let run = bench.run(&["assess", "job.toml"]).refused(&["sheet.csv:1: is no heading", names]);
        assert!(run.err.lines().count() < 15, "{}", run.err);
    }
    let start = Instant::now();
    refuses_sheet(format!("{HEAD}\n{}", "x\n".repeat(100_000)), &["has 100000 rows", "is it the right file?"]);
    assert!(start.elapsed().as_secs() < 5);
}

#[test]
fn a_flood_of_problems_and_endless_lines_do_not_fill_the_screen() {
    let bad: Vec<String> =
        (1..=300).map(|hole| ROWS[0].replace("8,blow", &format!("{hole},blow")).replace("10.3", "0")).collect();
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &format!("{HEAD}\n{}\n", bad.join("\n")))]);
    let run = bench.run(&["assess", "job.toml"]).code(1);
    assert!(run.err.contains("sheet.csv:301: length_mm = 0: is too small"), "{}", run.err);
    assert_eq!((run.err.matches("╰── is too small").count(), run.err.matches(": is too small").count()), (20, 300));
    let bench = Bench::with(&[("bad.toml", &REED.replace("12.5", &"9".repeat(100_000)))]);
    let run = bench.run(&["predict", "bad.toml"]).refused(&["bad.toml:2: length_mm = 999", "is not a finite number"]);
    assert!(run.err.len() < 1000, "{} bytes", run.err.len());
}

#[test]
fn old_line_ends_are_counted() {
    let text = sheet(&[ROWS[0], &ROWS[1].replace("11.2", "0")]).replace('\n', "\r");
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &text)]);
    let run = bench.run(&["assess", "job.toml"]).code(1);
    assert!(run.complaint().contains("sheet.csv:3: length_mm = 0: is too small"), "{}", run.err);
}

#[test]
fn jobs_that_are_wrong_are_refused() {
    let refused = |job: &str, parts: &[&str]| {
        let bench = Bench::with(&[("job.toml", job), ("sheet.csv", &sheet(&ROWS))]);
        bench.run(&["assess", "job.toml"]).refused(&[&["job.toml"], parts].concat());
    };
    refused(&JOB.replace("sheet.csv", "shet.csv"), &["shet.csv: no such file (the sheet named in job.toml:1)"]);
    refused(&JOB.replace("sheet = \"sheet.csv\"", ""), &["sheet: is missing", "sheet = \"sheet.csv\""]);
    refused(&JOB.replace("soft_pa = 500", "soft_pa = 5000"), &["soft_pa", "soft is below normal, normal below hard"]);
    refused(&JOB.replace("[player]", "[palyer]"), &["job.toml:13:", "did you mean player?"]);
    refused(&JOB.replace("\"1-8\"", "\"1-\""), &["holes", "is no list of holes", "\"1-4\""]);
    refused(&JOB.replace("concert_pitch_hz = 442", "concert_pitch_hz = 44.2"), &["job.toml:4:", "concert_pitch_hz"]);
    refused(REED, &["reed"]);
}

#[test]
fn all_problems_are_told_at_once() {
    let bad = REED.replace("12.5", "1250").replace("= 0.25", "= \"a quarter\"").replace("volume_mm3", "volume_cm3");
    let bench = Bench::with(&[("bad.toml", &bad)]);
    let places = ["bad.toml:2:", "bad.toml:7:", "bad.toml:11:"];
    bench.run(&["predict", "bad.toml"]).refused(&places);
}

#[test]
fn json_tells_problems_as_json() {
    let bad = REED.replace("12.5", "-3").replace("2.1", "nan");
    let bench = Bench::with(&[("bad.toml", &bad), ("job.toml", JOB), ("reed.toml", REED)]);
    for call in [&["predict", "bad.toml", "--json"][..], &["attack", "bad.toml", "--pressure-pa", "500", "--json"]] {
        let run = bench.run(call).code(2);
        let json = run.json();
        let problems = json["problems"].as_array().unwrap();
        assert_eq!(problems.len(), 2);
        let first = &problems[0];
        assert_eq!((&first["file"], &first["line"], &first["column"]), (&"bad.toml".into(), &2.into(), &13.into()));
        assert_eq!((&first["key"], &first["value"]), (&"length_mm".into(), &"-3".into()));
        assert!(["allowed", "cure", "message"].iter().all(|part| !first[part].as_str().unwrap().is_empty()));
        assert!(run.complaint().contains("bad.toml:3:"), "{}", run.err);
    }
    let missing = bench.run(&["assess", "job.toml", "--json"]).code(2).json();
    assert!(missing["problems"][0]["message"].as_str().unwrap().contains("no such file"));
    // A call that is wrong.
    bench.write("there.csv", "");
    for more in [&["--csv", "there.csv"][..], &["--pressure-pa", "0"], &["--nonsense"]] {
        let call = [&["attack", "reed.toml", "--pressure-pa", "500", "--json"], more].concat();
        let json = bench.run(&call).code(2).json();
        let message = json["problems"][0]["message"].as_str().unwrap();
        assert!(!message.is_empty() && !message.starts_with("error"), "{message}");
    }
}

#[test]
fn pressures_out_of_range_are_refused() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    for typed in ["0", "-5", "nan", "inf", "1e9", "0.999", "five", ""] {
        bench.run(&["attack", "reed.toml", "--pressure-pa", typed]).refused(&["--pressure-pa"]);
        bench.run(&["predict", "reed.toml", "--limit-pa", typed]).refused(&["--limit-pa"]);
        let among = format!("100,{typed}");
        for typed in [typed, &among] {
            bench.run(&["predict", "reed.toml", "--at-pa", typed]).refused(&["--at-pa"]);
        }
    }
    let run = bench.run(&["predict", "reed.toml", "--at-pa", "-5,100"]);
    run.refused(&["invalid value '-5'", "a pressure is 1 to 100000 Pa"]);
}
