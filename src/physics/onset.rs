//! Onset and choke: where small motion grows.
//!
//! The growth rate of the reed's first mode is followed in the mouth pressure `P`, from 1 Pa in steps of 1 %, so that no
//! window of 2 % is missed; the mode keeps its identity by the overlap of its eigenvectors.
//!
//! - **Onset** is the lowest `P` at which the growth rate turns positive.
//! - **Choke** is, with `s_max` the largest growth rate between onset and the limit, the lowest `P` beyond that maximum at
//!   which it falls under 5 % of `s_max`: above it a slow attack does not start the reed. At a fold of the static rest the
//!   reed snaps to another rest, and the window ends there.

use super::equilibrium::Equilibrium;
use super::linear::Eigenmode;
use super::model::ReedModel;

/// Where to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Lowest mouth pressure (Pa).
    pub lowest_pa: f64,
    /// Highest mouth pressure (Pa).
    pub limit_pa: f64,
    /// Ratio of one pressure to the one before.
    pub ratio: f64,
}

impl Default for Search {
    fn default() -> Self {
        Self { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.01 }
    }
}

/// Choke: growth under this share of its largest.
const CHOKE_SHARE: f64 = 0.05;
/// Relative accuracy of onset and choke.
const ACCURACY: f64 = 1e-7;
/// An overlap that leaves no doubt which mode is which.
const CLEAR_OVERLAP: f64 = 0.9;

/// Growth of the first mode at one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// Growth rate (1/s), negative where small motion dies.
    pub growth_per_s: f64,
    /// Frequency of small motion (Hz).
    pub frequency_hz: f64,
}

/// Where the reed can no longer be started softly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Choke {
    /// Not below the limit of the search.
    NoneBelowLimit,
    /// The growth rate has fallen under 5 % of its largest (Pa).
    Fades(f64),
    /// The static rest folds and the reed snaps (Pa).
    Snaps(f64),
}

impl Choke {
    /// The pressure, where there is one (Pa).
    pub fn pressure_pa(&self) -> Option<f64> {
        match *self {
            Self::NoneBelowLimit => None,
            Self::Fades(pressure) | Self::Snaps(pressure) => Some(pressure),
        }
    }
}

/// A stretch of pressure in which small motion grows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// It begins to grow (Pa).
    pub from_pa: f64,
    /// It stops growing (Pa); nothing where it still grows at the limit.
    pub to_pa: Option<f64>,
}

/// Another mode than the first that grows: a squeal. Its ends are known to a step of the search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Squeal {
    /// Lowest pressure at which it was seen to grow (Pa).
    pub from_pa: f64,
    /// Highest pressure at which it was seen to grow (Pa).
    pub to_pa: f64,
    /// Frequency where it grows fastest (Hz).
    pub frequency_hz: f64,
    /// Its fastest growth (1/s).
    pub growth_per_s: f64,
}

/// All that the small motion tells about one reed.
#[derive(Debug, Clone, PartialEq)]
pub struct Speaking {
    /// Growth at onset (zero), with pressure and frequency; nothing where the reed never speaks.
    pub onset: Option<Growth>,
    /// The end of the window.
    pub choke: Choke,
    /// Fastest growth between onset and the limit.
    pub fastest: Option<Growth>,
    /// Every stretch of growth, lowest first.
    pub windows: Vec<Window>,
    /// Other modes that grow.
    pub squeals: Vec<Squeal>,
    /// Where the static rest folds (Pa), if it does below the limit.
    pub fold_pa: Option<f64>,
    /// Growth at every pressure searched, lowest first.
    pub curve: Vec<Growth>,
    /// Highest pressure searched (Pa).
    pub limit_pa: f64,
    /// Solutions of the static rest with its eigenvalues.
    pub evaluations: usize,
}

impl Speaking {
    /// Growth rate at a pressure (1/s), read off the searched curve; beyond its ends that of the nearest end.
    pub fn growth_near(&self, pressure_pa: f64) -> f64 {
        let right = self.curve.partition_point(|point| point.pressure_pa < pressure_pa);
        match (right.checked_sub(1).and_then(|k| self.curve.get(k)), self.curve.get(right)) {
            (Some(a), Some(b)) => {
                let x = (pressure_pa - a.pressure_pa) / (b.pressure_pa - a.pressure_pa);
                a.growth_per_s + x * (b.growth_per_s - a.growth_per_s)
            }
            (Some(end), None) | (None, Some(end)) => end.growth_per_s,
            (None, None) => f64::NEG_INFINITY,
        }
    }
}

