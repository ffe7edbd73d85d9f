//! Ways through short tunes on twelve holes.

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
    // One that only lasts on a little gives way; C5 is drawn with the slide in, too, as D5 is drawn.
    assert_eq!(play(&[("C5", 0.0, 0.52), ("D5", 0.5, 0.5)]).0, ["4-draw-in", "5-draw-out"]);
}

/// Every sequence of a short tune is tried one by one.
#[test]
fn no_other_way_is_cheaper() {
    let (seats, _) = seats();
    for names in [["F4", "C5", "A#4", "F5", "E4"], ["C5", "D5", "F5", "C6", "B5"], ["F4", "G#4", "F4", "C5", "D#5"]] {
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
                let step = before.map_or(first(way, moment, &notes), |from| step(from, way, moment, &notes).unwrap());
                cost = std::array::from_fn(|part| cost[part] + step[part]);
                before = Some(way);
            }
            cost
        };
        let least: Cost = (0..count).map(cost_of).min().unwrap();
        assert_eq!(cheapest(&moments, &all, &notes).1, least, "{names:?}");
    }
}
