//! A job to start from, filled in: the made-up players are such that a healthy set is not found at fault.

use super::demo::healthy_sheet;
use freereed::instrument::{Finding, assess};
use freereed::sheet::{Job, Note, STARTS, Start, Starter};

/// Every so many reeds of the set are looked at, from the lowest to the highest.
const EVERY: usize = 6;

/// The job for a player with what a maker fills in: the metal, the concert pitch, and the numbers of the demo without its faults.
fn filled(start: Start) -> Job {
    let [(_, job), (_, sheet), _] = Starter::solo(12, Note::parse("C4").unwrap(), start).unwrap().files();
    let job = job.replace("# alloy = \"C26000\"", "alloy = \"C51000\"");
    let job = job.replace("# concert_pitch_hz = 440.0", "concert_pitch_hz = 442.0");
    assert!(job.contains("\nalloy = ") && job.contains("\nconcert_pitch_hz = "), "{job}");
    let numbers = healthy_sheet();
    let cells = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
    let mut of_demo = numbers.lines().map(cells);
    let (head, columns) = (of_demo.next().unwrap(), cells(sheet.lines().next().unwrap()));
    let cell = |row: &[String], column: &String| {
        head.iter().position(|name| name == column).map_or(String::new(), |k| row[k].clone())
    };
    let row = |row: Vec<String>| columns.iter().map(|column| cell(&row, column)).collect::<Vec<_>>().join(",");
    let rows: Vec<String> = of_demo.map(row).step_by(EVERY).collect();
    Job::parse(("job.toml", &job), ("sheet.csv", &format!("{}\n{}\n", columns.join(","), rows.join("\n")))).unwrap()
}

#[test]
fn no_starting_player_finds_a_healthy_set_at_fault() {
    for start in STARTS {
        let assessment = assess(&filled(start), || ());
        assert_eq!((assessment.good_rows().count(), assessment.bad_rows().count()), (48 / EVERY, 0));
        let failing = assessment.good_rows().filter(|reed| !reed.findings.is_empty());
        let failing: Vec<_> = failing
            .map(|reed| (&reed.reed.id, reed.findings.iter().map(Finding::sentence).collect::<Vec<_>>()))
            .collect();
        assert!(4 * failing.len() < 48 / EVERY, "{}: {failing:#?}", start.name);
    }
}
