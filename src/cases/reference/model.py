"""Reference model of a free reed, version 2: slot flow, motion, and the air behind it as a ladder of sections.

SI units.  `y(s)` is the height of the reed's underside above the plate's upper face, positive away from the plate.

The state is  x = (q1, q2, q1', q2', p, U_g)  on a windchest, with  (p_c, U_c)  behind a chamber and  p_m  with a player.
There is one statement of the equations of motion, `rates`, compiled for real numbers (runs in time) and for complex ones
(derivatives by complex steps, for stability).
"""

import tomllib
from collections import namedtuple
from math import pi

import numba
import numpy as np
from numpy.polynomial.legendre import leggauss

from beam import Beam

KAPPA = 32 / (12 * pi)      # creeping flow through a slit in a thin plate
MM = 1e-3
POINTS = 32                 # of Gauss-Legendre quadrature on each span between stations

# What the equations need of one reed, as plain numbers.
Numbers = namedtuple("Numbers", "T rho mu alpha drag left right tip gap h_tip w_tip slot_area leak zeta "
                     "C_s M_s C_c M_c R_c K_c C_m R_l S1 S2 m1 m2 omega1 omega2")


# --- 2 and 3. Opening and flow ---------------------------------------------------------

@numba.njit(cache=True)
def numbers(a):
    """Numbers from an array, which is cheaper to hand over."""
    return Numbers(a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7], a[8], a[9],
                   a[10], a[11], a[12], a[13], a[14], a[15], a[16], a[17], a[18], a[19],
                   a[20], a[21], a[22], a[23], a[24], a[25], a[26], a[27])


@numba.njit(cache=True)
def positive(x):
    """max(x, 0), analytic on either side of the kink."""
    return x if x.real > 0 else 0.0 * x


@numba.njit(cache=True)
def magnitude(x):
    """|x| of a real x, continued analytically for complex steps."""
    return -x if x.real < 0 else x


@numba.njit(cache=True)
def overlap(y, h, T):
    """Length along which reed and slot wall face each other: max(0, min(0, y + h) - max(-T, y))."""
    return positive(-positive(-y - h) + T - positive(y + T))


@numba.njit(cache=True)
def distance(y, h, T, c):
    """From the reed's edge to the slot's edge."""
    above, below = positive(y), positive(-T - h - y)
    return np.sqrt(c * c + above * above + below * below)


@numba.njit(cache=True)
def speed_per_pascal(dp, d, l, rho, mu, alpha):
    """v / dp, v the positive root of |dp| = rho v^2 / (2 alpha^2) + 12 mu (l + kappa d) v / d^2."""
    a = rho / (2 * alpha**2)
    b = 12 * mu * (l + KAPPA * d) / (d * d)
    return 2 / (b + np.sqrt(b * b + 4 * a * magnitude(dp)))


@numba.njit(cache=True)
def flow(q0, q1, p, place, n):
    """(U_e, (U_e/U_s)^2, U, beta) at the deflections q and the pressure p at the reed."""
    T, rho, mu, alpha = n.T, n.rho, n.mu, n.alpha
    conductance = 0.0 * p      # U_e / p
    for k in range(place.shape[0]):
        weight, h, y = place[k, 0], place[k, 2], place[k, 5] + q0 * place[k, 3] + q1 * place[k, 4]
        l = overlap(y, h, T)
        d = distance(y, h, T, n.left)
        side = d * speed_per_pascal(p, d, l, rho, mu, alpha)
        conductance += weight * side
        if n.right != n.left:
            d = distance(y, h, T, n.right)
            side = d * speed_per_pascal(p, d, l, rho, mu, alpha)
        conductance += weight * side
    y = n.gap + q0 + q1
    d = distance(y, n.h_tip, T, n.tip)
    conductance += n.w_tip * d * speed_per_pascal(p, d, overlap(y, n.h_tip, T), rho, mu, alpha)
    ratio = conductance * conductance * magnitude(p) * rho / (2 * alpha**2 * n.slot_area**2)
    beta = 1 / (1 + ratio)
    return conductance * p, ratio, conductance * p * np.sqrt(beta), beta


