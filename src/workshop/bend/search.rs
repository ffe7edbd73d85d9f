//! From zero force upwards to the limit, and to whatever is sought on the way.

use super::bending::{Bending, Bent};
use super::contact::Edge;
use super::knee::Knee;
use super::limit::{KinkLimit, Limit};
use super::march::Loads;
use super::refusal::BendRefusal;

/// A tongue pushed from nothing to its limit.
#[derive(Debug, Clone)]
pub(super) struct Ramp<'a> {
    bending: &'a Bending,
    /// In order of force; the first is without force, the last is at the limit.
    bents: Vec<Bent>,
    pub limit: Limit,
}

/// Accuracy of what is sought, as a share of it.
const ACCURACY: f64 = 1e-10;

impl Bending {
    /// Pushes up to the limit.
    ///
    /// # Errors
    /// A support that bends the tongue for good by itself, or that it touches only after it has yielded.
    pub(super) fn ramp(&self, limit: &KinkLimit) -> Result<Ramp<'_>, BendRefusal> {
        let curve = self.tongue.curve();
        let (curvature, by_moment) = limit.curvature_ratio(&curve);
        let ratio = curve.moment(curvature);
        let spent = |bent: &Bent| (bent.moment_over_yield / ratio).max(bent.turn_rad / KinkLimit::TURN_RAD);
        let mut bents = vec![self.without_push()?];
        let mut force_n = self.first_force_n();
        let mut touched = self.edge.is_none() || bents[0].support_n.is_some();
        for _ in 0..200 {
            let last = bents[bents.len() - 1];
            let touching =
                self.edge.filter(|&edge| !touched && self.goes_beyond(edge, &Loads { force_n, ..last.loads }));
            let bent = match touching {
                Some(edge) => self.touching(edge, &last, force_n)?,
                None => self.onward(&last, force_n)?,
            };
            touched = touched || touching.is_some();
            bents.push(bent);
            if spent(&bent) >= 1.0 {
                let ramp = Ramp { bending: self, bents, limit: by_moment };
                return ramp.ended(spent, ratio);
            }
            let slope = (spent(&bent) - spent(&last)) / (bent.force_n - last.force_n);
            let aim = bent.force_n + (1.01 - spent(&bent)) / slope;
            let most = if touching.is_some() { 1.05 } else { 2.0 };
            force_n = bent.force_n * if aim > bent.force_n { (aim / bent.force_n).clamp(1.02, most) } else { most };
        }
        Err(BendRefusal::NotSolved { what: "the push up to its limit" })
    }

    /// The tongue before it is pushed, on a support that may already bend it. As long as that does not yield, it is what a
    /// tongue that cannot yield would be; so it is found without the runaway of one that folds, and without the little that
    /// a round knee keeps of it.
    fn without_push(&self) -> Result<Bent, BendRefusal> {
        const UNYIELDING: f64 = 1e6;
        let Some(edge) = self.edge.filter(|&edge| self.goes_beyond(edge, &Loads::default())) else {
            return self.near(&Loads::default());
        };
        let mut elastic = self.clone();
        elastic.tongue = self.tongue.varied(Knee::Sharp, UNYIELDING, 1.0);
        elastic.cells.iter_mut().for_each(|cell| *cell = elastic.tongue.cell(cell[0].s, cell[2].s));
        let bent = elastic.near(&Loads::default())?;
        if UNYIELDING * bent.moment_over_yield > self.tongue.stays_moment() {
            return Err(self.support_yields(edge));
        }
        self.near(&bent.loads)
    }

    fn support_yields(&self, edge: Edge) -> BendRefusal {
        let over_m = self.tongue.height_m(edge.along_m) - self.tongue.height_m(0.0) - edge.up_m;
        BendRefusal::SupportYields { over_m: over_m.abs() }
    }

    /// From one force to a larger one, or, where the equations balk at so long a stride, part of the way.
    fn onward(&self, last: &Bent, force_n: f64) -> Result<Bent, BendRefusal> {
        let part = |halvings: i32| {
            let force_n = last.force_n + (force_n - last.force_n) * 0.5_f64.powi(halvings);
            self.near(&Loads { force_n, ..last.loads })
        };
        (1..10).fold(part(0), |found, halvings| found.or_else(|_| part(halvings)))
    }

    /// The tongue as it comes down on its support. It must do so before it counts as bent for good: the equations know no way
    /// back for a yielded piece.
    fn touching(&self, edge: Edge, last: &Bent, force_n: f64) -> Result<Bent, BendRefusal> {
        let bent = self.touches(edge, last.loads, force_n)?;
        let yields = bent.moment_over_yield > self.tongue.stays_moment();
        if yields { Err(BendRefusal::YieldsBeforeSupport) } else { Ok(bent) }
    }

    /// A force that is sure to leave the tongue elastic.
    fn first_force_n(&self) -> f64 {
        let weakest = self.cells.iter().map(|cell| cell[1].section.yield_moment_n_m).fold(f64::INFINITY, f64::min);
        0.3 * weakest / self.push.place_m
    }
}

