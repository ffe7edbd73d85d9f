//! Every reed in a line, and below it what was found.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::Report;
use crate::instrument::ReedAssessment;
use crate::instrument::balance::{ReedBalance, Verdict};
use crate::physics::attack::Attack;
use crate::print::assess::{choke_kpa, verdict_with_surety};
use crate::print::in_words::in_words;
use crate::sheet::RowError;
use crate::units::significant;

const COLUMNS: usize = 12;
/// What the columns hold.
const LEGEND: &str = "Cents from the target. Onset and choke: pressures between which a slow blow starts the reed. Soft, normal, \
                      hard: time from the start of the player's attack to half the final swing. Level at normal playing, 1 m \
                      away. Tip gap as it is, and as it is wanted in the run of the set. A dash: none.";

impl Report<'_> {
    pub(super) fn reeds(&self) -> Markup {
        let gaps: BTreeMap<&str, &ReedBalance> =
            self.balance.good_rows().map(|reed| (reed.id.as_str(), reed)).collect();
        let shown = self.assessment.reeds.iter().filter(|row| !row.as_ref().is_err_and(RowError::not_measured));
        let shown: Vec<_> = shown.collect();
        html! {
            section.reeds {
                h2 { "Every reed" }
                @if shown.is_empty() {
                    p { "No reed is measured yet." }
                } @else {
                    p.small { (LEGEND) }
                    table.reeds {
                        colgroup { @for _ in 0..COLUMNS { col; } }
                        (head())
                        @for row in shown {
                            @match row {
                                Ok(reed) => (self.one(reed, gaps.get(reed.reed.id.as_str()).copied())),
                                Err(error) => (bad(error)),
                            }
                        }
                    }
                }
            }
        }
    }

    fn one(&self, reed: &ReedAssessment, gap: Option<&ReedBalance>) -> Markup {
        let [soft, normal, hard] = &reed.attacks;
        let level = normal.steady.as_ref().map(|steady| format!("{:.1}", steady.level.db));
        let mm = |gap_m: f64| format!("{:.3}", 1e3 * gap_m);
        let numbers = [
            format!("{:+.1}", reed.pitch.cents + 0.0).replace('-', "\u{2212}"),
            or_dash(reed.prediction.onset_pa().map(|onset| significant(onset, 3))),
            choke_kpa(reed, "> "),
            time(soft),
            time(normal),
            time(hard),
            or_dash(level),
            or_dash(gap.map(|gap| mm(gap.now.gap_m))),
            or_dash(gap.map(|gap| mm(self.gap_aimed_at_m(&gap.id).unwrap_or(gap.wanted.gap_m)))),
        ];
        let said = said(reed, gap);
        html! {
            tbody.wrong[!reed.findings.is_empty()] {
                tr {
                    th scope="row" { (reed.reed.id) }
                    td { (reed.reed.note.to_string()) }
                    @for number in &numbers { td.number { (number) } }
                    td.verdict { (verdict_with_surety(reed)) }
                }
                @if !said.is_empty() {
                    tr.said { td {} td colspan=(COLUMNS - 1) { (said.join(" ")) } }
                }
            }
        }
    }
}

fn head() -> Markup {
    html! {
        thead {
            tr {
                th scope="col" rowspan="2" { "reed" }
                th scope="col" rowspan="2" { "note" }
                th.number scope="col" rowspan="2" { "cents" }
                th.number scope="col" { "onset" }
                th.number scope="col" { "choke" }
                th.number scope="col" { "soft" }
                th.number scope="col" { "normal" }
                th.number scope="col" { "hard" }
                th.number scope="col" { "level" }
                th.number scope="col" { "gap" }
                th.number scope="col" { "wanted" }
                th scope="col" rowspan="2" { "verdict" }
            }
            tr.units {
                @for unit in ["Pa", "kPa", "ms", "ms", "ms", "dB", "mm", "mm"] { th.number scope="col" { (unit) } }
            }
        }
    }
}

fn bad(error: &RowError) -> Markup {
    let what = match error.still_needs() {
        Some(needs) => format!("still to measure: {}", in_words(&needs.join(", "))),
        None => format!("not assessed, line {} of the sheet is wrong", error.line),
    };
    html! {
        tbody.wrong { tr { th scope="row" { (error.name()) } td colspan=(COLUMNS - 1) { (what) } } }
    }
}

/// What was found, and what player and sheet say of it: sentences.
fn said(reed: &ReedAssessment, gap: Option<&ReedBalance>) -> Vec<String> {
    let mut said: Vec<String> = reed
        .findings
        .iter()
        .map(|finding| format!("{}.", crate::units::capital(&in_words(&finding.sentence()))))
        .collect();
    if let Some((why, gap)) = gap.and_then(|gap| match gap.verdict {
        Verdict::NoGap(why) => Some((why, gap)),
        Verdict::Leave | Verdict::Regap => None,
    }) {
        said.push(format!(
            "No gap suits: {}. To do: {}; the gap wanted is for when it is mended.",
            why.sentence(gap),
            in_words(why.cure())
        ));
    }
    let typed = &reed.reed;
    said.extend(typed.feel.map(|feel| format!("The player says: {}.", feel.word())));
    if !reed.findings.is_empty() {
        said.extend(typed.valve.as_ref().map(|valve| format!("Valve: {valve}.")));
    }
    said.extend(typed.remark.as_ref().map(|remark| format!("Remark: {remark}.")));
    said.extend(typed.tongue_since.map(|date| format!("A new tongue since {date}.")));
    said
}

fn or_dash(found: Option<String>) -> String {
    found.unwrap_or_else(|| "-".to_owned())
}

/// In milliseconds.
fn time(attack: &Attack) -> String {
    match (attack.t50_s, attack.speaks) {
        (Some(time_s), _) => significant(1e3 * time_s, 3),
        (None, true) => "slow".to_owned(),
        (None, false) => "silent".to_owned(),
    }
}
