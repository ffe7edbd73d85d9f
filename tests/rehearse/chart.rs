//! A piece as a picture: whole, legible and bounded, whatever the piece.

use freereed::chart::{Breath, RehearsalChart, RehearsalNote, Slide};
use freereed::rehearse::Outcome;
use roxmltree::Document;

fn chart(notes: Vec<RehearsalNote>) -> RehearsalChart {
    RehearsalChart {
        piece: "A <piece>".to_owned(),
        set_name: "a set".to_owned(),
        notes,
        small_print: "Model.".to_owned(),
    }
}

/// Notes of every outcome, one after another.
fn notes(count: usize) -> Vec<RehearsalNote> {
    let one = |k: usize| {
        let outcome = Outcome::ALL[k % Outcome::ALL.len()];
        let on = !matches!(outcome, Outcome::NotTogether | Outcome::NotOnInstrument);
        RehearsalNote {
            start_s: 0.2 * k as f64,
            length_s: 0.15,
            midi_note: 60 + (7 * k % 36) as i32,
            outcome,
            share_gone: 0.1 * (k % 12) as f64,
            on: on.then(|| (format!("{}-blow-out", 1 + k % 12), Breath::Blow, Slide::Out)),
        }
    };
    (0..count).map(one).collect()
}

#[test]
fn every_outcome_has_its_sign_and_every_text_its_place() {
    let svg = chart(notes(96)).picture().to_svg();
    let document = Document::parse(&svg).unwrap();
    let texts: Vec<_> = document.descendants().filter(|node| node.has_tag_name("text")).collect();
    for outcome in Outcome::ALL {
        assert!(texts.iter().any(|text| text.text() == Some(outcome.words())), "{outcome:?} is not in the key");
    }
    let size: Vec<f64> = document
        .root_element()
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|number| number.parse().unwrap())
        .collect();
    for text in &texts {
        let [x, y, letters] = ["x", "y", "font-size"].map(|name| text.attribute(name).unwrap().parse::<f64>().unwrap());
        assert!((0.0..=size[2]).contains(&x) && (letters..=size[3]).contains(&y), "{:?}", text.text());
        // 180 mm wide on paper the smallest letters are of 7 points.
        assert!(letters * 510.2 / size[2] >= 7.0, "{:?}", text.text());
    }
    // Two lines of time, and a sign that is no colour for each outcome that fails.
    assert!(svg.matches("time (s)").count() >= 1 && svg.contains("stroke-dasharray"));
    assert!(svg.contains("A &lt;piece&gt;"));
}

#[test]
fn strange_pieces_are_pictures_too() {
    let strange = |change: fn(&mut RehearsalNote)| {
        let mut all = notes(10);
        all.iter_mut().for_each(change);
        all
    };
    let all = [
        Vec::new(),
        notes(1),
        strange(|note| note.length_s = 1e-9),
        strange(|note| note.length_s = 80_000.0),
        strange(|note| note.start_s = 0.0),
        strange(|note| note.midi_note = if note.midi_note > 70 { 127 } else { 0 }),
        strange(|note| note.share_gone = f64::NAN),
    ];
    for notes in all {
        let svg = chart(notes).picture().to_svg();
        Document::parse(&svg).unwrap();
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    }
}

#[test]
fn a_long_piece_is_drawn_as_far_as_it_is_said() {
    let svg = chart(notes(RehearsalChart::MOST_DRAWN + 500)).picture().to_svg();
    assert!(svg.contains("The last 500 notes are not drawn."));
    assert!(svg.len() < 2_000_000, "{}", svg.len());
}
