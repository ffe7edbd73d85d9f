//! Rounds of measuring: dated sheets beside the job, laid over the base sheet in the order of their days.

use freereed::sheet::{Date, Feel, Job, JobReed, Operation, Value};
use proptest::prelude::*;

const JOB: &str = "sheet = \"sheet.csv\"\n[defaults]\nalloy = \"C51000\"\n";
const SHEET: &str =
    "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,feel,remark
1,blow,out,C5,14.3,2.1,0.2,525,0.058,0.27,too stiff,first
1,draw,out,D5,13.6,2.1,0.2,588,0.05,0.26,,
2,blow,out,E5,12.5,2.1,,,,,,
";

fn load(rounds: &[(&str, &str)]) -> Result<Job, String> {
    Job::parse_with(("job.toml", JOB), ("sheet.csv", SHEET), None, rounds).map_err(|error| error.to_string())
}

fn job(rounds: &[(&str, &str)]) -> Job {
    load(rounds).unwrap_or_else(|error| panic!("{error}"))
}

fn reed(job: &Job, k: usize) -> &JobReed {
    job.reeds[k].as_ref().unwrap_or_else(|error| panic!("{error}"))
}

fn number(reed: &JobReed, key: &str) -> Option<f64> {
    match reed.checked.spec.typed(key) {
        Some((Value::Number(number), _)) => Some(*number),
        _ => None,
    }
}

const FIRST: &str = "hole,breath,slide,measured_pluck_hz,tip_gap_mm,operation,minutes,feel
1,blow,out,524.2,,retune,7.5,good
1,draw,out,,0.30,regap,3,
2,blow,out,,,,,
";

#[test]
fn the_newest_values_win_and_nothing_else_is_lost() {
    // Given in the wrong order: days decide.
    let second = "hole,breath,slide,measured_pluck_hz\n1,blow,out,523.4\n";
    let job = job(&[("rounds/2026-03-01b.csv", second), ("rounds/2026-03-01.csv", FIRST)]);
    let names: Vec<String> = job.rounds.iter().map(|round| round.name()).collect();
    assert_eq!(names, ["2026-03-01", "2026-03-01b"]);
    assert_eq!((job.rounds[0].date, job.rounds[1].suffix), (Date::parse("2026-03-01").unwrap(), Some('b')));
    let (blow, draw) = (reed(&job, 0), reed(&job, 1));
    assert_eq!((number(blow, "measured_pluck_hz"), number(blow, "tip_gap_mm")), (Some(523.4), Some(0.27)));
    assert_eq!((number(draw, "measured_pluck_hz"), number(draw, "tip_gap_mm")), (Some(588.0), Some(0.30)));
    assert_eq!((blow.feel, blow.remark.as_deref(), blow.tongue_since), (Some(Feel::Good), Some("first"), None));
    // The value says where it came from.
    assert_eq!(blow.checked.spec.typed("measured_pluck_hz").unwrap().1.file(), "rounds/2026-03-01b.csv");
    let row = job.rounds[0].row("1-blow-out").unwrap().as_ref().unwrap();
    assert_eq!((row.operation, row.minutes, row.replaced), (Some(Operation::Retune), Some(7.5), false));
    assert_eq!(row.blank, ["tip_gap_mm"]);
    // A column for some reeds of the round is no omission of the others.
    assert_eq!(job.notes, ["round 2026-03-01: nothing measured of 2-blow-out"]);
    assert_eq!(job.bad_rows_elsewhere().count(), 0);
}

#[test]
fn what_was_forgotten_in_a_round_is_told() {
    let text = "hole,breath,slide,operation,tip_gap_mm,measured_pluck_hz,softest_blow_pa
1,blow,out,regap,,525,80
1,draw,out,retune,0.3,,90
2,blow,out,measure,,660,
";
    let job = job(&[("2026-03-01.csv", text)]);
    let notes = [
        "1-blow-out was bent, and no tip_gap_mm is written down; what was known before stands",
        "1-draw-out was retuned, and no measured_pluck_hz is written down; what was known before stands",
        "no measured_pluck_hz of 1-draw-out; what was known before stands",
        "no softest_blow_pa of 2-blow-out; what was known before stands",
    ];
    assert_eq!(job.notes, notes.map(|note| format!("round 2026-03-01: {note}")));
}

