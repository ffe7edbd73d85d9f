//! Which reeds of a set will fail first.

use rayon::prelude::*;

use super::{Life, LifeRefusal, Playing, Strength, SwingFrom, measured, of_reed};
use crate::sheet::{Job, JobReed};

/// A reed of a set and its life.
#[derive(Debug, Clone)]
pub struct Ranked<'a> {
    /// The reed.
    pub reed: &'a JobReed,
    /// How long it lasts, or why that cannot be told.
    pub life: Result<Life, LifeRefusal>,
}

/// Every good row of a job, the one with the least safety factor first, those of which nothing can be told last. `playing`
/// says how long and with what finish; how hard and how suddenly is the player's, note by note, unless `pressure_pa` says it
/// for all. Where the swing was measured on some reeds, the others are taken to swing as the middle one of these does,
/// compared with the model. `done` is called after each reed.
pub fn rank<'a>(
    job: &'a Job,
    playing: &Playing,
    pressure_pa: Option<f64>,
    done: &(dyn Fn() + Sync),
) -> Vec<Ranked<'a>> {
    let reeds: Vec<&JobReed> = job.reeds.iter().flatten().collect();
    let scales: Vec<_> = reeds.par_iter().map(|reed| measured(&reed.checked)).collect();
    let of_others = middle(scales.iter().flatten().copied().flatten()).map_or(SwingFrom::Model, SwingFrom::OtherReeds);
    let one = |(reed, scale): (&'a JobReed, Result<Option<f64>, LifeRefusal>)| {
        let playing = Playing {
            pressure_pa: pressure_pa.unwrap_or_else(|| job.player.hard_pa.at(reed.note)),
            rise_s: job.player.attack_rise_s,
            ..*playing
        };
        let life = scale.and_then(|scale| {
            let strength = Strength::of(&reed.checked.metal)?;
            of_reed(&reed.checked.reed, &playing, strength, scale.map_or(of_others, SwingFrom::Measured))
        });
        done();
        Ranked { reed, life }
    };
    let mut ranked: Vec<Ranked<'a>> = reeds.into_par_iter().zip(scales).map(one).collect();
    let factor = |ranked: &Ranked<'_>| ranked.life.as_ref().map_or(f64::INFINITY, |life| life.factor.low);
    // Stable: equal ones stay in the order of the sheet.
    ranked.sort_by(|a, b| factor(a).total_cmp(&factor(b)));
    ranked
}

fn middle(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied()
}
