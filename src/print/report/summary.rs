//! The set in a few sentences, every one read off the results.

use maud::{Markup, html};

use super::Report;
use crate::chart::LevelsChart;
use crate::print::judged_by_run::judged_by_run;
use crate::print::still_to_measure::StillToMeasure;
use crate::print::work::totals;
use crate::units::significant;

impl Report<'_> {
    pub(super) fn summary(&self, levels: &LevelsChart) -> Markup {
        let still = StillToMeasure::of(&self.assessment.reeds);
        html! {
            section.summary {
                h2 { "In short" }
                p { (totals(self.work).join(" ")) }
                @if let Some(said) = judged_by_run(self.job, self.assessment) { p { (said) } }
                @if let Some(found) = self.found() { p { (found) } }
                @if let Some(even) = self.how_even(levels) { p { (even) } }
                @match &still {
                    None => { @if self.has_reeds() && !self.has_wrong_rows() { p { "Every reed of the sheet is measured." } } },
                    Some(still) => {
                        h3 { "Still to measure" }
                        p { (still.head()) "." }
                        ul { @for line in still.lines(usize::MAX) { li { (line) } } }
                    }
                }
                @if self.has_wrong_rows() {
                    h3 { "Wrong in the sheet, and left out" }
                    ul { @for line in self.wrong_rows() { li { (line) } } }
                }
                @for note in &self.job.notes { p.small { "Note: " (note) "." } }
            }
        }
    }

    /// How many of which kind were found.
    fn found(&self) -> Option<String> {
        let mut kinds: Vec<(&str, usize)> = Vec::new();
        for finding in self.assessment.good_rows().flat_map(|reed| &reed.findings) {
            match kinds.iter_mut().find(|(kind, _)| *kind == finding.kind()) {
                Some((_, count)) => *count += 1,
                None => kinds.push((finding.kind(), 1)),
            }
        }
        // The most frequent first; a stable sort keeps the order of the sheet.
        kinds.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        let kinds: Vec<String> = kinds.iter().map(|(kind, count)| format!("{kind} ({count})")).collect();
        (!kinds.is_empty()).then(|| format!("Found, with the number of reeds: {}.", kinds.join(", ")))
    }

    fn how_even(&self, levels: &LevelsChart) -> Option<String> {
        let percent = |uneven: f64| significant(100.0 * uneven, 2);
        let (now, wanted) = (self.balance.now.uneven, self.balance.wanted.uneven);
        let gaps = (now > 0.0).then(|| {
            format!(
                "a tip gap stands {} % off the run of its neighbours, {} % at the gaps wanted",
                percent(now),
                percent(wanted)
            )
        });
        let off: Vec<(f64, &str)> = Self::levels_known(levels).collect();
        let furthest = off.iter().max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
        let level = furthest.map(|(most, id)| {
            let inside = off.iter().filter(|(off, _)| off.abs() <= levels.passes_db).count();
            let way = if *most > 0.0 { "louder" } else { "softer" };
            format!(
                "in level {inside} of {} reeds are within {:.1} dB of theirs, furthest off is {id}, {:.1} dB {way}",
                off.len(),
                levels.passes_db,
                most.abs()
            )
        });
        let parts: Vec<String> = gaps.into_iter().chain(level).collect();
        (!parts.is_empty()).then(|| format!("How even it is: {}.", parts.join("; ")))
    }

    /// Rows that are wrong, in the set and elsewhere, those apart that only lack something.
    fn wrong_rows(&self) -> Vec<String> {
        let wrong = self.job.bad_rows().filter(|row| row.still_needs().is_none());
        wrong.map(|row| format!("{}: {row}", row.name())).collect()
    }

    fn has_wrong_rows(&self) -> bool {
        self.job.bad_rows().any(|row| row.still_needs().is_none())
    }
}
