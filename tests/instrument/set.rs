//! Invented sets beside their target, under the player's word, and reeds beside each other.

use std::sync::LazyLock;

use crate::support::set::{Healthy, QUALITY, job_text, worked};
use approx::assert_relative_eq;
use freereed::instrument::balance::{BalanceOptions, balance};
use freereed::instrument::{Against, Assessment, Figure, Finding, Interval, MarginOf, ReedAssessment, Surety, assess};
use freereed::sheet::{Job, Note, Operation};

static JOB: LazyLock<String> = LazyLock::new(|| job_text("", ""));
const HEAD: &str =
    "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,quality_factor,tip_gap_mm,side_clearance_mm,feel\n";

/// A row of hole and note, off by some cents, with a gap some times the usual and a word of the player.
fn row(hole: u32, note: &str, cents: f64, gap: f64, feel: &str) -> String {
    let Healthy { hertz, length_mm, gap_mm, clearance_mm, .. } = Healthy::of(Note::parse(note).unwrap().midi());
    let (pluck_hz, gap_mm) = (hertz * (cents / 1200.0).exp2(), gap * gap_mm);
    format!("{hole},blow,out,{note},{length_mm},2.1,{pluck_hz},{QUALITY},{gap_mm},{clearance_mm},{feel}\n")
}

fn assessed(job: &str, rows: &[String], target: Option<&[String]>) -> Assessment {
    let sheet = |rows: &[String]| format!("{HEAD}{}", rows.concat());
    let (rows, target) = (sheet(rows), target.map(sheet));
    let job =
        Job::parse_with(("job.toml", job), ("sheet.csv", &rows), target.as_deref().map(|t| ("loved.csv", t)), &[]);
    assess(&job.unwrap(), || ())
}

fn reed(assessment: &Assessment, place: usize) -> &ReedAssessment {
    assessment.reeds[place].as_ref().unwrap()
}

fn kinds(reed: &ReedAssessment) -> Vec<&'static str> {
    reed.findings.iter().map(Finding::kind).collect()
}

#[test]
fn the_players_word_outranks_the_model() {
    let rows = [row(1, "E5", 0.0, 1.0, "too stiff"), row(2, "E5", 0.0, 1.0, ""), row(3, "E5", 0.0, 3.0, "good")];
    let set = assessed(&JOB, &rows, None);
    let [blamed, plain, praised] = [0, 1, 2].map(|k| reed(&set, k));
    // The same reed, and the word alone moves the demand to a tenth below where it speaks.
    let by_model = plain.margin(MarginOf::Soft).unwrap().value;
    let soft = blamed.margin(MarginOf::Soft).unwrap();
    assert_eq!((soft.against, plain.players_word()), (Against::Word { by_model }, None));
    assert_relative_eq!(soft.value.unwrap(), -(1.1_f64.ln()), max_relative = 1e-12);
    assert_eq!((kinds(blamed), kinds(plain)), (vec!["too stiff"], vec![]));
    let sentence = blamed.players_word().unwrap();
    assert!(
        sentence.starts_with("the player says too stiff, which outranks the model: soft is taken as"),
        "{sentence}"
    );
    assert_eq!(blamed.verdict().surety, Surety::Sure);
    // Too wide by the model, good by the player.
    assert!(
        matches!(praised.margin(MarginOf::Soft).unwrap().against, Against::Word { by_model: Some(value) } if value < 0.0)
    );
    assert_eq!(kinds(praised), Vec::<&str>::new());
}

#[test]
fn a_target_takes_the_place_of_the_demand() {
    let job = format!("{}[target]\nsheet = \"loved.csv\"\n", *JOB);
    let rows = [row(1, "C5", 0.0, 1.0, ""), row(2, "E5", 0.0, 1.5, ""), row(3, "G5", 0.0, 1.5, "")];
    let loved = [row(1, "C5", 0.0, 1.0, ""), row(2, "E5", 0.0, 1.0, "")];
    let set = assessed(&job, &rows, Some(&loved));
    let [same, wider, alone] = [0, 1, 2].map(|k| reed(&set, k));
    // Equal to its counterpart: what is let pass is left, and the tools' own errors cancel.
    let margin = same.margin(MarginOf::Soft).unwrap();
    assert_relative_eq!(margin.value.unwrap(), 1.1_f64.ln(), max_relative = 1e-9);
    assert_eq!(same.margin(MarginOf::Level).unwrap().value, Some(3.0));
    assert!(same.findings.is_empty() && margin.against == Against::Target);
    // The ratio of two windows, each solved by itself.
    let low = |reed: &ReedAssessment| reed.playable.unwrap().low.pressure_pa;
    let theirs = low(reed(&assessed(&JOB, &loved, None), 1));
    let margin = wider.margin(MarginOf::Soft).unwrap();
    assert_relative_eq!(margin.value.unwrap(), (1.1 * theirs / low(wider)).ln(), max_relative = 1e-9);
    assert!(kinds(wider).contains(&"starts later than the target"), "{:?}", kinds(wider));
    assert_eq!(alone.margin(MarginOf::Soft).unwrap().against, Against::Demand);
}

