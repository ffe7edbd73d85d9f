//! The sheet as spreadsheets export it, and what is wrong with sheets.

use freereed::sheet::{Job, JobReed, RowError};

const JOB: &str = "sheet = \"sheet.csv\"\n";
const HEADING: &str = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,tip_gap_mm";
const ROW: &str = "5,blow,in,C#5,12.5,2,0.14,0.25";

fn load(sheet: &str) -> Result<Vec<Result<JobReed, RowError>>, String> {
    Job::parse(("job.toml", JOB), ("sheet.csv", sheet)).map(|job| job.reeds).map_err(|error| error.to_string())
}

fn single(sheet: &str) -> JobReed {
    let mut reeds = load(sheet).unwrap_or_else(|error| panic!("{sheet}\n{error}"));
    assert_eq!(reeds.len(), 1, "{sheet}");
    reeds.remove(0).unwrap_or_else(|error| panic!("{sheet}\n{error}"))
}

/// The problems of the only row.
fn row_error(sheet: &str) -> String {
    let reeds = load(sheet).unwrap_or_else(|error| panic!("{sheet}\n{error}"));
    reeds[0].as_ref().expect_err(sheet).to_string()
}

fn whole_error(sheet: &str) -> String {
    load(sheet).expect_err(sheet)
}

#[test]
fn every_way_a_spreadsheet_writes_it_gives_the_same_reed() {
    let plain = format!("{HEADING}\n{ROW}\n");
    let expected = single(&plain).checked.reed;
    let comma = |text: &str| text.replace(',', ";").replace('.', ",");
    let quoted = |text: &str| text.split(',').map(|cell| format!("\"{cell}\"")).collect::<Vec<_>>().join(",");
    for sheet in [
        plain.replace('\n', "\r\n"),
        plain.replace('\n', "\r"),
        plain.trim_end().to_owned(),
        plain.replace(',', ";"),
        comma(&plain),
        plain.replace(',', "\t"),
        plain.replace(',', "\t").replace('.', ","),
        format!("{}\n{}\n", quoted(HEADING), quoted(ROW)),
        format!("{HEADING}\n5,blow,in,C#5,\"12,5\",2,\"0,14\",\"0,25\"\n"),
        format!("\n{HEADING},,\n\n,,,,\n{ROW},,\n\n"),
        format!("{}\n{}\n", HEADING.replace(',', " , "), ROW.replace(',', " , ")),
        format!("{},remark,valve\n{ROW},,\n", HEADING.replace("length_mm", "reed.length_mm")),
        format!("{},remark,valve\n{ROW}\n", HEADING.replace("hole", "Hole")),
        format!("{HEADING}\n{}\n", ROW.replace("blow", "Blow").replace("in", "IN").replace("12.5", "1.25e1")),
        "note;tip_gap_mm;slide;breath;hole;width_mm;thickness_mm;length_mm\nC#5;0,25;in;blow;5;2,0;0,140;12,5\n"
            .to_owned(),
    ] {
        let reed = single(&sheet);
        assert_eq!((reed.id.as_str(), &reed.checked.reed), ("5-blow-in", &expected), "{sheet}");
    }
}

#[test]
fn stations_fit_in_cells() {
    let reed = single(
        "hole,breath,slide,note,length_mm,width_mm,thickness_stations_mm,tip_gap_mm\n5,blow,in,C5,12.5,2,0:0.16 6:0.12 12.5:0.2,0.25\n",
    );
    assert!((reed.checked.reed.beam.thickness_m.at(6e-3) - 0.12e-3).abs() < 1e-12);
    let error = row_error(
        "hole,breath,slide,note,length_mm,width_mm,thickness_stations_mm,tip_gap_mm\n5,blow,in,C5,12.5,2,0:0.16 12:0.2,0.25\n",
    );
    assert!(
        error.contains("sheet.csv:2: thickness_stations_mm = 0:0.16 12:0.2: ends at 12 mm, not at the tip"),
        "{error}"
    );
}

#[test]
fn decimal_commas_between_commas_are_refused() {
    let error = row_error(&format!("{HEADING}\n5,blow,in,C#5,12,5,2,0,14,0,25\n"));
    assert!(error.contains("sheet.csv:2: has 11 cells under 8 headings: decimal commas between commas?"), "{error}");
    // Four cells short, three split: the row would otherwise fit its headings.
    let error = row_error(&format!(
        "{HEADING},leak_mm2,measured_pluck_hz,ring_down_s,volume_mm3\n5,blow,in,C#5,12,5,2,0,14,0,25\n"
    ));
    assert!(error.contains("and no decimal point"), "{error}");
}

#[test]
fn cells_that_are_no_numbers_are_refused_with_a_cure() {
    for (cell, says) in [
        ("0.14 mm", "thickness_mm = 0.14 mm: has more than a number in it; try: write 0.14"),
        ("1 234", "has a gap between its digits; try: write 1234"),
        ("thin", "is text; a number in mm is needed"),
        ("nan", "is not a finite number"),
        ("-0.14", "is too small; allowed: 0.03 to 1.5 mm"),
        ("0", "is too small"),
        ("14", "is too large"),
        ("#REF!", "is text"),
        ("\"0,1,4\"", "more than one mark"),
    ] {
        let error = row_error(&format!("{HEADING}\n{}\n", ROW.replace("0.14", cell)));
        assert!(error.starts_with("sheet.csv:2: thickness_mm = ") && error.contains(says), "{cell}: {error}");
        assert_eq!(error.lines().count(), 1, "{error}");
    }
    let volume = "hole;breath;slide;note;volume_mm3\n5;blow;in;C5;1.500\n";
    assert!(row_error(volume).contains("can be read in two ways"));
}

