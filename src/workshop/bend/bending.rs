//! A tongue under a push: its shape at a force, and the shape it keeps.

use super::contact::Edge;
use super::march::{End, Loads, Node, State, march};
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::tongue::{Cell, Tongue};

/// Cells between the clamp and the push.
pub const CELLS: usize = 240;

/// A tongue and where it is pushed, made ready to be solved for any force.
///
/// Inside, "up" is the way it is pushed: for a push down the tongue is mirrored.
#[derive(Debug, Clone)]
pub struct Bending {
    pub(super) tongue: Tongue,
    pub(super) direction: Direction,
    pub(super) push: Push,
    pub(super) cells: Vec<Cell>,
    /// From the tip down to the push: without moment, it only turns.
    beyond: Vec<Cell>,
    pub(super) edge: Option<Edge>,
    unbent: End,
}

/// A tongue under a push. Travels and sets are heights the way it is pushed, from where it was at rest.
#[derive(Debug, Clone, Copy)]
pub struct Bent {
    pub(super) loads: Loads,
    pub(super) end: End,
    /// Force of the push, across the tongue (N).
    pub force_n: f64,
    /// Force of the support, across the tongue (N); none where the tongue does not touch it.
    pub support_n: Option<f64>,
    /// Angle of the tongue to the plate where it is pushed, positive the way it is pushed (rad).
    pub turn_rad: f64,
    /// Travel of the pushed place (m).
    pub place_travel_m: f64,
    /// What of it remains when it is let go (m).
    pub place_set_m: f64,
    /// Travel of the tip (m).
    pub tip_travel_m: f64,
    /// What of it remains (m).
    pub tip_set_m: f64,
    /// The pushed place, along the plate from the clamp (m).
    pub place_along_m: f64,
    /// The tip, along the plate from the clamp (m).
    pub tip_along_m: f64,
    /// Largest moment over the moment that just yields there.
    pub moment_over_yield: f64,
    /// Where that is, along the tongue (m).
    pub most_at_m: f64,
}

/// One place of a tongue under a push.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BentPlace {
    /// Place along the tongue (m).
    pub place_m: f64,
    /// Moment over the moment that just yields there; its sign is that of the bend, positive the way it is pushed.
    pub moment_over_yield: f64,
    /// Strain of the surface, without sign.
    pub surface_strain: f64,
    /// Height above the plate while it is pushed (m).
    pub pushed_height_m: f64,
    /// Height above the plate when it is let go (m).
    pub set_height_m: f64,
}

/// Places along the plate, seen from the clamp, of a state of the march; `i` is 0 under the push and 3 for the set shape.
pub(super) struct Frame<'a> {
    root: &'a State,
    i: usize,
    pub turn: f64,
    sine: f64,
    cosine: f64,
}

impl Frame<'_> {
    pub fn along_and_up(&self, state: &State) -> (f64, f64) {
        let (x, y) = (state[self.i + 1] - self.root[self.i + 1], state[self.i + 2] - self.root[self.i + 2]);
        (x * self.cosine - y * self.sine, x * self.sine + y * self.cosine)
    }
}

impl Bending {
    /// Makes a tongue ready to be pushed.
    ///
    /// # Errors
    /// A place or support out of range, a rest shape that is too steep, a yield strength that is not above zero.
    pub fn new(tongue: &Tongue, push: Push, direction: Direction) -> Result<Self, BendRefusal> {
        Self::with_cells(tongue, push, direction, CELLS)
    }

    /// As [`Bending::new`], with a chosen number of cells, to see the result converge.
    ///
    /// # Errors
    /// As [`Bending::new`].
    pub fn with_cells(tongue: &Tongue, push: Push, direction: Direction, count: usize) -> Result<Self, BendRefusal> {
        let value = tongue.yield_strength_pa;
        if !(value.is_finite() && value > 0.0) {
            return Err(BendRefusal::NotSensible { what: "yield strength (Pa)", value, allowed: "above zero" });
        }
        push.check(tongue)?;
        tongue.check_rest()?;
        let tongue = if direction == Direction::Down { tongue.mirrored() } else { tongue.clone() };
        let (length, place) = (tongue.beam.length_m, push.place_m.min(tongue.beam.length_m));
        let cells = tongue.cells(0.0, place, count);
        let rest_of = length - place;
        let beyond = if rest_of > 1e-9 * length { tongue.cells(place, length, count / 4) } else { Vec::new() };
        let edge = push.support.map(|support| Edge {
            along_m: support.place_m,
            up_m: direction.sign() * support.height_m - tongue.height_m(0.0),
        });
        let unbent = march(&tongue, &cells, &Loads::default(), |_| ());
        Ok(Self { tongue, direction, push, cells, beyond, edge, unbent })
    }

