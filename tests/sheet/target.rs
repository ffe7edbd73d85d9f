//! The target set, the player's words, pairs and rates.

use freereed::sheet::{Feel, Job, Operation, PairEnd};

const JOB: &str = "sheet = \"sheet.csv\"
[plate]
plate_thickness_mm = 1.0
[defaults]
alloy = \"C51000\"
width_mm = 2.1
[[chamber]]
holes = \"1-2\"
volume_mm3 = 500
channel_length_mm = 20
channel_area_mm2 = 20
";
const HEAD: &str = "hole,breath,slide,note,length_mm,thickness_mm,tip_gap_mm,feel";
const ROWS: [&str; 3] =
    ["1,blow,out,C5,14.3,0.2,0.27,Too Stiff", "1,draw,out,D5,13.6,0.2,0.26,", "2,blow,out,E5,12.5,0.2,0.25,AIRY"];

fn sheet(rows: &[&str]) -> String {
    format!("{HEAD}\n{}\n", rows.join("\n"))
}

fn load(more: &str, target: Option<&str>) -> Result<Job, String> {
    let (text, rows) = (format!("{JOB}{more}"), sheet(&ROWS));
    let target = target.map(|text| ("loved.csv", text));
    Job::parse_with(("job.toml", &text), ("sheet.csv", &rows), target, &[]).map_err(|error| error.to_string())
}

#[test]
fn the_player_s_words_are_few() {
    let job = load("", None).unwrap();
    let words: Vec<Option<Feel>> = job.reeds.iter().map(|reed| reed.as_ref().unwrap().feel).collect();
    assert_eq!(words, [Some(Feel::TooStiff), None, Some(Feel::Airy)]);
    let text = sheet(&[&ROWS[0].replace("Too Stiff", "stubborn"), ROWS[1]]);
    let job = Job::parse(("job.toml", JOB), ("sheet.csv", &text)).unwrap();
    let error = job.reeds[0].as_ref().unwrap_err().to_string();
    let says =
        "sheet.csv:2: feel = stubborn: is not one of the words for it; allowed: too stiff or airy or late or good";
    assert!(error.contains(says) && job.reeds[1].is_ok(), "{error}");
}

#[test]
fn a_target_is_a_second_set_matched_reed_by_reed() {
    let target = "[target]\nsheet = \"loved.csv\"\n[target.plate]\nplate_thickness_mm = 0.8\n[[target.chamber]]\nholes = \"2\"\n\
                  volume_mm3 = 300\nchannel_length_mm = 10\nchannel_area_mm2 = 20\n";
    let loved = sheet(&[&ROWS[2].replace("0.25", "0.21"), &ROWS[0].replace("C5", "C#5"), "7,draw,in,A5,11,0.2,0.2,"]);
    let job = load(target, Some(&loved)).unwrap();
    let target = job.target.as_ref().unwrap();
    assert_eq!((target.reeds.len(), target.sheet_name.as_str()), (3, "loved.csv"));
    let (own, there) = (job.reeds[2].as_ref().unwrap(), target.reed("2-blow-out").unwrap());
    let gap = |reed: &freereed::sheet::JobReed| reed.checked.reed.rest.height_m(12.5e-3, 12.5e-3);
    assert!((gap(own) - 0.25e-3).abs() < 1e-12 && (gap(there) - 0.21e-3).abs() < 1e-12);
    // Its own plate and chamber over the job's; where it has none, the job's.
    let volume = |reed: &freereed::sheet::JobReed| (reed.checked.reed.chamber.unwrap().volume_m3 * 1e9).round();
    assert_eq!((volume(own), volume(there), volume(target.reed("1-blow-out").unwrap())), (500.0, 300.0, 500.0));
    assert!((there.checked.reed.slot.plate_thickness_m - 0.8e-3).abs() < 1e-12);
    assert!((own.checked.reed.slot.plate_thickness_m - 1e-3).abs() < 1e-12);
    assert_eq!(
        (&target.missing[..], &target.strangers[..]),
        (&["1-draw-out".to_owned()][..], &["7-draw-in".to_owned()][..])
    );
    for note in [
        "the target loved.csv has no good row for 1-draw-out",
        "the target loved.csv has reeds that the set has not: 7-draw-in",
        "1-blow-out is C5, and C#5 in the target loved.csv",
    ] {
        assert!(job.notes.iter().any(|known| known == note), "{note}: {:?}", job.notes);
    }
    // A bad row of the target is told, and its reed has no counterpart.
    let bad =
        load("[target]\nsheet = \"loved.csv\"\n", Some(&sheet(&[ROWS[0], ROWS[1], &ROWS[2].replace("0.25", "25")])))
            .unwrap();
    assert_eq!(
        (&bad.target.as_ref().unwrap().missing[..], bad.bad_rows_elsewhere().count()),
        (&["2-blow-out".to_owned()][..], 1)
    );
    assert!(load("", None).unwrap().target.is_none());
}

