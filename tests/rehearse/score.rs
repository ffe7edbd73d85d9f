//! Pieces written as standard MIDI files.

use freereed::sheet::Note;
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

/// Ticks for a quarter note.
const TICKS: u16 = 480;

/// A piece in the making: notes at quarter notes from its beginning.
pub struct Score {
    name: &'static str,
    /// From which quarter note on, and how many in a minute.
    tempos: Vec<(f64, f64)>,
    /// From, for so long (quarter notes), which, how hard.
    notes: Vec<(f64, f64, u8, u8)>,
    /// Where the next note goes (quarter notes).
    here: f64,
}

impl Score {
    pub fn new(name: &'static str, bpm: f64) -> Self {
        Self { name, tempos: vec![(0.0, bpm)], notes: Vec::new(), here: 0.0 }
    }

    /// Another tempo from here on.
    pub fn tempo(mut self, bpm: f64) -> Self {
        self.tempos.push((self.here, bpm));
        self
    }

    /// Notes one after another, each for as long, `sounding` of that (a share).
    pub fn line(mut self, names: &str, quarters: f64, sounding: f64, velocity: impl Fn(usize) -> u8) -> Self {
        for (k, name) in names.split_whitespace().enumerate() {
            self.add(name, quarters * sounding, velocity(k));
            self.here += quarters;
        }
        self
    }

    /// Notes at once, such as "C4+E4", one chord after another.
    pub fn chords(mut self, chords: &str, quarters: f64, sounding: f64, velocity: u8) -> Self {
        for chord in chords.split_whitespace() {
            chord.split('+').for_each(|name| self.add(name, quarters * sounding, velocity));
            self.here += quarters;
        }
        self
    }

    pub fn rest(mut self, quarters: f64) -> Self {
        self.here += quarters;
        self
    }

    fn add(&mut self, name: &str, quarters: f64, velocity: u8) {
        let midi = Note::parse(name).unwrap_or_else(|| panic!("{name}")).midi();
        self.notes.push((self.here, quarters, u8::try_from(midi).unwrap(), velocity));
    }

    /// As a file of format 1: a track of tempos and a track of notes.
    pub fn bytes(&self) -> Vec<u8> {
        let tick = |quarters: f64| (quarters * f64::from(TICKS)).round() as u64;
        let meta = |at: u64, message: MetaMessage<'static>| (at, 2, TrackEventKind::Meta(message));
        let mut conductor = vec![meta(0, MetaMessage::TrackName(self.name.as_bytes()))];
        for (at, bpm) in &self.tempos {
            conductor.push(meta(tick(*at), MetaMessage::Tempo(u24::from((60e6 / bpm).round() as u32))));
        }
        let mut played = Vec::new();
        for &(from, quarters, key, velocity) in &self.notes {
            let event = |message| TrackEventKind::Midi { channel: u4::from(0), message };
            let key = u7::from(key);
            played.push((tick(from), 1, event(MidiMessage::NoteOn { key, vel: u7::from(velocity) })));
            played.push((tick(from + quarters), 0, event(MidiMessage::NoteOff { key, vel: u7::from(0) })));
        }
        let header = Header::new(Format::Parallel, Timing::Metrical(u15::from(TICKS)));
        let smf = Smf { header, tracks: [conductor, played].map(track).to_vec() };
        let mut bytes = Vec::new();
        smf.write_std(&mut bytes).unwrap();
        bytes
    }
}

/// Events with their ticks, those of one tick in the order of their ranks, as a track.
fn track(mut events: Vec<(u64, u8, TrackEventKind<'static>)>) -> Vec<TrackEvent<'static>> {
    events.sort_by_key(|(at, rank, _)| (*at, *rank));
    let last = events.last().map_or(0, |event| event.0);
    events.push((last, 3, TrackEventKind::Meta(MetaMessage::EndOfTrack)));
    let mut before = 0;
    let delta = |(at, _, kind)| {
        let delta = u28::from(u32::try_from(at - before).unwrap());
        before = at;
        TrackEvent { delta, kind }
    };
    events.into_iter().map(delta).collect()
}
