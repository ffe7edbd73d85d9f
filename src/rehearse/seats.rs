//! Where a set has its notes: every reed by breath, slide and hole.

use std::collections::BTreeMap;

use crate::sheet::{Breath, JobReed, Slide};

/// Blow before draw, slide out before in: of ways that cost the same the first is taken.
pub(super) const HANDS: [(Breath, Slide); 4] =
    [(Breath::Blow, Slide::Out), (Breath::Draw, Slide::Out), (Breath::Blow, Slide::In), (Breath::Draw, Slide::In)];

/// The reeds of a set; a reed is told by its place among those given.
pub(super) struct Seats {
    /// For each of [`HANDS`] the note and the reed of each hole.
    holes: [BTreeMap<u32, (i32, usize)>; 4],
}

impl Seats {
    pub fn of<'a>(reeds: impl IntoIterator<Item = &'a JobReed>) -> Self {
        let mut holes: [BTreeMap<u32, (i32, usize)>; 4] = Default::default();
        for (place, reed) in reeds.into_iter().enumerate() {
            let hand = HANDS.iter().position(|hand| *hand == (reed.breath, reed.slide)).expect("all four are there");
            holes[hand].insert(reed.hole, (reed.note.midi(), place));
        }
        Self { holes }
    }

    /// Whether any reed sounds a note.
    pub fn has(&self, midi: i32) -> bool {
        self.holes.iter().flat_map(BTreeMap::values).any(|seat| seat.0 == midi)
    }

    /// The holes in which one of [`HANDS`] has one of some notes, the lowest first, with the note.
    pub fn holes_of(&self, hand: usize, notes: &[i32]) -> Vec<(u32, i32)> {
        let seats = self.holes[hand].iter();
        seats.filter(|(_, seat)| notes.contains(&seat.0)).map(|(hole, seat)| (*hole, seat.0)).collect()
    }

    /// The reed in a hole.
    pub fn reed(&self, hand: usize, hole: u32) -> Option<usize> {
        self.holes[hand].get(&hole).map(|seat| seat.1)
    }
}
