//! What was computed before, to be told again instead of computed again.
//!
//! A value is kept under a key made of everything it follows from, written out to the last bit, so that what is recalled is
//! what would be computed, and a changed input computes anew. Nothing is lost with it: without a memory everything is
//! computed.

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::hash::{DefaultHasher, Hasher};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// After so many runs that did not ask for it, a value is forgotten.
const RUNS: u8 = 8;

/// A memory, or none. Copies share it.
#[derive(Debug, Clone, Default)]
pub struct Memory(Option<Arc<Mutex<Kept>>>);

#[derive(Debug, Default)]
struct Kept {
    text: Text,
    recalled: usize,
    computed: usize,
}

/// As it is written.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Text {
    /// What made the values: another program, or another version of it, might make others.
    made_by: String,
    values: BTreeMap<String, Value>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Value {
    /// Runs since it was last asked for.
    unused: u8,
    json: String,
}

impl Memory {
    /// The memory in a text that [`Memory::to_text`] wrote for the same maker; an empty one where the text is another's, or
    /// damaged.
    pub fn from_text(made_by: &str, text: &str) -> Self {
        let known = serde_json::from_str(text).ok().filter(|text: &Text| text.made_by == made_by);
        let mut text = known.unwrap_or_else(|| Text { made_by: made_by.to_owned(), values: BTreeMap::new() });
        text.values.values_mut().for_each(|value| value.unused = value.unused.saturating_add(1));
        Self(Some(Arc::new(Mutex::new(Kept { text, recalled: 0, computed: 0 }))))
    }

    /// What is worth keeping, as text; nothing where nothing was computed that was not known.
    pub fn to_text(&self) -> Option<String> {
        let mut kept = self.kept()?;
        kept.text.values.retain(|_, value| value.unused <= RUNS);
        if kept.computed == 0 { None } else { serde_json::to_string(&kept.text).ok() }
    }

    /// How many values were recalled, and how many computed.
    pub fn counts(&self) -> (usize, usize) {
        self.kept().map_or((0, 0), |kept| (kept.recalled, kept.computed))
    }

    /// The value that follows from `inputs`, which must be all that it depends on; computed where it is not known. A value
    /// that does not survive being written (an infinite number) is computed each time.
    pub(crate) fn recall<T: Serialize + DeserializeOwned>(
        &self,
        what: &str,
        inputs: &dyn Debug,
        compute: impl FnOnce() -> T,
    ) -> T {
        if self.0.is_none() {
            return compute();
        }
        let key = key(what, inputs);
        if let Some(value) = self.known(&key).and_then(|json| serde_json::from_str(&json).ok()) {
            return value;
        }
        let value = compute();
        if let (Some(mut kept), Ok(json)) = (self.kept(), serde_json::to_string(&value)) {
            kept.computed += 1;
            kept.text.values.insert(key, Value { unused: 0, json });
        }
        value
    }

    fn known(&self, key: &str) -> Option<String> {
        let mut kept = self.kept()?;
        let value = kept.text.values.get_mut(key)?;
        value.unused = 0;
        let json = value.json.clone();
        kept.recalled += 1;
        Some(json)
    }

    fn kept(&self) -> Option<MutexGuard<'_, Kept>> {
        // What a panicking thread left is whole: a value is put in at once.
        self.0.as_ref().map(|kept| kept.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// 128 bits of everything a value follows from.
fn key(what: &str, inputs: &dyn Debug) -> String {
    let text = format!("{inputs:?}");
    let half = |seed: u8| {
        let mut hasher = DefaultHasher::new();
        hasher.write_u8(seed);
        hasher.write(text.as_bytes());
        hasher.finish()
    };
    format!("{what}-{:016x}{:016x}", half(0), half(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_recalled_to_the_last_bit_and_forgotten_when_nobody_asks() {
        let value = (0.1_f64 + 0.2, f64::MIN_POSITIVE, Some(1.0 / 3.0));
        let mut memory = Memory::from_text("me", "no JSON");
        assert_eq!(memory.recall("sum", &(0.1, 0.2), || value), value);
        for _ in 0..=RUNS {
            let text = memory.to_text().unwrap();
            memory = Memory::from_text("me", &text);
            let other = memory.recall("other", &0.3, || 1.0);
            assert_eq!(other, 1.0);
            // So that there is something to write.
            memory.recall("new", &memory.counts(), || 2.0);
            memory.recall("new", &text.len(), || 2.0);
        }
        let asked: (f64, f64, Option<f64>) = memory.recall("sum", &(0.1, 0.2), || (0.0, 0.0, None));
        assert_eq!(asked, value, "asked for in time");
        let text = memory.to_text().unwrap();
        assert_eq!(Memory::from_text("another", &text).recall("sum", &(0.1, 0.2), || 7.0), 7.0);
        assert_eq!(Memory::default().recall("sum", &(0.1, 0.2), || 8.0), 8.0);
        // Another input is another value; one that cannot be written is computed each time.
        assert_eq!(memory.recall("sum", &(0.1, 0.3), || 9.0), 9.0);
        for _ in 0..2 {
            assert_eq!(memory.recall("endless", &1.0, || f64::INFINITY), f64::INFINITY);
        }
        let mut unused = Memory::from_text("me", &text);
        for k in 0..=RUNS {
            unused.recall("new", &(k, "again"), || 2.0);
            unused = Memory::from_text("me", &unused.to_text().unwrap());
        }
        assert_eq!(unused.recall("sum", &(0.1, 0.2), || (5.0, 5.0, None::<f64>)), (5.0, 5.0, None), "forgotten");
    }
}
