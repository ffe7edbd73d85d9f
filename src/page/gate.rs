//! How much is done at once: what is asked for and overtaken is not done, what is too much is refused.

use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use serde::Deserialize;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// So many requests wait for one kind of work before more are refused.
const MOST_WAITING: usize = 48;
/// Windows of the browser of which the newest request is known.
const MOST_WINDOWS: usize = 32;
/// So long after a slider was moved the background keeps still.
const HANDS_ON: Duration = Duration::from_millis(300);

/// What a request is about: each kind has its own queue, so that what is quick waits for nothing slow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pace {
    /// Some milliseconds: onset, pitch.
    Quick,
    /// Part of a second: a window.
    Steady,
    /// What is asked when the hands rest: how sure, a plan, a sound.
    Resting,
    /// Seconds: the whole set.
    Long,
}

/// Which window of the browser asks, and how many times it has asked before.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Turn {
    /// A number that the window chose for itself.
    pub(super) window: u64,
    /// Counts up with each move.
    pub(super) number: u64,
}

/// Why work is not done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NotDone {
    /// The same window has asked for something newer.
    Overtaken,
    /// Too much is waiting.
    Busy,
}

/// The gate before all that is computed for a request.
#[derive(Debug)]
pub(super) struct Gate {
    rooms: [(Arc<Semaphore>, AtomicUsize); 4],
    newest: Mutex<HashMap<u64, (u64, Instant)>>,
    touched: Mutex<Option<Instant>>,
}

impl Default for Gate {
    fn default() -> Self {
        let room = |at_once: usize| (Arc::new(Semaphore::new(at_once)), AtomicUsize::new(0));
        Self { rooms: [room(2), room(1), room(1), room(1)], newest: Mutex::default(), touched: Mutex::default() }
    }
}

impl Gate {
    /// Waits for a place; `turn` is the request's, where a newer one makes it needless.
    ///
    /// # Errors
    /// It was overtaken, or too much is waiting.
    pub(super) async fn enter(&self, pace: Pace, turn: Option<&Turn>) -> Result<OwnedSemaphorePermit, NotDone> {
        turn.into_iter().for_each(|turn| self.note(turn));
        let (room, waiting) = &self.rooms[pace as usize];
        if waiting.fetch_add(1, Ordering::Relaxed) >= MOST_WAITING {
            waiting.fetch_sub(1, Ordering::Relaxed);
            return Err(if turn.is_some_and(|turn| self.is_overtaken(turn)) {
                NotDone::Overtaken
            } else {
                NotDone::Busy
            });
        }
        let waited = Waited(waiting);
        let permit = room.clone().acquire_owned().await;
        drop(waited);
        match turn {
            Some(turn) if self.is_overtaken(turn) => Err(NotDone::Overtaken),
            _ => permit.map_err(|_| NotDone::Busy),
        }
    }

    /// Whether the same window has asked for something newer.
    pub(super) fn is_overtaken(&self, turn: &Turn) -> bool {
        self.newest
            .lock()
            .expect("no thread fails inside")
            .get(&turn.window)
            .is_some_and(|newest| newest.0 > turn.number)
    }

    /// Whether somebody moves a slider just now.
    pub(super) fn hands_on(&self) -> bool {
        self.touched.lock().expect("no thread fails inside").is_some_and(|at| at.elapsed() < HANDS_ON)
    }

    /// Takes note of what a window asks for now: what it asked for before is overtaken.
    pub(super) fn note(&self, turn: &Turn) {
        let now = Instant::now();
        *self.touched.lock().expect("no thread fails inside") = Some(now);
        let mut newest = self.newest.lock().expect("no thread fails inside");
        let known = newest.entry(turn.window).or_insert((turn.number, now));
        *known = (known.0.max(turn.number), now);
        if newest.len() > MOST_WINDOWS {
            let oldest = newest.iter().min_by_key(|(_, (_, at))| *at).map(|(window, _)| *window);
            oldest.map(|window| newest.remove(&window));
        }
    }
}

/// Counts one less however the waiting ends: a browser that goes away ends it too.
struct Waited<'a>(&'a AtomicUsize);

impl Drop for Waited<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turn(window: u64, number: u64) -> Turn {
        Turn { window, number }
    }

    #[test]
    fn what_is_overtaken_is_not_done() {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        runtime.block_on(async {
            let gate = Gate::default();
            let first = gate.enter(Pace::Steady, Some(&turn(1, 1))).await.unwrap();
            assert!(gate.hands_on() && !gate.is_overtaken(&turn(1, 1)));
            let (second, third) = (turn(1, 2), turn(1, 3));
            let late = gate.enter(Pace::Steady, Some(&second));
            let later = gate.enter(Pace::Steady, Some(&third));
            let ends = async { drop(first) };
            let (late, later, ()) = tokio::join!(late, later, ends);
            assert_eq!(late.unwrap_err(), NotDone::Overtaken);
            assert!(later.is_ok() && !gate.is_overtaken(&turn(2, 1)));
        });
    }

    #[test]
    fn so_many_windows_are_known_and_no_more() {
        let gate = Gate::default();
        (0..1000).for_each(|window| gate.note(&turn(window, 1)));
        assert!(gate.newest.lock().unwrap().len() <= MOST_WINDOWS);
    }
}
