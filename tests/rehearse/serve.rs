//! What would serve a piece: faults planted in the demo are named with their work, and a sound reed asked for the impossible is
//! left alone.

use std::sync::LazyLock;

use crate::score::Score;
use freereed::instrument::work::Plan;
use freereed::instrument::{Assessment, assess_for_work};
use freereed::print::rehearse::serve_words;
use freereed::rehearse::{Best, Excess, Piece, Rehearsal, read, rehearse};
use freereed::sheet::Job;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
/// Rows of the demo without a fault; then with a leak, and with a slot three times as wide.
const D5: [&str; 2] = [
    "5,draw,out,D5,13.6,2.12,0.208,589.4,,0.048,0.24,0.026,,,,",
    "5,draw,out,D5,13.6,2.12,0.208,589.4,,0.048,0.24,0.026,,,4,",
];
const G5: [&str; 2] = [
    "7,blow,out,G5,12.2,2.05,0.206,787.2,,0.0379,0.2,0.024,,,,",
    "7,blow,out,G5,12.2,2.05,0.206,787.2,,0.0379,0.2,0.075,,,,",
];

static PLANTED: LazyLock<(Job, Assessment)> = LazyLock::new(|| {
    let text = |name: &str| std::fs::read_to_string(format!("{FOLDER}/{name}")).unwrap();
    let sheet = text("sheet.csv");
    for row in [D5, G5] {
        assert_eq!(sheet.matches(row[0]).count(), 1, "{}", row[0]);
    }
    let sheet = sheet.replace(D5[0], D5[1]).replace(G5[0], G5[1]);
    let job = Job::parse(("job.toml", &text("job.toml")), ("sheet.csv", &sheet)).unwrap();
    let assessment = assess_for_work(&job, || {});
    (job, assessment)
});

/// Slow and soft on the leak, short on the wide slot, and quicker than any tongue on a sound reed.
fn piece() -> Piece {
    let score = Score::new("Asks much", 60.0)
        .line("D5 D5 D5", 2.0, 0.9, |_| 10)
        .line("G5 G5 G5", 1.0, 0.17, |_| 40)
        .line("E5 E5 E5", 1.0, 0.03, |_| 64);
    read(&score.bytes()).unwrap()
}

fn played(piece: &Piece) -> Rehearsal {
    let (job, assessment) = &*PLANTED;
    rehearse(job, assessment, piece, |_| {}, || {}).unwrap()
}

fn of<'a>(rehearsal: &'a Rehearsal, reed: &str) -> &'a Excess {
    rehearsal.too_much.iter().find(|excess| excess.reed == reed).unwrap_or_else(|| panic!("{reed} does what is asked"))
}

#[test]
fn a_planted_fault_is_named_with_its_work_and_a_sound_reed_with_a_tempo() {
    let piece = piece();
    let rehearsal = played(&piece);
    for excess in &rehearsal.too_much {
        println!("{} {:?} {:?} {}", excess.reed, excess.failing, excess.worst, serve_words(excess, piece.bpm));
    }
    let route = |reed: &str| {
        let (left, best) = of(&rehearsal, reed).serve.best();
        let Best::Work(work) = best else { panic!("{reed}: {best:?}") };
        (left.failing, work.work.route().take(work.steps).map(|next| next.plan.clone()).collect::<Vec<_>>())
    };
    let (failing, plans) = route("5-draw-out");
    assert!(failing == 0 && matches!(plans[..], [Plan::Seal(_)]), "{failing} {plans:#?}");
    let (failing, plans) = route("7-blow-out");
    assert!(failing == 0 && matches!(plans[..], [Plan::CloseEdges { .. }]), "{failing} {plans:#?}");
    let words = |reed: &str| serve_words(of(&rehearsal, reed), piece.bpm);
    assert!(
        words("5-draw-out").starts_with("it leaks (valve, comb or plate, 4.0 mm2): seal"),
        "{}",
        words("5-draw-out")
    );
    let wide = words("7-blow-out");
    assert!(wide.starts_with("slot too wide (0.075 mm") && wide.ends_with("all its notes speak then"), "{wide}");
    // The sound reed: no work, and the tempo that is told is the quickest at which it is in time, when it is played so.
    let sound = of(&rehearsal, "6-blow-out");
    let (left, best) = sound.serve.best();
    assert!(matches!(best, Best::Nothing) && left.failing == 3, "{left:?} {best:?}");
    let said = serve_words(sound, piece.bpm);
    let bpm: f64 = said
        .strip_prefix("no work on the reed; at ")
        .and_then(|rest| rest.split(' ').next()?.parse().ok())
        .unwrap_or_else(|| panic!("{said}"));
    let fails_at = |bpm: f64| {
        let slower = played(&piece.clone().at_bpm(bpm).unwrap());
        slower
            .notes
            .iter()
            .filter(|note| note.on.as_ref().is_some_and(|on| on.reed == "6-blow-out") && note.outcome.fails())
            .count()
    };
    assert!((5.0..50.0).contains(&bpm) && fails_at(bpm) == 0 && fails_at(1.05 * bpm) > 0, "{said}");
}
