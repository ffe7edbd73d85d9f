use crate::tone::{BRIGHT, Sound};
#[test]
fn speed() {
    let mut sound = Sound::at_rate(48_000.0, 20.0);
    for k in 0..6 { let f = f64::from(k) * 3.0 + 0.3; sound = sound.blown(261.6 * (1.0 + f64::from(k) / 5.0), f, f + 2.0, &BRIGHT); }
    let wav = sound.noisy(1e-3, 1).wav();
    let start = std::time::Instant::now();
    let heard = freereed::listen::listen(&mut freereed::listen::Recording::of("x", std::io::Cursor::new(wav)).unwrap(), None).unwrap();
    println!("times real time {} {:?} {}", 20.0 / start.elapsed().as_secs_f64(), heard.work, heard.notes.len());
}
