"""Tongues bent past yield with large rotations, and the elastic cantilever under a dead load, solved with scipy.

    python3 bend.py     writes bend.json beside this file

Shares no code with the crate and goes another way: in the frame of the plate, from the clamp to the push, with the moment
at the clamp, the directions of push and support and the place that rests on the support as unknowns of a root finder; the
curvature from a root of the moment of a strip of fibres. Metal that yields roundly (Ramberg and Osgood, 0.002 at the yield
strength) is summed fibre by fibre, the stress of each from a root of its strain. Units here: mm, N, MPa.
"""

import json
import platform
from pathlib import Path

import numpy as np
import scipy
from scipy.integrate import quad, solve_bvp, solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, root


def moment_ratio(k):
    """Moment over the moment that just yields, of fibres of a rectangle: integral of stress times height."""
    if abs(k) <= 1:
        return k
    core = 1 / abs(k)  # share of the half height that is elastic
    elastic = core**2  # integral of (z/core) z, times 3, over the core
    plastic = 1.5 * (1 - core**2)
    return np.sign(k) * (elastic + plastic)


def curvature_ratio(m):
    if abs(m) <= 1:
        return m
    return brentq(lambda k: moment_ratio(k) - m, np.sign(m), 60 * np.sign(m), xtol=1e-14, rtol=1e-14)


def fibre_stress(strain, elastic, n):
    """Stress over the yield strength at a strain; both over those of the elastic metal at the yield strength."""
    a = 0.002 / elastic
    return brentq(lambda s: s + a * s**n - strain, 0.0, strain + 1e-300, xtol=1e-15, rtol=1e-14) if strain > 0 else 0.0


def round_moment(k, elastic, n):
    """As moment_ratio, 3 times the integral over the half height of stress times height."""
    found = quad(lambda z: fibre_stress(k * z, elastic, n) * z, 0, 1, epsabs=1e-13, epsrel=1e-13, limit=200)
    return 3 * found[0]


def round_section(k, elastic, n):
    work, _ = quad(lambda x: round_moment(x, elastic, n), 0, k, epsabs=1e-12, epsrel=1e-12, limit=200)
    return {"exponent": n, "elastic_strain": elastic, "curvature_ratio": k, "moment_ratio": round_moment(k, elastic, n),
            "work_ratio": work}


def round_curvature(elastic, n):
    """Curvature ratio at a moment ratio, odd, by a spline through sums over the fibres."""
    k = np.concatenate([[0.0], np.geomspace(1e-3, 8.0, 3000)])
    spline = CubicSpline([round_moment(x, elastic, n) for x in k], k)
    return lambda m: np.sign(m) * spline(abs(m))


class Tongue:
    def __init__(self, case):
        self.curvature = curvature_ratio
        self.largest = 1.499
        if case.get("exponent"):
            elastic = case["yield_mpa"] / case["young_mpa"]
            self.curvature = round_curvature(elastic, case["exponent"])
            self.largest = round_moment(7.9, elastic, case["exponent"])
        self.length = case["length_mm"]
        self.young, self.strength = case["young_mpa"], case["yield_mpa"]
        self.width, self.thickness = case["width_mm"], case["thickness_mm"]
        self.gap, self.exponent = case["tip_gap_mm"], case["rest_exponent"]

    def section(self, s):
        x = s / self.length
        w = self.width[0] + (self.width[1] - self.width[0]) * x
        h = self.thickness[0] + (self.thickness[1] - self.thickness[0]) * x
        return w, h

    def rest_angle(self, s):
        b = self.exponent
        return np.arcsin(self.gap * b / self.length * (s / self.length) ** (b - 1))

    def slopes(self, s, state, force):
        """Turn by bending, x, y, M, turn of the set shape, its height."""
        turn, _, _, moment, turn_set, _ = state
        w, h = self.section(s)
        yields, stiffness = self.strength * w * h**2 / 6, self.young * w * h**3 / 12
        added = yields / stiffness * self.curvature(np.clip(moment / yields, -self.largest, self.largest))
        theta = self.rest_angle(s) + turn
        return [added, np.cos(theta), np.sin(theta), np.sin(theta) * force[0] - np.cos(theta) * force[1],
                added - moment / stiffness, np.sin(self.rest_angle(s) + turn_set)]

    def walk(self, start, stop, state, force):
        found = solve_ivp(self.slopes, (start, stop), state, method="DOP853", rtol=1e-10, atol=1e-12,
                          args=(force,), max_step=0.02 * self.length)
        return found.y[:, -1]


