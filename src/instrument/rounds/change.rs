//! What a round changed.

use crate::sheet::{Entry, JobReed, Key, RoundRow, Value};

/// An input that a round gives anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Changed {
    /// Which.
    pub key: &'static Key,
    /// As it was, in the key's unit; nothing where it was not known.
    pub before: Option<Value>,
    /// As it is.
    pub after: Value,
}

/// Whether a key tells what a reed does, not what it is.
pub(super) fn is_outcome(key: &Key) -> bool {
    key.name.starts_with("measured_") || ["ring_down_s", "quality_factor", "softest_blow_pa"].contains(&key.name)
}

/// The inputs that differ from what was known before, in the order typed.
pub(super) fn changed(row: &RoundRow, before: Option<&JobReed>) -> Vec<Changed> {
    let change = |entry: &Entry| {
        let before =
            before.and_then(|reed| reed.checked.spec.typed(&entry.key.full_name())).map(|(value, _)| value.clone());
        let differs = before.as_ref() != Some(&entry.value);
        differs.then(|| Changed { key: entry.key, before, after: entry.value.clone() })
    };
    row.layer.entries().iter().filter(|entry| !is_outcome(entry.key)).filter_map(change).collect()
}
