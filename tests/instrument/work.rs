//! The list of work: every planted fault gets the operation that cures it, in the right order. Invented reeds.

use std::sync::LazyLock;

use crate::support::set::{Healthy, QUALITY, job_text, worked};
use freereed::instrument::balance::{Balance, BalanceOptions, Verdict, balance};
use freereed::instrument::work::{Candidate, Plan, ReedWork, Stage, WorkList, work_list};
use freereed::instrument::{Finding, MarginOf, assess};
use freereed::sheet::{Job, Operation};

static JOB: LazyLock<String> =
    LazyLock::new(|| job_text("temper = \"H08\"", "tip_gap_mm = 0.01\nside_clearance_mm = 0.004"));
const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,left_clearance_mm,right_clearance_mm,leak_mm2\n";

/// What is wrong with a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    /// Its gap times this.
    Gap(f64),
    /// Cents off.
    Cents(f64),
    /// A leak (mm2).
    Leak(f64),
    /// Off the middle by this share of the clearance.
    OffCentre(f64),
    /// Quality factor times this.
    Loss(f64),
    /// Clearance at both sides times this.
    Slot(f64),
}

impl Fault {
    fn cure(self) -> Operation {
        match self {
            Self::Gap(_) => Operation::Regap,
            Self::Cents(_) => Operation::Retune,
            Self::Leak(_) | Self::Slot(_) => Operation::Seal,
            Self::OffCentre(_) => Operation::Align,
            Self::Loss(_) => Operation::Fasten,
        }
    }
}

/// A reed as it would be with nothing wrong but its faults.
fn line(hole: usize, midi: i32, faults: &[Fault]) -> String {
    let usual = Healthy::of(midi);
    let (mut gap, mut cents, mut leak, mut aside, mut quality, mut slot) = (1.0, 0.0, 0.0, 0.0, QUALITY, 1.0);
    for fault in faults {
        match *fault {
            Fault::Gap(times) => gap = times,
            Fault::Cents(off) => cents = off,
            Fault::Leak(mm2) => leak = mm2,
            Fault::OffCentre(share) => aside = share,
            Fault::Loss(times) => quality *= times,
            Fault::Slot(times) => slot = times,
        }
    }
    let plucked = Healthy { hertz: usual.hertz * (cents / 1200.0_f64).exp2(), ..usual };
    format!(
        "{hole},blow,out,{},{:.2},2.1,{:.2},{:.4},{:.3},{:.4},{:.4},{leak:.2}\n",
        usual.note,
        usual.length_mm,
        plucked.hertz,
        plucked.ring_down_s(quality),
        gap * usual.gap_mm,
        slot * usual.clearance_mm * (1.0 - aside),
        slot * usual.clearance_mm * (1.0 + aside),
    )
}

fn job(text: &str, reeds: &[Vec<Fault>]) -> Job {
    let lines: String = reeds.iter().enumerate().map(|(k, faults)| line(k + 1, 72 + k as i32, faults)).collect();
    let job = Job::parse(("job.toml", text), ("sheet.csv", &format!("{HEAD}{lines}"))).unwrap();
    assert!(job.reeds.iter().all(Result::is_ok), "{:?}", job.reeds.iter().find_map(|reed| reed.as_ref().err()));
    job
}

fn planned(job: &Job) -> WorkList {
    worked(job).2
}

fn with_rates(rates: &str) -> String {
    format!("{}[rates]\n{rates}", *JOB)
}

fn of<'a>(list: &'a WorkList, id: &str) -> &'a ReedWork {
    list.reeds.iter().find(|work| work.now.reed.id == id).unwrap()
}

fn order(list: &WorkList) -> Vec<(String, Operation)> {
    list.work().map(|(work, next)| (work.now.reed.id.clone(), next.operation())).collect()
}

/// What an operation promises is what it has: no such finding any more, none that is new, less missing.
fn assert_cures(work: &ReedWork, next: &Candidate, kind: &str) {
    let outcome = next.outcome.as_ref().unwrap();
    let kinds: Vec<_> = outcome.after.findings.iter().map(|found| found.kind()).collect();
    assert!(!kinds.contains(&kind) && outcome.spoils.is_empty(), "{}: {kinds:?}", work.now.reed.id);
    assert!((outcome.gain - (work.demands.loss() - outcome.demands.loss())).abs() < 1e-12 && outcome.gain > 0.05);
    assert!((next.gain_per_minute().unwrap() * next.minutes - outcome.gain).abs() < 1e-12);
}

