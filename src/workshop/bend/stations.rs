//! A shape as few rest stations.

use super::bending::BentPlace;
use crate::physics::RestShape;

/// How near the stations must follow the shape (m): a twentieth of a step of the feelers, and few enough that a file stays
/// legible and the flow past the tongue is summed in few pieces.
const NEAR_M: f64 = 0.5e-6;
/// Most stations given.
const MOST: usize = 40;

/// Places and heights (m) whose smooth curve follows the set shape: the ends, and one more where it is farthest off, until
/// it is near everywhere.
pub(super) fn stations(shape: &[BentPlace], tip_gap_m: f64) -> Vec<(f64, f64)> {
    let last = shape.len() - 1;
    let point = |k: usize| (shape[k].place_m, if k == last { tip_gap_m } else { shape[k].set_height_m });
    let least_m = 1e-3 * shape[last].place_m;
    let mut chosen = vec![0, last];
    while chosen.len() < MOST {
        let curve = RestShape::Stations(chosen.iter().map(|&k| point(k)).collect());
        let clear = |k: usize| chosen.iter().all(|&c| (shape[c].place_m - shape[k].place_m).abs() >= least_m);
        let off = |k: usize| (curve.height_m(shape[k].place_m, shape[last].place_m) - point(k).1).abs();
        let worst = (1..last).filter(|&k| clear(k)).map(|k| (off(k), k)).max_by(|a, b| a.0.total_cmp(&b.0));
        match worst {
            Some((off, k)) if off > NEAR_M => {
                let at = chosen.partition_point(|&c| c < k);
                chosen.insert(at, k);
            }
            _ => break,
        }
    }
    chosen.into_iter().map(point).collect()
}