#[test]
fn a_round_measures_what_was_left_out() {
    let round = "hole;breath;slide;note;thickness_mm;tip_gap_mm\n2;blow;out;E5;0,18;0,25\n";
    assert_eq!(job(&[]).reeds[2].as_ref().unwrap_err().still_needs(), Some(vec!["thickness_mm", "tip_gap_mm"]));
    let whole = job(&[
        ("2026-03-01.csv", "hole,breath,slide,length_mm,width_mm\n2,blow,out,12.6,2.1\n"),
        ("2026-03-02.csv", round),
    ]);
    assert_eq!(
        (number(reed(&whole, 2), "length_mm"), number(reed(&whole, 2), "thickness_mm")),
        (Some(12.6), Some(0.18))
    );
}

#[test]
fn a_new_tongue_forgets_what_the_old_one_was_measured_to_do() {
    let replaced = "hole,breath,slide,replaced,thickness_mm,measured_sounding_hz\n1,blow,out,Yes,0.21,\n";
    let again = "hole,breath,slide,tip_gap_mm,length_mm,width_mm\n1,blow,out,0.29,14.3,2.1\n";
    let job = job(&[("2026-04-01.csv", replaced), ("2026-03-01.csv", FIRST)]);
    let blow = reed(&job, 0);
    let measured = ["measured_pluck_hz", "ring_down_s"].map(|key| number(blow, key));
    assert_eq!((measured, number(blow, "thickness_mm"), blow.feel), ([None, None], Some(0.21), None));
    assert_eq!(blow.tongue_since.unwrap().to_string(), "2026-04-01");
    let old = "1-blow-out has a new tongue since 2026-04-01, and still the old one's length_mm, width_mm, tip_gap_mm: measure it";
    assert!(job.notes.iter().any(|note| note == old), "{:?}", job.notes);
    // The same by the operation; and once all is measured there is nothing to say.
    let replaced = replaced.replace("replaced", "operation").replace("Yes", "replace");
    let job = load(&[("2026-04-01.csv", &replaced), ("2026-04-02.csv", again)]).unwrap();
    assert!(job.rounds[0].rows[0].as_ref().unwrap().replaced);
    assert!(job.notes.iter().all(|note| !note.contains("new tongue")), "{:?}", job.notes);
    assert_eq!(number(reed(&job, 0), "measured_pluck_hz"), None);
}

