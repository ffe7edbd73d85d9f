//! The last test is by playing: a piece of music on this set by this player.
//!
//! ```text
//! MIDI file -> notes in seconds -> a way through the holes -> each reed at each blow, solved once -> what becomes of each note
//! ```
//!
//! | question | where |
//! |---|---|
//! | What is to be played, when, how hard? | [`read`], [`Piece`] |
//! | At which tempo, how high? | [`Otherwise`] |
//! | On which reeds, with how few changes of breath and slide? | [`Effort`] |
//! | How hard is that blown? | [`pressure_pa`] |
//! | Does each note speak, in time, as loud as the reeds about it? | [`PlayedNote`], [`Outcome`] |
//! | Do two notes balance and beat as meant? | [`Double`] |
//! | Of which reeds does the piece ask too much, by how much? | [`Excess`] |
//! | Which gap, which work, which tempo would serve? | [`Serve`] |
//! | How does the model's passage sound? | [`sound`] |
//!
//! Every note is blown with the player's own rise of pressure and evenly to its end; a swell and a bend are left out. A reed begins
//! from rest, or from what it still swings of its last note.

mod answers;
mod clock;
mod doubles;
mod excess;
mod midi;
mod otherwise;
mod piece;
mod played;
mod ringing;
mod route;
mod seats;
mod serve;
pub mod sound;
mod touch;
mod trial;
mod voice;

pub use doubles::{Double, Tuned};
pub use excess::{Excess, PressureOff};
pub use midi::{NotReadable, read};
pub use otherwise::{NotSo, Otherwise};
pub use piece::{Piece, PieceNote, notes};
pub use played::{OnReed, Outcome, PlayedNote};
pub use route::Effort;
pub use serve::{Best, PieceGap, PieceWork, Serve};
pub use touch::{ENDS, NORMAL, pressure_pa};
pub use trial::Left;
pub use voice::TOGETHER_S;

use rayon::prelude::*;

use crate::instrument::{Assessment, ReedAssessment};
use crate::sheet::{Job, Wind};
use answers::{Answers, Blown};
use route::{Fate, route};
use seats::Seats;

/// A piece, rehearsed.
#[derive(Debug, Clone)]
pub struct Rehearsal {
    /// Quarter notes a minute at its beginning, as it is played; nothing where its time is that of a film.
    pub bpm: Option<f64>,
    /// Every note of the piece, by its beginning.
    pub notes: Vec<PlayedNote>,
    /// What the hands do.
    pub effort: Effort,
    /// Every two reeds that sound together.
    pub doubles: Vec<Double>,
    /// The reeds of which the piece asks too much, those with most failing notes first.
    pub too_much: Vec<Excess>,
    /// What was left out or read otherwise: sentences without their points.
    pub remarks: Vec<String>,
}

/// Why a piece cannot be rehearsed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotRehearse {
    /// Its reeds are not played through holes.
    #[error(
        "the instrument is blown by bellows, and a piece is laid out for a mouth on holes; wind = \"mouth\" in the job"
    )]
    Bellows,
    /// No reed is known.
    #[error("no reed of the set could be assessed; measure some first")]
    NoReeds,
}

impl Rehearsal {
    /// When the last note ends (s).
    pub fn duration_s(&self) -> f64 {
        self.notes.iter().map(|note| note.note.end_s()).fold(0.0, f64::max)
    }

    /// How many notes come out so.
    pub fn count(&self, outcome: Outcome) -> usize {
        self.notes.iter().filter(|note| note.outcome == outcome).count()
    }
}

/// Plays a piece on a job that was assessed, on all cores; `begin` is told how many blows are to be solved, then how many steps
/// it takes to find what would serve, and `done` is called after each.
///
/// # Errors
/// [`CannotRehearse`].
pub fn rehearse(
    job: &Job,
    assessment: &Assessment,
    piece: &Piece,
    begin: impl Fn(usize),
    done: impl Fn() + Sync,
) -> Result<Rehearsal, CannotRehearse> {
    if job.instrument.wind == Wind::Bellows {
        return Err(CannotRehearse::Bellows);
    }
    if assessment.good_rows().next().is_none() {
        return Err(CannotRehearse::NoReeds);
    }
    let once = voice::sounded_once(piece);
    let route = route(&once.notes, &Seats::of(assessment.good_rows().map(|reed| &reed.reed)));
    let blown = once.notes.iter().zip(&route.fates).filter_map(|(note, fate)| match fate {
        Fate::Reed(place) => Some((*place, note.velocity)),
        _ => None,
    });
    let answers = Answers::of(assessment, blown.collect::<Vec<Blown>>(), &begin, &done);
    let notes = played::played(&once.notes, &route.fates, &answers);
    let doubles = doubles::doubles(&once.notes, &route.fates, &answers);
    let too_much = too_much(job, assessment, &answers, &notes, (&begin, &done));
    let mut remarks = once.remarks;
    let missing = assessment.reeds.iter().filter(|row| row.is_err()).count();
    if missing > 0 {
        remarks.push(format!(
            "{missing} reeds of the sheet are wrong or not measured; their notes count as not on this instrument"
        ));
    }
    Ok(Rehearsal { bpm: piece.bpm, notes, effort: route.effort, doubles, too_much, remarks })
}

/// The reeds that fail notes, with what would serve.
fn too_much(
    job: &Job,
    assessment: &Assessment,
    answers: &Answers<'_>,
    played: &[PlayedNote],
    steps: (&impl Fn(usize), &(impl Fn() + Sync)),
) -> Vec<Excess> {
    let notes = excess::by_reed(played);
    let of_reed = |reed: &&ReedAssessment| {
        let notes = notes.get(reed.reed.id.as_str())?;
        excess::excess(reed, notes)
    };
    let mut found: Vec<Excess> = answers.reeds.par_iter().filter_map(of_reed).collect();
    if found.is_empty() {
        return found;
    }
    serve::serve(job, assessment, answers, played, &mut found, steps);
    found.sort_by_key(|excess| std::cmp::Reverse(excess.failing()));
    found
}