@numba.njit(cache=True)
def leak_flow(dp, n):
    """U_leak = A_leak sqrt(2/rho) dp / (dp^2 + (1 Pa)^2)^(1/4)."""
    return n.leak * np.sqrt(2 / n.rho) * dp / np.sqrt(np.sqrt(dp * dp + 1.0))


# --- 4 and 5. Motion and air -----------------------------------------------------------

@numba.njit(cache=True)
def rates(x, pressure, place, n):
    """Rate of change of the state; `pressure` is P: of the windchest, the mouth, or the lungs where there is a player."""
    q0, q1, v0, v1, p, u_g = x[0], x[1], x[2], x[3], x[4], x[5]
    through, beta = flow(q0, q1, p, place, n)[2:4]
    drag0, drag1 = 0.0 * p, 0.0 * p
    for k in range(place.shape[0]):
        y = place[k, 5] + q0 * place[k, 3] + q1 * place[k, 4]
        V = v0 * place[k, 3] + v1 * place[k, 4]
        film = n.mu * overlap(y, place[k, 2], n.T) * (1 / n.left + 1 / n.right)
        force = place[k, 0] * (0.5 * n.rho * n.drag * place[k, 1] * magnitude(V) + film) * V
        drag0 += place[k, 3] * force
        drag1 += place[k, 4] * force
    out = np.empty_like(x)
    out[0], out[1] = v0, v1
    out[2] = (-beta * p * n.S1 - drag0) / n.m1 - 2 * n.zeta * n.omega1 * v0 - n.omega1**2 * q0
    out[3] = (-beta * p * n.S2 - drag1) / n.m2 - 2 * n.zeta * n.omega2 * v1 - n.omega2**2 * q1
    out[4] = (u_g - through + n.S1 * v0 + n.S2 * v1) / n.C_s
    behind = x[6] if len(x) > 6 else pressure + 0.0 * p
    out[5] = (behind - p) / n.M_s
    if len(x) > 6:
        u_c = x[7]
        mouth = x[8] if len(x) > 8 else pressure + 0.0 * p
        out[6] = (u_c - u_g - leak_flow(x[6], n)) / n.C_c
        out[7] = (mouth - x[6] - n.R_c * u_c - n.K_c * u_c * magnitude(u_c)) / n.M_c
        if len(x) > 8:
            out[8] = ((pressure - mouth) / n.R_l - u_c) / n.C_m
    return out


