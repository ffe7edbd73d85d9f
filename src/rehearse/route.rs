//! How the layout plays a piece: for each moment the breath, the slide and the holes, chosen over the whole piece.
//!
//! Notes that sound together share breath and slide and lie within [`REACH`] holes, the tongue keeping at most one stretch of
//! holes between them shut. Of all ways through the piece the one is taken with the fewest notes lost, of those with the
//! fewest changes of breath, then of the slide, then with the least travel of the mouth: a shortest path over the moments
//! (R. Bellman, *Dynamic Programming*, 1957), exact as the cost of a step depends on two neighbouring moments alone and
//! costs are compared in order, which sums respect.

use serde::Serialize;

use super::piece::PieceNote;
use super::seats::{HANDS, Seats};
use super::voice::{Moment, moments};
use crate::instrument::REACH;

/// Most ways that are kept at a moment, those that sound most notes: only a chord of many more notes than a mouth covers has
/// more.
const MOST_WAYS: usize = 48;

/// What becomes of a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fate {
    /// A reed sounds it: its place in the set.
    Reed(usize),
    /// The set has no reed for it.
    NotOnInstrument,
    /// It cannot sound together with other notes of its time.
    NotTogether,
}

/// How a piece is played.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Route {
    /// Of each note.
    pub fates: Vec<Fate>,
    /// What the hands do in it.
    pub effort: Effort,
}

/// What a way through a piece takes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Effort {
    /// Changes between blow and draw.
    pub breath_changes: u32,
    /// Moves of the slide.
    pub slide_changes: u32,
    /// Holes that the middle of the mouth travels, halves counted.
    pub travel_half_holes: u32,
}

/// One way to play a moment.
#[derive(Debug, Clone)]
struct Way {
    hand: usize,
    /// Hole and note, the lowest hole first.
    holes: Vec<(u32, i32)>,
}

/// Notes lost, changes of breath, of the slide, travel.
type Cost = [u32; 4];

impl Way {
    fn hole_of(&self, midi: i32) -> Option<u32> {
        self.holes.iter().find(|(_, note)| *note == midi).map(|(hole, _)| *hole)
    }

    /// Twice the middle of the mouth.
    fn middle(&self) -> u32 {
        self.holes[0].0 + self.holes[self.holes.len() - 1].0
    }
}

/// The cheapest way through notes in the order of their beginnings.
pub(super) fn route(notes: &[PieceNote], seats: &Seats) -> Route {
    let mut fates: Vec<Fate> =
        notes.iter().map(|note| if seats.has(note.midi) { Fate::NotTogether } else { Fate::NotOnInstrument }).collect();
    let there: Vec<usize> = (0..notes.len()).filter(|&place| fates[place] == Fate::NotTogether).collect();
    let heard: Vec<PieceNote> = there.iter().map(|&place| notes[place]).collect();
    let moments = moments(&heard);
    let ways: Vec<Vec<Way>> = moments.iter().map(|moment| ways(moment, &heard, seats)).collect();
    let (chosen, cost) = cheapest(&moments, &ways, &heard);
    let mut lost = vec![false; heard.len()];
    for ((moment, ways), choice) in moments.iter().zip(&ways).zip(chosen) {
        let way = &ways[choice];
        for &place in &moment.begins {
            match way.hole_of(heard[place].midi).and_then(|hole| seats.reed(way.hand, hole)) {
                Some(reed) => fates[there[place]] = Fate::Reed(reed),
                None => lost[place] = true,
            }
        }
        // One that has to end for another is not played as it is written.
        let cut = moment.held.iter().filter(|&&place| way.hole_of(heard[place].midi).is_none());
        cut.chain(&moment.given_up).for_each(|&place| lost[place] = true);
    }
    lost.iter().zip(&there).filter(|(lost, _)| **lost).for_each(|(_, &place)| fates[place] = Fate::NotTogether);
    let effort = Effort { breath_changes: cost[1], slide_changes: cost[2], travel_half_holes: cost[3] };
    Route { fates, effort }
}