#[test]
fn a_target_that_is_wrong_is_refused() {
    for (more, says) in [
        ("[target]\n", "target: names no sheet; try: name the measured set's CSV file"),
        ("[target]\nsheet = 3\n", "sheet = 3: is a number; text is needed"),
        ("[target]\nsheet = \"loved.csv\"\nplait = 3\n", "plait: is not known; try: did you mean plate?"),
        (
            "[target]\nsheet = \"loved.csv\"\n[target.plate]\nplate_thickness_mm = 100\n",
            "plate_thickness_mm = 100: is too large",
        ),
        ("[target]\nsheet = \"loved.csv\"\n", "was not read"),
    ] {
        let error = load(more, None).expect_err(more);
        assert!(error.contains(says), "{more}: {error}");
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("job.toml"), format!("{JOB}[target]\nsheet = \"loved.csv\"\n")).unwrap();
    std::fs::write(folder.path().join("sheet.csv"), sheet(&ROWS)).unwrap();
    let load = || Job::load(folder.path().join("job.toml"));
    let error = load().unwrap_err().to_string();
    assert!(error.contains("loved.csv: no such file (the sheet named in") && error.contains("job.toml:13)"), "{error}");
    std::fs::write(folder.path().join("loved.csv"), sheet(&ROWS)).unwrap();
    assert!(load().unwrap().target.unwrap().missing.is_empty());
}

#[test]
fn pairs_are_notes_or_reeds_of_the_sheet() {
    let job =
        load("[[pair]]\nlower = \"C5\"\nupper = \"E5\"\n[[pair]]\nlower = \"1-Blow-Out\"\nupper = \"D5\"\n", None)
            .unwrap();
    assert_eq!(job.pairs.len(), 2);
    assert_eq!(job.pairs[1].lower, PairEnd::Reed("1-blow-out".to_owned()));
    let ids: Vec<&str> = job.sounding(&job.pairs[0].upper).map(|reed| reed.id.as_str()).collect();
    assert_eq!((ids, job.sounding(&job.pairs[1].lower).count()), (vec!["2-blow-out"], 1));
    for (more, says) in [
        (
            "[[pair]]\nlower = \"C5\"\n",
            "upper: is missing in this [[pair]]; try: write upper = \"C4\" or \"1-blow-out\"",
        ),
        ("[[pair]]\nlower = \"C5\"\nupper = \"E\"\n", "upper = \"E\": is neither a note nor a reed"),
        (
            "[[pair]]\nlower = \"C5\"\nupper = \"9-blow-out\"\n",
            "upper = \"9-blow-out\": is no reed of the sheet and no note of any",
        ),
        ("[[pair]]\nlower = \"F5\"\nupper = \"G5\"\n", "lower = \"F5\": is no reed of the sheet"),
        ("[[pair]]\nlower = \"E5\"\nupper = \"C5\"\n", "upper = \"C5\": is not above E5 (E5); try: exchange the two"),
        ("[[pair]]\nlower = \"E5\"\nupper = \"E5\"\n", "is not above"),
        ("[pair]\nlower = \"C5\"\n", "pair = "),
    ] {
        let error = load(more, None).expect_err(more);
        assert!(error.contains(says), "{more}: {error}");
    }
}

#[test]
fn rates_are_assumed_until_they_are_typed() {
    let rates = load("", None).unwrap().rates;
    let all = || Operation::ALL.iter().map(|row| row.operation);
    assert_eq!(rates.assumed(all()).len(), Operation::ALL.len());
    assert!(all().all(|operation| rates.minutes(operation) == operation.row().usual_minutes));
    let rates = load("[rates]\nretune_minutes = 9.5\nmeasure_minutes = 2\n", None).unwrap().rates;
    assert_eq!((rates.minutes(Operation::Retune), rates.minutes(Operation::Measure)), (9.5, 2.0));
    let assumed = rates.assumed([Operation::Retune, Operation::Seal]);
    assert!(assumed.len() == 1 && assumed[0].key == "rates.seal_minutes" && assumed[0].why.contains("no source"));
    for (more, says) in [
        ("[rates]\nretune = 9\n", "retune: is not known; try: known here: retune_minutes, regap_minutes"),
        ("[rates]\nretune_minutes = 0\n", "allowed: 0.1 to 600 (minutes a reed"),
        ("rates = 3\n", "rates = 3"),
    ] {
        let text = if more.starts_with("rates") { format!("{more}{JOB}") } else { format!("{JOB}{more}") };
        let error = Job::parse(("job.toml", &text), ("sheet.csv", &sheet(&ROWS))).expect_err(more).to_string();
        assert!(error.contains(says), "{more}: {error}");
    }
}
