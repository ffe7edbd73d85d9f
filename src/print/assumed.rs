//! What a set leans on without having been told.

use crate::sheet::{CheckedReed, Job};

/// What the job and those of its reeds that are used assume, as a line; nothing where nothing is assumed.
pub fn assumptions(job: &Job, reeds: &[&CheckedReed]) -> Option<String> {
    let assumed = assumed(job, reeds);
    (!assumed.is_empty()).then(|| format!("Assumed: {}.", assumed.join("; ")))
}

/// The same one by one: key, value, and of how many reeds where it is not all.
pub fn assumed(job: &Job, reeds: &[&CheckedReed]) -> Vec<String> {
    let count = reeds.len();
    let mut assumed: Vec<String> = job.assumed.iter().map(|a| format!("{} {}", a.key, a.value)).collect();
    assumed.extend(assumed_in_reeds(reeds).into_iter().map(|(what, reeds)| match reeds {
        all if all == count => what,
        1 => format!("{what} (1 reed)"),
        _ => format!("{what} ({reeds} reeds)"),
    }));
    assumed
}

/// What single reeds assume, with the number of reeds that do, in order of first appearance; of a key whose values differ the
/// first and the last.
fn assumed_in_reeds(reeds: &[&CheckedReed]) -> Vec<(String, usize)> {
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
        let what = if first == last { format!("{key} {first}") } else { format!("{key} {first} to {last}") };
        (what, values.len())
    };
    keys.into_iter().map(told).collect()
}