impl Ramp<'_> {
    /// Ends the ramp just at its limit.
    fn ended(mut self, spent: impl Fn(&Bent) -> f64, ratio: f64) -> Result<Self, BendRefusal> {
        let last = self.find(&spent, 1.0)?.ok_or(BendRefusal::NotSolved { what: "the limit" })?;
        self.bents.pop();
        self.bents.push(last);
        if last.turn_rad / KinkLimit::TURN_RAD > last.moment_over_yield / ratio {
            self.limit = Limit::Turn;
        }
        Ok(self)
    }

    /// # Errors
    /// A support that leaves more than a set by itself.
    pub fn check_support(&self, set_m: f64) -> Result<(), BendRefusal> {
        let edge = self.bending.edge.filter(|_| self.bents[0].tip_set_m >= set_m);
        edge.map_or(Ok(()), |edge| Err(self.bending.support_yields(edge)))
    }

    /// The tongue at its limit.
    pub fn last(&self) -> &Bent {
        &self.bents[self.bents.len() - 1]
    }

    /// The tongue when it just begins to stay bent, if it does before the limit.
    pub fn yields(&self) -> Result<Option<Bent>, BendRefusal> {
        self.find(|bent| bent.moment_over_yield, self.bending.tongue.stays_moment())
    }

    /// The tongue that will keep a set at the tip.
    pub fn tip_set(&self, set_m: f64) -> Result<Option<Bent>, BendRefusal> {
        self.find(|bent| bent.tip_set_m, set_m)
    }

    /// The tongue when the pushed place has travelled so far.
    pub fn place_travel(&self, travel_m: f64) -> Result<Option<Bent>, BendRefusal> {
        self.find(|bent| bent.place_travel_m, travel_m)
    }

    /// Where something that grows with the force first takes a value, by the Illinois form of regula falsi (M. Dowell and
    /// P. Jarratt, BIT 11 (1971) 168, from memory); none where it does not up to the limit.
    fn find(&self, value: impl Fn(&Bent) -> f64, sought: f64) -> Result<Option<Bent>, BendRefusal> {
        let Some(pair) = self.bents.windows(2).find(|pair| value(&pair[0]) < sought && value(&pair[1]) >= sought)
        else {
            return Ok(None);
        };
        let (mut a, mut b) = (pair[0], pair[1]);
        let (mut fa, mut fb) = (value(&a) - sought, value(&b) - sought);
        for _ in 0..60 {
            if fb.abs() <= ACCURACY * sought.abs() || (b.force_n - a.force_n).abs() <= 1e-15 * b.force_n {
                return Ok(Some(b));
            }
            let share = fb / (fb - fa);
            let c = self.between(&b, &a, share)?;
            let fc = value(&c) - sought;
            if fc * fb <= 0.0 {
                (a, fa) = (b, fb);
            } else {
                fa *= 0.5;
            }
            (b, fb) = (c, fc);
        }
        Err(BendRefusal::NotSolved { what: "the push for what is sought" })
    }

    /// Solves a share of the way from one force to another, the support guessed on the way too.
    fn between(&self, from: &Bent, to: &Bent, share: f64) -> Result<Bent, BendRefusal> {
        let way = |from: f64, to: f64| from + share * (to - from);
        let at = |loads: &Loads| loads.support_at_m;
        let guess = Loads {
            force_n: way(from.force_n, to.force_n),
            support_n: way(from.loads.support_n, to.loads.support_n),
            support_at_m: at(&from.loads).zip(at(&to.loads)).map(|(from, to)| way(from, to)),
            ..from.loads
        };
        self.bending.near(&guess)
    }
}
