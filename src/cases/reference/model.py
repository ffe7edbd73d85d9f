"""Reference model of a free reed: beam, slot flow, motion, air, stability and sounding.

SI units.  `s` runs from the clamp (0) to the tip (L); `y(s)` is the height of the
reed's underside above the plate's upper face, positive away from the plate.

The state is  x = (q1, q2, q1', q2', p, Uc).  Every derivative needed by the
stability analysis is taken by complex steps through the right-hand side that the
time runs integrate, so there is only one statement of the equations of motion.
"""

import tomllib
from math import log10, pi

import numpy as np
from numpy.polynomial.legendre import leggauss
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.linalg import eig, eigh
from scipy.optimize import brentq, minimize_scalar

ALPHA = 0.61                # contraction of a sharp slit
KAPPA = 32 / (12 * pi)      # creeping flow through a slit in a thin plate
DRAG = 5.0                  # drag coefficient of an oscillating plate
POISSON = 0.33              # G = E / 2.66
LIMIT = 20e3                # highest mouth pressure considered, Pa
N_ELEMENTS = 80             # least number of beam elements
MM = 1e-3


def positive(x):
    """max(x, 0), analytic on either side of the kink."""
    return x * (x.real > 0)


# --- 1. The reed -----------------------------------------------------------------

class Section:
    """A quantity piecewise linear in s; two stations at one place make a step."""

    def __init__(self, value, length):
        if np.isscalar(value):
            value = [[0.0, value], [length, value]]
        self.s, self.v = np.array(value, float).T

    def on(self, s, a, b):
        """Values at s inside the span [a, b], which holds no station."""
        mid = (a + b) / 2
        i = np.clip(np.searchsorted(self.s, mid) - 1, 0, len(self.s) - 2)
        s0, s1, v0, v1 = self.s[i], self.s[i + 1], self.v[i], self.v[i + 1]
        return v0 + (v1 - v0) * (s - s0) / (s1 - s0)


def hermite(x, h):
    """Cubic shape functions on [0, 1] and their second derivatives by s.

    The rotation unknown is (slope * L), and h is the element length over L."""
    n = np.array([1 - 3*x**2 + 2*x**3, h*(x - 2*x**2 + x**3), 3*x**2 - 2*x**3, h*(x**3 - x**2)])
    d2 = np.array([-6 + 12*x, h*(-4 + 6*x), 6 - 12*x, h*(-2 + 6*x)]) / h**2
    return n, d2


