//! A set in some ten lines: how many reeds suit and what they are judged by, what those that do not have in common, which to
//! take first and what to do about each, what to measure next.

mod lead;

use std::path::Path;

use lead::Lead;

use super::judged_by_run::{blown_off, why_by_run, would_do};
use super::to_measure::Unknown;
use crate::instrument::{Assessment, Finding, PitchFrom, ReedAssessment, Surety};
use crate::sheet::Job;

/// So many reeds are told one by one.
const WORST: usize = 5;
/// So many ids stand in a line.
const NAMED: usize = 4;

/// How a line is meant: what a colour says beside its words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Neither.
    Plain,
    /// All is well.
    Good,
    /// It cannot be told.
    Doubtful,
    /// Something is wrong.
    Bad,
}

impl Tone {
    /// Of an assessed reed: bad where something is likely to be wrong, good where it is likely to be good.
    pub fn of(reed: &ReedAssessment) -> Self {
        let likely = |finding: &Finding| finding.surety(reed) >= Surety::Likely;
        match reed.findings.is_empty() {
            false if reed.findings.iter().any(likely) => Self::Bad,
            true if reed.verdict().surety >= Surety::Likely => Self::Good,
            _ => Self::Doubtful,
        }
    }
}

/// What a reed counts as where reeds are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Nothing is found.
    Suits,
    /// Something is found, and it cannot be told.
    Doubtful,
    /// Something is likely to be wrong.
    DoesNot,
}

impl Standing {
    /// Of an assessed reed.
    pub fn of(reed: &ReedAssessment) -> Self {
        match Lead::of(reed) {
            _ if reed.findings.is_empty() => Self::Suits,
            Some(_) => Self::DoesNot,
            None => Self::Doubtful,
        }
    }
}

/// What is wrong with a reed, how sure, and what to do, in a sentence; nothing where nothing is likely to be wrong.
pub fn what_is_wrong(job: &Job, reed: &ReedAssessment) -> Option<String> {
    Lead::of(reed).map(|lead| lead.sentence(job))
}

/// A line: what leads it, in its tone, and the rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// How its lead is meant.
    pub tone: Tone,
    /// How it begins, blanks before it included.
    pub lead: String,
    /// What follows.
    pub text: String,
    /// Where it goes on, broken.
    pub indent: usize,
}

impl Line {
    fn new(tone: Tone, lead: impl Into<String>, text: impl Into<String>) -> Self {
        Self { tone, lead: lead.into(), text: text.into(), indent: 2 }
    }

    fn indented(self, indent: usize) -> Self {
        Self { indent, ..self }
    }

    fn plain(text: impl Into<String>) -> Self {
        Self::new(Tone::Plain, "", text)
    }
}

/// Reeds that fail alike, the worst first.
struct Group<'a> {
    name: &'static str,
    reeds: Vec<Lead<'a>>,
}

/// A set in short.
pub struct InShort<'a> {
    job: &'a Job,
    assessment: &'a Assessment,
    groups: Vec<Group<'a>>,
    /// Off by a few cents, and by no more than can be told.
    few_cents: Vec<&'a str>,
    /// What else is found, and cannot be told.
    near: Vec<&'a str>,
}

impl<'a> InShort<'a> {
    /// Of an assessed job.
    pub fn of(job: &'a Job, assessment: &'a Assessment) -> Self {
        let mut found = Self { job, assessment, groups: Vec::new(), few_cents: Vec::new(), near: Vec::new() };
        for reed in assessment.good_rows().filter(|reed| !reed.findings.is_empty()) {
            match Lead::of(reed) {
                Some(lead) => found.add(lead),
                None if reed.findings.iter().all(is_measured_pitch) => found.few_cents.push(&reed.reed.id),
                None => found.near.push(&reed.reed.id),
            }
        }
        for group in &mut found.groups {
            group.reeds.sort_by(Lead::worse_first);
        }
        found.groups.sort_by(|a, b| b.reeds.len().cmp(&a.reeds.len()).then(a.reeds[0].worse_first(&b.reeds[0])));
        found
    }

