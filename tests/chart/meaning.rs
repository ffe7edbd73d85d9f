//! What the charts say, and that they survive whatever they are given.

use crate::support::*;
use freereed::chart::{Playable, ReedLabel, Speech, Window};
use proptest::prelude::*;

#[test]
fn reeds_out_of_tune_are_named_with_their_values() {
    assert_says(
        &demo_pitch(48).picture().to_svg(),
        &[
            "41 of 48 reeds are within ±5 cents",
            "3-draw-out (A4), 31.6 cents flat; pitch of 2 reeds not known",
            "3-draw-out −31.6\n",
            "5-blow-in +14.2\n",
            "4-blow-out −8.1\n",
            "9-draw-in −11.9\n",
            "9-draw-out −9.7\n",
            "beyond the axis",
        ],
    );
}

#[test]
fn a_set_that_is_in_tune_names_nobody() {
    let svg = pitch_chart(solo_tuned(), |_, _| Some(1.0)).picture().to_svg();
    assert_says(&svg, &["48 of 48 reeds are within"]);
    assert!(!words(&svg).contains("-in +") && !words(&svg).contains("beyond"));
}

#[test]
fn reeds_that_do_not_cover_the_band_are_named_with_the_reason() {
    assert_says(
        &demo_window(48).picture().to_svg(),
        &[
            "42 of 48 reeds speak in time from soft to hard playing",
            "2 do not speak softly, 2 give out before hard playing, 1 is too slow at any pressure, 1 never\nsounds",
            "3-draw-out never sounds\n",
            "5-blow-in from 0.49 kPa\n",
            "2-blow-out up to 0.64 kPa\n",
            "9-draw-in too slow at any pressure\n",
            "9-draw-out only 0.6 to 2.2 kPa\n",
            "open upper end: no choke found",
            "limit 20 kPa",
        ],
    );
}

#[test]
fn a_window_that_just_covers_the_band_is_whole() {
    let covering = |_: usize, reed: &ReedLabel| {
        let at_note = player(reed.midi_note);
        let playable = Some(Playable { lowest_pa: at_note.soft_pa, highest_pa: Some(at_note.hard_pa) });
        Window::Sounds { onset_pa: at_note.soft_pa, choke_pa: Some(at_note.hard_pa), playable }
    };
    assert_says(&window_chart(solo_tuned(), covering).picture().to_svg(), &["48 of 48 reeds speak"]);
}

#[test]
fn late_and_silent_reeds_are_named() {
    assert_says(
        &demo_speaking(48).picture().to_svg(),
        &[
            "42 of 48 reeds speak in time at soft, normal and hard pressure",
            "4 are silent at one pressure or more, 1 takes longer than allowed, 1 is not known",
            "3-draw-out does not speak\n",
            "5-blow-in silent soft\n",
            "2-blow-out silent hard\n",
            "9-draw-in 119 ms soft, 72 ms normal\n",
            "time allowed",
            "later than allowed",
        ],
    );
}

#[test]
fn what_has_no_place_on_an_axis_is_not_known() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_says(
            &pitch_chart(solo_tuned(), |_, _| Some(bad)).picture().to_svg(),
            &["No pitch is known for any reed"],
        );
    }
    for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
        let window = Window::Sounds { onset_pa: bad, choke_pa: None, playable: None };
        assert_says(
            &window_chart(solo_tuned(), |_, _| window).picture().to_svg(),
            &["No window is known for any reed"],
        );
        let speech = [Speech::Speaks { t50_s: bad }; 3];
        assert_says(
            &speaking_chart(solo_tuned(), |_, _| speech).picture().to_svg(),
            &["No speaking time is known for any reed"],
        );
    }
}

#[test]
fn an_empty_set_says_so() {
    for svg in
        [demo_pitch(0).picture().to_svg(), demo_window(0).picture().to_svg(), demo_speaking(0).picture().to_svg()]
    {
        assert_says(&svg, &["No reeds to show", "There are no reeds in this set."]);
    }
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), -50.0..50.0f64, 1e-3..1e4f64]
}

fn any_window() -> impl Strategy<Value = Window> {
    let end = || proptest::option::of(any_number());
    prop_oneof![
        Just(Window::Unknown),
        Just(Window::Silent),
        (any_number(), end(), proptest::option::of((any_number(), end()))).prop_map(
            |(onset_pa, choke_pa, playable)| {
                let playable = playable.map(|(lowest_pa, highest_pa)| Playable { lowest_pa, highest_pa });
                Window::Sounds { onset_pa, choke_pa, playable }
            }
        ),
    ]
}

fn any_speech() -> impl Strategy<Value = Speech> {
    prop_oneof![Just(Speech::Unknown), Just(Speech::Silent), any_number().prop_map(|t50_s| Speech::Speaks { t50_s })]
}

fn any_reeds() -> impl Strategy<Value = Vec<ReedLabel>> {
    let reed = (0..48usize, any::<String>(), any::<String>(), prop_oneof![any::<i32>(), 40..90i32]);
    proptest::collection::vec(reed, 0..120).prop_map(|reeds| {
        let all = solo_tuned();
        reeds.into_iter().map(|(k, id, note, midi_note)| ReedLabel { id, note, midi_note, ..all[k].clone() }).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_values_make_a_document(
        reeds in any_reeds(),
        numbers in proptest::collection::vec(any_number(), 1..20),
        windows in proptest::collection::vec(any_window(), 1..20),
        answers in proptest::collection::vec([any_speech(), any_speech(), any_speech()], 1..20),
        small_print in any::<String>(),
    ) {
        let any = |k: usize| numbers[k % numbers.len()];
        let mut pitch = pitch_chart(reeds.clone(), |k, _| Some(any(k)));
        pitch.tolerance_cents = Some(any(3));
        pitch.small_print = small_print;
        let mut window = window_chart(reeds.clone(), |k, _| windows[k % windows.len()]);
        window.pressure_limit_pa = any(5);
        window.reeds.iter_mut().enumerate().for_each(|(k, reed)| reed.player.soft_pa = any(k));
        let mut speaking = speaking_chart(reeds, |k, _| answers[k % answers.len()]);
        speaking.reeds.iter_mut().enumerate().for_each(|(k, reed)| reed.allowed_s = Some(any(k)));
        check(&pitch.picture().to_svg());
        check(&window.picture().to_svg());
        check(&speaking.picture().to_svg());
    }
}