class Beam:
    """Cantilever modes: frequencies, unit-tip shapes, modal masses, swept areas."""

    def __init__(self, length, width, thickness, rho, e, tip_mass=0.0, root_spring=None):
        self.L, self.rho, self.E = length, rho, e
        self.w, self.h = Section(width, length), Section(thickness, length)
        self.tip_mass, self.root_spring = tip_mass, root_spring
        self.spans = np.unique(np.concatenate([self.w.s, self.h.s]))
        self.nodes = [0.0]
        for a, b in zip(self.spans[:-1], self.spans[1:]):
            n = int(np.ceil(N_ELEMENTS * (b - a) / length)) + 4
            self.nodes += list(a + (b - a) * np.arange(1, n + 1) / n)
        self.nodes = np.array(self.nodes)
        self.mass = self._integral(lambda w, h: rho * w * h) + tip_mass
        self.omega, self.shape = self._bending(lambda w, h: w * h**3 / 12, root_spring, 2)
        self.modal_mass, self.S = self._modal_integrals()

    def _elements(self, order=8):
        """(left end, length, Gauss points on [0, 1], weights, width, thickness) of each element."""
        x, g = leggauss(order)
        x, g = (x + 1) / 2, g / 2
        for a, b in zip(self.nodes[:-1], self.nodes[1:]):
            s = a + (b - a) * x
            yield a, b - a, x, g, self.w.on(s, a, b), self.h.on(s, a, b)

    def _integral(self, f):
        return sum(le * g @ f(w, h) for _, le, _, g, w, h in self._elements())

    def _bending(self, second_moment, root_spring, count):
        """Lowest angular frequencies, and nodal unknowns (deflection, slope * L) at unit tip."""
        L, n = self.L, 2 * len(self.nodes)
        k, m = np.zeros((n, n)), np.zeros((n, n))
        i0, m0 = second_moment(self.w.v[0], self.h.v[0]), self.w.v[0] * self.h.v[0]
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            shp, d2 = hermite(x, le / L)
            at = slice(2*j, 2*j + 4)
            k[at, at] += (d2 * g * second_moment(w, h) / i0) @ d2.T * le / L
            m[at, at] += (shp * g * w * h / m0) @ shp.T * le / L
        m[-2, -2] += self.tip_mass / (self.rho * m0 * L)
        if root_spring is None:
            keep = np.arange(2, n)
        else:
            k[1, 1] += root_spring * L / (self.E * i0)
            keep = np.arange(1, n)
        k, m = k[np.ix_(keep, keep)], m[np.ix_(keep, keep)]
        # Mass against stiffness: the lowest modes are then the largest, clear of round-off.
        inverse, vec = eigh(m, k, subset_by_index=[len(k) - count, len(k) - 1])
        lam, vec = 1 / inverse[::-1], vec[:, ::-1]
        full = np.zeros((n, count))
        full[keep] = vec / vec[-2]
        return np.sqrt(lam * self.E * i0 / (self.rho * m0)) / L**2, full

    def phi(self, s):
        """Both mode shapes at the points s."""
        j = np.clip(np.searchsorted(self.nodes, s) - 1, 0, len(self.nodes) - 2)
        le = self.nodes[j + 1] - self.nodes[j]
        n, _ = hermite((s - self.nodes[j]) / le, le / self.L)
        return np.array([sum(n[r] * self.shape[2*j + r, i] for r in range(4)) for i in range(2)])

    def _modal_integrals(self):
        mass, swept = np.zeros(2), np.zeros(2)
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            n, _ = hermite(x, le / self.L)
            phi = self.shape[2*j:2*j + 4].T @ n
            mass += (phi**2 * self.rho * w * h) @ g * le
            swept += (phi * w) @ g * le
        return mass + self.tip_mass, swept

    def lateral(self):
        """First sideways frequency, Hz; built in at the root."""
        return self._bending(lambda w, h: h * w**3 / 12, None, 1)[0][0] / (2 * pi)

    def torsion(self):
        """First torsional frequency, Hz: free warping, built in at the root, quadratic elements."""
        n = 2 * len(self.nodes) - 1
        k, m = np.zeros((n, n)), np.zeros((n, n))
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            shp = np.array([(1 - x) * (1 - 2*x), 4*x*(1 - x), x*(2*x - 1)])
            d = np.array([4*x - 3, 4 - 8*x, 4*x - 1])
            at, u = slice(2*j, 2*j + 3), le / self.L
            k[at, at] += (d * g * saint_venant(w, h) / saint_venant(*self._root())) @ d.T / u
            m[at, at] += (shp * g * polar(w, h) / polar(*self._root())) @ shp.T * u
        lam = eigh(k[1:, 1:], m[1:, 1:], subset_by_index=[0, 0], eigvals_only=True)[0]
        shear = self.E / (2 * (1 + POISSON))
        stiff = shear * saint_venant(*self._root()) / (self.rho * polar(*self._root()))
        return np.sqrt(lam * stiff) / (2 * pi * self.L)

    def _root(self):
        return self.w.v[0], self.h.v[0]


def polar(w, h):
    """Polar second moment of a rectangle."""
    return w * h * (w**2 + h**2) / 12


def saint_venant(w, h):
    """Torsion constant of a rectangle."""
    a, b = np.maximum(w, h), np.minimum(w, h)
    odd = np.arange(1, 200, 2)
    series = sum(np.tanh(n * pi * a / (2 * b)) / n**5 for n in odd)
    return a * b**3 * (1/3 - 64 / pi**5 * b / a * series)


# --- 2 to 5. Opening, flow, motion, air ------------------------------------------

def series_speed(dp, d, l, rho, mu):
    """Speed over dp through a gap d with overlap l: the positive root, divided by |dp|."""
    a = rho / (2 * ALPHA**2)
    b = 12 * mu * (l + KAPPA * d) / d**2
    return 2 / (b + np.sqrt(b**2 + 4 * a * magnitude(dp)))


def magnitude(x):
    """|x| for a real x, continued analytically for complex steps."""
    return -x if x.real < 0 else x


