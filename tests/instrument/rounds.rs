//! Rounds of measuring: what is expected of a reed, and the fit of loss and leak.

use freereed::instrument::rounds::{Apart, Basis, Fit, LEAK_DOUBT_M2, Quantity, Rounds, SCATTER};
use freereed::physics::ReedModel;
use freereed::physics::onset::Search;
use freereed::sheet::BEYOND_ONSET;
use freereed::sheet::{Job, JobFile, JobSources, Source};

const JOB: &str = "sheet = \"sheet.csv\"
[defaults]
tip_mass_mg = 0
alloy = \"C51000\"
[[chamber]]
holes = \"1-8\"
volume_mm3 = 400
channel_length_mm = 15
channel_area_mm2 = 20
[tolerances]
tip_gap_mm = 0.005
side_clearance_mm = 0.001
softest_blow_pa = 2
ring_down_s = 0.004
leak_mm2 = 0.05
[rates]
regap_minutes = 4
";
const HEAD: &str =
    "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,tip_gap_mm,side_clearance_mm";
/// An invented set.
const ROWS: [&str; 6] = [
    "1,blow,out,C5,14.3,2.11,0.185,525,0.27,0.027",
    "2,blow,out,E5,12.5,2.07,0.18,662.6,0.24,0.026",
    "3,blow,out,G5,11.6,2.05,0.184,787.2,0.22,0.025",
    "4,blow,out,A5,11.2,2.03,0.193,884.4,0.21,0.025",
    "5,blow,out,D5,13.6,2.1,0.187,588,0.26,0.027",
    "6,blow,out,F5,12.1,2.06,0.178,700,0.23,0.026",
];

fn sheet(head: &str, cells: impl Fn(usize) -> String) -> String {
    let rows: String = ROWS.iter().enumerate().map(|(k, row)| format!("{row}{}\n", cells(k))).collect();
    format!("{HEAD}{head}\n{rows}")
}

fn stages(job: &str, sheet: &str, rounds: &[(&str, &str)]) -> Vec<Job> {
    let file = JobFile::from_source(&Source::new("job.toml", job)).unwrap();
    let sheet = Source::new("sheet.csv", sheet);
    let rounds: Vec<Source> = rounds.iter().map(|&(name, text)| Source::new(name, text)).collect();
    Job::stages(&file, &JobSources { sheet: &sheet, target: None, rounds: &rounds }).unwrap_or_else(|e| panic!("{e}"))
}

/// Onset, searched as finely as the other commands do.
fn onset_pa(model: &ReedModel, quality: f64, leak_mm2: f64) -> Option<f64> {
    let model = model.with_quality_factor(quality).with_leak_area(1e-6 * leak_mm2);
    model.onset(&Search { limit_pa: 3000.0, ..Search::default() }).map(|onset| onset.pressure_pa)
}

fn models(sheet: &str) -> Vec<(ReedModel, f64)> {
    let job = stages(JOB, sheet, &[]).remove(0);
    let reeds = job.reeds.iter().map(|reed| reed.as_ref().unwrap_or_else(|error| panic!("{error}")));
    let one = |reed: &freereed::sheet::JobReed| {
        (ReedModel::new(reed.checked.reed.clone()).unwrap(), reed.checked.measured.pluck_hz.unwrap())
    };
    reeds.map(one).collect()
}

/// True values, Q common 75.
const QUALITY: [f64; 6] = [75.0, 60.0, 90.0, 80.0, 70.0, 78.0];
const LEAK_MM2: [f64; 6] = [0.0, 0.6, 0.0, 0.3, 1.0, 0.1];

