//! Pieces on a small set: what becomes of each note, against the attacks and windows of the library itself and against what must
//! be so whatever the numbers.

use std::sync::LazyLock;

use crate::score::Score;
use freereed::instrument::{Assessment, Pressures, assess_for_work};
use freereed::physics::attack::Stop;
use freereed::rehearse::{
    Best, NORMAL, Outcome, Piece, PlayedNote, PressureOff, Rehearsal, pressure_pa, read, rehearse, sound,
};
use freereed::sheet::Job;

const JOB: &str = "sheet = \"sheet.csv\"
[defaults]
tip_mass_mg = 0
alloy = \"C51000\"
[[chamber]]
holes = \"1-8\"
volume_mm3 = 400
channel_length_mm = 15
channel_area_mm2 = 20
[player]
soft_pa = 400
normal_pa = 1000
hard_pa = 2000
time_allowed_ms = 250
";
const HEAD: &str =
    "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm";
/// Healthy but for 7 draw, whose gap is far too close.
const ROWS: [&str; 8] = [
    "5,blow,out,C5,14.3,2.11,523.3,0.058,0.27,0.027",
    "5,draw,out,D5,13.6,2.10,587.3,0.052,0.26,0.027",
    "6,blow,out,E5,12.5,2.07,659.3,0.0456,0.24,0.026",
    "6,draw,out,F5,12.2,2.06,698.5,0.044,0.24,0.026",
    "7,blow,out,G5,11.6,2.05,784.0,0.0382,0.22,0.025",
    "7,draw,out,A5,11.2,2.03,880.0,0.0352,0.05,0.025",
    "8,blow,out,C6,10.3,2.0,1046.5,0.0292,0.19,0.024",
    "8,draw,out,B5,10.5,2.01,987.8,0.031,0.20,0.024",
];

static SET: LazyLock<(Job, Assessment)> = LazyLock::new(|| {
    let sheet = format!("{HEAD}\n{}\n", ROWS.join("\n"));
    let job = Job::parse(("job.toml", JOB), ("sheet.csv", &sheet)).unwrap();
    let assessment = assess_for_work(&job, || {});
    (job, assessment)
});

fn played(score: &Score) -> Rehearsal {
    let piece: Piece = read(&score.bytes()).unwrap();
    let (job, assessment) = &*SET;
    rehearse(job, assessment, &piece, |_| {}, || {}).unwrap()
}

fn outcomes(rehearsal: &Rehearsal) -> Vec<Outcome> {
    rehearsal.notes.iter().map(|note| note.outcome).collect()
}

/// Long notes at the normal pressure: as the assessment has each reed there.
#[test]
fn a_slow_scale_is_what_the_assessment_says() {
    let rehearsal = played(&Score::new("Scale", 60.0).line("C5 D5 E5 F5 G5 A5 B5 C6", 2.0, 1.0, |_| NORMAL));
    let (_, assessment) = &*SET;
    for note in &rehearsal.notes {
        let on = note.on.as_ref().unwrap();
        let reed = assessment.good_rows().find(|reed| reed.reed.id == on.reed).unwrap();
        let expected = reed.attacks[1].t50_s.filter(|_| reed.attacks[1].speaks);
        assert_eq!((on.t50_s, on.swings_on, on.repeat_s), (expected, 0.0, None), "{}", on.reed);
        assert_eq!(note.outcome.fails(), reed.is_late(1), "{}", on.reed);
        assert!((on.allowed_s - 0.25).abs() < 1e-12 && (on.pressure_pa - 1000.0).abs() < 1e-9);
    }
    assert_eq!((rehearsal.effort.breath_changes, rehearsal.effort.slide_changes), (6, 0));
}

/// A velocity between: the same attack solved anew.
#[test]
fn a_blow_between_is_solved_as_attack_solves_it() {
    let rehearsal = played(&Score::new("One", 60.0).line("E5 E5", 4.0, 0.5, |k| [30, 100][k]));
    let (_, assessment) = &*SET;
    let reed = assessment.good_rows().find(|reed| reed.reed.id == "6-blow-out").unwrap();
    let player = Pressures { soft_pa: 400.0, normal_pa: 1000.0, hard_pa: 2000.0 };
    for (note, velocity) in rehearsal.notes.iter().zip([30, 100]) {
        let pressure = pressure_pa(velocity, &player);
        let attack = reed.prediction.model.attack(&reed.demand.blow(pressure), Stop::WhenSteady);
        let on = note.on.as_ref().unwrap();
        assert!((on.pressure_pa / pressure - 1.0).abs() < 1e-12);
        assert_eq!((on.t50_s, on.level_db), (attack.t50_s, attack.steady.map(|steady| steady.level.db)));
    }
}

