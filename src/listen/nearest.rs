//! Which reed of a set a note may be.

use serde::Serialize;

use crate::sheet::notes::cents;

/// The reeds that a note may be.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "answer")]
pub enum Which {
    /// One reed lies near, and no other nearly as near.
    One {
        /// Its label.
        label: String,
        /// How far the note lies above what it should sound (cents).
        off_cents: f64,
    },
    /// Several lie as near: who recorded it must say.
    Several {
        /// Their labels, the nearest first.
        labels: Vec<String>,
        /// How far the note lies above the nearest (cents).
        off_cents: f64,
    },
    /// None lies within the range.
    None {
        /// The nearest, and how far the note lies above it (cents).
        nearest: Option<(String, f64)>,
    },
}

/// How a note is matched to a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// How far a reed may be out of tune (cents).
    pub within_cents: f64,
    /// Another reed that is further off by no more than this might be meant as well (cents).
    pub apart_cents: f64,
}

impl Default for Range {
    /// Half a semitone, and a fifth of one.
    fn default() -> Self {
        Self { within_cents: 50.0, apart_cents: 20.0 }
    }
}

/// The reeds, label and nominal frequency (Hz), that a note at `hz` may be.
pub fn which(hz: f64, reeds: &[(String, f64)], range: Range) -> Which {
    let mut near: Vec<(&str, f64)> =
        reeds.iter().map(|(label, nominal)| (label.as_str(), cents(hz, *nominal))).collect();
    near.sort_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some(&(label, off_cents)) = near.first() else { return Which::None { nearest: None } };
    if off_cents.is_nan() || off_cents.abs() > range.within_cents {
        return Which::None { nearest: Some((label.to_owned(), off_cents)) };
    }
    let as_near = |&(_, off): &(&str, f64)| off.abs() <= off_cents.abs() + range.apart_cents;
    let labels: Vec<String> = near.into_iter().filter(as_near).map(|(label, _)| label.to_owned()).collect();
    match labels.as_slice() {
        [label] => Which::One { label: label.clone(), off_cents },
        _ => Which::Several { labels, off_cents },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_several_or_none() {
        let reeds: Vec<(String, f64)> =
            [("a", 440.0), ("b", 466.16), ("c", 466.16), ("d", 880.0)].map(|(l, hz)| (l.to_owned(), hz)).into();
        let at = |hz: f64| which(hz, &reeds, Range::default());
        assert!(
            matches!(at(443.0), Which::One { label, off_cents } if label == "a" && (off_cents - 11.76).abs() < 0.01)
        );
        assert!(matches!(at(465.0), Which::Several { labels, .. } if labels == ["b", "c"]));
        // Between two notes: both are as near.
        assert!(matches!(at(452.9), Which::Several { labels, .. } if labels.len() == 3));
        assert!(matches!(at(700.0), Which::None { nearest: Some((label, _)) } if label == "d"));
        assert!(matches!(which(1.0, &[], Range::default()), Which::None { nearest: None }));
    }
}
