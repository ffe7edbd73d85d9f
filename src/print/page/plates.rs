//! The plates as they lie: hole by hole, the blow plate above the draw plate.

use std::collections::BTreeSet;

use maud::{Markup, html};

use crate::sheet::{Breath, Job, Slide};

/// Rows from the top.
pub(crate) const ROWS: [(Breath, Slide); 4] =
    [(Breath::Blow, Slide::Out), (Breath::Blow, Slide::In), (Breath::Draw, Slide::Out), (Breath::Draw, Slide::In)];

/// Where a reed lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::print) struct Place {
    pub(in crate::print) hole: u32,
    pub(in crate::print) breath: Breath,
    pub(in crate::print) slide: Slide,
}

impl Place {
    /// As sheets name it.
    pub(in crate::print) fn id(self) -> String {
        crate::sheet::id(self.hole, self.breath, self.slide)
    }

    fn parse(id: &str) -> Option<Self> {
        let hole = id.split('-').next()?.parse().ok()?;
        ROWS.into_iter().map(|(breath, slide)| Self { hole, breath, slide }).find(|place| place.id() == id)
    }
}

/// Every place of a job that has a row in its sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::print) struct Plates {
    places: Vec<Place>,
}

impl Plates {
    /// Of every row of which the place can be read, those too that are not measured or wrong.
    pub(in crate::print) fn of(job: &Job) -> Self {
        let place = |row: &Result<crate::sheet::JobReed, crate::sheet::RowError>| match row {
            Ok(reed) => Some(Place { hole: reed.hole, breath: reed.breath, slide: reed.slide }),
            Err(error) => Place::parse(error.id.as_deref()?),
        };
        Self { places: job.reeds.iter().filter_map(place).collect() }
    }

    /// The holes in parts as equal as can be, none longer than so many.
    pub(in crate::print) fn parts(&self, most: usize) -> Vec<Vec<u32>> {
        let holes: BTreeSet<u32> = self.places.iter().map(|place| place.hole).collect();
        let holes: Vec<u32> = holes.into_iter().collect();
        let parts = holes.len().div_ceil(most).max(1);
        holes.chunks(holes.len().div_ceil(parts).max(1)).map(<[u32]>::to_vec).collect()
    }

    /// A part as a table; `cell` is asked for every place that has a row.
    pub(in crate::print) fn table(&self, holes: &[u32], cell: impl Fn(Place) -> Markup) -> Markup {
        let has = |&(breath, slide): &(Breath, Slide)| {
            self.places.iter().any(|place| (place.breath, place.slide) == (breath, slide))
        };
        let rows: Vec<(Breath, Slide)> = ROWS.into_iter().filter(has).collect();
        html! {
            table.plate {
                thead { tr { th.side scope="col" { span { "hole" } } @for hole in holes { th scope="col" { (hole) } } } }
                tbody {
                    @for (k, &(breath, slide)) in rows.iter().enumerate() {
                        @if k > 0 && rows[k - 1].0 != breath { tr.between { td colspan=(holes.len() + 1) {} } }
                        tr {
                            th.side scope="row" { span { (breath.name()) ", slide " (slide.name()) } }
                            @for &hole in holes {
                                @let place = Place { hole, breath, slide };
                                @if self.places.contains(&place) { (cell(place)) } @else { td {} }
                            }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_read_as_it_is_written() {
        for id in ["1-blow-out", "12-draw-in"] {
            assert_eq!(Place::parse(id).map(Place::id).as_deref(), Some(id));
        }
        assert!(Place::parse("x-blow-out").is_none() && Place::parse("1-blow").is_none());
    }

    #[test]
    fn parts_are_as_equal_as_can_be() {
        let places = (1..=14).map(|hole| Place { hole, breath: Breath::Blow, slide: Slide::Out }).collect();
        let parts = Plates { places }.parts(12);
        assert_eq!(parts.iter().map(Vec::len).collect::<Vec<_>>(), [7, 7]);
    }
}
