//! One reed of a set.

use super::checked::CheckedReed;
use super::csv_sheet::{Breath, SheetRow, Slide};
use super::date::Date;
use super::evidence::Evidence;
use super::feel::Feel;
use super::job_file::JobFile;
use super::layer::Layer;
use super::newest::Newest;
use super::notes::Note;
use super::of_layout::Layout;
use super::of_run::Run;
use super::reed_spec::{ReedSpec, UsualAir};
use super::row_error::RowError;
use super::source::Source;
use super::surroundings::Surroundings;

/// One reed of a set.
#[derive(Debug, Clone)]
pub struct JobReed {
    /// `5-blow-in`: hole, breath, slide.
    pub id: String,
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// The note it should sound.
    pub note: Note,
    /// The frequency it should sound (Hz), by the instrument's tuning.
    pub target_hz: f64,
    /// What the sheet says of its valve.
    pub valve: Option<String>,
    /// What the player says of it.
    pub feel: Option<Feel>,
    /// The reed of which the player said that, where it was worked on since.
    pub said_of: Option<Box<CheckedReed>>,
    /// What the sheet remarks.
    pub remark: Option<String>,
    /// The day its tongue came in, where a round of measuring says it was replaced.
    pub tongue_since: Option<Date>,
    /// Its line in the sheet.
    pub line: usize,
    /// The reed.
    pub checked: CheckedReed,
}

/// What the rest of the set says of a reed.
pub(super) struct OfSet {
    pub(super) layout: Option<Layout>,
    pub(super) run: Run,
}

impl JobReed {
    /// Checks a row under what lies below it.
    pub(super) fn new(
        file: &JobFile,
        below: &Surroundings,
        set: &OfSet,
        sheet: &Source,
        newest: Newest,
    ) -> Result<Self, RowError> {
        let Newest { row, tongue_since, said_of, .. } = newest;
        let (id, line) = (row.id(), row.place.line());
        let blank = row.layer.entries().is_empty();
        let checked = |layer: &Layer| {
            let layer = layer.over(&below.below(row.hole, row.breath));
            let spec = ReedSpec {
                own_alloys: file.own_alloys.clone(),
                tolerances: file.tolerances.clone(),
                usual_air: if row.breath == Breath::Blow { UsualAir::Breath } else { UsualAir::Room },
                of_layout: set.layout.as_ref().map(|layout| layout.at(row.hole, row.note)),
                of_run: set.run.at(row.note),
                ..ReedSpec::from_layer(sheet, layer, sheet.line_place(line))
            };
            spec.checked().map_err(|error| match blank {
                true => RowError::of_blank(sheet, line, id.clone()),
                false => RowError { line, id: Some(id.clone()), error },
            })
        };
        let now = checked(&row.layer)?;
        let said_of = said_of.as_ref().and_then(|layer| checked(layer).ok()).map(Box::new);
        let target_hz = file.instrument.tuning.frequency_hz(row.note);
        let SheetRow { hole, breath, slide, note, valve, feel, remark, .. } = row;
        let checked = now;
        Ok(Self { id, hole, breath, slide, note, target_hz, valve, feel, said_of, remark, tongue_since, line, checked })
    }

    /// With what was measured of its set in place of what is assumed of any reed.
    pub(super) fn told_by(&mut self, evidence: &Evidence) {
        let all = std::iter::once(&mut self.checked).chain(self.said_of.as_deref_mut());
        all.for_each(|checked| *checked = evidence.told(checked));
    }

    /// Whether every value is the same as of another, wherever they were typed: solved, both give the same.
    pub fn says_as(&self, other: &Self) -> bool {
        let said_of = match (&self.said_of, &other.said_of) {
            (None, None) => true,
            (Some(one), Some(other)) => one.says_as(other),
            _ => false,
        };
        let place = |reed: &Self| (reed.id.clone(), reed.note, reed.feel);
        place(self) == place(other)
            && self.target_hz == other.target_hz
            && said_of
            && self.checked.says_as(&other.checked)
    }
}