/// The choice at each moment, and what all of it costs.
fn cheapest(moments: &[Moment], ways: &[Vec<Way>], notes: &[PieceNote]) -> (Vec<usize>, Cost) {
    // Of each way of each moment what it costs up to there, and the way before it.
    let mut reached: Vec<Vec<(Cost, usize)>> = Vec::with_capacity(moments.len());
    for (k, moment) in moments.iter().enumerate() {
        let here = ways[k].iter().map(|way| {
            let Some(before) = k.checked_sub(1) else { return (first(way, moment, notes), 0) };
            let steps = ways[before].iter().zip(&reached[before]).enumerate();
            let reach = |(place, (from, (cost, _))): (usize, (&Way, &(Cost, usize)))| {
                let step = step(from, way, moment, notes)?;
                Some((std::array::from_fn(|part| cost[part].saturating_add(step[part])), place))
            };
            steps.filter_map(reach).min().unwrap_or(([u32::MAX; 4], 0))
        });
        reached.push(here.collect());
    }
    let Some(last) = reached.last() else { return (Vec::new(), [0; 4]) };
    let (mut place, cost) =
        last.iter().map(|(cost, _)| *cost).enumerate().min_by_key(|(_, cost)| *cost).expect("a way");
    let mut chosen = Vec::with_capacity(moments.len());
    for reached in reached.iter().rev() {
        chosen.push(place);
        place = reached[place].1;
    }
    chosen.reverse();
    (chosen, cost)
}

/// The first moment costs no change.
fn first(way: &Way, moment: &Moment, notes: &[PieceNote]) -> Cost {
    [lost(way, moment, notes), 0, 0, 0]
}

fn lost(way: &Way, moment: &Moment, notes: &[PieceNote]) -> u32 {
    moment.begins.iter().filter(|&&place| way.hole_of(notes[place].midi).is_none()).count() as u32
}

/// What it costs to go on from one way to the next; nothing where a note that is held would have to begin anew.
fn step(from: &Way, to: &Way, moment: &Moment, notes: &[PieceNote]) -> Option<Cost> {
    let mut lost = lost(to, moment, notes);
    for &place in &moment.held {
        let [before, now] = [from, to].map(|way| way.hole_of(notes[place].midi));
        match (before, now) {
            (Some(_), None) => lost += 1,
            (before, Some(_)) if before != now || from.hand != to.hand => return None,
            _ => {}
        }
    }
    let ((breath, slide), (next_breath, next_slide)) = (HANDS[from.hand], HANDS[to.hand]);
    let travel = from.middle().abs_diff(to.middle());
    Some([lost, u32::from(breath != next_breath), u32::from(slide != next_slide), travel])
}

/// Every way to sound some of the notes of a moment, one that begins there among them.
fn ways(moment: &Moment, notes: &[PieceNote], seats: &Seats) -> Vec<Way> {
    let midi = |places: &[usize]| -> Vec<i32> { places.iter().map(|&place| notes[place].midi).collect() };
    let begins = midi(&moment.begins);
    let asked: Vec<i32> = begins.iter().copied().chain(midi(&moment.held)).collect();
    let mut ways = Vec::new();
    for hand in 0..HANDS.len() {
        let holes = seats.holes_of(hand, &asked);
        for lowest in 0..holes.len() {
            let within = holes[lowest..].iter().take_while(|(hole, _)| hole - holes[lowest].0 <= REACH).count();
            // Every choice of the holes above the lowest.
            for others in 0..1_u32 << (within - 1) {
                let above = (1..within).filter(|k| others & (1 << (k - 1)) != 0);
                let holes: Vec<(u32, i32)> = std::iter::once(0).chain(above).map(|k| holes[lowest + k]).collect();
                if can_be_covered(&holes) {
                    ways.push(Way { hand, holes });
                }
            }
        }
    }
    if ways.len() > MOST_WAYS {
        // One that begins must stay playable from anywhere: those without a held note.
        ways.sort_by_key(|way| std::cmp::Reverse(way.holes.len()));
        let alone = ways.iter().rfind(|way| begins.contains(&way.holes[0].1) && way.holes.len() == 1).cloned();
        ways.truncate(MOST_WAYS - 1);
        ways.extend(alone);
    }
    ways
}

/// Whether a mouth can sound these holes and no other: no note twice, at most one stretch between them shut by the tongue.
fn can_be_covered(holes: &[(u32, i32)]) -> bool {
    let gaps = holes.windows(2).filter(|pair| pair[1].0 - pair[0].0 > 1).count();
    let twice = holes.iter().enumerate().any(|(k, hole)| holes[..k].iter().any(|other| other.1 == hole.1));
    gaps <= 1 && !twice
}

#[cfg(test)]
mod tests;