class Reed:
    """One reed on its plate with the air behind it, from a TOML description."""

    def __init__(self, toml):
        data = tomllib.loads(toml)
        reed, slot = data["reed"], data["slot"]
        air, chamber = data.get("air", {}), data.get("chamber")
        self.rho = air.get("density_kg_m3", 1.13)
        self.c0 = air.get("sound_speed_m_s", 353.0)
        self.mu = air.get("viscosity_pa_s", 1.9e-5)

        def section(name):
            stations = reed.get(name + "_stations_mm")
            return [[s * MM, v * MM] for s, v in stations] if stations else reed[name + "_mm"] * MM

        L = self.L = reed["length_mm"] * MM
        spring = reed.get("root_spring_n_m_per_rad")
        self.beam = Beam(L, section("width"), section("thickness"), reed["density_kg_m3"],
                         reed["youngs_modulus_gpa"] * 1e9, reed.get("tip_mass_mg", 0.0) * 1e-6, spring)
        self.omega, self.m, self.S = self.beam.omega, self.beam.modal_mass, self.beam.S
        self.zeta = 0.5 / reed.get("quality_factor", 60.0)

        x, g = leggauss(32)
        ends = list(zip(self.beam.spans[:-1], self.beam.spans[1:]))
        place = [(a + (b - a) * (x + 1) / 2, a, b) for a, b in ends]
        s = np.concatenate([p[0] for p in place])
        self.weight = np.concatenate([g * (b - a) / 2 for a, b in ends])
        self.w = np.concatenate([self.beam.w.on(*p) for p in place])
        self.h = np.concatenate([self.beam.h.on(*p) for p in place])
        self.phi = self.beam.phi(s)
        self.h_tip, self.w_tip, self.w_root = self.beam.h.v[-1], self.beam.w.v[-1], self.beam.w.v[0]
        self.gap = reed["tip_gap_mm"] * MM
        root = reed.get("root_gap_mm", 0.0) * MM
        self.y0 = root + (self.gap - root) * (s / L) ** reed.get("rest_exponent", 2.0)

        c = slot.get("side_clearance_mm")
        self.sides = [slot.get(k + "_clearance_mm", c) * MM for k in ("left", "right")]
        self.c_tip = slot["tip_clearance_mm"] * MM
        T = self.T = slot["plate_thickness_mm"] * MM
        self.leak = slot.get("leak_mm2", 0.0) * 1e-6
        self.slot_area = (self.w_root + sum(self.sides)) * (L + self.c_tip)

        plan = self.w_root * L
        self.M = self.rho * (T + 0.85 * np.sqrt(plan / pi)) / plan
        if chamber:
            volume, area = chamber["volume_mm3"] * 1e-9, chamber["channel_area_mm2"] * 1e-6
            length = chamber["channel_length_mm"] * MM
            self.M += self.rho * (length + 0.85 * np.sqrt(area / pi)) / area
            self.loss = self.rho / (2 * area**2)
        else:
            volume, self.loss = plan * T, 0.0
        self.C = volume / (self.rho * self.c0**2)
        # Square root of energy per unit of each state variable.
        self.energy = np.sqrt(np.concatenate([self.m * self.omega**2, self.m, [self.C, self.M]]) / 2)

    def distance(self, y, h, c):
        """From the reed's edge to the slot's edge."""
        return np.sqrt(c**2 + positive(y)**2 + positive(-self.T - h - y)**2)

    def overlap(self, y, h):
        """Length along which reed and slot wall face each other."""
        return positive(self.T - positive(-y - h) - positive(y + self.T))

    def flow(self, q, dp):
        """(U_e, U_s, U, beta, overlap along the reed) at the deflections q and pressure dp."""
        y = self.y0 + q @ self.phi
        l = self.overlap(y, self.h)
        conductance = 0.0       # U_e / dp
        for c in self.sides if self.sides[0] != self.sides[1] else self.sides[:1]:
            d = self.distance(y, self.h, c)
            conductance += self.weight @ (d * series_speed(dp, d, l, self.rho, self.mu))
        if self.sides[0] == self.sides[1]:
            conductance *= 2
        y_tip = self.gap + q[0] + q[1]
        d, l_tip = self.distance(y_tip, self.h_tip, self.c_tip), self.overlap(y_tip, self.h_tip)
        conductance += self.w_tip * d * series_speed(dp, d, l_tip, self.rho, self.mu)
        u_e = conductance * dp
        beta = 1 / (1 + conductance**2 * magnitude(dp) * self.rho / (2 * ALPHA**2 * self.slot_area**2))
        u_s = ALPHA * self.slot_area * np.sqrt(2 * magnitude(dp) / self.rho)
        return u_e, u_s, u_e * np.sqrt(beta), beta, l

    def leak_flow(self, dp):
        return self.leak * np.sqrt(2 / self.rho) * dp / (dp**2 + 1.0) ** 0.25

    def rhs(self, x, p_mouth):
        """Rate of change of the state under the mouth pressure."""
        q, v, p, uc = x[:2], x[2:4], x[4], x[5]
        _, _, u, beta, l = self.flow(q, p)
        V = v @ self.phi
        drag = 0.5 * self.rho * DRAG * self.w * V * np.where(V.real < 0, -V, V)
        drag = drag + self.mu * l * (1 / self.sides[0] + 1 / self.sides[1]) * V
        force = -beta * p * self.S - self.phi @ (self.weight * drag)
        out = np.empty_like(x)
        out[:2] = v
        out[2:4] = force / self.m - 2 * self.zeta * self.omega * v - self.omega**2 * q
        out[4] = (uc - u - self.leak_flow(p) + self.S @ v) / self.C
        out[5] = (p_mouth - p - self.loss * uc * magnitude(uc)) / self.M
        return out

    def outflow(self, x):
        """(U + U_leak, net outflow with the reed's own sweep taken off)."""
        u = self.flow(x[:2], x[4])[2] + self.leak_flow(x[4])
        return u, u - self.S @ x[2:4]


