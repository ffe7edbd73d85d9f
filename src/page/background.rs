//! What takes long: it leaves a core to what is asked by hand, and ends when nobody waits for it any more.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

use super::bench::Bench;
use super::gate::{NotDone, Turn};

/// Computes in the background. `compute` calls what it is given as often as it comes to a place where it may end, and is left
/// from there, by unwinding, once its turn is overtaken or the program ends.
///
/// # Errors
/// It was left.
pub(super) fn unless_overtaken<T: Send>(
    bench: &Bench,
    turn: Option<&Turn>,
    compute: impl FnOnce(&(dyn Fn() + Sync)) -> T + Send,
) -> Result<T, NotDone> {
    let go_on = || {
        if bench.is_closing() || turn.is_some_and(|turn| bench.gate.is_overtaken(turn)) {
            resume_unwind(Box::new(NotDone::Overtaken));
        }
    };
    let computed = catch_unwind(AssertUnwindSafe(|| bench.background.install(|| compute(&go_on))));
    computed.map_err(|left| *left.downcast::<NotDone>().unwrap_or_else(|failed| resume_unwind(failed)))
}