def bend(case):
    """The tongue under the force of a case. The push is down; up is up here."""
    tongue = Tongue(case)
    sign = -1 if case["direction"] == "down" else 1
    force, place, edge = case["force_n"], case["place_mm"], case.get("support_mm")

    def across(theta):
        return sign * np.array([-np.sin(theta), np.cos(theta)])

    def walk(unknowns):
        moment, push_angle = unknowns[:2]
        push = force * across(push_angle)
        state = [0.0, 0.0, 0.0, moment, 0.0, 0.0]
        rest = []
        start = 0.0
        if edge:
            support_angle, support, at = unknowns[2:]
            state = tongue.walk(0.0, at, state, push - support * across(support_angle))
            rest = [state[0] + tongue.rest_angle(at) - support_angle, state[1] - edge[0], state[2] - edge[1]]
            start = at
        state = tongue.walk(start, place, state, push)
        return state, [state[3], state[0] + tongue.rest_angle(place) - push_angle, *rest]

    arm = place - (edge[0] if edge else 0)
    guess = [sign * -0.3 * force * arm, sign * 0.2, sign * 0.05, 2.5 * force, edge[0]] if edge else [sign * 0.9 * force * arm, sign * 0.3]
    solved = root(lambda u: walk(u)[1], guess, method="hybr", tol=1e-12)
    misfit = np.max(np.abs(walk(solved.x)[1]))
    assert misfit < 1e-8, (case["name"], misfit)
    state, _ = walk(solved.x)
    turn, turn_set = state[0], state[4]
    # Beyond the push the tongue is stiff: its rest angle, turned.
    s = np.linspace(place, tongue.length, 4001)
    lift = lambda turned: scipy.integrate.simpson(np.sin(tongue.rest_angle(s) + turned), x=s) if s[-1] > s[0] else 0.0
    rest_height = lambda s: tongue.gap * (s / tongue.length) ** tongue.exponent
    return {
        **case,
        "place_travel_mm": sign * (state[2] - rest_height(place)),
        "place_set_mm": sign * (state[5] - rest_height(place)),
        "tip_travel_mm": sign * (state[2] + lift(turn) - tongue.gap),
        "tip_set_mm": sign * (state[5] + lift(turn_set) - tongue.gap),
        "turn_rad": sign * (turn + tongue.rest_angle(place)),
        "support_n": solved.x[3] if edge else None,
        "support_at_mm": solved.x[4] if edge else None,
        "root_moment_n_mm": sign * solved.x[0],
    }


def elastica(load):
    """Dead load square to the rest line at the tip of an elastic cantilever: (u/L, v/L, tip angle), P L^2/E I = load."""
    def slopes(s, y):
        return np.vstack([y[1], -load * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])])
    ends = lambda a, b: np.array([a[0], b[1], a[2], a[3]])
    s = np.linspace(0, 1, 401)
    start = np.vstack([np.minimum(load / 3, 1.2) * s, np.full_like(s, 0.5), s, 0.5 * s * s])
    found = solve_bvp(slopes, ends, s, start, tol=1e-11, max_nodes=200000)
    assert found.success
    theta, _, x, y = found.y[:, -1]
    return {"load": load, "along": 1 - x, "across": y, "angle_rad": theta}


BRASS = {"young_mpa": 110e3, "yield_mpa": 495.0}
CASES = [
    {"name": "tapered brass tongue pushed down over a shim", "length_mm": 18.0, "width_mm": [2.4, 2.0],
     "thickness_mm": [0.15, 0.11], **BRASS, "tip_gap_mm": 0.5, "rest_exponent": 2.0, "direction": "down",
     "place_mm": 13.0, "support_mm": [5.0, 0.03], "force_n": 0.62},
    {"name": "long thin brass tongue lifted", "length_mm": 25.0, "width_mm": [2.4, 2.2],
     "thickness_mm": [0.14, 0.10], **BRASS, "tip_gap_mm": 0.2, "rest_exponent": 1.5, "direction": "up",
     "place_mm": 14.0, "support_mm": None, "force_n": 0.36},
]
# The same tongues of metal that yields roundly.
CASES += [{**case, "name": f"{case['name']}, Ramberg-Osgood n = {n}", "exponent": n} for case, n in zip(CASES, (8, 20))]

if __name__ == "__main__":
    results = {
        "made_with": f"python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}: bend.py",
        "elastica": [elastica(load) for load in (0.2, 1.0, 2.0, 5.0, 10.0)],
        "rounds": [round_section(k, elastic, n) for n in (8, 12, 20) for elastic in (0.002, 0.0045)
                   for k in (0.6, 1.0, 2.0, 4.0)],
        "cases": [bend(case) for case in CASES],
    }
    Path(__file__).with_name("bend.json").write_text(json.dumps(results, indent=1) + "\n")
    print(json.dumps(results, indent=1))