/// The static rest and the first mode there.
#[derive(Debug, Clone, Copy)]
struct Point {
    rest: Equilibrium,
    mode: Eigenmode,
}

impl Point {
    fn pressure(&self) -> f64 {
        self.rest.mouth_pa
    }

    fn growth(&self) -> Growth {
        Growth {
            pressure_pa: self.rest.mouth_pa,
            growth_per_s: self.mode.growth_per_s,
            frequency_hz: self.mode.frequency_hz,
        }
    }
}

/// Follows static rest and first mode in pressure, counting its work.
struct Follower<'a> {
    model: &'a ReedModel,
    evaluations: usize,
}

impl ReedModel {
    /// Onset, choke and all windows of growth.
    pub fn speaking(&self, search: &Search) -> Speaking {
        let mut follower = Follower { model: self, evaluations: 0 };
        let (points, squeals, fold_pa) = follower.scan(search);
        let points = follower.with_peaks(points);
        let windows = follower.windows(&points, fold_pa);
        let onset = windows.first().map(|&(start, _)| start.growth());
        let from = onset.map_or(f64::INFINITY, |growth| growth.pressure_pa);
        let curve = points.iter().map(Point::growth).collect();
        let beyond: Vec<Point> = points.into_iter().filter(|point| point.pressure() >= from).collect();
        let peak = (0..beyond.len()).max_by(|&a, &b| rate(&beyond[a]).total_cmp(&rate(&beyond[b])));
        Speaking {
            onset,
            choke: peak.map_or(Choke::NoneBelowLimit, |peak| follower.choke(&beyond[peak..], fold_pa)),
            fastest: peak.map(|peak| beyond[peak].growth()),
            windows: windows.iter().map(|&(start, to_pa)| Window { from_pa: start.pressure(), to_pa }).collect(),
            squeals,
            fold_pa,
            curve,
            limit_pa: search.limit_pa,
            evaluations: follower.evaluations,
        }
    }

    /// Growth of the first mode at each of `pressures_pa`, in any order; nothing beyond a fold of the static rest, and
    /// nothing for what is not a pressure above zero.
    pub fn growth(&self, pressures_pa: &[f64]) -> Vec<Option<Growth>> {
        let mut follower = Follower { model: self, evaluations: 0 };
        let mut order: Vec<usize> = (0..pressures_pa.len()).filter(|&index| pressures_pa[index] > 0.0).collect();
        order.sort_by(|&a, &b| pressures_pa[a].total_cmp(&pressures_pa[b]));
        let mut growth = vec![None; pressures_pa.len()];
        let start = order.first().map_or(f64::INFINITY, |&index| pressures_pa[index]).min(Search::default().lowest_pa);
        let mut here = follower.start(start);
        for index in order {
            here = here.and_then(|point| follower.travel(point, pressures_pa[index]));
            growth[index] = here.map(|point| point.growth());
        }
        growth
    }

    /// The static rest at `mouth_pa`, followed from no pressure; nothing beyond a fold.
    pub fn static_rest(&self, mouth_pa: f64) -> Option<Equilibrium> {
        if mouth_pa == 0.0 {
            return Some(Equilibrium::default());
        }
        let mut follower = Follower { model: self, evaluations: 0 };
        let start = follower.start(mouth_pa.min(Search::default().lowest_pa))?;
        follower.travel(start, mouth_pa).map(|point| point.rest)
    }