/// A number from 0 to 1, the next of a run that is always the same (Knuth's 64-bit linear congruence, from memory).
fn next(state: &mut u64) -> f64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 11) as f64 / (1_u64 << 53) as f64
}

/// Work bends to the gap that balance gives, what balance bends and nothing else mends, and, as it is, nothing else.
pub fn one_gap(balance: &Balance, list: &WorkList) {
    for work in &list.reeds {
        let given = balance.reed(&work.now.reed.id).unwrap();
        let bends = work.route().filter_map(|next| match &next.plan {
            Plan::Regap(plan) => Some(plan.bend.wanted_gap_m),
            Plan::RegapUnknown { wanted_m, .. } => Some(*wanted_m),
            _ => None,
        });
        let bends: Vec<f64> = bends.collect();
        assert!(bends.iter().all(|wanted_m| *wanted_m == given.wanted.gap_m), "{}: {bends:?}", given.id);
        // What other work mends as well is not bent.
        let then = work.then();
        let mended = work.next().is_some() && !then.findings.iter().any(|it| it.asks_for_work(then));
        if given.is_to_be_bent() && !work.waits_for_measuring() && !mended {
            assert_eq!(bends.len(), 1, "{} is not bent: {given:?}", given.id);
        }
        if given.verdict == Verdict::Leave {
            assert_eq!((bends.len(), given.change_m()), (0, 0.0), "{}", given.id);
        }
    }
}

#[test]
fn the_demo_gets_what_cures_what_was_planted() {
    let job = Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap();
    let (assessment, balance, list) = worked(&job);
    let planted = [
        ("3-blow-out", "fails at a hard attack", Operation::Regap),
        ("4-blow-in", "off centre", Operation::Align),
        ("5-draw-in", "no soft start", Operation::Regap),
        ("6-draw-in", "no soft start", Operation::Seal),
        ("7-draw-out", "flat", Operation::Retune),
    ];
    for (id, kind, operation) in planted {
        let work = of(&list, id);
        let next = work.next().unwrap_or_else(|| panic!("{id} has no work"));
        assert_eq!(next.operation(), operation, "{id}: {}", next.plan.title());
        assert_cures(work, next, kind);
        assert!(work.then().findings.is_empty(), "{id}: {:?}", work.then().findings);
    }
    let measured = of(&list, "10-blow-out");
    assert_eq!(measured.next().unwrap().plan.title(), "measure again: thickness, length, pitch");
    assert!(measured.waits_for_measuring() && measured.rounds.len() == 1);
    let even = list.bent_though_they_suit();
    assert_eq!((list.work().count() - even, list.suit_now(), list.suit_then()), (6, 42, 47));
    let rates = [4.0, 4.0, 10.0, 6.0, 3.0, 3.0];
    assert_eq!(list.minutes_next(), rates.iter().sum::<f64>() + 3.0 * even as f64);
    one_gap(&balance, &list);
    let asked = assessment.good_rows().zip(balance.good_rows());
    for (reed, balanced) in asked {
        let margin = |of: MarginOf| reed.margin(of).unwrap().value.unwrap();
        let room = balanced.now.room.unwrap();
        assert!((room.soft.ln() - margin(MarginOf::Soft)).abs() < 1e-12, "{}", reed.reed.id);
        assert!((room.hard.ln() - margin(MarginOf::Hard)).abs() < 1e-12, "{}", reed.reed.id);
        let late = reed.findings.iter().any(|found| matches!(found, Finding::NotInTime { .. }));
        assert_eq!(balanced.now.suits(), !late, "{}: {room:?}, {:?}", reed.reed.id, reed.findings);
    }
}

