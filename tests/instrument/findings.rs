//! What is found in a set, and what it is put down to: invented reeds, each with one thing wrong.

use std::sync::LazyLock;

use crate::support::set::{Healthy, QUALITY, job_text};
use approx::assert_relative_eq;
use freereed::instrument::{Assessment, Cause, Finding, PitchFrom, ReedAssessment, Spread, assess};
use freereed::print::assess::verdict;
use freereed::sheet::{Job, Note};

static JOB: LazyLock<String> = LazyLock::new(|| job_text("", "thickness_mm = 0.004"));
const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,measured_sounding_hz,\
                    measured_at_pa,ring_down_s,tip_gap_mm,left_clearance_mm,right_clearance_mm,leak_mm2\n";

/// A reed of the set as it would be if nothing were wrong with it; blank cells are zero.
struct Row {
    note: Note,
    length_mm: f64,
    thickness_mm: f64,
    pluck_hz: f64,
    sounding_hz: f64,
    quality: f64,
    gap_mm: f64,
    sides_mm: (f64, f64),
    leak_mm2: f64,
}

fn healthy(midi: i32) -> Row {
    let usual = Healthy::of(midi);
    Row {
        note: usual.note,
        length_mm: usual.length_mm,
        thickness_mm: 0.0,
        pluck_hz: usual.hertz,
        sounding_hz: 0.0,
        quality: QUALITY,
        gap_mm: usual.gap_mm,
        sides_mm: (usual.clearance_mm, usual.clearance_mm),
        leak_mm2: 0.0,
    }
}

fn line(hole: usize, row: &Row) -> String {
    let cell = |value: f64| if value == 0.0 { String::new() } else { value.to_string() };
    let at_pa = if row.sounding_hz > 0.0 { 1000.0 } else { 0.0 };
    let pluck_hz = row.pluck_hz;
    let ring_down_s = Healthy::of(row.note.midi()).ring_down_s(row.quality);
    let cells = [
        row.length_mm,
        2.1,
        row.thickness_mm,
        pluck_hz,
        row.sounding_hz,
        at_pa,
        ring_down_s,
        row.gap_mm,
        row.sides_mm.0,
        row.sides_mm.1,
        row.leak_mm2,
    ];
    format!("{hole},blow,out,{},{}\n", row.note, cells.map(cell).join(","))
}

fn assessed(rows: &[Row]) -> Assessment {
    let lines: String = rows.iter().enumerate().map(|(k, row)| line(k + 1, row)).collect();
    let job = Job::parse(("job.toml", &JOB), ("sheet.csv", &format!("{HEAD}{lines}"))).unwrap();
    let assessment = assess(&job, || ());
    assert_eq!(assessment.bad_rows().map(ToString::to_string).collect::<Vec<_>>(), Vec::<String>::new());
    assessment
}

/// Sixteen reeds from C5 on, half of them spoiled.
static SET: LazyLock<Assessment> = LazyLock::new(|| {
    let mut rows: Vec<Row> = (72..88).map(healthy).collect();
    rows[1].gap_mm *= 3.0;
    rows[2].gap_mm *= 0.35;
    rows[4].leak_mm2 = 3.0;
    rows[5].sides_mm = (0.16, 0.16);
    rows[7].sides_mm = (0.006, 0.04);
    rows[8].pluck_hz *= (-8.0_f64 / 1200.0).exp2();
    rows[10].quality = 25.0;
    // Twice as thick as the pitch allows, and sharp.
    rows[11].thickness_mm = 0.4;
    rows[11].pluck_hz *= (9.0_f64 / 1200.0).exp2();
    rows[13].gap_mm = 3.0;
    rows[13].sides_mm = (0.4, 0.4);
    assessed(&rows)
});

fn reed(place: usize) -> &'static ReedAssessment {
    SET.reeds[place].as_ref().unwrap()
}

fn kinds(place: usize) -> Vec<&'static str> {
    reed(place).findings.iter().map(Finding::kind).collect()
}

/// Causes of all that is late with a reed.
fn causes(place: usize) -> Vec<Cause> {
    let cause = |finding: &Finding| match finding {
        Finding::NotInTime { why, .. } => Some(why.cause),
        _ => None,
    };
    reed(place).findings.iter().filter_map(cause).collect()
}

#[test]
fn rows_keep_their_order_and_healthy_reeds_are_good() {
    let notes: Vec<_> = SET.good_rows().map(|reed| reed.reed.note.midi()).collect();
    assert_eq!(notes, (72..88).collect::<Vec<_>>());
    for place in [0, 3, 6, 9, 12, 14, 15] {
        assert_eq!(kinds(place), Vec::<&str>::new(), "{}", reed(place).reed.note);
        assert_eq!(verdict(&reed(place).findings), "good");
    }
}

