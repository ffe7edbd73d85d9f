//! Every chart, for sets large and small, healthy and not, is whole and inside its frame. Each is left in
//! `target/tmp/charts`, to be looked at.

use std::path::Path;

use crate::support::layout::*;
use crate::support::*;
use freereed::chart::{Picture, Playable, Speech, Window};
use roxmltree::Document;

/// Name of every picture.
pub fn pictures() -> Vec<(String, Picture)> {
    let mut pictures = Vec::new();
    for count in [200, 48, 12, 4, 1, 0] {
        pictures.push((format!("pitch-{count}"), demo_pitch(count).picture()));
        pictures.push((format!("window-{count}"), demo_window(count).picture()));
        pictures.push((format!("speaking-{count}"), demo_speaking(count).picture()));
    }
    let all = solo_tuned;
    let mut add = |name: &str, picture: Picture| pictures.push((name.to_owned(), picture));
    add("pitch-unknown", pitch_chart(all(), |_, _| None).picture());
    add("pitch-awful", pitch_chart(all(), |k, _| Some(60.0 * noise(k as i32))).picture());
    add("pitch-far", pitch_chart(all(), |k, _| Some(if k % 19 == 7 { -9e5 } else { 4.0 * noise(k as i32) })).picture());
    add("window-unknown", window_chart(all(), |_, _| Window::Unknown).picture());
    add("window-silent", window_chart(all(), |_, _| Window::Silent).picture());
    let narrow = Some(Playable { lowest_pa: 1e-3, highest_pa: Some(2e7) });
    add(
        "window-extreme",
        window_chart(all(), |k, _| Window::Sounds {
            onset_pa: 1e-6,
            choke_pa: None,
            playable: narrow.filter(|_| k % 5 > 0),
        })
        .picture(),
    );
    add("speaking-unknown", speaking_chart(all(), |_, _| [Speech::Unknown; 3]).picture());
    add("speaking-silent", speaking_chart(all(), |_, _| [Speech::Silent; 3]).picture());
    let extreme = |k: usize, _: &_| {
        [1e-9, 1e-3, if k.is_multiple_of(7) { 1e5 } else { 1e-2 }].map(|t50_s| Speech::Speaks { t50_s })
    };
    add("speaking-extreme", speaking_chart(all(), extreme).picture());
    pictures.extend(one_reed_pictures());
    pictures
}

/// The charts of one reed: computed, and as bare or strange as they may come.
fn one_reed_pictures() -> Vec<(String, Picture)> {
    let mut pictures = Vec::new();
    let mut add = |name: &str, picture: Picture| pictures.push((name.to_owned(), picture));
    for name in REEDS {
        add(&format!("gap-{name}"), gap_chart(name).picture());
        add(&format!("response-{name}"), response_chart(name).picture());
        add(&format!("map-{name}"), computed_map(name).picture());
        add(&format!("pitch-curve-{name}"), pitch_curve(name).picture());
        add(&format!("level-{name}"), level_chart(name).picture());
        add(&format!("change-{name}"), change_chart(name).picture());
    }
    pictures
}

#[test]
fn every_picture_is_whole() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("charts");
    std::fs::create_dir_all(&folder).unwrap();
    let usual = pictures().into_iter().map(|(name, picture)| (name, picture.to_svg()));
    for (name, svg) in usual.chain(strange().into_iter().map(|(name, svg)| (name.to_owned(), svg))) {
        println!("{name}");
        std::fs::write(folder.join(format!("{name}.svg")), &svg).unwrap();
        check(&svg);
        assert_text_is_inside(&Document::parse(&svg).unwrap());
    }
}