#[test]
fn random_faults_in_random_reeds_get_the_right_operation() {
    let mut state = 7;
    let (mut right, mut found, mut planted, mut wrong) = (0, 0, 0, Vec::new());
    for _ in 0..5 {
        let mut reeds = vec![Vec::new(); 9];
        for _ in 0..3 {
            let mut draw = |low: f64, high: f64| low + (high - low) * next(&mut state);
            let place = draw(0.0, 9.0) as usize;
            let fault = match draw(0.0, 5.0) as usize {
                0 if draw(0.0, 1.0) < 0.5 => Fault::Gap(draw(0.3, 0.7)),
                0 => Fault::Gap(draw(1.6, 3.0)),
                1 => Fault::Cents(if draw(0.0, 1.0) < 0.5 { draw(-40.0, -10.0) } else { draw(10.0, 40.0) }),
                2 => Fault::Leak(draw(1.0, 8.0)),
                3 => Fault::OffCentre(draw(0.6, 0.8)),
                _ => Fault::Loss(draw(0.12, 0.5)),
            };
            reeds[place] = vec![fault];
        }
        let job = job(&JOB, &reeds);
        let (balance, list) = planned_counted(&job);
        one_gap(&balance, &list);
        for (k, faults) in reeds.iter().enumerate() {
            let work = of(&list, &format!("{}-blow-out", k + 1));
            let Some(fault) = faults.first() else {
                let only_bent = work.route().all(|next| next.operation() == Operation::Regap);
                let wrong = work.now.findings.iter().any(|it| it.asks_for_work(&work.now));
                assert!(!wrong && only_bent, "a healthy reed is worked on: {:?}", order(&list));
                continue;
            };
            planted += 1;
            // A fault that leaves the reed good, or that cannot be told, needs no work.
            if !work.now.findings.iter().any(|it| it.asks_for_work(&work.now)) {
                continue;
            }
            // A far flat one is looked over first.
            let next = work.route().find(|next| next.operation() != Operation::Clean).unwrap();
            found += 1;
            if next.operation() == fault.cure() {
                right += 1;
            } else {
                wrong.push(format!("{fault:?}: {}", next.plan.title()));
            }
        }
    }
    println!("{right} of {found} faults that show get the right operation, {planted} planted; else {wrong:?}");
    assert!(found >= 8 && right as f64 >= 0.9 * f64::from(found), "{right} of {found}: {wrong:?}");
}

fn planned_counted(job: &Job) -> (Balance, WorkList) {
    let count = std::sync::atomic::AtomicUsize::new(0);
    let assessment = assess(job, || ());
    let done = || {
        count.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    };
    let balance = balance(job, &assessment, &BalanceOptions::default(), || ());
    let list = work_list(job, &assessment, &balance, &[], done);
    assert_eq!(count.into_inner(), assessment.good_rows().count());
    (balance, list)
}

#[test]
fn what_disturbs_other_work_comes_first() {
    let mut reeds = vec![Vec::new(); 9];
    reeds[1] = vec![Fault::Leak(5.0), Fault::Cents(-20.0)];
    reeds[3] = vec![Fault::Gap(0.4), Fault::OffCentre(0.7)];
    reeds[5] = vec![Fault::Gap(2.6), Fault::Cents(15.0)];
    reeds[7] = vec![Fault::Loss(0.2)];
    let list = planned(&job(&JOB, &reeds));
    let stages: Vec<Stage> = list.work().map(|(_, next)| next.stage()).collect();
    assert!(stages.is_sorted() && stages.len() == 4, "{:?}", order(&list));
    let route = |id: &str| of(&list, id).route().map(Candidate::operation).collect::<Vec<_>>();
    assert_eq!(route("2-blow-out"), [Operation::Seal, Operation::Retune]);
    assert_eq!(route("4-blow-out"), [Operation::Align, Operation::Regap]);
    assert_eq!(route("6-blow-out"), [Operation::Retune, Operation::Regap]);
    assert_eq!(route("8-blow-out")[0], Operation::Fasten);
    assert!(list.minutes_all() > list.minutes_next());
    assert_eq!(list.suit_then(), 9);
    // The later is planned on the reed as the earlier leaves it.
    let Plan::Retune(plan) = &of(&list, "2-blow-out").rounds[1].next().unwrap().plan else {
        panic!("not tuned second")
    };
    assert!((plan.need_cents - 20.0).abs() < 0.1, "{}", plan.need_cents);
}