#[test]
fn a_gap_too_wide_is_named_with_what_its_neighbours_have() {
    assert_eq!(kinds(1), ["no soft start"]);
    let Cause::GapTooWide { gap_m, usual_m } = causes(1)[0] else { panic!("{:?}", causes(1)) };
    let usual = 1e-3 * Healthy::of(reed(1).reed.note.midi()).gap_mm;
    assert_relative_eq!(gap_m, 3.0 * usual, max_relative = 1e-9);
    assert_relative_eq!(usual_m, usual, max_relative = 0.02);
    let sentence = reed(1).findings[0].sentence();
    assert!(sentence.starts_with("at soft ") && sentence.contains("tip gap too wide ("), "{sentence}");
}

#[test]
fn a_gap_too_close_fails_when_blown_hard() {
    assert_eq!(kinds(2).last(), Some(&"fails at a hard attack"));
    let usual = 1e-3 * Healthy::of(reed(2).reed.note.midi()).gap_mm;
    for cause in causes(2) {
        let Cause::GapTooClose { gap_m, usual_m } = cause else { panic!("{cause:?}") };
        assert_relative_eq!(gap_m, 0.35 * usual, max_relative = 1e-9);
        assert_relative_eq!(usual_m, usual, max_relative = 0.02);
    }
}

#[test]
fn a_leak_and_a_wide_slot_are_told_apart() {
    assert!(!causes(4).is_empty() && causes(4).iter().all(|cause| *cause == Cause::Leak { area_m2: 3e-6 }));
    assert!(kinds(4).contains(&"no soft start") && reed(4).findings[0].sentence().contains("it leaks"));
    let usual = 1e-3 * Healthy::of(reed(5).reed.note.midi()).clearance_mm;
    assert!(!causes(5).is_empty());
    for cause in causes(5) {
        let Cause::Clearance { clearance_m, usual_m } = cause else { panic!("{cause:?}") };
        assert_relative_eq!(clearance_m, 1.6e-4, max_relative = 1e-9);
        assert_relative_eq!(usual_m, usual, max_relative = 0.02);
    }
}

#[test]
fn loss_is_told_from_gap_leak_and_slot() {
    assert!(!causes(10).is_empty());
    for cause in causes(10) {
        let Cause::Loss { quality, usual } = cause else { panic!("{cause:?}") };
        assert_relative_eq!(quality, 25.0, max_relative = 1e-9);
        assert_relative_eq!(usual, 92.0, max_relative = 1e-6);
    }
    assert!(reed(10).findings[0].sentence().contains("it rings too short (quality factor 25"));
}

#[test]
fn a_reed_off_the_middle_is_told_with_its_side() {
    let [Finding::OffCentre { least_m, side, other_m }] = reed(7).findings[..] else { panic!("{:?}", kinds(7)) };
    assert_eq!((side, least_m, other_m), ("left", 6e-6, 4e-5));
}

#[test]
fn pitch_is_told_in_cents() {
    let [Finding::OutOfTune { cents, from, .. }] = reed(8).findings[..] else { panic!("{:?}", kinds(8)) };
    assert_relative_eq!(cents, -8.0, epsilon = 1e-6);
    assert_eq!((from, kinds(8)), (PitchFrom::Plucked, vec!["flat"]));
    assert_eq!(reed(8).findings[0].sentence(), "-8.0 cents from its target, plucked");
}

#[test]
fn a_contradiction_comes_first_and_the_rest_is_counted() {
    assert_eq!(kinds(11), ["measure again", "sharp"]);
    assert_eq!(verdict(&reed(11).findings), "measure again, +1");
    let Finding::Contradiction { scale } = reed(11).findings[0] else { panic!() };
    assert!(scale < 0.7, "{scale}");
}

#[test]
fn a_reed_that_never_speaks_is_told_once() {
    assert_eq!(kinds(13), ["never speaks"]);
    let mute = reed(13);
    assert!(mute.prediction.onset_pa().is_none() && mute.playable.is_none());
    assert!(mute.attacks.iter().all(|attack| !attack.speaks && attack.t50_s.is_none()));
}

#[test]
fn evenness_is_the_middle_and_the_extremes_of_each_octave() {
    let octaves: Vec<_> = SET.evenness.iter().map(|octave| (octave.octave, octave.reeds)).collect();
    assert_eq!(octaves, [(5, 12), (6, 4)]);
    // The upper octave has a reed without onset, which has no part in it.
    let mut ratios: Vec<f64> =
        [12, 14, 15].map(|k| reed(k).prediction.onset_pa().unwrap() / reed(k).pressures.soft_pa).to_vec();
    ratios.sort_by(f64::total_cmp);
    let expected = Spread { median: ratios[1], low: ratios[0], high: ratios[2] };
    assert_eq!(SET.evenness[1].onset_over_soft, Some(expected));
    let mut levels: Vec<f64> =
        (0..12).filter_map(|k| reed(k).attacks[1].steady.map(|steady| steady.level.db)).collect();
    levels.sort_by(f64::total_cmp);
    let spread = SET.evenness[0].level_db.unwrap();
    assert_eq!((spread.low, spread.high), (levels[0], levels[levels.len() - 1]));
}

