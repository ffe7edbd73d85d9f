//! From the push to the clamp: the large-rotation equations of the tongue, as an initial-value problem.
//!
//! Seen from the pushed place, with the tongue there along `x`, both the push and what it starts from are known, so no
//! boundary is left to meet: with `a` the rest angle less that at the push, and `phi` the turn added by bending,
//!
//! ```text
//! x' = cos(a + phi)    y' = sin(a + phi)    phi' = kappa(M)
//! M = -F (x cos tilt + y sin tilt)  -  R ((x_c - x) cos psi_c + (y_c - y) sin psi_c)  towards the clamp from the support
//! ```
//!
//! `F` pushes across the tongue (turned by `tilt` from that), `R` is the support's answer across the tongue at the place
//! `c` where it rests, `psi_c = a_c + phi_c`. The set shape goes along with `phi_set' = kappa - M / E I`. Classic
//! fourth-order Runge-Kutta steps, one a cell; a kink in `kappa(M)` inside a cell costs an order there.

use super::tongue::{Cell, Point, Tongue};

/// What acts on the tongue.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Loads {
    pub force_n: f64,
    pub tilt_rad: f64,
    pub support_n: f64,
    /// Place along the tongue that rests on the support, if there is one (m).
    pub support_at_m: Option<f64>,
}

/// `phi, x, y` and the same of the set shape, seen from the pushed place.
pub(super) type State = [f64; 6];

/// Where the march is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub s: f64,
    pub state: State,
    pub moment_n_m: f64,
    /// `M/M_y`, never negative.
    pub share: f64,
    /// The cell it belongs to is the one that ends here, seen from the tip.
    pub inside: f64,
}

/// What the march found.
#[derive(Debug, Clone, Copy)]
pub(super) struct End {
    pub root: State,
    pub root_moment_n_m: f64,
    /// Where the support is, if there is one.
    pub support: State,
    /// Largest `M/M_y` and its place.
    pub most: (f64, f64),
}

/// The support as the march passes it: force, place, direction of the tongue.
type Reaction = Option<(f64, f64, f64, f64, f64)>;

struct March<'a> {
    loads: &'a Loads,
    push_angle: f64,
    tilt: (f64, f64),
    reaction: Reaction,
    state: State,
}

/// Marches over `cells`; `seen` is called at both ends of each, and on both sides of the support.
pub(super) fn march(tongue: &Tongue, cells: &[Cell], loads: &Loads, mut seen: impl FnMut(&Node)) -> End {
    let push_angle = cells[0][0].angle;
    let (sine, cosine) = loads.tilt_rad.sin_cos();
    let mut march = March { loads, push_angle, tilt: (cosine, sine), reaction: None, state: [0.0; 6] };
    let mut end = End { root: [0.0; 6], root_moment_n_m: 0.0, support: [0.0; 6], most: (0.0, 0.0) };
    let mut look = |march: &March, point: &Point, inside: f64, end: &mut End| {
        let node = march.node(point, inside);
        if node.share > end.most.0 {
            end.most = (node.share, node.s);
        }
        seen(&node);
    };
    for cell in cells {
        let split = loads.support_at_m.filter(|&at| at <= cell[0].s && at > cell[2].s);
        if let Some(at) = split {
            let (before, after) = (tongue.cell(cell[0].s, at), tongue.cell(at, cell[2].s));
            look(&march, &before[0], before[1].s, &mut end);
            march.step(&before);
            look(&march, &before[2], before[1].s, &mut end);
            end.support = march.state;
            march.pass_support(&before[2]);
            look(&march, &after[0], after[1].s, &mut end);
            march.step(&after);
            look(&march, &after[2], after[1].s, &mut end);
        } else {
            look(&march, &cell[0], cell[1].s, &mut end);
            march.step(cell);
            look(&march, &cell[2], cell[1].s, &mut end);
        }
    }
    end.root = march.state;
    end.root_moment_n_m = march.moment(&march.state);
    end
}

impl March<'_> {
    fn moment(&self, state: &State) -> f64 {
        let [_, x, y, ..] = *state;
        let push = -self.loads.force_n * (x * self.tilt.0 + y * self.tilt.1);
        let support = self
            .reaction
            .map_or(0.0, |(force, at_x, at_y, cosine, sine)| force * ((at_x - x) * cosine + (at_y - y) * sine));
        push - support
    }

    fn slopes(&self, state: &State, point: &Point) -> State {
        let moment = self.moment(state);
        let curvature = point.section.curvature_per_m(moment);
        let angle = point.angle - self.push_angle;
        let (sine, cosine) = (angle + state[0]).sin_cos();
        let (set_sine, set_cosine) = (angle + state[3]).sin_cos();
        [curvature, cosine, sine, curvature - moment / point.section.stiffness_n_m2, set_cosine, set_sine]
    }

    fn step(&mut self, cell: &Cell) {
        let step = cell[2].s - cell[0].s;
        let state = self.state;
        let ahead = |slopes: &State, share: f64| std::array::from_fn(|i| state[i] + share * step * slopes[i]);
        let first = self.slopes(&state, &cell[0]);
        let second = self.slopes(&ahead(&first, 0.5), &cell[1]);
        let third = self.slopes(&ahead(&second, 0.5), &cell[1]);
        let fourth = self.slopes(&ahead(&third, 1.0), &cell[2]);
        self.state =
            std::array::from_fn(|i| state[i] + step / 6.0 * (first[i] + 2.0 * (second[i] + third[i]) + fourth[i]));
    }

    fn pass_support(&mut self, point: &Point) {
        let (sine, cosine) = (point.angle - self.push_angle + self.state[0]).sin_cos();
        self.reaction = Some((self.loads.support_n, self.state[1], self.state[2], cosine, sine));
    }

    fn node(&self, point: &Point, inside: f64) -> Node {
        let moment_n_m = self.moment(&self.state);
        let share = moment_n_m.abs() / point.section.yield_moment_n_m;
        Node { s: point.s, state: self.state, moment_n_m, share, inside }
    }
}