/// The shorter the notes, the more of them fail; a note that fails when long fails when short.
#[test]
fn quicker_music_asks_more() {
    let failing = |bpm: f64| {
        let rehearsal = played(&Score::new("Quick", bpm).line("C5 E5 G5 C6 D5 F5 A5 B5", 0.5, 0.9, |_| NORMAL));
        rehearsal.notes.iter().map(|note| note.outcome.fails()).collect::<Vec<_>>()
    };
    let all: Vec<Vec<bool>> = [30.0, 120.0, 480.0, 960.0].map(failing).to_vec();
    for pair in all.windows(2) {
        assert!(pair[0].iter().zip(&pair[1]).all(|(slow, quick)| !slow || *quick), "{all:?}");
    }
    let count = |failing: &Vec<bool>| failing.iter().filter(|fails| **fails).count();
    assert!(count(&all[0]) <= 1 && count(&all[3]) == 8, "{all:?}");
}

/// A reed struck again soon after still swings: it speaks sooner than from rest, the sooner the shorter the silence, and after
/// many ring-downs as from rest.
#[test]
fn what_still_swings_speaks_sooner() {
    let repeat = |sounding: f64| {
        let rehearsal = played(&Score::new("Again", 60.0).line("C5 C5", 1.0, sounding, |_| NORMAL));
        let on = |k: usize| rehearsal.notes[k].on.clone().unwrap();
        assert_eq!((on(0).swings_on, on(0).repeat_s), (0.0, Some(1.0)));
        (on(0).t50_s.unwrap(), on(1))
    };
    // The sheet's ring-down is 58 ms.
    for (sounding, silent_s) in [(0.98, 0.02), (0.94, 0.06), (0.9, 0.1)] {
        let (from_rest_s, second) = repeat(sounding);
        assert!((second.swings_on / (-silent_s / 0.058_f64).exp() - 1.0).abs() < 0.02, "{second:?}");
        assert!(second.t50_s.unwrap() <= from_rest_s && second.saved_s >= 0.0);
    }
    let (from_rest_s, short) = repeat(0.98);
    let (_, long) = repeat(0.5);
    assert!(short.t50_s.unwrap() < 0.5 * from_rest_s, "{short:?}");
    assert_eq!((long.t50_s, long.saved_s), (Some(from_rest_s), 0.0), "{long:?}");
}

/// From a share of its swing it goes on as the attack from rest does from there, looked up here step by step.
#[test]
fn growth_from_a_share_is_that_of_an_attack() {
    let silent_s = 0.09;
    let rehearsal = played(&Score::new("Again", 60.0).line("C5 C5", 1.0, 1.0 - silent_s, |_| NORMAL));
    let on = rehearsal.notes[1].on.clone().unwrap();
    let (_, assessment) = &*SET;
    let reed = assessment.good_rows().find(|reed| reed.reed.id == "5-blow-out").unwrap();
    let from_rest_s = reed.attacks[1].t50_s.unwrap();
    let envelope = reed.prediction.model.envelope_to(&reed.attacks[1].blow, from_rest_s + 0.01);
    let level = 2.0 * on.swings_on * envelope.at(from_rest_s).unwrap();
    let times = (0..).map(|k| 1e-5 * f64::from(k)).take_while(|time| *time < from_rest_s);
    let below = times.filter(|time| envelope.at(*time).is_none_or(|speed| speed < level)).last().unwrap();
    // The rise of the blow is 10 ms.
    let expected = 0.5 * 0.01 + from_rest_s - below;
    assert!((on.t50_s.unwrap() / expected - 1.0).abs() < 0.03, "{on:?} {expected}");
}

#[test]
fn the_reed_that_is_too_close_is_named_with_its_gap() {
    let rehearsal = played(&Score::new("Hard", 60.0).line("C5 E5 A5 G5 A5 C6", 1.0, 0.9, |_| 120));
    let failing: Vec<&PlayedNote> = rehearsal.notes.iter().filter(|note| note.outcome.fails()).collect();
    assert!(failing.iter().all(|note| note.on.as_ref().unwrap().reed == "7-draw-out"), "{:?}", outcomes(&rehearsal));
    let [excess] = &rehearsal.too_much[..] else { panic!("{:#?}", rehearsal.too_much) };
    assert_eq!((excess.reed.as_str(), excess.notes, excess.failing()), ("7-draw-out", 2, 2));
    let serve = excess.serve.balance.as_ref().unwrap();
    assert!(serve.wanted.gap_m > 0.1e-3, "{serve:#?}");
    // Both windows are found to 3 %.
    let room = serve.now.room.unwrap();
    let PressureOff::TooHard(factor) = excess.pressure else { panic!("{:?}", excess.pressure) };
    assert!(factor > 1.2 && (factor * room.hard - 1.0).abs() < 0.06, "{factor} {room:?}");
    assert_eq!(failing[0].outcome, Outcome::Choked);
    let (left, best) = excess.serve.best();
    let Best::Gap(gap) = best else { panic!("{best:?}") };
    assert_eq!((left.failing, gap.gap_m), (0, serve.wanted.gap_m));
}

