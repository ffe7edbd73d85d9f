//! What was found over the whole set, by kinds, and how even it is: sentences.

use maud::{Markup, html};

use super::Report;
use crate::chart::LevelsChart;
use crate::units::significant;

impl Report<'_> {
    pub(super) fn over_all(&self, levels: &LevelsChart) -> Markup {
        html! {
            @if let Some(found) = self.found() { p { (found) } }
            @if let Some(even) = self.how_even(levels) { p { (even) } }
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
}