# --- 6. Rest under pressure and its stability -------------------------------------

class Stability:
    """The rest branch followed from P = 0, and the first mode along it.

    At rest q_i = -F S_i / (m_i omega_i^2) with F = beta p, so the branch is one
    curve with F as its parameter: p(F) and P(F) follow, and a fold is where P(F)
    turns back."""

    def __init__(self, reed, limit=LIMIT, step=0.01):
        self.reed, self.limit, self.fold = reed, limit, None
        forces, pressures = [0.0], [0.0]
        f = 0.01
        while pressures[-1] < limit * 1.02:
            forces.append(f)
            pressures.append(self.rest(f)[1])
            if pressures[-1] <= pressures[-2]:
                top = minimize_scalar(lambda z: -self.rest(z)[1], bounds=(forces[-3], f),
                                      method="bounded", options={"xatol": 1e-9 * f})
                forces[-1], pressures[-1], self.fold = top.x, -top.fun, -top.fun
                break
            f *= 1.004
        self.forces, self.pressures = np.array(forces), np.array(pressures)
        if self.fold is not None and self.fold >= limit:
            self.fold = None
        self._scan(step)

    def rest(self, force):
        """(state, mouth pressure) at the effective pressure F on the reed."""
        r = self.reed
        q = -force * r.S / (r.m * r.omega**2)

        def excess(p):
            return r.flow(q, p)[3] * p - force
        high = max(force, 1e-9)
        while excess(high) < 0:
            high *= 1.5
        p = brentq(excess, 0.0, high, xtol=1e-13, rtol=1e-14) if force > 0 else 0.0
        u = r.flow(q, p)[2] + r.leak_flow(p)
        return np.array([*q, 0.0, 0.0, p, u]), p + r.loss * u * abs(u)

    def equilibrium(self, pressure):
        """State at rest on the branch that starts at P = 0."""
        i = int(np.searchsorted(self.pressures, pressure))
        lo, hi = self.forces[i - 1], self.forces[i]
        f = brentq(lambda z: self.rest(z)[1] - pressure, lo, hi, xtol=1e-14, rtol=1e-13)
        return self.rest(f)[0]

    def modes(self, pressure):
        """(eigenvalues, eigenvectors of unit energy) of small motion, Im >= 0 only."""
        x, e = self.equilibrium(pressure), self.reed.energy
        jac = np.empty((6, 6))
        for k in range(6):
            z = x.astype(complex)
            dx = 1e-30 / e[k]
            z[k] += 1j * dx
            jac[:, k] = self.reed.rhs(z, complex(pressure)).imag / dx
        lam, vec = eig(e[:, None] * jac / e[None, :])
        keep = lam.imag >= 0
        return lam[keep], vec[:, keep]

    def first(self, pressure, known):
        """(eigenvalue, eigenvector) of the first mode next to a known eigenvector."""
        lam, vec = self.modes(pressure)
        overlap = abs(known.conj() @ vec)
        i = int(np.argmax(overlap))
        return lam[i], vec[:, i], overlap[i], [z for j, z in enumerate(lam) if j != i]

    def follow(self, p0, v0, p1, depth=0):
        """Eigenpair at p1 by continuity from p0, halving the step where the shape turns fast."""
        lam, vec, overlap, others = self.first(p1, v0)
        if overlap < 0.97 and depth < 12:
            mid = np.sqrt(p0 * p1)
            _, v_mid, _ = self.follow(p0, v0, mid, depth + 1)
            return self.follow(mid, v_mid, p1, depth + 1)
        return lam, vec, others

    def _scan(self, step):
        end = self.fold * (1 - 1e-9) if self.fold else self.limit
        n = int(np.ceil(np.log(end) / np.log(1 + step)))
        grid = np.exp(np.linspace(0.0, np.log(end), n + 1))
        grid[0], grid[-1] = 1.0, end
        lam, vec = self.modes(grid[0])
        share = np.where(lam.imag > 0, abs(vec[0])**2 + abs(vec[2])**2, -1)
        i = int(np.argmax(share))
        others = [z for j, z in enumerate(lam) if j != i]
        self.grid, self.lam, self.vec, self.others = grid, [lam[i]], [vec[:, i]], [others]
        for a, b in zip(grid[:-1], grid[1:]):
            lam1, vec1, others = self.follow(a, self.vec[-1], b)
            self.lam.append(lam1)
            self.vec.append(vec1)
            self.others.append(others)
        self.lam = np.array(self.lam)

    def at(self, pressure):
        """Eigenvalue of the first mode at any scanned pressure."""
        i = int(np.clip(np.searchsorted(self.grid, pressure) - 1, 0, len(self.grid) - 2))
        return self.follow(self.grid[i], self.vec[i], pressure)[0]

    def _cross(self, i, level):
        """Pressure between grid points i and i + 1 at which the growth passes a level."""
        return brentq(lambda p: self.at(p).real - level, self.grid[i] * (1 + 1e-12), self.grid[i + 1], rtol=1e-12)

    def thresholds(self):
        """Onset, choke, fold, and every pressure window with growth."""
        g = self.lam.real
        windows, start = [], 1.0 if g[0] > 0 else None
        for i in range(len(g) - 1):
            if g[i] <= 0 < g[i + 1]:
                start = self._cross(i, 0.0)
            elif g[i] > 0 >= g[i + 1]:
                windows.append([start, self._cross(i, 0.0)])
                start = None
        if start is not None:
            windows.append([start, self.grid[-1]])
        out = {"onset_pressure_pa": None, "onset_frequency_hz": None, "choke_pressure_pa": None,
               "fold_pressure_pa": self.fold, "largest_growth_per_s": None, "windows_pa": windows}
        squeal = [(p, z) for p, zs in zip(self.grid, self.others) for z in zs if z.real > 0 and z.imag > 0]
        out["other_mode_unstable_from_pa"] = squeal[0][0] if squeal else None
        out["other_mode_frequency_hz"] = squeal[0][1].imag / (2 * pi) if squeal else None
        if windows:
            onset = windows[0][0]
            out["onset_pressure_pa"] = onset
            out["onset_frequency_hz"] = self.at(onset).imag / (2 * pi)
            top = int(np.argmax(g))
            lo, hi = self.grid[max(top - 1, 0)], self.grid[min(top + 1, len(g) - 1)]
            peak = minimize_scalar(lambda p: -self.at(p).real, bounds=(lo, hi), method="bounded",
                                   options={"xatol": 1e-8 * hi})
            s_max = max(-peak.fun, g[top])
            out["largest_growth_per_s"] = s_max
            for i in range(top, len(g) - 1):
                if g[i + 1] < 0.05 * s_max:
                    out["choke_pressure_pa"] = self._cross(i, 0.05 * s_max)
                    break
        return out


