//! The test protocol of a set: as JSON, as a round of measuring to fill, in words.

use serde_json::{Map, Value, json};

use super::in_words::in_words;
use super::json;
use crate::instrument::{IN_TUNE_CENTS, REACH};
use crate::protocol::{Found, PairTest, Protocol, ReedTests, Step, Sweep, Test, TestResult, Why};
use crate::sheet::Operation;
use crate::units::{cents_size, hertz, pascal, seconds, significant, water};

/// All of it, in SI; what was found in the unit of its column.
pub fn to_json(protocol: &Protocol) -> Map<String, Value> {
    let (tests, passed, failed) = protocol.done();
    let mut all = json::object(json!(protocol));
    all.insert("done".to_owned(), json!({ "tests": tests, "passed": passed, "failed": failed }));
    all.insert("before".to_owned(), json!(before()));
    all
}

/// A round of measuring to fill and keep as `rounds/DATE.csv`: the reeds that are tested by themselves, in that order, what is
/// known already left blank as it stands in its own round.
///
/// # Panics
/// Never: the table is written to memory.
pub fn to_round(protocol: &Protocol) -> Vec<u8> {
    let mut columns = vec!["hole", "breath", "slide", "note", "operation"];
    for test in [Test::Leak, Test::Pluck, Test::SoftestBlow] {
        if protocol.reeds.iter().any(|reed| reed.steps.iter().any(|step| step.test == test)) {
            columns.push(test.column());
        }
    }
    columns.extend(["feel", "remark"]);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(&columns).expect("memory takes all");
    for reed in protocol.reeds.iter().filter(|reed| reed.why != Why::Tested) {
        let name = [reed.hole.to_string(), reed.breath.name().into(), reed.slide.name().into(), reed.note.to_string()];
        let blanks = std::iter::repeat_n(String::new(), columns.len() - 5);
        let record = name.into_iter().chain([Operation::Measure.name().to_owned()]).chain(blanks);
        table.write_record(record).expect("memory takes all");
    }
    table.into_inner().expect("memory takes all")
}

/// What to see to before the first note: sentences.
pub fn before() -> [&'static str; 3] {
    [
        "Warm the instrument to the hand, close every other hole, and let the gauge come to rest at nothing.",
        "Record close by, with a second of quiet before the first note and between notes; listen reads the recording.",
        "Protect your hearing: a reed blown hard close to the ear is loud. A mouthpiece and hose for each player, clean.",
    ]
}

/// What is tested of a reed: part of a sentence.
pub fn step_words(step: &Step) -> String {
    let limit = match (step.test, step.pressure_pa, step.allowed_s) {
        (Test::Pluck, ..) => {
            step.target_hz.map(|hz| format!("passes within {} of {}", cents_size(IN_TUNE_CENTS), hertz(hz)))
        }
        (Test::SoftestBlow, Some(pressure), _) => Some(format!("passes up to {}", gauge(pressure))),
        (_, Some(pressure), Some(allowed)) => Some(format!("{}: passes within {}", gauge(pressure), seconds(allowed))),
        (Test::Rattle, Some(pressure), _) => Some(format!("{}: passes without", gauge(pressure))),
        _ => None,
    };
    std::iter::once(step.test.words().to_owned()).chain(limit).collect::<Vec<_>>().join("; ")
}

fn gauge(pressure_pa: f64) -> String {
    format!("{} ({})", pascal(pressure_pa), water(pressure_pa))
}

/// What was found, or a blank to write on.
pub fn found_words(step: &Step) -> String {
    step.found.as_ref().map_or_else(|| "________".to_owned(), |found| found_in_words(step.test, found))
}

fn found_in_words(test: Test, found: &Found) -> String {
    let value = match (test, found.value) {
        (Test::Pluck, Some(hz)) => hertz(hz),
        (Test::SoftestBlow, Some(pressure)) => pascal(pressure),
        (Test::Leak, Some(area)) => format!("{} mm2", significant(area, 2)),
        _ => found.word.unwrap_or_default().to_owned(),
    };
    let result = match found.result {
        TestResult::Passed => ", passed",
        TestResult::Failed => ", FAILED",
        TestResult::Told => "",
    };
    format!("{value}{result} ({})", found.round)
}

/// Which reed, and why it is tested by itself.
pub fn reed_words(reed: &ReedTests) -> String {
    format!("{} {}: {}", reed.reed, reed.note, reed.why.words())
}

/// Of reeds that wait for what the tested ones show: a sentence without its point; nothing where none do.
pub fn later_words(protocol: &Protocol) -> Option<String> {
    let some = (!protocol.later.is_empty()).then(|| protocol.later.join(", "))?;
    Some(format!(
        "{} more cannot be told yet, and are tested with the whole set alone: keep what the others show as a round, then run protocol again ({some})",
        protocol.later.len()
    ))
}

/// Two notes together: part of a sentence.
pub fn pair_words(pair: &PairTest) -> String {
    let beats = match pair.meant_per_s {
        Some(beats) if beats >= 0.05 => format!("{beats:.1} beats a second meant"),
        Some(_) => "no beats meant".to_owned(),
        None => "evenly loud".to_owned(),
    };
    format!("blow {} and {} together and record; {beats}", pair.lower, pair.upper)
}

/// A sweep over the whole set: a sentence without its point.
pub fn sweep_words(sweep: Sweep, protocol: &Protocol) -> String {
    let reeds = protocol.reeds_in_set;
    let first = match &protocol.likely[..] {
        [] => String::new(),
        likely => format!(", first those that are likely good and not sure: {}", likely.join(", ")),
    };
    match sweep {
        Sweep::Plucks => format!(
            "Pluck all {reeds} reeds once into one recording, in the order of the sheet; listen --of plucks --save writes the round"
        ),
        Sweep::Soft => format!("Start every reed as softly as the player does; name those that hang{first}"),
        Sweep::Hard => {
            format!("Attack every reed hard, then slur over {} holes; name those that choke or rattle", REACH + 1)
        }
    }
}

/// What stands in [`rows`].
pub const HEAD: [&str; 3] = ["reed", "test", "found"];

/// All of it as rows, doubtful reeds first: the reed where its tests begin, what is tested, what was found; blank where nothing
/// was found yet.
pub fn rows(protocol: &Protocol) -> Vec<[String; 3]> {
    let mut rows = Vec::new();
    for reed in &protocol.reeds {
        for (k, step) in reed.steps.iter().enumerate() {
            let name = if k == 0 { format!("{} {}", reed.reed, reed.note) } else { String::new() };
            let found = if step.found.is_some() { found_words(step) } else { String::new() };
            rows.push([name, in_words(&step_words(step)), found]);
        }
    }
    let whole = |name: &str, words: &str| [name.to_owned(), in_words(words), String::new()];
    rows.extend(later_words(protocol).map(|words| whole("the others", &words)));
    rows.extend(protocol.pairs.iter().map(|pair| whole("two at once", &pair_words(pair))));
    rows.extend(protocol.sweeps.iter().map(|sweep| whole("all reeds", &sweep_words(*sweep, protocol))));
    rows
}

/// How far it has come: a sentence without its point.
pub fn progress(protocol: &Protocol) -> String {
    let (tests, passed, failed) = protocol.done();
    let minutes = significant(protocol.minutes.ceil(), 3);
    format!(
        "{} reeds by themselves, {tests} tests: {passed} passed, {failed} failed, {} open; about {minutes} minutes for what is open, pairs and sweeps",
        protocol.reeds.len(),
        protocol.reeds.iter().flat_map(|reed| &reed.steps).filter(|step| step.found.is_none()).count()
    )
}