    /// Solves at a force, from zero upwards if there is a support. `tilt_rad` turns the push from square to the tongue,
    /// towards the clamp if positive: zero without friction. Whether the tongue touches the support before it yields is for
    /// the caller to see to: [`BendPlan`](super::BendPlan) does.
    ///
    /// # Errors
    /// The tongue did not come to rest on the support.
    pub fn under(&self, force_n: f64, tilt_rad: f64) -> Result<Bent, BendRefusal> {
        const STEPS: u32 = 16;
        let at = |step: u32, last: &Loads| {
            let share = f64::from(step) / f64::from(STEPS);
            self.near(&Loads { force_n: share * force_n, tilt_rad, ..*last })
        };
        if self.edge.is_none() {
            return at(STEPS, &Loads::default());
        }
        (1..=STEPS).try_fold(at(0, &Loads::default())?, |last, step| at(step, &last.loads))
    }

    /// Marches under known loads.
    pub(super) fn solve(&self, loads: &Loads) -> End {
        march(&self.tongue, &self.cells, loads, |_| ())
    }

    /// The frame of the plate: the clamp keeps the rest angle there, but for what its spring gives while it is pushed.
    pub(super) fn frame<'a>(&self, end: &'a End, set: bool) -> Frame<'a> {
        let spring = self.tongue.beam.root_spring_n_m_per_rad;
        let gives = if set { 0.0 } else { spring.map_or(0.0, |spring| end.root_moment_n_m / spring) };
        let i = if set { 3 } else { 0 };
        let turn = self.cells[0][0].angle - end.root[i] + gives;
        let (sine, cosine) = turn.sin_cos();
        Frame { root: &end.root, i, turn, sine, cosine }
    }

    /// Along and up, of the push and of the tip.
    fn places(&self, end: &End, set: bool) -> [(f64, f64); 2] {
        let frame = self.frame(end, set);
        let push = frame.along_and_up(&[0.0; 6]);
        let piece = self.beyond.iter().fold((0.0, 0.0), |(along, up), cell| {
            let span = cell[0].s - cell[2].s;
            let turned = cell.map(|point| (point.angle - self.cells[0][0].angle + frame.turn).sin_cos());
            let mean = |pick: fn(&(f64, f64)) -> f64| {
                span * (pick(&turned[0]) + 4.0 * pick(&turned[1]) + pick(&turned[2])) / 6.0
            };
            (along + mean(|t| t.1), up + mean(|t| t.0))
        });
        [push, (push.0 + piece.0, push.1 + piece.1)]
    }

    /// Reads off what a march found.
    pub(super) fn bent(&self, loads: Loads, end: End) -> Bent {
        let [push, tip] = self.places(&end, false);
        let [push_set, tip_set] = self.places(&end, true);
        let [push_rest, tip_rest] = self.places(&self.unbent, false);
        Bent {
            loads,
            end,
            force_n: loads.force_n,
            support_n: (loads.support_n > 0.0).then_some(loads.support_n),
            turn_rad: self.frame(&end, false).turn,
            place_travel_m: push.1 - push_rest.1,
            place_set_m: push_set.1 - push_rest.1,
            tip_travel_m: tip.1 - tip_rest.1,
            tip_set_m: tip_set.1 - tip_rest.1,
            place_along_m: push.0,
            tip_along_m: tip.0,
            moment_over_yield: end.most.0,
            most_at_m: end.most.1,
        }
    }

    /// The nodes of a solution, from the push to the clamp.
    fn nodes(&self, loads: &Loads) -> Vec<Node> {
        let mut nodes = Vec::with_capacity(2 * self.cells.len() + 2);
        march(&self.tongue, &self.cells, loads, |node| nodes.push(*node));
        nodes
    }

    /// Energies of a solution (J): what comes back when it is let go, and what stays in the metal as heat and locked-in
    /// stress: the integrals along the tongue of `M^2 / (2 E I)` and of `M d kappa` less that.
    pub fn energies_j(&self, bent: &Bent) -> (f64, f64) {
        let nodes = self.nodes(&bent.loads);
        let spring = self.tongue.beam.root_spring_n_m_per_rad;
        let in_spring = spring.map_or(0.0, |spring| 0.5 * bent.end.root_moment_n_m.powi(2) / spring);
        nodes.chunks_exact(2).fold((in_spring, 0.0), |(returned, kept), pair| {
            let at = |s: f64, moment_n_m: f64| {
                let section = self.tongue.point(s, pair[0].inside).section;
                let returned = section.returned_j_m(moment_n_m);
                (returned, section.work_j_m(section.curvature_per_m(moment_n_m)) - returned)
            };
            // Simpson's rule; within a cell the moment is as good as linear.
            let (a, c) = (at(pair[0].s, pair[0].moment_n_m), at(pair[1].s, pair[1].moment_n_m));
            let b = at(pair[0].inside, 0.5 * (pair[0].moment_n_m + pair[1].moment_n_m));
            let sixth = (pair[0].s - pair[1].s) / 6.0;
            (returned + sixth * (a.0 + 4.0 * b.0 + c.0), kept + sixth * (a.1 + 4.0 * b.1 + c.1))
        })
    }

    /// The tongue place by place, from the clamp to the tip.
    pub fn shape(&self, bent: &Bent) -> Vec<BentPlace> {
        let sign = self.direction.sign();
        let frames = [false, true].map(|set| self.frame(&bent.end, set));
        let unbent = self.frame(&self.unbent, false);
        let nodes = self.nodes(&bent.loads);
        // The same steps without load: what the rule of integration leaves off is the same and cancels.
        let rest = self.nodes(&Loads { support_at_m: bent.loads.support_at_m, ..Loads::default() });
        let mut places: Vec<BentPlace> = nodes
            .iter()
            .zip(&rest)
            .map(|(node, rest)| {
                let height = self.tongue.height_m(node.s);
                let moved = |frame: &Frame| frame.along_and_up(&node.state).1 - unbent.along_and_up(&rest.state).1;
                let section = self.tongue.point(node.s, node.inside).section;
                let curvature = section.curvature_per_m(node.moment_n_m);
                BentPlace {
                    place_m: node.s,
                    moment_over_yield: node.moment_n_m / section.yield_moment_n_m,
                    surface_strain: self.tongue.surface_strain(node.s, node.inside, curvature),
                    pushed_height_m: sign * (height + moved(&frames[0])),
                    // Adding zero turns a mirrored -0 into 0.
                    set_height_m: sign * (height + moved(&frames[1])) + 0.0,
                }
            })
            .collect();
        places.reverse();
        places.extend(self.shape_beyond(&frames, places[places.len() - 1]));
        places
    }

    /// The stiff end beyond the push.
    fn shape_beyond(&self, frames: &[Frame; 2], mut here: BentPlace) -> Vec<BentPlace> {
        let sign = self.direction.sign();
        let push_angle = self.cells[0][0].angle;
        let rise = |cell: &Cell, turn: f64| {
            let [a, b, c] = cell.map(|point| (point.angle - push_angle + turn).sin() - point.angle.sin());
            (cell[0].s - cell[2].s) * (a + 4.0 * b + c) / 6.0
        };
        let (mut pushed, mut set) = (0.0, 0.0);
        let (pushed_before, set_before) = (here.pushed_height_m, here.set_height_m);
        let at_push = self.tongue.height_m(here.place_m);
        self.beyond
            .iter()
            .rev()
            .map(|cell| {
                pushed += rise(cell, frames[0].turn);
                set += rise(cell, frames[1].turn);
                let rested = self.tongue.height_m(cell[0].s) - at_push;
                here = BentPlace {
                    place_m: cell[0].s,
                    moment_over_yield: 0.0,
                    surface_strain: 0.0,
                    pushed_height_m: pushed_before + sign * (rested + pushed),
                    set_height_m: set_before + sign * (rested + set),
                };
                here
            })
            .collect()
    }
}