# --- 6. Sounding --------------------------------------------------------------------

def crossings(t, x):
    """Times of upward crossings of x through its mean."""
    x = x - (x.max() + x.min()) / 2
    i = np.nonzero((x[:-1] < 0) & (x[1:] >= 0))[0]
    return t[i] - x[i] * (t[i + 1] - t[i]) / (x[i + 1] - x[i])


def sliding_half_range(x, n):
    """Half the peak-to-peak of the last n + 1 samples, at each sample."""
    padded = np.concatenate([np.full(n, x[0]), x])
    view = np.lib.stride_tricks.sliding_window_view(padded, n + 1)
    return (view.max(axis=1) - view.min(axis=1)) / 2


class Attack:
    """A time run from rest under a mouth pressure that rises and then stays.

    It goes on until the tip's half range changes by less than `tight` over ten periods."""

    def __init__(self, reed, pressure, rise=0.010, tight=1e-5, rtol=1e-9):
        self.reed, self.P, self.rise, self.rtol = reed, pressure, rise, rtol
        period = 2 * pi / reed.omega[0]
        # Samples in a period of the plucked reed: enough for 20 kHz too.
        self.per_period = int(np.ceil(max(500, 200e3 * period)))
        self.dt = period / self.per_period
        a, flow = max(abs(reed.gap), 1e-4), reed.slot_area * np.sqrt(2 * pressure / reed.rho)
        self.scale = np.array([a, a, a * reed.omega[0], a * reed.omega[0], pressure, flow])
        self.now, self.z = 0.0, np.zeros(6)
        self.t, self.x = np.array([0.0]), np.zeros((6, 1))
        self.run(rise)      # a step ends where the rise ends
        self.run(rise + 40 * period)
        while not (settled := self.change() < tight) and self.now < max(2.0, 600 * period):
            self.run(self.now + 10 * period)
        self.settled = settled
        self.run(self.now + 14 * period)

    def mouth(self, t):
        x = min(t / self.rise, 1.0)
        return self.P * (3 * x**2 - 2 * x**3)

    def run(self, end):
        """Integrate on to `end`, sampling every dt."""
        sol = solve_ivp(lambda t, z: self.reed.rhs(z * self.scale, self.mouth(t)) / self.scale,
                        (self.now, end), self.z, method="LSODA", rtol=self.rtol,
                        atol=self.rtol / 100, dense_output=True)
        first, last = len(self.t), int(np.floor(end / self.dt))
        t = self.dt * np.arange(first, last + 1)
        self.t = np.concatenate([self.t, t])
        self.x = np.concatenate([self.x, sol.sol(t) * self.scale[:, None]], axis=1)
        self.now, self.z = end, sol.y[:, -1]

    def change(self):
        """Relative change of the tip's half range over ten periods."""
        y, n = self.x[0] + self.x[1], 2 * self.per_period
        late, early = np.ptp(y[-n:]), np.ptp(y[-6 * n:-5 * n])
        return abs(late - early) / max(late, 2e-6)

    def states(self, t):
        """States at any times inside the run."""
        near = (self.t > np.min(t) - 20 * self.dt) & (self.t < np.max(t) + 20 * self.dt)
        return CubicSpline(self.t[near], self.x[:, near], axis=1)(t)

    def read(self):
        """Steady values over a whole period, speaking times, level at 1 m."""
        r, recent = self.reed, slice(-12 * self.per_period, None)
        out = {"pressure_pa": self.P, "rise_s": self.rise, "settled": bool(self.settled), "run_s": self.now}
        turns = crossings(self.t[recent], self.x[0, recent] + self.x[1, recent])
        amplitude = np.ptp(self.x[0, recent] + self.x[1, recent]) / 2
        if amplitude < 1e-6 or len(turns) < 3:
            return out | {"speaks": False, "tip_amplitude_m": amplitude}
        period, n = np.mean(np.diff(turns)), 4096
        x = self.states(turns[-1] - period * (1 - np.arange(n) / n))
        tip = r.gap + x[0] + x[1]
        total, net = np.array([r.outflow(column) for column in x.T]).T
        k = np.arange(1, int(20e3 * period) + 1)
        rate = 2 * pi * k / period * abs(np.fft.rfft(net)[k]) / n * np.sqrt(2)
        p_rms = r.rho * np.sqrt(np.sum(rate**2)) / (4 * pi)
        out |= {"speaks": True, "tip_amplitude_m": np.ptp(tip) / 2, "mean_tip_m": tip.mean(),
                "frequency_hz": 1 / period, "mean_flow_m3_s": total.mean(),
                "level_db_at_1m": 20 * log10(p_rms / 20e-6),
                "period_scatter": np.ptp(np.diff(turns)) / period}
        envelope = sliding_half_range(self.x[2] + self.x[3], int(round(period / self.dt)))
        steady = np.ptp(x[2] + x[3]) / 2
        for name, part in (("t50_s", 0.5), ("t90_s", 0.9)):
            i = np.nonzero(envelope < part * steady)[0][-1]
            lost = i + 1 == len(envelope)
            out[name] = None if lost else self.t[i] + self.dt * (
                (part * steady - envelope[i]) / (envelope[i + 1] - envelope[i]))
        return out