#[test]
fn notes_that_sound_together_are_found_and_their_beats_told() {
    let notes = ["C5", "E5", "G5", "C6", "C6", "E6", "G6"];
    let off = [0.0, 0.0, 0.0, 0.0, 0.0, -12.0, 0.0];
    let rows: Vec<String> =
        (1..).zip(notes).zip(off).map(|((hole, note), off)| row(hole, note, off, 1.0, "")).collect();
    let set = assessed(&JOB, &rows, None);
    let found: Vec<_> =
        set.pairs.iter().map(|p| (p.lower.as_str(), p.upper.as_str(), p.interval.unwrap().name)).collect();
    let all = [
        ("1-blow-out", "2-blow-out", "major third"),
        ("1-blow-out", "4-blow-out", "octave"),
        ("1-blow-out", "5-blow-out", "octave"),
        ("2-blow-out", "3-blow-out", "minor third"),
        ("2-blow-out", "4-blow-out", "minor sixth"),
        ("2-blow-out", "5-blow-out", "minor sixth"),
        ("2-blow-out", "6-blow-out", "octave"),
        ("3-blow-out", "6-blow-out", "major sixth"),
        ("3-blow-out", "7-blow-out", "octave"),
        ("4-blow-out", "6-blow-out", "major third"),
        ("5-blow-out", "6-blow-out", "major third"),
        ("6-blow-out", "7-blow-out", "minor third"),
    ];
    assert_eq!(found, all);
    for pair in &set.pairs {
        let beats = pair.beats.unwrap();
        let flat = pair.upper == "6-blow-out" || pair.lower == "6-blow-out";
        assert_eq!(beats.margin.verdict().good, !flat, "{pair:?}");
        assert_eq!(flat, (beats.per_s - beats.meant_per_s).abs() > beats.uncertainty_per_s);
    }
    // An octave 12 cents narrow at E6: 2 * 659.26 - 1318.51 * 2^(-12/1200) = 9.11 per s.
    let octave = set.pairs[6].beats.unwrap();
    assert_relative_eq!(octave.per_s, 9.107, epsilon = 2e-3);
    assert_relative_eq!(octave.meant_per_s, 0.0, epsilon = 1e-9);
    assert_eq!(Interval::of(6), None);
}

#[test]
fn own_pairs_take_the_place_of_the_usual_ones() {
    let job = format!("{}[[pair]]\nlower = \"C5\"\nupper = \"3-blow-out\"\n", *JOB);
    let rows = [row(1, "C5", 0.0, 1.0, ""), row(2, "E5", 0.0, 1.0, ""), row(3, "G5", 0.0, 1.0, "")];
    let set = assessed(&job, &rows, None);
    assert_eq!(set.pairs.len(), 1);
    assert_eq!((set.pairs[0].upper.as_str(), set.pairs[0].interval.unwrap().name), ("3-blow-out", "fifth"));
}

#[test]
fn a_reed_out_of_the_run_of_its_neighbours_jumps() {
    let rows: Vec<String> = (0..9)
        .map(|k| {
            let note = Note::from_midi(72 + k).unwrap().to_string();
            row(k as u32 + 1, &note, 0.0, if k == 4 { 2.2 } else { 1.0 }, "")
        })
        .collect();
    let set = assessed(&JOB, &rows, None);
    let onsets: Vec<_> = set.jumps.iter().filter(|jump| jump.figure == Figure::Onset).collect();
    let [jump] = onsets[..] else { panic!("{:?}", set.jumps) };
    assert_eq!((jump.reed.as_str(), jump.surety), ("5-blow-out", Surety::Sure));
    assert!(jump.off > 0.3 && jump.words().contains("more pressure"), "{jump:?}");
    assert!(set.groups.iter().map(|group| (group.group, group.reeds)).eq([("blow", 9), ("slide out", 9)]));
    assert!(set.groups[0].onset_off_log.unwrap().abs() < 0.05);
}