#[test]
fn a_round_that_is_wrong_is_told_with_its_file_and_line() {
    let refusal = |name: &str, text: &str| load(&[(name, text)]).expect_err(text);
    for name in ["rounds/first.csv", "2026-02-30.csv", "2026-3-1.csv", "2026-03-01-b.csv"] {
        let error = refusal(name, FIRST);
        assert!(
            error.contains(&format!("{name}: is no name of a round of measuring; try: name it by its day")),
            "{error}"
        );
    }
    let both = load(&[("2026-03-01.csv", FIRST), ("2026-03-01.CSV", FIRST)]).unwrap_err();
    assert!(both.contains("2026-03-01.CSV: is of the same day as 2026-03-01.csv; try: tell them apart"), "{both}");
    assert!(
        refusal("2026-03-01.csv", "hole,breath,tip_gap_mm\n1,blow,0.3\n")
            .contains("slide: is a column that is missing")
    );
    let twice = "hole,breath,slide,tip_gap_mm\n1,blow,out,0.3\n1,blow,out,0.31\n";
    assert!(refusal("2026-03-01.csv", twice).contains("2026-03-01.csv:3: 1-blow-out: is a reed that stands twice"));
    for (row, says) in [
        ("1,blow,out,C5,3.0.1,,,", "tip_gap_mm = 3.0.1"),
        ("1,blow,out,D5,0.3,,,", "1-blow-out: is D5 here and C5 in the set's sheet"),
        (
            "1,blow,out,,0.3,polish,,",
            "operation = polish: is not one of the words for it; allowed: retune or regap or align",
        ),
        ("1,blow,out,,0.3,,-2,", "minutes = -2: is outside the range; allowed: 0 to 1440"),
        ("1,blow,out,,0.3,,soon,", "minutes = soon: is text"),
        ("1,blow,out,,0.3,,,perhaps", "replaced = perhaps: is not one of the words for it; allowed: yes or no"),
        ("1,blow,out,,0.3,replace,,no", "replaced: is no, and the operation is replace"),
    ] {
        let job = job(&[(
            "2026-03-01.csv",
            &format!("hole,breath,slide,note,tip_gap_mm,operation,minutes,replaced\n{row}\n"),
        )]);
        // What is newest is not known: the reed is not assessed on what is older.
        let error = job.reeds[0].as_ref().unwrap_err();
        assert!(error.to_string().contains(&format!("2026-03-01.csv:2: {says}")), "{error}");
        assert_eq!((error.line, job.reeds[1].is_ok(), job.bad_rows_elsewhere().count()), (2, true, 0));
    }
    // A reed that the set has not, and a row without its hole, belong to no reed.
    let job = job(&[("2026-03-01.csv", "hole,breath,slide,tip_gap_mm\n9,blow,out,0.3\n,blow,out,0.3\n")]);
    let stray: Vec<String> = job.bad_rows_elsewhere().map(ToString::to_string).collect();
    assert!(stray.len() == 2 && stray[0].contains("9-blow-out: is no reed of the set's sheet"), "{stray:?}");
    assert!(stray[1].contains("2026-03-01.csv:3: hole: is blank"), "{stray:?}");
}

#[test]
fn rounds_are_read_from_their_folder_and_left_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    std::fs::write(path("job.toml"), JOB).unwrap();
    std::fs::write(path("sheet.csv"), SHEET).unwrap();
    assert!(Job::load(path("job.toml")).unwrap().rounds.is_empty());
    std::fs::create_dir(path("rounds")).unwrap();
    for (name, text) in [("2026-03-01.csv", FIRST), ("notes.txt", "mine"), (".2026-03-02.csv", "hidden")] {
        std::fs::write(path("rounds").join(name), text).unwrap();
    }
    let job = Job::load(path("job.toml")).unwrap();
    assert_eq!((job.rounds.len(), number(reed(&job, 0), "measured_pluck_hz")), (1, Some(524.2)));
    assert_eq!(std::fs::read_to_string(path("rounds/2026-03-01.csv")).unwrap(), FIRST);
    std::fs::write(path("rounds/later.csv"), FIRST).unwrap();
    assert!(Job::load(path("job.toml")).unwrap_err().to_string().contains("later.csv: is no name of a round"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever rounds there were, a reed has the last gap that was measured, or the base sheet's.
    #[test]
    fn the_last_gap_that_was_measured_counts(gaps in prop::collection::vec(prop::option::of(10_u32..90), 0..8)) {
        let text = |gap: &Option<u32>| {
            let cell = gap.map_or(String::new(), |gap| format!("0.{gap}"));
            format!("hole,breath,slide,tip_gap_mm\n1,blow,out,{cell}\n")
        };
        let files: Vec<(String, String)> =
            gaps.iter().enumerate().map(|(k, gap)| (format!("2026-03-{:02}.csv", k + 1), text(gap))).collect();
        let mut rounds: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        rounds.reverse();
        let last = gaps.iter().flatten().last().map_or(0.27, |gap| format!("0.{gap}").parse().unwrap());
        prop_assert_eq!(number(reed(&job(&rounds), 0), "tip_gap_mm"), Some(last));
    }
}
