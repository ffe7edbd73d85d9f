//! One gap for one reed: balance, the list of work, the chart of gaps and the report name the same.

use crate::support::set::worked;
use freereed::instrument::rounds::Rounds;
use freereed::instrument::work::Plan;
use freereed::print::charts::gaps_chart;
use freereed::print::report::Report;
use freereed::sheet::{Date, Job};

/// Eight reeds of the demo, one of them far too close and one far too wide.
#[test]
fn everything_names_the_gap_that_balance_gives() {
    let mut job = Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap();
    job.reeds.retain(|reed| reed.as_ref().is_ok_and(|reed| [3, 5].contains(&reed.hole)));
    let (assessment, balance, work) = worked(&job);
    super::work::one_gap(&balance, &work);
    let bent = balance.good_rows().filter(|reed| reed.is_to_be_bent()).count();
    assert!(bent >= 2, "{balance:?}");
    let chart = gaps_chart(&job, &balance);
    for (reed, drawn) in balance.good_rows().zip(&chart.reeds) {
        assert_eq!((&reed.id, reed.wanted.gap_m), (&drawn.reed.id, drawn.wanted_m));
        assert_eq!(reed.is_to_be_bent(), drawn.suits && !drawn.is_left);
    }
    let rounds = Rounds::of(std::slice::from_ref(&job));
    let date = Date::parse("2026-03-01").unwrap();
    let report =
        Report { job: &job, assessment: &assessment, balance: &balance, work: &work, rounds: &rounds, fit: None, date };
    let html = report.to_html().replace('\u{a0}', " ");
    assert!(html.contains(&format!("{bent} of 8 reeds are to be bent to another tip gap")), "{html}");
    assert!(!html.contains("Nothing to do"));
    let titles: Vec<String> = work
        .work()
        .filter(|(_, next)| matches!(next.plan, Plan::Regap(_) | Plan::RegapUnknown { .. }))
        .map(|(_, next)| next.plan.title())
        .collect();
    assert_eq!(titles.len(), bent);
    for reed in balance.good_rows() {
        let wanted = format!("<td class=\"number\">{:.3}</td>", 1e3 * reed.wanted.gap_m);
        assert!(html.contains(&wanted), "{wanted} of {} is not in the report", reed.id);
    }
    assert!(titles.iter().all(|title| html.contains(title.as_str())), "{titles:?}");
}