#[test]
fn a_spread_has_a_middle() {
    assert_eq!(Spread::of(vec![]), None);
    assert_eq!(Spread::of(vec![2.0]), Some(Spread { median: 2.0, low: 2.0, high: 2.0 }));
    assert_eq!(Spread::of(vec![9.0, 1.0, 2.0]), Some(Spread { median: 2.0, low: 1.0, high: 9.0 }));
    assert_eq!(Spread::of(vec![4.0, 1.0, 9.0, 2.0]), Some(Spread { median: 3.0, low: 1.0, high: 9.0 }));
}

#[test]
fn a_few_reeds_cannot_be_compared() {
    let wide = Row { gap_mm: 0.75, ..healthy(76) };
    let unmeasured = Row { pluck_hz: 0.0, thickness_mm: 0.2, ..healthy(74) };
    let sounding = Row { sounding_hz: 1.02 * Healthy::of(80).hertz, ..healthy(80) };
    let few = assessed(&[wide, unmeasured, sounding]);
    let [wide, unmeasured, sounding] = [0, 1, 2].map(|k| few.reeds[k].as_ref().unwrap());
    // Nothing says what its gap should be, so nothing is claimed.
    let [Finding::NotInTime { why, .. }] = wide.findings[..] else { panic!("{:?}", wide.findings) };
    assert_eq!(why.cause, Cause::NothingToCompare);
    assert_eq!((unmeasured.pitch.from, sounding.pitch.from), (PitchFrom::Computed, PitchFrom::Sounding));
    // 34 cents sharp at 1 kPa; the model brings it to the normal pressure, where it lies a little off that.
    assert!((sounding.pitch.cents - 34.3).abs() < 15.0 && sounding.pitch.cents != 34.3, "{}", sounding.pitch.cents);
    assert_eq!(sounding.findings.iter().map(Finding::kind).collect::<Vec<_>>(), ["sharp"]);
}

#[test]
fn a_pitch_that_was_not_measured_is_out_of_tune_only_beyond_its_doubt() {
    let target = assessed(&[healthy(76)]);
    let thickness_mm = 1e3 * target.reeds[0].as_ref().unwrap().reed.checked.thickness.unwrap().mean_found_m;
    let by_sizes = |factor: f64| Row { pluck_hz: 0.0, thickness_mm: factor * thickness_mm, ..healthy(76) };
    // One per cent of thickness is 17 cents: more than 5, less than sizes can tell.
    let both = assessed(&[by_sizes(1.01), by_sizes(1.1)]);
    let [near, far] = [0, 1].map(|k| both.reeds[k].as_ref().unwrap());
    assert_relative_eq!(near.pitch.cents, 17.2, epsilon = 0.2);
    assert!(near.prediction.natural_uncertainty_cents > 17.2 && near.findings.is_empty(), "{:?}", near.findings);
    let [Finding::OutOfTune { cents, from: PitchFrom::Computed, .. }] = far.findings[..] else { panic!("{far:?}") };
    assert_relative_eq!(cents, 165.0, epsilon = 0.2);
}

/// What suits its player and stands off its neighbours to its own harm is told with the reason; the others are not blamed.
#[test]
fn what_is_out_of_the_run_is_told_whatever_is_asked() {
    let mut rows: Vec<Row> = (72..84).map(healthy).collect();
    rows[2].gap_mm *= 1.6;
    rows[5].sides_mm = (0.05, 0.05);
    rows[7].quality = 46.0;
    rows[10].leak_mm2 = 1.6;
    let assessment = assessed(&rows);
    let cause = |place: usize| {
        let reed = assessment.reeds[place].as_ref().unwrap();
        reed.findings.iter().find_map(|finding| match finding {
            Finding::OutOfRun { .. } | Finding::NotInTime { .. } => finding.why().map(|why| why.cause),
            _ => None,
        })
    };
    assert!(matches!(cause(2), Some(Cause::GapTooWide { .. })), "{:?}", cause(2));
    assert!(matches!(cause(5), Some(Cause::Clearance { .. })), "{:?}", cause(5));
    assert!(matches!(cause(7), Some(Cause::Loss { .. })), "{:?}", cause(7));
    assert!(matches!(cause(10), Some(Cause::Leak { .. })), "{:?}", cause(10));
    for place in [0, 1, 3, 4, 6, 8, 9, 11] {
        assert_eq!(assessment.reeds[place].as_ref().unwrap().findings, [], "{place}");
    }
}

