//! What all requests share: what is open, what is computed, who waits for news of it.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::watch;

use super::address::Address;
use super::attempt::Remembered;
use super::ear::Ear;
use super::gate::Gate;
use super::opened::Opened;
use super::rehearsal::Rehearsed;
use super::set::Plans;
use crate::sheet::Date;

/// How often the folder is looked at for what another program changed.
const LOOK_EVERY: Duration = Duration::from_secs(1);
/// A solver with nothing to do looks up as often.
pub(super) const REST: Duration = Duration::from_millis(500);

/// The bench.
#[derive(Debug)]
pub(super) struct Bench {
    opened: Mutex<Opened>,
    wake: Condvar,
    news: watch::Sender<u64>,
    closing: watch::Sender<bool>,
    pub(super) today: fn() -> Date,
    pub(super) gate: Gate,
    pub(super) plans: Mutex<Plans>,
    pub(super) remembered: [Mutex<Option<Arc<Remembered>>>; 4],
    /// The piece that was rehearsed last.
    pub(super) rehearsed: Mutex<Option<Arc<Rehearsed>>>,
    /// The window that listens.
    pub(super) ear: Mutex<Option<Ear>>,
    /// What is computed for long leaves a core to what is asked by hand.
    pub(super) background: rayon::ThreadPool,
    last: AtomicU64,
    /// The address, and where it is kept.
    kept: Option<(PathBuf, Address)>,
}

impl Bench {
    pub(super) fn new(opened: Opened, today: fn() -> Date, kept: Option<(PathBuf, Address)>) -> Self {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let background = rayon::ThreadPoolBuilder::new().num_threads(cores.saturating_sub(1).max(1)).build();
        Self {
            opened: Mutex::new(opened),
            wake: Condvar::new(),
            news: watch::Sender::new(1),
            closing: watch::Sender::new(false),
            today,
            gate: Gate::default(),
            plans: Mutex::default(),
            remembered: Default::default(),
            rehearsed: Mutex::default(),
            ear: Mutex::default(),
            background: background.expect("the system gives a thread"),
            last: AtomicU64::new(1),
            kept,
        }
    }

    fn lock(&self) -> MutexGuard<'_, Opened> {
        // What is open is changed as a whole, or not at all: a thread that failed left it as it was.
        self.opened.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps the address for what is open now: a page left open finds the program again. Only a convenience, so that a failure
    /// is none.
    pub(super) fn keep_address(&self) {
        if let Some((folder, address)) = &self.kept {
            let _ = address.keep(folder, &self.look(Opened::name));
        }
    }

    /// Looks at what is open.
    pub(super) fn look<T>(&self, look: impl FnOnce(&Opened) -> T) -> T {
        look(&self.lock())
    }

    /// Changes what is open, and tells those who wait.
    pub(super) fn change<T>(&self, change: impl FnOnce(&mut Opened) -> T) -> T {
        let changed = change(&mut self.lock());
        self.tell();
        changed
    }

    /// Tells those who wait that there is something new to show, and the solver that there may be work.
    pub(super) fn tell(&self) {
        self.news.send_replace(self.last.fetch_add(1, Ordering::Relaxed) + 1);
        self.wake.notify_all();
    }

    /// Looks for the solver, who waits a little where nothing is found.
    pub(super) fn look_or_wait<T>(&self, look: impl Fn(&Opened) -> Option<T>) -> Option<T> {
        let opened = self.lock();
        let found = look(&opened);
        if found.is_none() {
            drop(self.wake.wait_timeout(opened, REST).unwrap_or_else(PoisonError::into_inner));
        }
        found
    }

    /// The number of the newest news.
    pub(super) fn newest(&self) -> u64 {
        *self.news.borrow()
    }

    /// Waits for news beyond what was seen, for so long at most.
    pub(super) async fn news(&self, seen: u64, at_most: Duration) {
        let (mut news, mut closing) = (self.news.subscribe(), self.closing());
        tokio::select! {
            _ = news.wait_for(|&newest| newest != seen) => {}
            _ = closing.wait_for(|closing| *closing) => {}
            () = tokio::time::sleep(at_most) => {}
        }
    }

    /// Ends all waiting.
    pub(super) fn close(&self) {
        self.closing.send_replace(true);
        self.wake.notify_all();
    }

    /// Whether the program ends.
    pub(super) fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }

    /// Whether the program ends, just now.
    pub(super) fn is_closing(&self) -> bool {
        *self.closing.borrow()
    }

    /// Reads a job again that another program may have changed.
    pub(super) fn reload(&self) {
        let changed = self.lock().job_mut().is_some_and(|open| open.reload());
        if changed {
            self.tell();
        }
    }
}

/// Looks at the folder as long as the program runs.
pub(super) async fn watch_folder(bench: Arc<Bench>) {
    loop {
        tokio::time::sleep(LOOK_EVERY).await;
        let bench = bench.clone();
        let _ = tokio::task::spawn_blocking(move || bench.reload()).await;
    }
}
