//! What is printed: the report, the card of the bench, the booklet.

use super::bench::Bench;
use super::gate::NotDone;
use super::reed::Subject;
use super::set::Solved;
use crate::instrument::balance::BalanceOptions;
use crate::print::card;
use crate::print::handout::Booklet;
use crate::print::report::Report;

/// The report on the set.
pub(super) fn report(bench: &Bench, solved: &Solved) -> Result<String, NotDone> {
    let balance = solved.balance(bench, BalanceOptions::SMOOTH)?;
    let (work, rounds) = (solved.work(bench)?, solved.rounds(bench)?);
    let (job, assessment) = (&*solved.job, &*solved.set);
    let date = (bench.today)();
    Ok(Report { job, assessment, balance: &balance, work: &work, rounds: &rounds, fit: None, date }.to_html())
}

/// The card of the bench.
pub(super) fn bench_card(bench: &Bench, solved: &Solved) -> Result<String, NotDone> {
    Ok(card::to_html(&solved.job, &*solved.work(bench)?))
}

/// The booklet on one reed; none where there is no such reed.
pub(super) fn booklet(bench: &Bench, id: &str) -> Option<String> {
    let subject = bench.look(|opened| Subject::find(opened, id))?;
    let (checked, name) = (&subject.checked, &subject.name);
    bench.background.install(|| {
        let mut booklet = Booklet::of(checked, name, false, &subject.tuning, &|_| ()).ok()?;
        booklet.add_figures(checked, name, &|| ()).ok()?;
        Some(booklet.to_html())
    })
}