/// A softest blow far above what all else gives says that something was not measured; one near it says nothing.
#[test]
fn a_softest_blow_that_fits_nothing_is_told() {
    let sheet = |blown_pa: [f64; 2]| {
        let lines = [72, 73, 74, 75, 76, 77].map(|midi| {
            let blown = match midi {
                73 => blown_pa[0].to_string(),
                75 => blown_pa[1].to_string(),
                _ => String::new(),
            };
            format!("{},{blown}\n", line(midi as usize - 71, &healthy(midi)).trim_end())
        });
        format!("{},softest_blow_pa\n{}", HEAD.trim_end(), lines.concat())
    };
    let found = |blown_pa: [f64; 2]| {
        let job = Job::parse(("job.toml", &JOB), ("sheet.csv", &sheet(blown_pa))).unwrap();
        let assessment = assess(&job, || ());
        let reeds: Vec<ReedAssessment> = assessment.good_rows().cloned().collect();
        [1, 3].map(|place| {
            let told = reeds[place].findings.iter().any(|it| matches!(it, Finding::HarderThanComputed { .. }));
            (told, reeds[place].playable.unwrap().low.pressure_pa)
        })
    };
    let [(_, low), (_, other)] = found([300.0, 300.0]);
    assert_eq!(found([5.0 * low, 1.1 * other]).map(|it| it.0), [true, false]);
}

/// Softest blows that are all far above what is computed speak of how they were read; the one that is above the others too is
/// told.
#[test]
fn softest_blows_that_are_off_alike_blame_no_reed() {
    let set = |blown_pa: &dyn Fn(usize) -> Option<f64>| {
        let rows = (0..12).map(|k| {
            let blown = blown_pa(k).map(|pa| pa.to_string()).unwrap_or_default();
            format!("{},{blown}\n", line(k + 1, &healthy(72 + k as i32)).trim_end())
        });
        let sheet = format!("{},softest_blow_pa\n{}", HEAD.trim_end(), rows.collect::<String>());
        assess(&Job::parse(("job.toml", &JOB), ("sheet.csv", &sheet)).unwrap(), || ())
    };
    let low_pa: Vec<f64> = set(&|_| None).good_rows().map(|reed| reed.playable.unwrap().low.pressure_pa).collect();
    let told = |times: &dyn Fn(usize) -> f64| {
        let assessment = set(&|k| Some(times(k) * low_pa[k]));
        let is =
            |reed: &ReedAssessment| reed.findings.iter().any(|it| matches!(it, Finding::HarderThanComputed { .. }));
        (assessment.good_rows().map(is).collect::<Vec<bool>>(), assessment.blown_off)
    };
    let (alike, off) = told(&|_| 2.5);
    assert_eq!(alike, [false; 12]);
    // Two and a half times, but for the air as it is inferred then, which moves what is computed by a quarter at most.
    assert!((2.0..3.125).contains(&off.unwrap()), "{off:?}");
    let (one, _) = told(&|k| if k == 4 { 12.0 } else { 2.5 });
    assert_eq!(one, std::array::from_fn::<bool, 12, _>(|k| k == 4));
    let (_, near) = told(&|_| 1.0);
    assert_eq!(near, None);
}

/// One hole whose channel is a third of the others'.
#[test]
fn a_narrow_channel_is_told_where_it_harms() {
    let whole = "[[chamber]]\nholes = \"1-99\"\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\n";
    let table = |holes: &str, area: u32| {
        whole.replace("1-99", holes).replace("channel_area_mm2 = 20", &format!("channel_area_mm2 = {area}"))
    };
    assert!(JOB.contains(whole));
    let job = JOB.replace(whole, &(table("1-4", 20) + &table("5", 5) + &table("6-99", 20)));
    let lines: String = (72..82).enumerate().map(|(k, midi)| line(k + 1, &healthy(midi))).collect();
    let job = Job::parse(("job.toml", &job), ("sheet.csv", &format!("{HEAD}{lines}"))).unwrap();
    let assessment = assess(&job, || ());
    let causes: Vec<(String, Cause)> = assessment
        .good_rows()
        .flat_map(|reed| reed.findings.iter().map(|it| (reed.reed.id.clone(), it)))
        .filter_map(|(id, finding)| match finding {
            Finding::OutOfRun { .. } | Finding::NotInTime { .. } => Some((id, finding.why()?.cause)),
            _ => None,
        })
        .collect();
    assert!(!causes.is_empty());
    assert!(
        causes.iter().all(|(id, cause)| id == "5-blow-out" && matches!(cause, Cause::Channel { .. })),
        "{causes:?}"
    );
}