    fn add(&mut self, lead: Lead<'a>) {
        match self.groups.iter_mut().find(|group| group.name == lead.group()) {
            Some(group) => group.reeds.push(lead),
            None => self.groups.push(Group { name: lead.group(), reeds: vec![lead] }),
        }
    }

    /// How many reeds do not suit.
    fn wrong(&self) -> usize {
        self.groups.iter().map(|group| group.reeds.len()).sum()
    }

    /// Whether something is to be done.
    pub fn has_work(&self) -> bool {
        !self.groups.is_empty()
    }

    /// All of it; nothing where no reed could be assessed.
    pub fn lines(&self) -> Vec<Line> {
        let mut lines = self.verdict_lines();
        if !lines.is_empty() {
            lines.extend(self.measure_next());
        }
        lines
    }

    /// What is so, without what to measure next; nothing where no reed could be assessed.
    pub fn verdict_lines(&self) -> Vec<Line> {
        if self.assessment.good_rows().next().is_none() {
            return Vec::new();
        }
        let mut lines: Vec<Line> = self.by_run().into_iter().collect();
        lines.push(self.verdict());
        lines.extend(self.common());
        lines.extend(blown_off(self.assessment).map(|said| Line::plain(format!("{said}."))));
        lines.extend(self.worst_lines());
        lines
    }

    /// That the set is judged by its run where it fails alike, and what would have to be otherwise.
    fn by_run(&self) -> Option<Line> {
        let why = why_by_run(self.assessment)?;
        Some(Line::plain(format!("{why}. {}", would_do(self.assessment))))
    }

    fn verdict(&self) -> Line {
        let count = self.assessment.good_rows().count();
        let cannot_tell = self.few_cents.len() + self.near.len();
        let wrong = self.wrong();
        let suit = count - wrong - cannot_tell;
        let by = match (&self.job.target, self.assessment.fail_alike) {
            (_, Some(_)) => String::new(),
            (Some(target), None) => format!("; judged by their counterparts in {}", file_name(&target.sheet_name)),
            (None, None) => "; judged by what the player asks".to_owned(),
        };
        if suit == count {
            return Line::new(Tone::Good, format!("All {count} reeds suit"), format!("{}{by}.", self.how_sure()));
        }
        let others = [(wrong, "do not"), (cannot_tell, "are doubtful")];
        let others = others.into_iter().filter(|(count, _)| *count > 0);
        let others: String = others.map(|(count, what)| format!(", {count} {what}")).collect();
        Line::new(
            if wrong > 0 { Tone::Bad } else { Tone::Doubtful },
            format!("{suit} of {count} reeds suit"),
            format!("{}{others}{by}.", self.how_sure()),
        )
    }

    /// How sure the good ones are.
    fn how_sure(&self) -> String {
        let good = || self.assessment.good_rows().filter(|reed| reed.findings.is_empty());
        let of = |surety: Surety| (good().filter(|reed| reed.verdict().surety == surety).count(), surety.words());
        let all = [Surety::Sure, Surety::Likely, Surety::CannotTell].map(of);
        let some: Vec<String> =
            all.iter().filter(|(count, _)| *count > 0).map(|(count, words)| format!("{count} {words}")).collect();
        if some.is_empty() { String::new() } else { format!(" (how sure: {})", some.join(", ")) }
    }

    /// What those that do not suit have in common, a line a cause; those that stand alone in one.
    fn common(&self) -> Vec<Line> {
        let few_cents = "pitch off by a few cents, within what tuner and plucks tell";
        let near = "near the limit of what is asked";
        let doubtful = [(&self.few_cents, few_cents), (&self.near, near)];
        let doubtful = doubtful.into_iter().filter(|(ids, _)| !ids.is_empty());
        let doubtful = doubtful.map(|(ids, what)| of_reeds(Tone::Doubtful, what, ids));
        let many = self.groups.iter().filter(|group| group.reeds.len() > 1);
        let many = many.map(|group| {
            let ids: Vec<&str> = group.reeds.iter().map(Lead::id).collect();
            of_reeds(Tone::Bad, group.name, &ids)
        });
        many.chain(self.alone()).chain(doubtful).collect()
    }

