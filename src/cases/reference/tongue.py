"""What pitch and stiffness say of a tongue of which only sizes are known, and the loss of the metal itself (section 1).

Another way than the finite elements of beam.py: the polynomials s^2 P_n(2 s - 1), P_n of Legendre, as one Ritz basis over
the whole tongue, which is smooth; for a uniform strip with a weight at its tip the exact equation of its frequencies is
solved besides, and must agree.
"""

from math import cos, cosh, pi, sin, sinh, sqrt

import numpy as np
from numpy.polynomial import legendre
from scipy.linalg import eigh
from scipy.optimize import brentq

TERMS, POINTS = 18, 60


class Tongue:
    """A tongue with its width and thickness falling or growing evenly, and a weight at the tip; built in."""

    def __init__(self, length, widths, thicknesses, e, rho, tip_mass=0.0):
        x, g = legendre.leggauss(POINTS)
        u, g = (x + 1) / 2, g / 2
        w = widths[0] + (widths[1] - widths[0]) * u
        h = thicknesses[0] + (thicknesses[1] - thicknesses[0]) * u
        stiff = e * w * h**3 / 12
        self.mass = rho * length * g @ (w * h)
        self.stiffness = 1 / (g @ (length**3 * (1 - u)**2 / stiff))
        shape, bend, tip = self._basis(x, u)
        k = (bend * g * stiff) @ bend.T / length**3
        m = (shape * g * rho * w * h) @ shape.T * length + tip_mass * np.outer(tip, tip)
        largest, vec = eigh(m, k, subset_by_index=[TERMS - 1, TERMS - 1])
        self.frequency = 1 / sqrt(largest[0]) / (2 * pi)
        energy = g * stiff * (vec[:, 0] @ bend)**2
        self.bending_thickness = energy @ h / energy.sum()

    @staticmethod
    def _basis(x, u):
        """Shapes and their second derivatives by u = s/L at the points, and shapes at the tip."""
        one = np.eye(TERMS)
        p, d, dd = (np.array([legendre.legval(x, legendre.legder(c, k)) * 2**k for c in one]) for k in range(3))
        return u**2 * p, 2 * p + 4 * u * d + u**2 * dd, np.ones(TERMS)


def uniform_with_weight(length, width, thickness, e, rho, share):
    """Frequency of a uniform strip with a weight at the tip, from its exact equation."""
    def zero(z):
        return 1 + cos(z) * cosh(z) + share * z * (cos(z) * sinh(z) - sin(z) * cosh(z))
    z = brentq(zero, 0.3, 1.8752, xtol=1e-15)
    return z**2 / (2 * pi * length**2) * thickness * sqrt(e / (12 * rho))


def solve(length, widths, e, rho, pitch, stiffness):
    """Root thickness and weight or taper that give both pitch and stiffness: frequency grows as the thickness, stiffness
    as its cube, whatever the profile."""
    unit = 1e-4

    def at(kind, x):
        thicknesses = (unit, unit * (1 - x) if kind == "tau" else unit)
        plain = Tongue(length, widths, thicknesses, e, rho)
        loaded = Tongue(length, widths, thicknesses, e, rho, x * plain.mass) if kind == "phi" else plain
        scale = pitch / loaded.frequency
        return scale * unit, scale**3 * plain.stiffness, scale * plain.mass * (x if kind == "phi" else 0.0)

    plain = at("phi", 0.0)[1]
    kind, most = ("phi", 1.0) if stiffness > plain else ("tau", 0.8)
    reach = at(kind, most)[1]
    out = {"plain_stiffness_n_m": plain, "profile": kind, "reach_n_m": reach,
           "value": None, "root_thickness_m": None, "tip_mass_kg": None}
    if (reach - stiffness) * (plain - stiffness) <= 0:
        x = brentq(lambda x: at(kind, x)[1] - stiffness, 0.0, most, xtol=1e-14, rtol=1e-13)
        out["value"], (out["root_thickness_m"], _, out["tip_mass_kg"]) = x, at(kind, x)
        if kind == "phi" and widths[0] == widths[1]:
            exact = uniform_with_weight(length, widths[0], out["root_thickness_m"], e, rho, x)
            assert abs(exact / pitch - 1) < 1e-9, exact
    return out