#[test]
fn known_values_come_back_where_they_can() {
    let truth = models(&sheet("", |_| String::new()));
    let blow = |k: usize| onset_pa(&truth[k].0, QUALITY[k], LEAK_MM2[k]).unwrap();
    let ring = |k: usize| QUALITY[k] / (std::f64::consts::PI * truth[k].1);
    let same = truth[0].0.with_quality_factor(QUALITY[0]).speaking(&Search::default()).onset.unwrap().pressure_pa;
    assert!((same / blow(0) - 1.0).abs() < 1e-6, "{same}");
    // A softest blow alone splits nothing.
    let alone = stages(JOB, &sheet(",softest_blow_pa", |k| format!(",{}", blow(k))), &[]);
    let fit = Fit::of(&alone).unwrap();
    assert!(fit.converged && fit.reeds.iter().all(|reed| reed.apart == Apart::No), "{:?}", fit.reeds);
    // But the next onset is known all the same.
    let applied = fit.applied(&alone[0]);
    for (k, reed) in applied.reeds.iter().flatten().enumerate() {
        let model = ReedModel::new(reed.checked.reed.clone()).unwrap();
        let again = model.speaking(&Search::default()).onset.unwrap().pressure_pa;
        assert!((again / blow(k)).ln().abs() < 0.05, "{}: {again} {}", reed.id, blow(k));
        assert!(reed.checked.spec.is_fitted("quality_factor") && reed.checked.spec.is_fitted("leak_mm2"));
    }
    // Ring-downs of half the set, and a leak test of another reed.
    let more = sheet(",softest_blow_pa,ring_down_s,leak_mm2", |k| {
        let ring = if k < 3 { ring(k).to_string() } else { String::new() };
        let leak = if k == 4 { LEAK_MM2[k].to_string() } else { String::new() };
        format!(",{},{ring},{leak}", blow(k))
    });
    let split = Fit::of(&stages(JOB, &more, &[])).unwrap();
    assert!(split.converged);
    // Those with a ring-down or a leak test of their own are split; the loss that the set shares narrows the others.
    for k in [0, 1, 2, 4] {
        assert_eq!(split.reeds[k].apart, Apart::Yes, "{:?}", split.reeds[k]);
    }
    let narrow = |fit: &Fit, k: usize| fit.reeds[k].quality_factor.high / fit.reeds[k].quality_factor.low;
    assert!((0..6).all(|k| narrow(&split, k) < narrow(&fit, k)));
    for (k, reed) in split.reeds.iter().enumerate() {
        let (quality, leak) = (reed.quality_factor, reed.leak_m2.unwrap());
        assert!((quality.low..=quality.high).contains(&QUALITY[k]), "{reed:?}");
        assert!(leak.low <= 1e-6 * LEAK_MM2[k] && 1e-6 * LEAK_MM2[k] <= leak.high, "{reed:?}");
    }
    // Work: a few steps, three onsets a blow each, and what the weights took.
    assert!(split.work.steps <= 12 && split.work.onsets <= 6 * (3 * 16 + 4), "{:?}", split.work);
}

