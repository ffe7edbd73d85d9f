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
const MOST_WAYS: usize = 64;

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
        cut.for_each(|&place| lost[place] = true);
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
mod tests {
    use super::*;
    use crate::sheet::{Job, Note, solo_layout};

    /// Twelve holes in C, every reed alike: only its place counts.
    fn seats() -> (Seats, Vec<String>) {
        let rows = solo_layout(12, Note::parse("C4").unwrap()).unwrap();
        let words = |reed: &crate::sheet::ReedPlace| {
            let [breath, slide] = [reed.id().contains("blow"), reed.id().contains("out")];
            let (breath, slide) = (if breath { "blow" } else { "draw" }, if slide { "out" } else { "in" });
            format!("{},{breath},{slide},{},12,2,0.14,0.25\n", reed.hole, reed.note)
        };
        let sheet = format!(
            "hole,breath,slide,note,length_mm,width_mm,thickness_mm,tip_gap_mm\n{}",
            rows.iter().map(words).collect::<String>()
        );
        let job = Job::parse(("job.toml", "sheet = \"sheet.csv\"\n"), ("sheet.csv", &sheet)).unwrap();
        let reeds: Vec<_> = job.reeds.iter().flatten().collect();
        (Seats::of(reeds.iter().copied()), reeds.iter().map(|reed| reed.id.clone()).collect())
    }

    fn play(notes: &[(&str, f64, f64)]) -> (Vec<String>, Effort) {
        let (seats, ids) = seats();
        let note = |(name, start_s, length_s): &(&str, f64, f64)| PieceNote {
            midi: Note::parse(name).unwrap().midi(),
            start_s: *start_s,
            length_s: *length_s,
            velocity: 64,
        };
        let found = route(&notes.iter().map(note).collect::<Vec<_>>(), &seats);
        let named = |fate: &Fate| match fate {
            Fate::Reed(place) => ids[*place].clone(),
            other => format!("{other:?}"),
        };
        (found.fates.iter().map(named).collect(), found.effort)
    }

    fn line(names: &[&'static str]) -> Vec<(&'static str, f64, f64)> {
        names.iter().enumerate().map(|(k, name)| (*name, 0.5 * k as f64, 0.5)).collect()
    }

    #[test]
    fn a_note_that_lies_twice_is_taken_where_the_breath_need_not_change() {
        // F is 2 draw, and 2 blow with the slide in.
        let (reeds, effort) = play(&line(&["D#4", "F4", "A#4"]));
        assert_eq!(reeds, ["1-draw-in", "2-draw-out", "3-draw-in"]);
        assert_eq!((effort.breath_changes, effort.slide_changes), (0, 2));
        let (reeds, effort) = play(&line(&["E4", "F4", "G#4"]));
        assert_eq!(reeds, ["2-blow-out", "2-blow-in", "3-blow-in"]);
        assert_eq!((effort.breath_changes, effort.slide_changes, effort.travel_half_holes), (0, 1, 2));
        // C5 is 4 and 5 blow; the nearer one.
        assert_eq!(play(&line(&["E5", "C5"])).0, ["6-blow-out", "5-blow-out"]);
        assert_eq!(play(&line(&["G4", "C5"])).0, ["3-blow-out", "4-blow-out"]);
    }

    #[test]
    fn chords_share_breath_slide_and_reach() {
        let chord = |names: &[&'static str]| names.iter().map(|name| (*name, 0.0, 1.0)).collect::<Vec<_>>();
        assert_eq!(play(&chord(&["C4", "E4", "G4", "C5"])).0, ["1-blow-out", "2-blow-out", "3-blow-out", "4-blow-out"]);
        assert_eq!(play(&chord(&["C4", "C5"])).0, ["1-blow-out", "4-blow-out"]);
        // C and D need two breaths, C4 and C6 two mouths.
        for pair in [["C4", "D4"], ["C4", "C6"]] {
            let (reeds, _) = play(&chord(&pair));
            assert_eq!(reeds.iter().filter(|reed| *reed == "NotTogether").count(), 1, "{reeds:?}");
        }
        // The tongue shuts one stretch of holes, not two.
        assert_eq!(play(&chord(&["C4", "G4", "E5"])).0.iter().filter(|reed| *reed == "NotTogether").count(), 1);
        assert_eq!(play(&chord(&["C4", "B2"])).0, ["1-blow-out", "NotOnInstrument"]);
    }

    #[test]
    fn a_held_note_stays_on_its_reed() {
        // C5 held under E5 and G5: one reach, one breath.
        let (reeds, effort) = play(&[("C5", 0.0, 2.0), ("E5", 0.5, 0.5), ("G5", 1.0, 1.0)]);
        assert_eq!(reeds, ["5-blow-out", "6-blow-out", "7-blow-out"]);
        assert_eq!(effort.breath_changes, 0);
        // Held under a note of the other breath one of the two is lost.
        let (reeds, _) = play(&[("C5", 0.0, 2.0), ("D5", 0.5, 0.5), ("E5", 1.5, 0.5)]);
        assert_eq!(reeds, ["5-blow-out", "NotTogether", "6-blow-out"]);
        // One that only lasts on a little gives way.
        assert_eq!(play(&[("C5", 0.0, 0.52), ("D5", 0.5, 0.5)]).0, ["5-blow-out", "5-draw-out"]);
    }

    /// Every sequence of a short tune is tried one by one.
    #[test]
    fn no_other_way_is_cheaper() {
        let (seats, _) = seats();
        for names in [["F4", "C5", "A#4", "F5", "E4"], ["C5", "D5", "F5", "C6", "B5"], ["F4", "G#4", "F4", "C5", "D#5"]]
        {
            let notes: Vec<PieceNote> = line(&names)
                .iter()
                .map(|(name, start_s, length_s)| PieceNote {
                    midi: Note::parse(name).unwrap().midi(),
                    start_s: *start_s,
                    length_s: *length_s,
                    velocity: 64,
                })
                .collect();
            let moments = moments(&notes);
            let all: Vec<Vec<Way>> = moments.iter().map(|moment| ways(moment, &notes, &seats)).collect();
            let count: usize = all.iter().map(Vec::len).product();
            let cost_of = |mut number: usize| {
                let mut cost = [0; 4];
                let mut before: Option<&Way> = None;
                for (moment, ways) in moments.iter().zip(&all) {
                    let way = &ways[number % ways.len()];
                    number /= ways.len();
                    let step =
                        before.map_or(first(way, moment, &notes), |from| step(from, way, moment, &notes).unwrap());
                    cost = std::array::from_fn(|part| cost[part] + step[part]);
                    before = Some(way);
                }
                cost
            };
            let least: Cost = (0..count).map(cost_of).min().unwrap();
            assert_eq!(cheapest(&moments, &all, &notes).1, least, "{names:?}");
        }
    }
}