# length mm, widths at root and tip mm, E GPa, density, pitch Hz, stiffness N/m
PROFILES = [
    ("low brass reed with weight", 16.8, (2.2, 2.2), 110.0, 8530.0, 262.0, 62.0),
    ("lower brass reed with weight", 18.0, (2.3, 2.3), 110.0, 8530.0, 196.0, 60.0),
    ("narrowing steel reed with weight", 15.0, (2.4, 1.8), 200.0, 7850.0, 330.0, 60.0),
    ("brass reed as good as plain", 13.5, (2.1, 2.1), 110.0, 8530.0, 523.0, 50.0),
    ("high brass reed thinned to the tip", 10.3, (2.0, 2.0), 110.0, 8530.0, 1047.0, 120.0),
    ("narrowing bronze reed thinned to the tip", 12.0, (2.3, 1.7), 111.0, 8860.0, 784.0, 50.0),
    ("pitch and stiffness that contradict each other", 10.0, (2.0, 2.0), 110.0, 8530.0, 1047.0, 40.0),
]

# From memory, handbook values at 20 degC: E GPa, density, expansion 1/K, heat capacity J/(kg K), conductivity W/(m K).
METALS = {
    "brass, 30 % zinc": (110.0, 8530.0, 19.9e-6, 375.0, 120.0),
    "phosphor bronze, 5 % tin": (110.0, 8860.0, 17.8e-6, 377.0, 80.0),
    "spring steel": (206.0, 7850.0, 11.7e-6, 480.0, 50.0),
}
WARMTH_K = 293.15

# metal, length mm, width mm, thickness at root and tip mm
THERMOELASTIC = [
    ("brass, 30 % zinc", 15.0, 2.0, (0.20, 0.20)),
    ("phosphor bronze, 5 % tin", 40.0, 4.0, (0.35, 0.35)),
    ("spring steel", 12.0, 2.0, (0.12, 0.08)),
]


def profiles():
    rows = []
    for name, length, widths, e, rho, pitch, stiffness in PROFILES:
        found = solve(length * 1e-3, [w * 1e-3 for w in widths], e * 1e9, rho, pitch, stiffness)
        rows.append({"name": name, "length_m": length * 1e-3, "root_width_m": widths[0] * 1e-3,
                     "tip_width_m": widths[1] * 1e-3, "youngs_modulus_pa": e * 1e9, "density_kg_m3": rho,
                     "pitch_hz": pitch, "stiffness_n_m": stiffness} | found)
    return rows


def thermoelastic():
    """1/Q = D w th / (1 + (w th)^2), D = E a^2 T / (rho c), th = h^2 rho c / (pi^2 k) (Zener 1937)."""
    rows = []
    for metal, length, width, thicknesses in THERMOELASTIC:
        e, rho, a, c, k = METALS[metal]
        thick = [h * 1e-3 for h in thicknesses]
        tongue = Tongue(length * 1e-3, [width * 1e-3] * 2, thick, e * 1e9, rho)
        w, h = 2 * pi * tongue.frequency, tongue.bending_thickness
        strength, time = e * 1e9 * a**2 * WARMTH_K / (rho * c), h**2 * rho * c / (pi**2 * k)
        rows.append({"metal": metal, "length_m": length * 1e-3, "width_m": width * 1e-3, "root_thickness_m": thick[0],
                     "tip_thickness_m": thick[1], "youngs_modulus_pa": e * 1e9, "density_kg_m3": rho,
                     "expansion_per_k": a, "heat_capacity_j_kg_k": c, "conductivity_w_m_k": k,
                     "temperature_k": WARMTH_K, "frequency_hz": tongue.frequency, "bending_thickness_m": h,
                     "relaxation_time_s": time, "largest_quality_factor": (1 + (w * time)**2) / (strength * w * time)})
    return rows


if __name__ == "__main__":
    for row in profiles() + thermoelastic():
        print(row)