#[test]
fn a_round_is_told_reed_by_reed() {
    let base = sheet(",softest_blow_pa,ring_down_s", |k| if k == 0 { ",90,0.045".to_owned() } else { ",,".to_owned() });
    let first = "hole,breath,slide,operation,minutes,tip_gap_mm,aimed_gap_mm,measured_pluck_hz,softest_blow_pa,thickness_stations_mm,aimed_pluck_hz
1,blow,out,regap,5,0.30,0.29,,110,,
2,blow,out,retune,,,,650,,0:0.18 8:0.18 8:0.17 12.5:0.17,
3,blow,out,retune,7,,,785,,,784.5
4,blow,out,retune,7,,,880,,,
5,blow,out,measure,4,,,587.8,,,
";
    let all = stages(JOB, &base, &[("rounds/2026-03-01.csv", first)]);
    assert_eq!(all.len(), 2);
    let rounds = Rounds::of(&all);
    let row = |id: &str| rounds.rows.iter().find(|row| row.id == id).unwrap();
    let of = |id: &str, quantity: Quantity| *row(id).outcomes.iter().find(|o| o.quantity == quantity).unwrap();
    let gap = of("1-blow-out", Quantity::TipGap);
    assert_eq!((gap.basis, gap.expected, gap.before), (Basis::Aim, Some(0.29e-3), Some(0.27e-3)));
    assert!((gap.off().unwrap() - 0.01 / 0.29).abs() < 1e-9);
    let blow = of("1-blow-out", Quantity::SoftestBlow);
    assert!(
        blow.basis == Basis::Model && blow.expected.unwrap() > 90.0 && blow.doubt.unwrap().absolute(1.0) > 0.05,
        "{blow:?}"
    );
    // Filed near the tip: sharper than before; the model says by how much.
    let filed = of("2-blow-out", Quantity::Pluck);
    assert!(filed.basis == Basis::Model && (filed.expected.unwrap() - 662.6).abs() > 1.0, "{filed:?}");
    assert_eq!(of("3-blow-out", Quantity::Pluck).expected, Some(784.5));
    assert_eq!(of("4-blow-out", Quantity::Pluck).basis, Basis::NotTyped);
    let untouched = of("5-blow-out", Quantity::Pluck);
    assert!(untouched.basis == Basis::Unchanged && (untouched.expected.unwrap() - 588.0).abs() < 1e-3);
    assert_eq!(row("1-blow-out").changed.len(), 1);
    let regap = rounds.minutes.iter().find(|m| m.operation.name() == "regap").unwrap();
    assert_eq!((regap.spent_minutes, regap.estimated_minutes, regap.untimed), (5.0, 4.0, 0));
    let retune = rounds.minutes.iter().find(|m| m.operation.name() == "retune").unwrap();
    assert_eq!((retune.timed, retune.spent_minutes, retune.estimated_minutes, retune.untimed), (2, 14.0, 12.0, 1));
    assert!(rounds.fit.is_some() && rounds.bad.is_empty());
}

/// Against an independent fit: scipy 1.17.1 `optimize.least_squares` of the same residuals (six quality factors of 5 doubt each,
/// 100 within 40 to 400, its width about the logarithm, four times in five, scatter 0.25 worth six reeds), the scatter brought to its fixed point by
/// repeating; covariance `inv(J'J)`.
#[test]
fn measured_losses_alone_agree_with_a_general_library() {
    const TYPED: [f64; 6] = [50.0, 70.0, 90.0, 62.0, 75.0, 58.0];
    let job = JOB.replace("ring_down_s = 0.004", "quality_factor = 5");
    let fit = Fit::of(&stages(&job, &sheet(",quality_factor", |k| format!(",{}", TYPED[k])), &[])).unwrap();
    let close = |found: f64, wanted: f64| assert!((found / wanted - 1.0).abs() < 1e-3, "{found} {wanted}");
    close(fit.scatter, SCATTER_BY_SCIPY);
    let all = std::iter::once(&fit.common).chain(fit.reeds.iter().map(|reed| &reed.quality_factor));
    for (found, wanted) in all.zip(BY_SCIPY) {
        close(found.value, wanted[0]);
        close(found.low, wanted[1]);
        close(found.high, wanted[2]);
    }
    assert!(fit.reeds.iter().all(|reed| reed.apart == Apart::OneMeasured) && fit.work.onsets == 0);
}

const SCATTER_BY_SCIPY: f64 = 0.2282312;
/// Value, low and high end: the set, then its reeds.
const BY_SCIPY: [[f64; 3]; 7] = [
    [67.048233, 59.157740, 75.991164],
    [52.283305, 46.623492, 58.630186],
    [69.730059, 63.831323, 76.173905],
    [88.494833, 82.457807, 94.973850],
    [62.534845, 56.715964, 68.950725],
    [74.333967, 68.393565, 80.790329],
    [59.034806, 53.263101, 65.431947],
];

/// Random numbers: SplitMix64 and Box and Muller.
struct Dice(u64);

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self, middle: f64, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        middle + deviation * radius * (2.0 * std::f64::consts::PI * self.uniform()).cos()
    }
}

