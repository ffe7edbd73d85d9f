//! Margins and how sure they are.

use std::sync::LazyLock;

use approx::assert_relative_eq;
use freereed::instrument::{Margin, MarginOf, ReedAssessment, Surety, assess};
use freereed::sheet::Job;

const JOB: &str = "sheet = \"sheet.csv\"
[defaults]
alloy = \"C51000\"
[tolerances]
tip_gap_mm = 0.015
side_clearance_mm = 0.004
ring_down_s = 0.006
rest_exponent = 0.2
[player]
soft_pa = { C5 = 360, C6 = 1000 }
normal_pa = { C5 = 700, C6 = 1800 }
hard_pa = { C5 = 1500, C6 = 3400 }
time_allowed_ms = { C5 = 150, C6 = 230 }
";
/// Every input that is not taken as known, so that nothing is assumed.
const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm,\
                    leak_mm2,root_gap_mm,rest_exponent,tip_clearance_mm,plate_thickness_mm,volume_mm3,channel_length_mm,\
                    channel_area_mm2";
/// Invented reeds: two that are good, one too wide, one too close, one that leaks.
const ROWS: [&str; 5] = [
    "1,blow,out,C5,14.1,2.1,523.3,0.056,0.26,0.027,0.2,0.03,2,0.03,1,400,15,20",
    "2,blow,out,G5,12.1,2.1,784.0,0.037,0.20,0.025,0.2,0.03,2,0.03,1,400,15,20",
    "3,blow,out,E5,13.0,2.1,659.3,0.044,0.55,0.026,0.2,0.03,2,0.03,1,400,15,20",
    "4,blow,out,D5,13.5,2.1,587.3,0.050,0.085,0.026,0.2,0.03,2,0.03,1,400,15,20",
    "5,blow,out,A5,11.6,2.1,880.0,0.033,0.19,0.025,2.5,0.03,2,0.03,1,400,15,20",
];

fn job(rows: &[String]) -> Job {
    Job::parse(("job.toml", JOB), ("sheet.csv", &format!("{HEAD}\n{}", rows.join("\n")))).unwrap()
}

static SET: LazyLock<Vec<ReedAssessment>> = LazyLock::new(|| {
    let rows = ROWS.map(str::to_owned);
    assess(&job(&rows), || ()).reeds.into_iter().map(|reed| reed.unwrap()).collect()
});

fn margin(reed: usize, of: MarginOf) -> Margin {
    *SET[reed].margin(of).unwrap()
}

#[test]
fn margins_are_logarithms_of_what_is_asked_over_what_is_there() {
    for reed in &*SET {
        let window = reed.playable.unwrap();
        let value = |of| reed.margin(of).unwrap().value.unwrap();
        assert_relative_eq!(
            value(MarginOf::Soft),
            (reed.pressures.soft_pa / window.low.pressure_pa).ln(),
            epsilon = 1e-12
        );
        assert_relative_eq!(
            value(MarginOf::Hard),
            (window.high.pressure_pa / reed.pressures.hard_pa).ln(),
            epsilon = 1e-12
        );
        let t50_s = reed.attacks[1].t50_s.unwrap();
        assert_relative_eq!(value(MarginOf::Time), (reed.demand.allowed_s / t50_s).ln(), epsilon = 1e-12);
    }
}

#[test]
fn faults_are_sure_where_they_are_large() {
    for (reed, of) in [(2, MarginOf::Soft), (3, MarginOf::Hard), (4, MarginOf::Soft), (4, MarginOf::Leak)] {
        let verdict = margin(reed, of).verdict();
        assert_eq!((verdict.good, verdict.surety), (false, Surety::Sure), "{:?}", margin(reed, of));
    }
    for reed in [0, 1] {
        assert!(margin(reed, MarginOf::Soft).verdict().good && margin(reed, MarginOf::Leak).verdict().good);
    }
}