    /// Those that fail as no other does: how many, and which of them are not among the worst; nothing where every one is.
    fn alone(&self) -> Option<Line> {
        let alone = || self.groups.iter().filter(|group| group.reeds.len() == 1);
        let count = alone().count();
        let worst = self.worst();
        let is_told = |group: &&Group<'_>| worst.iter().any(|lead| lead.id() == group.reeds[0].id());
        let others: Vec<String> = alone()
            .filter(|group| !is_told(group))
            .map(|group| format!("{} ({})", group.name, group.reeds[0].id()))
            .collect();
        if count == 0 || self.wrong() == count && others.is_empty() {
            return None;
        }
        let text = match count - others.len() {
            all if all == count => ": a cause each, told below".to_owned(),
            0 => format!(": a cause each: {}", others.join(", ")),
            told => format!(": a cause each: {told} told below, {}", others.join(", ")),
        };
        let reeds = if count == 1 { "reed" } else { "reeds" };
        Some(Line::new(Tone::Bad, format!("  {count} {reeds}"), text).indented(4))
    }

    /// The worst of each group, then the second of each, each time the surest and furthest off first.
    fn worst(&self) -> Vec<Lead<'a>> {
        let most = self.groups.iter().map(|group| group.reeds.len()).max().unwrap_or(0);
        let turn = |k: usize| {
            let mut turn: Vec<Lead<'a>> = self.groups.iter().filter_map(|group| group.reeds.get(k)).copied().collect();
            turn.sort_by(Lead::worse_first);
            turn
        };
        (0..most).flat_map(turn).take(WORST).collect()
    }

    fn worst_lines(&self) -> Vec<Line> {
        let worst = self.worst();
        let line = |lead: &Lead<'_>| {
            let begin = format!("  {:<11} {:<3}", lead.id(), lead.reed.reed.note.to_string());
            let indent = begin.len() + 2;
            Line::new(Tone::Bad, begin, format!("  {}", lead.sentence(self.job))).indented(indent)
        };
        let order = if worst.len() < self.wrong() { "The worst, one of each kind first" } else { "The worst first" };
        let head = (!worst.is_empty()).then(|| Line::plain(format!("{order} (worklist plans all the work):")));
        head.into_iter().chain(worst.iter().map(line)).collect()
    }

    fn measure_next(&self) -> Option<Line> {
        let words: Vec<&str> = Unknown::next(self.job, self.assessment).into_iter().map(Unknown::words).collect();
        (!words.is_empty()).then(|| Line::new(Tone::Plain, "Measure next", format!(": {}.", words.join("; then "))))
    }
}

fn is_measured_pitch(finding: &Finding) -> bool {
    matches!(finding, Finding::OutOfTune { from: PitchFrom::Sounding | PitchFrom::Plucked, .. })
}

/// A path without its folders.
fn file_name(path: &str) -> String {
    Path::new(path).file_name().map_or_else(|| path.to_owned(), |name| name.to_string_lossy().into_owned())
}

/// How many reeds, what of them, and the first few of their ids.
fn of_reeds(tone: Tone, what: &str, ids: &[&str]) -> Line {
    let count = ids.len();
    let named = if count > NAMED { NAMED - 1 } else { count };
    let more = if count > named { format!(" and {} more", count - named) } else { String::new() };
    let reeds = if count == 1 { "reed" } else { "reeds" };
    Line::new(tone, format!("  {count} {reeds}"), format!(": {what}: {}{more}", ids[..named].join(", "))).indented(4)
}