/// Quality factor and leak (mm2) of each reed.
type Truth = [(f64, f64); 6];

/// A set drawn as the fit assumes sets to be, measured with the doubts it assumes: what is true of its reeds and in
/// common, and the sheet.
fn draw(dice: &mut Dice) -> Option<(Truth, f64, String)> {
    let fields: Vec<Vec<&str>> = ROWS.iter().map(|row| row.split(',').collect()).collect();
    let sizes = |dice: &mut Dice, k: usize, off: f64| {
        let number = |at: usize| fields[k][at].parse::<f64>().unwrap();
        format!(
            "{},{},{}",
            fields[k][..8].join(","),
            dice.normal(number(8), 0.005 * off),
            dice.normal(number(9), 0.001 * off)
        )
    };
    let text = |rows: &[String]| format!("{HEAD}\n{}\n", rows.join("\n"));
    let models = models(&text(&(0..6).map(|k| sizes(dice, k, 1.0)).collect::<Vec<_>>()));
    let common = dice.normal(60.0_f64.ln(), 0.5 * 4.0_f64.ln() / 1.281_55);
    let (mut truth, mut rows) = ([(0.0, 0.0); 6], Vec::new());
    for (k, (model, hz)) in models.iter().enumerate() {
        let (quality, leak) = (dice.normal(common, SCATTER).exp(), dice.normal(1.5, 1e6 * LEAK_DOUBT_M2));
        let blow = onset_pa(model, quality, leak)? * dice.normal(0.0, BEYOND_ONSET).exp() + dice.normal(0.0, 2.0);
        let ring = dice.normal(quality / (std::f64::consts::PI * hz), 0.002);
        let ring = if k < 3 { ring.max(0.002).to_string() } else { String::new() };
        let test = if k == 4 { dice.normal(leak, 0.05).max(0.0).to_string() } else { String::new() };
        truth[k] = (quality, leak);
        rows.push(format!("{},{},{ring},{test}", sizes(dice, k, 0.0), blow.max(1.0)));
    }
    Some((truth, common.exp(), text(&rows).replacen('\n', ",softest_blow_pa,ring_down_s,leak_mm2\n", 1)))
}

/// Ranges hold the true value as often as they say: of 480 in 40 sets, 80 % within 5 %, which is 2.7 standard deviations of
/// the binomial distribution (1.8 %).
#[test]
fn ranges_hold_the_truth_as_often_as_they_say() {
    const SETS: usize = 40;
    let job = JOB.replace("alloy = ", "leak_mm2 = 1.5\nalloy = ").replace("ring_down_s = 0.004", "ring_down_s = 0.002");
    let mut dice = Dice(20_260_301);
    let (mut held, mut of_set, mut sets) = ([0_usize; 2], 0, 0);
    while sets < SETS {
        let Some((truth, common, sheet)) = draw(&mut dice) else { continue };
        let fit = Fit::of(&stages(&job, &sheet, &[])).unwrap();
        assert!(fit.converged && fit.unused.is_empty(), "{:?}", fit.work);
        sets += 1;
        of_set += usize::from((fit.common.low..=fit.common.high).contains(&common));
        for (reed, (quality, leak)) in fit.reeds.iter().zip(truth) {
            let found = reed.leak_m2.unwrap();
            held[0] += usize::from((reed.quality_factor.low..=reed.quality_factor.high).contains(&quality));
            held[1] += usize::from((found.low..=found.high).contains(&(1e-6 * leak)));
        }
    }
    let share = (held[0] + held[1]) as f64 / (12 * SETS) as f64;
    assert!((0.75..=0.85).contains(&share), "{held:?}, set {of_set}: {share}");
    // Of 40 sets: 2.7 standard deviations are 17 %.
    assert!((0.63..=0.97).contains(&(of_set as f64 / SETS as f64)), "{of_set}");
}
