//! What a set leans on without having been told.

use crate::sheet::{CheckedReed, Job};

/// What the job and those of its reeds that are used assume, as a line; nothing where nothing is assumed.
pub fn assumptions(job: &Job, reeds: &[&CheckedReed]) -> Option<String> {
    let assumed = assumed(job, reeds);
    let lines: Vec<String> = assumed.iter().map(AssumedOfSet::line).collect();
    (!assumed.is_empty()).then(|| format!("Assumed: {}.", lines.join("; ")))
}

/// One input that was not given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AssumedOfSet {
    /// Its key.
    pub key: String,
    /// Its value with the unit, and of how many reeds where it is not all.
    pub value: String,
}

impl AssumedOfSet {
    fn line(&self) -> String {
        format!("{} {}", self.key, self.value)
    }
}

/// The same one by one.
pub fn assumed(job: &Job, reeds: &[&CheckedReed]) -> Vec<AssumedOfSet> {
    let count = reeds.len();
    let of_job = job.assumed.iter().map(|it| AssumedOfSet { key: it.key.clone(), value: it.value.clone() });
    let of_reeds = assumed_in_reeds(reeds).into_iter().map(|(key, what, reeds)| {
        let value = match reeds {
            all if all == count => what,
            1 => format!("{what} (1 reed)"),
            _ => format!("{what} ({reeds} reeds)"),
        };
        AssumedOfSet { key, value }
    });
    of_job.chain(of_reeds).collect()
}

/// What single reeds assume, with the number of reeds that do, in order of first appearance; of a key whose values differ the
/// first and the last.
fn assumed_in_reeds(reeds: &[&CheckedReed]) -> Vec<(String, String, usize)> {
    let mut keys: Vec<(&str, Vec<&str>)> = Vec::new();
    let not_of_one = |key: &str| key != "thickness_mm";
    for reed in reeds {
        for assumed in reed.assumed.iter().filter(|a| not_of_one(&a.key)) {
            match keys.iter_mut().find(|(known, _)| *known == assumed.key) {
                Some((_, values)) => values.push(&assumed.value),
                None => keys.push((&assumed.key, vec![&assumed.value])),
            }
        }
    }
    let told = |(key, values): (&str, Vec<&str>)| {
        let (first, last) = (values[0], values[values.len() - 1]);
        let what = if first == last { first.to_owned() } else { format!("{first} to {last}") };
        (key.to_owned(), what, values.len())
    };
    keys.into_iter().map(told).collect()
}