    /// Mouth pressure at rest under a pressure in the lungs (Pa): the same without a player, else less by what the flow
    /// takes, `P - R_l U_c`.
    pub fn mouth_pa(&self, lungs_pa: f64) -> f64 {
        let Some(player) = &self.mouth else { return lungs_pa };
        let (mut low, mut high) = (0.0, lungs_pa);
        while high - low > ACCURACY * lungs_pa {
            let middle = 0.5 * (low + high);
            let taken = self.static_rest(middle).map_or(0.0, |rest| player.resistance * rest.flow_m3_s);
            if middle + taken < lungs_pa { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

fn rate(point: &Point) -> f64 {
    point.mode.growth_per_s
}

impl Follower<'_> {
    /// The first mode at the lowest pressure is the one with most of its energy in the reed's first bending mode.
    fn start(&mut self, lowest_pa: f64) -> Option<Point> {
        let rest = self.model.equilibrium_from(&Equilibrium::default(), lowest_pa)?;
        self.evaluations += 1;
        let modes = self.model.eigenmodes(&rest);
        let share = |mode: &Eigenmode| mode.first_mode_share();
        let mode = modes.into_iter().max_by(|a, b| share(a).total_cmp(&share(b)))?;
        Some(Point { rest, mode })
    }

    /// The next point, and all modes there, if it is clearly on the same branch and of the same mode.
    fn step(&mut self, from: &Point, mouth_pa: f64) -> Result<(Point, Vec<Eigenmode>), Doubt> {
        let rest = self.model.equilibrium_from(&from.rest, mouth_pa).ok_or(Doubt::Rest)?;
        self.evaluations += 1;
        let modes = self.model.eigenmodes(&rest);
        let overlap = |mode: &Eigenmode| mode.overlap(&from.mode);
        let best = modes.iter().max_by(|a, b| overlap(a).total_cmp(&overlap(b))).copied().ok_or(Doubt::Rest)?;
        let found = (Point { rest, mode: best }, modes);
        if overlap(&best) > CLEAR_OVERLAP { Ok(found) } else { Err(Doubt::Mode(Box::new(found))) }
    }

    /// Goes to `mouth_pa`, halving the step while in doubt; at a fold returns the last point before it.
    fn advance(&mut self, from: &Point, mouth_pa: f64) -> Result<(Point, Vec<Eigenmode>), Box<Point>> {
        const SMALLEST: f64 = 1e-8;
        let (mut here, mut target) = (*from, mouth_pa);
        loop {
            let close = target / here.pressure() - 1.0 < SMALLEST;
            match self.step(&here, target) {
                Ok((point, modes)) if target == mouth_pa => return Ok((point, modes)),
                Ok((point, _)) => (here, target) = (point, mouth_pa),
                Err(Doubt::Mode(found)) if close && target == mouth_pa => return Ok(*found),
                Err(Doubt::Mode(found)) if close => (here, target) = (found.0, mouth_pa),
                Err(Doubt::Rest) if close => return Err(Box::new(here)),
                Err(_) => target = (here.pressure() * target).sqrt(),
            }
        }
    }

    /// Goes to a far pressure in steps, which may be longer than those of a search: nothing between is asked for.
    fn travel(&mut self, from: Point, mouth_pa: f64) -> Option<Point> {
        let mut here = from;
        while here.pressure() < mouth_pa {
            let next = (here.pressure() * 1.05).min(mouth_pa);
            here = self.advance(&here, next).ok()?.0;
        }
        Some(here)
    }

    fn scan(&mut self, search: &Search) -> (Vec<Point>, Vec<Squeal>, Option<f64>) {
        let mut squeals = SquealLog::default();
        let Some(start) = self.start(search.lowest_pa) else { return (Vec::new(), Vec::new(), Some(search.lowest_pa)) };
        let mut points = vec![start];
        let mut here = start;
        while here.pressure() < search.limit_pa {
            let target = (here.pressure() * search.ratio).min(search.limit_pa);
            match self.advance(&here, target) {
                Ok((next, modes)) => {
                    squeals.note(&next, &modes);
                    points.push(next);
                    here = next;
                }
                Err(last) => {
                    points.push(*last);
                    return (points, squeals.finished, Some(last.pressure()));
                }
            }
        }
        (points, squeals.finished, None)
    }

    /// Adds a point at the top of the parabola through every local maximum of the growth rate.
    fn with_peaks(&mut self, points: Vec<Point>) -> Vec<Point> {
        let mut all = Vec::with_capacity(points.len() + 4);
        for k in 0..points.len() {
            let summit = (k > 0 && k + 1 < points.len()).then(|| summit(&points[k - 1], &points[k], &points[k + 1]));
            let extra = summit.flatten().and_then(|pressure| {
                let from = if pressure < points[k].pressure() { points[k - 1] } else { points[k] };
                self.advance(&from, pressure).ok().map(|found| found.0)
            });
            match extra {
                Some(peak) if peak.pressure() < points[k].pressure() => all.extend([peak, points[k]]),
                Some(peak) => all.extend([points[k], peak]),
                None => all.push(points[k]),
            }
        }
        all
    }

    /// Every stretch of positive growth: its first point, and the pressure where it ends.
    fn windows(&mut self, points: &[Point], fold_pa: Option<f64>) -> Vec<(Point, Option<f64>)> {
        let mut windows: Vec<(Point, Option<f64>)> = Vec::new();
        let mut growing = false;
        for (k, point) in points.iter().enumerate() {
            if (rate(point) > 0.0) == growing {
                continue;
            }
            let crossing = if k == 0 { *point } else { self.crossing(&points[k - 1], point, 0.0) };
            growing = !growing;
            match windows.last_mut() {
                Some(window) if !growing => window.1 = Some(crossing.pressure()),
                _ => windows.push((crossing, None)),
            }
        }
        if let (true, Some(window)) = (growing, windows.last_mut()) {
            window.1 = fold_pa;
        }
        windows
    }

    fn choke(&mut self, from_peak: &[Point], fold_pa: Option<f64>) -> Choke {
        let level = CHOKE_SHARE * rate(&from_peak[0]);
        match from_peak.iter().position(|point| rate(point) < level) {
            Some(k) => Choke::Fades(self.crossing(&from_peak[k - 1], &from_peak[k], level).pressure()),
            None => fold_pa.map_or(Choke::NoneBelowLimit, Choke::Snaps),
        }
    }

    /// Where the growth rate passes `level` between two neighbouring points: false position with the Illinois
    /// modification (M. Dowell and P. Jarratt, BIT 11 (1971) 168) in the logarithm of the pressure.
    fn crossing(&mut self, before: &Point, after: &Point, level: f64) -> Point {
        let (mut lo, mut hi) = (*before, *after);
        let (mut f_lo, mut f_hi) = (rate(&lo) - level, rate(&hi) - level);
        let mut best = hi;
        while hi.pressure() / lo.pressure() - 1.0 > ACCURACY {
            let (a, b) = (lo.pressure().ln(), hi.pressure().ln());
            let guess = (b - f_hi * (b - a) / (f_hi - f_lo)).exp();
            // Stay off the ends, so that the bracket closes from both sides.
            let margin = 0.25 * ACCURACY * guess;
            let pressure = guess.clamp(lo.pressure() + margin, hi.pressure() - margin);
            let Ok((middle, _)) = self.advance(&lo, pressure) else { break };
            best = middle;
            let f = rate(&middle) - level;
            if f == 0.0 {
                break;
            }
            if (f > 0.0) == (f_hi > 0.0) {
                (hi, f_hi) = (middle, f);
                f_lo *= 0.5;
            } else {
                (lo, f_lo) = (middle, f);
                f_hi *= 0.5;
            }
        }
        best
    }
}

/// Why a step could not be taken as it was.
enum Doubt {
    /// No static rest was found close by.
    Rest,
    /// No mode is clearly the one followed; the likeliest is given.
    Mode(Box<(Point, Vec<Eigenmode>)>),
}

/// Pressure at the top of the parabola through three points, in the logarithm of the pressure, if the middle is highest.
fn summit(before: &Point, middle: &Point, after: &Point) -> Option<f64> {
    let (left, right) = (rate(middle) - rate(before), rate(middle) - rate(after));
    if left < 0.0 || right < 0.0 || left + right <= 0.0 {
        return None;
    }
    let (a, b) = ((middle.pressure() / before.pressure()).ln(), (after.pressure() / middle.pressure()).ln());
    let shift = 0.5 * (left * b * b - right * a * a) / (left * b + right * a);
    (shift.abs() > 0.01 * a).then(|| middle.pressure() * shift.exp())
}

/// Keeps the stretches in which other modes grow.
#[derive(Default)]
struct SquealLog {
    finished: Vec<Squeal>,
    /// The mode last seen of each, and the pressure.
    last: Vec<(Eigenmode, f64)>,
}

impl SquealLog {
    fn note(&mut self, point: &Point, modes: &[Eigenmode]) {
        let pressure = point.pressure();
        let others = modes.iter().filter(|mode| mode.overlap(&point.mode) < 1.0 - 1e-9 && mode.growth_per_s > 0.0);
        for mode in others {
            let recent = |seen: &(Eigenmode, f64)| seen.0.overlap(mode) > 0.5 && pressure / seen.1 < 1.05;
            match self.last.iter().position(recent) {
                Some(k) => {
                    self.last[k] = (*mode, pressure);
                    let squeal = &mut self.finished[k];
                    squeal.to_pa = pressure;
                    if mode.growth_per_s > squeal.growth_per_s {
                        (squeal.growth_per_s, squeal.frequency_hz) = (mode.growth_per_s, mode.frequency_hz);
                    }
                }
                None => {
                    self.last.push((*mode, pressure));
                    self.finished.push(Squeal {
                        from_pa: pressure,
                        to_pa: pressure,
                        frequency_hz: mode.frequency_hz,
                        growth_per_s: mode.growth_per_s,
                    });
                }
            }
        }
    }
}