class Reed:
    """One reed on its plate with the air behind it, from a TOML description and the model's own coefficients."""

    def __init__(self, toml, inertance_factor=1.3, contraction=0.61, drag=5.0, channel_perimeter_mm=None):
        data = tomllib.loads(toml)
        reed, slot, air = data["reed"], data["slot"], data.get("air", {})
        self.rho = air.get("density_kg_m3", 1.13)
        self.c0 = air.get("sound_speed_m_s", 353.0)
        self.mu = air.get("viscosity_pa_s", 1.9e-5)
        self.mu_M, self.alpha, self.drag = inertance_factor, contraction, drag
        self._tongue(reed)
        self._rest(reed)
        self._slot(slot)
        self.states = 6
        self._air(data.get("chamber"), channel_perimeter_mm, data.get("player"))
        self._compile()

    def _tongue(self, reed):
        def section(name):
            stations = reed.get(name + "_stations_mm")
            return [[s * MM, v * MM] for s, v in stations] if stations else reed[name + "_mm"] * MM

        self.L = reed["length_mm"] * MM
        self.beam = Beam(self.L, section("width"), section("thickness"), reed["density_kg_m3"],
                         reed["youngs_modulus_gpa"] * 1e9, reed.get("tip_mass_mg", 0.0) * 1e-6,
                         reed.get("root_spring_n_m_per_rad"))
        self.omega, self.m, self.S = self.beam.omega, self.beam.modal_mass, self.beam.S
        # Default Q = 100 sqrt(f / 440 Hz), f the plucked pitch.
        self.Q = reed.get("quality_factor", 100 * np.sqrt(self.omega[0] / (2 * pi) / 440))
        self.zeta = 0.5 / self.Q

    def _rest(self, reed):
        """Rest shape and widths at the points of quadrature."""
        x, g = leggauss(POINTS)
        ends = list(zip(self.beam.spans[:-1], self.beam.spans[1:]))
        place = [(a + (b - a) * (x + 1) / 2, a, b) for a, b in ends]
        s = np.concatenate([p[0] for p in place])
        weight = np.concatenate([g * (b - a) / 2 for a, b in ends])
        w = np.concatenate([self.beam.w.on(*p) for p in place])
        h = np.concatenate([self.beam.h.on(*p) for p in place])
        self.gap = reed["tip_gap_mm"] * MM
        root = reed.get("root_gap_mm", 0.0) * MM
        y0 = root + (self.gap - root) * (s / self.L) ** reed.get("rest_exponent", 2.0)
        self.place = np.column_stack([weight, w, h, *self.beam.phi(s), y0])

    def _slot(self, slot):
        c = slot.get("side_clearance_mm")
        self.left, self.right = (slot.get(k + "_clearance_mm", c) * MM for k in ("left", "right"))
        self.tip = slot["tip_clearance_mm"] * MM
        self.T = slot["plate_thickness_mm"] * MM
        self.leak = slot.get("leak_mm2", 0.0) * 1e-6
        self.h_tip, self.w_tip, w = self.beam.h.v[-1], self.beam.w.v[-1], self.beam.w.v[0]
        self.slot_area = (w + self.left + self.right) * (self.L + self.tip)
        plan = w * self.L
        self.M_s = self.mu_M * self.rho * (self.T + 0.85 * np.sqrt(plan / pi)) / plan
        self.C_s = self.compliance(plan * self.T)

    def compliance(self, volume):
        return volume / (self.rho * self.c0**2)

    def _air(self, chamber, perimeter_mm, player):
        self.C_c = self.M_c = self.R_c = self.K_c = self.e = self.C_m = self.R_l = 0.0
        if chamber:
            self.states = 8
            area, length = chamber["channel_area_mm2"] * 1e-6, chamber["channel_length_mm"] * MM
            perimeter = 2 * np.sqrt(pi * area) if perimeter_mm is None else perimeter_mm * MM
            delta = np.sqrt(2 * self.mu / (self.rho * self.omega[0]))
            self.e = delta * perimeter / (2 * area)
            self.C_c = self.compliance(chamber["volume_mm3"] * 1e-9)
            self.R_c = self.omega[0] * self.rho * length * self.e / area
            self.M_c = self.mu_M * self.rho * (length * (1 + self.e) + 0.85 * np.sqrt(area / pi)) / area
            self.K_c = 1.5 * self.rho / (2 * area**2)
        if player:
            self.states = 9
            self.C_m = self.compliance(player["mouth_volume_cm3"] * 1e-6)
            self.R_l = player["lung_resistance_pa_s_m3"]

    def _compile(self):
        plain = {name: float(getattr(self, name)) for name in Numbers._fields if hasattr(self, name)}
        modal = {f"{name}{i + 1}": float(getattr(self, name)[i]) for name in ("S", "m", "omega") for i in range(2)}
        self.n = Numbers(**plain, **modal)

    def flow(self, q, p):
        """(U_e, (U_e/U_s)^2, U, beta)."""
        return flow(q[0], q[1], p, self.place, self.n)

    def leak_flow(self, dp):
        """Stray leak at the chamber's pressure; on a windchest it takes nothing from the reed."""
        return leak_flow(dp, self.n) if self.states > 6 else 0.0

    def rates(self, x, pressure):
        return rates(x, pressure, self.place, self.n)