#[test]
fn what_names_the_reed_must_be_right() {
    for (from, to, says) in [
        ("5,", "0,", "hole = 0: is no number of a hole"),
        ("5,", "five,", "hole = five: is no number of a hole"),
        ("5,", ",", "hole: is blank"),
        ("blow", "puff", "breath = puff: is not one of the words for it; allowed: blow or draw"),
        (",in,", ",half,", "slide = half: is not one of the words for it; allowed: out or in"),
        ("C#5", "H5", "note = H5: is no note"),
    ] {
        let error = row_error(&format!("{HEADING}\n{}\n", ROW.replacen(from, to, 1)));
        assert!(error.contains(says), "{error}");
    }
}

#[test]
fn a_wrong_heading_refuses_the_sheet() {
    for (from, to, says) in [
        ("note,", "", "note: is a column that is missing"),
        ("note,", "noet,", "noet: is not known; try: did you mean note?"),
        ("length_mm", "length_cm", "sheet.csv:1: length_cm: is in the wrong unit; try: give length_mm instead, in mm"),
        ("length_mm", "length", "length: is in the wrong unit"),
        ("length_mm", "lenght_mm", "did you mean length_mm?"),
        ("length_mm", "width_mm", "width_mm: is a column that stands twice"),
        ("length_mm", "mouth_volume_cm3", "mouth_volume_cm3 belongs in [player]"),
        ("hole,breath", "hole;breath", "breath: is a column that is missing"),
    ] {
        let error = whole_error(&format!("{}\n{ROW}\n", HEADING.replacen(from, to, 1)));
        assert!(error.contains(says), "{to}: {error}");
    }
    assert!(whole_error("just some words\nof a letter\n").contains("sheet.csv:1: is no heading: it names no column"));
    assert!(whole_error(&format!("{HEADING}\n")).contains("has a heading but no reed below it"));
    assert!(
        whole_error(&format!("{HEADING}\n5,\"blow\n")).contains("sheet.csv:2: a quote opens here and never closes")
    );
    assert!(whole_error(&format!("{}\n{ROW}\n", "x,".repeat(500))).contains("no sheet of reeds has more than 200"));
}

#[test]
fn a_reed_twice_refuses_the_sheet_naming_both_lines() {
    let error = whole_error(&format!("{HEADING}\n{ROW}\n4,blow,in,C5,12,2,0.1,0.2\n{ROW}\n"));
    assert!(
        error.contains("sheet.csv:4: 5-blow-in: is a reed that stands twice: in line 2 and here in line 4"),
        "{error}"
    );
}

#[test]
fn a_value_without_a_heading_is_refused() {
    assert!(row_error(&format!("{HEADING},\n{ROW},stray\n")).contains("stray"));
    assert!(row_error(&format!("{HEADING}\n{ROW},stray\n")).contains("has 9 cells under 8 headings"));
    assert!(
        row_error(&format!("{}\n{};stray\n", HEADING.replace(',', ";"), ROW.replace(',', ";")))
            .contains("9 cells under 8")
    );
}

#[test]
fn lines_are_counted_through_blank_lines_and_quoted_line_ends() {
    let sheet = format!("{HEADING},remark\n\n{ROW},\"two\nlines\"\n\n4,blow,in,C5,x,2,0.1,0.2,\n");
    let reeds = load(&sheet).unwrap();
    assert_eq!(reeds[0].as_ref().unwrap().line, 3);
    let error = reeds[1].as_ref().unwrap_err();
    assert_eq!(error.line, 6);
    assert_eq!((error.error.problems[0].line, error.error.problems[0].column), (Some(6), Some(14)));
}

/// An A of 442 Hz has its middle C at 262.815 Hz (`442 * 2^(-9/12)`); 3 cents below that is 262.360 Hz.
#[test]
fn a_pitch_may_be_typed_as_the_tuner_shows_it() {
    let job = "sheet = \"sheet.csv\"\n[instrument]\nconcert_pitch_hz = 442\n";
    let row = |pluck: &str| {
        let sheet = format!(
            "{HEADING},measured_pluck_hz,measured_sounding_hz,measured_at_pa\n1,blow,out,C4,15,2,,0.25,{pluck},C4 -12,500\n"
        );
        Job::parse(("job.toml", job), ("sheet.csv", &sheet)).unwrap().reeds.remove(0)
    };
    for (typed, hz) in [("C4 -3", 262.360), ("C4 -3 cents", 262.360), ("262.36", 262.36), ("B3 +97", 262.360)] {
        let measured = row(typed).unwrap().checked.measured;
        assert!((measured.pluck_hz.unwrap() - hz).abs() < 1e-3, "{typed}: {:?}", measured.pluck_hz);
        assert!((measured.sounding_hz.unwrap() - 260.999).abs() < 1e-3, "{:?}", measured.sounding_hz);
    }
    for (typed, part) in
        [("C4", "is a note without its cents"), ("C4 -3x2", "C4 -3x2"), ("C4 -150", "-100 to 100 cents")]
    {
        let error = row(typed).unwrap_err();
        assert_eq!(error.error.problems.len(), 1, "{error}");
        assert!(
            error.to_string().contains("sheet.csv:2: measured_pluck_hz") && error.to_string().contains(part),
            "{error}"
        );
    }
}