/// What a slot too wide costs is won back by closing it to what its neighbours have, without a new tongue.
#[test]
fn the_edges_of_a_slot_that_stands_out_are_closed() {
    let mut reeds = vec![Vec::new(); 9];
    reeds[4] = vec![Fault::Slot(4.0)];
    let job = job(&JOB, &reeds);
    let list = planned(&job);
    let work = of(&list, "5-blow-out");
    let route: Vec<&Plan> = work.route().map(|next| &next.plan).collect();
    let [Plan::CloseEdges { clearance_m, usual_m }] = route[..] else { panic!("{route:?}") };
    let healthy_m = 1e-3 * Healthy::of(76).clearance_mm;
    assert!((clearance_m / healthy_m - 4.0).abs() < 0.01 && (usual_m / healthy_m - 1.0).abs() < 0.02, "{route:?}");
    assert!(!work.now.findings.is_empty() && work.then().findings.is_empty(), "{:?}", work.then().findings);
    assert_eq!(work.next().unwrap().operation(), reeds[4][0].cure());
}

#[test]
fn the_rates_of_the_job_rank_the_work() {
    let mut reeds = vec![Vec::new(); 8];
    reeds[2] = vec![Fault::OffCentre(0.7)];
    reeds[5] = vec![Fault::Leak(6.0)];
    let first = |rates: &str| order(&planned(&job(&with_rates(rates), &reeds)))[0].1;
    assert_eq!(first("align_minutes = 1\nseal_minutes = 60\n"), Operation::Align);
    assert_eq!(first("align_minutes = 60\nseal_minutes = 1\n"), Operation::Seal);
    // One reed, the same amounts: what takes twice as long gains half as much a minute.
    let rate = |minutes: u32| {
        let list = planned(&job(&with_rates(&format!("seal_minutes = {minutes}\n")), &reeds));
        let considered = &of(&list, "6-blow-out").rounds[0].considered;
        considered.iter().find(|one| one.operation() == Operation::Seal).unwrap().gain_per_minute().unwrap()
    };
    assert!((rate(10) / rate(20) - 2.0).abs() < 1e-9);
}

#[test]
fn nothing_to_do_and_nothing_that_helps() {
    let list = planned(&job(&JOB, &vec![Vec::new(); 6]));
    assert_eq!((list.work().count(), list.minutes_all(), list.suit_now()), (0, 0.0, 6));
    // No pitch measured, and sizes that say it is far off: pluck first.
    let sheet = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,tip_gap_mm\n1,blow,out,C5,10,2.1,0.3,0.26\n";
    let job = Job::parse(("job.toml", &JOB), ("sheet.csv", sheet)).unwrap();
    let list = planned(&job);
    assert_eq!(order(&list), [("1-blow-out".to_owned(), Operation::Measure)]);
    assert_eq!(list.wait_for_measuring(), 1);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let mut reeds = vec![Vec::new(); 6];
    reeds[1] = vec![Fault::Gap(0.4)];
    reeds[4] = vec![Fault::Cents(30.0)];
    let job = job(&JOB, &reeds);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| serde_json::to_string(&freereed::print::work::to_json(&job, &planned(&job))).unwrap())
    };
    assert_eq!(with(1), with(3));
}

/// The list says of a tongue far below its note what `assess` says: no file before it was looked over.
#[test]
fn a_far_flat_tongue_is_looked_over_before_it_is_filed() {
    use freereed::workshop::care::Care;
    assert_eq!([-25.0, -15.0, 25.0].map(Care::before_tuning), [Some(Care::LookForCrack), None, None]);
    let note = |midi: i32| Healthy::of(midi);
    let lines: String = (72..78)
        .enumerate()
        .map(|(k, midi)| {
            let usual = note(midi);
            let hertz = if midi == 75 { usual.hertz * (-40.0_f64 / 1200.0).exp2() } else { usual.hertz };
            let Healthy { note, length_mm, gap_mm, clearance_mm, .. } = usual;
            format!("{},blow,out,{note},{length_mm},2.1,{hertz},60,{gap_mm},{clearance_mm}\n", k + 1)
        })
        .collect();
    let head =
        "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,quality_factor,tip_gap_mm,side_clearance_mm\n";
    let job = Job::parse(("job.toml", &job_text("", "")), ("sheet.csv", &format!("{head}{lines}"))).unwrap();
    let (_, _, list) = worked(&job);
    let work = list.reeds.iter().find(|work| work.now.reed.hole == 4).unwrap();
    let tuning = work.route().find(|next| next.operation() == Operation::Retune).expect("it is tuned");
    let first = work.next().unwrap();
    assert!(first.plan.title().starts_with(Care::LookForCrack.title()), "{}", first.plan.title());
    assert!(matches!(first.plan, Plan::Clean(_)) && first.stage() < tuning.stage());
}