/// A job with rounds, assessed.
fn after_rounds(rows: &[String], rounds: &[(&str, &str)]) -> Assessment {
    let sheet = format!("{HEAD}{}", rows.concat());
    let rounds: Vec<(&str, String)> = rounds
        .iter()
        .map(|(day, rows)| (*day, format!("hole,breath,slide,operation,tip_gap_mm,feel\n{rows}")))
        .collect();
    let rounds: Vec<(&str, &str)> = rounds.iter().map(|(day, text)| (*day, text.as_str())).collect();
    assess(&Job::parse_with(("job.toml", &JOB), ("sheet.csv", &sheet), None, &rounds).unwrap(), || ())
}

/// What a word taught of the player stays when the reed is worked on, until another word.
#[test]
fn a_word_moves_the_margins_of_the_next_round() {
    let rows = [row(1, "E5", 0.0, 1.4, "too stiff"), row(2, "E5", 0.0, 1.4, "")];
    let first = after_rounds(&rows, &[]);
    let asked = reed(&first, 0).asked.soft_pa;
    let low = |reed: &ReedAssessment| reed.playable.unwrap().low.pressure_pa;
    assert_relative_eq!(asked.value, low(reed(&first, 0)) / 1.1, max_relative = 1e-9);
    // Bent a little: better, not enough; bent more: enough, though both are alike for the player's demand as typed.
    let little = after_rounds(&rows, &[("2026-03-01.csv", "1,blow,out,regap,0.30,\n")]);
    let more = after_rounds(&rows, &[("2026-03-01.csv", "1,blow,out,regap,0.20,\n")]);
    for (set, enough) in [(&little, false), (&more, true)] {
        let bent = reed(set, 0);
        assert_eq!(bent.asked.soft_pa, asked, "what was asked stays");
        let margin = bent.margin(MarginOf::Soft).unwrap();
        assert_relative_eq!(margin.value.unwrap(), (asked.value / low(bent)).ln(), max_relative = 1e-9);
        assert_eq!(kinds(bent).is_empty(), enough, "{:?} {}", kinds(bent), low(bent));
        assert!(bent.players_word().unwrap().starts_with("the player said too stiff before it was worked on: soft is"));
    }
    // Another word takes its place.
    let again = after_rounds(&rows, &[("2026-03-01.csv", "1,blow,out,regap,0.30,good\n")]);
    assert!(kinds(reed(&again, 0)).is_empty() && !reed(&again, 0).asked.is_moved());
    // A word said of the reed as it is needs no work to count; without one nothing is moved.
    assert!(!reed(&first, 1).asked.is_moved());
}

/// The work answers the word and the target, not the demand as typed.
#[test]
fn work_and_balance_answer_to_word_and_target() {
    let parse = |job: &str, rows: &[String], loved: Option<&str>| {
        let sheet = format!("{HEAD}{}", rows.concat());
        Job::parse_with(("job.toml", job), ("sheet.csv", &sheet), loved.map(|text| ("loved.csv", text)), &[]).unwrap()
    };
    let next = |job: &Job| {
        let (_, _, list) = worked(job);
        let work = list.reeds.into_iter().find(|work| work.now.reed.hole == 5).unwrap();
        let next = work.next().expect("there is work");
        (next.operation(), next.outcome.as_ref().map(|outcome| outcome.mends.clone()))
    };
    let rows = |gap: f64, feel: &str| -> Vec<String> {
        let one = |k: i32| {
            let note = Note::from_midi(72 + k).unwrap().to_string();
            let (gap, feel) = if k == 4 { (gap, feel) } else { (1.0, "") };
            row(k as u32 + 1, &note, 0.0, gap, feel)
        };
        (0..9).map(one).collect()
    };
    assert_eq!(
        next(&parse(&JOB, &rows(1.4, "too stiff"), None)),
        (Operation::Regap, Some(vec!["out of the run", "too stiff"]))
    );
    assert_eq!(next(&parse(&JOB, &rows(1.0, "airy"), None)), (Operation::Measure, None));
    let job = format!("{}[target]\nsheet = \"loved.csv\"\n", *JOB);
    let loved = format!("{HEAD}{}", rows(1.0, "").concat());
    let behind = parse(&job, &rows(1.5, ""), Some(&loved));
    let (operation, mends) = next(&behind);
    assert_eq!(operation, Operation::Regap);
    assert!(mends.unwrap().contains(&"starts later than the target"));
    // The set like its target keeps the target's run of gaps.
    let balanced = balance(&behind, &assess(&behind, || ()), &BalanceOptions::default(), || ());
    let odd = balanced.good_rows().find(|reed| reed.id == "5-blow-out").unwrap();
    assert_ne!(odd.goal.soft_pa, behind.player.soft_pa.at(odd.note));
    assert!(odd.wanted.room.unwrap().suits() && odd.wanted.gap_m < odd.now.gap_m, "{odd:?}");
}