#[test]
fn two_notes_at_once_are_compared() {
    let rehearsal = played(&Score::new("Two", 60.0).chords("C5+E5 E5+G5 C5+E5 C5+D5", 1.0, 0.9, NORMAL));
    let pairs: Vec<(&str, &str, usize)> =
        rehearsal.doubles.iter().map(|double| (&*double.lower, &*double.upper, double.times)).collect();
    assert_eq!(pairs, [("5-blow-out", "6-blow-out", 2), ("6-blow-out", "7-blow-out", 1)]);
    let third = &rehearsal.doubles[0];
    // Both are in tune with the job: an equal-tempered third beats 4 f_upper - 5 f_lower, C5 to E5 20.76 a second (twice that of
    // C4 to E4 in tuners' tables, 10.38, from memory).
    let beats = third.beats.unwrap();
    assert!((beats.meant_per_s - 20.76).abs() < 0.02 && (beats.per_s - beats.meant_per_s).abs() < 1.0, "{beats:?}");
    assert_eq!(rehearsal.count(Outcome::NotTogether), 1);
}

#[test]
fn notes_without_a_reed_are_named() {
    let rehearsal = played(&Score::new("Low", 60.0).line("C4 C#5 C5", 1.0, 0.9, |_| NORMAL));
    let missing = Outcome::NotOnInstrument;
    assert_eq!(outcomes(&rehearsal)[..2], [missing, missing]);
    assert!(rehearsal.notes[0].on.is_none() && rehearsal.notes[2].on.is_some());
}

/// The sound begins with the first note, holds as long as the piece, has the pitch of the reed, and is still where nothing is
/// blown.
#[test]
fn the_passage_sounds_when_and_as_high_as_it_should() {
    let rate = 48_000;
    let rehearsal =
        played(&Score::new("Sound", 60.0).line("E5", 3.0, 1.0, |_| NORMAL).rest(1.0).line("C4 E5", 1.0, 0.9, |_| 90));
    let samples = sound::passage(&rehearsal, &SET.1, rate).unwrap();
    assert!((samples.len() as f64 / f64::from(rate) - 5.93).abs() < 0.05);
    let span = |from_s: f64, to_s: f64| &samples[(from_s * 48e3) as usize..(to_s * 48e3) as usize];
    let rms = |span: &[f64]| (span.iter().map(|p| p * p).sum::<f64>() / span.len() as f64).sqrt();
    let loud = rms(span(1.0, 1.4));
    assert!(loud > 0.0 && rms(span(3.1, 4.9)) < 1e-9 * loud);
    // Held beyond what is computed it goes on alike.
    assert!((rms(span(2.0, 2.8)) / loud - 1.0).abs() < 0.05);
    let rises = |span: &[f64]| span.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count() as f64;
    let (early, late) = (rises(span(1.0, 1.4)) / 0.4, rises(span(2.0, 2.8)) / 0.8);
    assert!((early / late - 1.0).abs() < 0.02, "{early} {late}");
    // Level at 1 m is the rms of this pressure.
    let level = rehearsal.notes[0].on.as_ref().unwrap().level_db.unwrap();
    assert!((20.0 * (loud / 20e-6).log10() - level).abs() < 0.5, "{level}");
}

#[test]
fn a_huge_piece_is_played_in_bounded_work() {
    let bytes =
        Score::new("Long", 240.0).line(&"C5 D5 E5 A5 ".repeat(25_000), 0.25, 0.8, |k| 1 + (k % 127) as u8).bytes();
    let (job, assessment) = &*SET;
    let blows = std::cell::Cell::new(0);
    let rehearsal =
        rehearse(job, assessment, &read(&bytes).unwrap(), |count| blows.set(blows.get().max(count)), || {}).unwrap();
    assert_eq!(rehearsal.notes.len(), 100_000);
    // No blow is solved twice: at most every velocity of every reed.
    assert!(blows.get() <= 4 * 127, "{}", blows.get());
}
