"""Sustained oscillations of reeds by long runs in time: orbits that last, orbits that do not, and where sounding ends.

    python3 orbits.py            writes orbits.json beside this file
    python3 orbits.py NAME ...   prints the results of the named reeds only

Needs numba besides numpy and scipy: the equations of motion are stated here a second time, as plain loops, and compared
with those of model.py before every use. No derivative is taken and no period is closed by iteration:

- An orbit that lasts is what a run comes to that was started well off it.
- An orbit that does not last lies on the edge between starts that die and starts that grow. Bisection of the start
  brings two runs, one on either side, to within some 1e-4 of it; they leave it as exp(rate t), so that three looks at
  each of them give the amplitude they leave (Aitken's extrapolation).
- Sounding ends at the highest and lowest pressure at which a run goes on that was started from the sounding state at
  the pressure before.
"""

import json
import platform
import sys
import time
import tomllib
from pathlib import Path

import numba
import numpy as np
import scipy
from scipy.integrate import odeint
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, root

from cases import BRASS, BRONZE, CASES, STEEL, chamber, plain, reed, slot, toml
from model import ALPHA, DRAG, KAPPA, Reed, hermite

SAMPLES = 512               # of a plucked period
TIGHT = 1e-7                # relative change of the amplitude over ten periods


# --- The equations of motion as loops -----------------------------------------------

@numba.njit
def rates(t, z, P, scale, place, modes, sizes, air):
    """Rate of change of the scaled state (q1, q2, q1', q2', p, U_c, p_m); without a player p_m stays what it is."""
    rho, mu = air[0], air[1]
    T, c_left, c_right, c_tip, h_tip, w_tip, gap = sizes[0], sizes[1], sizes[2], sizes[3], sizes[4], sizes[5], sizes[6]
    slot_area, leak, C, M, loss, mouth_c, lung_r = (
        sizes[7], sizes[8], sizes[9], sizes[10], sizes[11], sizes[12], sizes[13])
    q0, q1, v0, v1 = z[0] * scale[0], z[1] * scale[1], z[2] * scale[2], z[3] * scale[3]
    p, uc, pm = z[4] * scale[4], z[5] * scale[5], z[6] * scale[6]
    a, dp = rho / (2 * ALPHA**2), abs(p)
    flow, drag0, drag1 = 0.0, 0.0, 0.0
    for k in range(place.shape[0]):
        weight, w, h, f0, f1, y0 = place[k, 0], place[k, 1], place[k, 2], place[k, 3], place[k, 4], place[k, 5]
        y = y0 + q0 * f0 + q1 * f1
        l = max(0.0, min(0.0, y + h) - max(-T, y))
        off = max(y, 0.0)**2 + max(-T - h - y, 0.0)**2
        d = np.sqrt(c_left**2 + off)
        b = 12 * mu * (l + KAPPA * d) / d**2
        flow += weight * d * (np.sqrt(b * b + 4 * a * dp) - b) / (2 * a)
        if c_right != c_left:
            d = np.sqrt(c_right**2 + off)
            b = 12 * mu * (l + KAPPA * d) / d**2
        flow += weight * d * (np.sqrt(b * b + 4 * a * dp) - b) / (2 * a)
        V = v0 * f0 + v1 * f1
        force = weight * (0.5 * rho * DRAG * w * V * abs(V) + mu * l * (1 / c_left + 1 / c_right) * V)
        drag0 += f0 * force
        drag1 += f1 * force
    y = gap + q0 + q1
    l = max(0.0, min(0.0, y + h_tip) - max(-T, y))
    d = np.sqrt(c_tip**2 + max(y, 0.0)**2 + max(-T - h_tip - y, 0.0)**2)
    b = 12 * mu * (l + KAPPA * d) / d**2
    flow += w_tip * d * (np.sqrt(b * b + 4 * a * dp) - b) / (2 * a)
    ratio = flow**2 / (ALPHA**2 * slot_area**2 * 2 * dp / rho) if dp > 0 else 0.0
    beta = 1 / (1 + ratio)
    through = np.sign(p) * flow * np.sqrt(beta) + leak * np.sqrt(2 / rho) * p / (p * p + 1.0)**0.25
    out = np.empty(7)
    out[0], out[1] = v0, v1
    out[2] = (-beta * p * modes[0, 2] - drag0) / modes[0, 1] - 2 * modes[0, 3] * modes[0, 0] * v0 - modes[0, 0]**2 * q0
    out[3] = (-beta * p * modes[1, 2] - drag1) / modes[1, 1] - 2 * modes[1, 3] * modes[1, 0] * v1 - modes[1, 0]**2 * q1
    out[4] = (uc - through + modes[0, 2] * v0 + modes[1, 2] * v1) / C
    out[5] = (pm - p - loss * uc * abs(uc)) / M
    out[6] = ((P - pm) / lung_r - uc) / mouth_c if mouth_c > 0 else 0.0
    return out / scale


class Motion:
    """One reed under one pressure, run on and on."""

    def __init__(self, reed, pressure, player=None, rtol=1e-9):
        self.reed, self.P, self.player, self.rtol = reed, float(pressure), player, rtol
        r = reed
        resistance, volume = (player[0], player[1]) if player else (1.0, 0.0)
        self.period = 2 * np.pi / r.omega[0]
        a, flow = max(abs(r.gap), 1e-4), r.slot_area * np.sqrt(2 * self.P / r.rho)
        self.scale = np.array([a, a, a * r.omega[0], a * r.omega[0], self.P, flow, self.P])
        place = np.column_stack([r.weight, r.w, r.h, r.phi[0], r.phi[1], r.y0])
        modes = np.column_stack([r.omega, r.m, r.S, [r.zeta] * 2])
        sizes = np.array([r.T, *r.sides, r.c_tip, r.h_tip, r.w_tip, r.gap, r.slot_area, r.leak, r.C, r.M, r.loss,
                          volume / (r.rho * r.c0**2), resistance])
        self.args = (self.P, self.scale, place, modes, sizes, np.array([r.rho, r.mu]))
        self._compare()

    def _compare(self):
        """Both statements of the equations agree, wherever the reed is and whichever way the air goes."""
        random = np.random.default_rng(1)
        for _ in range(20):
            z = random.uniform(-3, 3, 7)
            x = (z * self.scale)[:6]
            here, there = rates(0.0, z, *self.args)[:6], self.reed.rhs(x, z[6] * self.scale[6]) / self.scale[:6]
            assert np.allclose(here, there, rtol=1e-9, atol=1e-9 * np.max(abs(there))), (here, there)

    def start(self, tip):
        """At rest but for the tip, the pressure on: (scaled state)."""
        z = np.zeros(7)
        z[0], z[6] = tip / self.scale[0], self.P / self.scale[6]
        return z

    def run(self, z, periods):
        """(times, scaled states) over so many plucked periods."""
        t = np.linspace(0, periods * self.period, int(periods * SAMPLES) + 1)
        # The equations know no time, so every run starts at zero.
        x = odeint(rates, z, t, args=self.args, tfirst=True, rtol=self.rtol, atol=self.rtol / 100, mxstep=200_000)
        return t, x

    def tip(self, x):
        return x[:, 0] * self.scale[0] + x[:, 1] * self.scale[1]


def swings(t, y):
    """(time of each rise through the middle, half range until the next, its period): cubics through the samples for
    the times, a parabola through three samples for the turning points."""
    spline = CubicSpline(t, y)
    middle = (y[-2 * SAMPLES:].max() + y[-2 * SAMPLES:].min()) / 2
    rise = np.nonzero((y[:-1] < middle) & (y[1:] >= middle))[0]
    at = np.array([brentq(lambda s: spline(s) - middle, t[i], t[i + 1], xtol=1e-16) for i in rise])

    def turn(values):
        i = int(np.argmax(values))
        if i in (0, len(values) - 1):
            return values[i]
        a, b, c = values[i - 1:i + 2]
        return b - (c - a)**2 / (8 * (a - 2 * b + c))
    half = [(turn(y[i:j + 1]) + turn(-y[i:j + 1])) / 2 for i, j in zip(rise[:-1], rise[1:])]
    return at[:-1], np.array(half), np.diff(at)


# --- Orbits that last ------------------------------------------------------------------

def settle(motion, z, tight=TIGHT, longest=30.0, dead=2e-6):
    """Runs until the half range changes by less than `tight` over ten periods, or is less than `dead`.

    (scaled state, half range, relative change, time run); the half range is zero where the motion died."""
    last, change, now = None, np.inf, 0.0
    while now < longest:
        t, x = motion.run(z, 10)
        z, now = x[-1], now + t[-1]
        half = swings(t, motion.tip(x))[1]
        half = half[-1] if len(half) else 0.0
        if half < dead:
            return z, 0.0, 0.0, now
        change = np.inf if last is None else abs(half / last - 1)
        if change < tight:
            return z, half, change, now
        last = half
    raise RuntimeError(f"not settled at {motion.P} Pa after {now} s: {half} m, changing by {change}")


def stress(r, q):
    """(largest E h/2 |sum q_i phi_i''| along the reed over the states q, its place)."""
    worst, beam = (0.0, 0.0), r.beam
    for j, (a, b) in enumerate(zip(beam.nodes[:-1], beam.nodes[1:])):
        _, d2 = hermite(np.array([0.0, 1.0]), (b - a) / beam.L)
        bend = q @ (beam.shape[2*j:2*j + 4].T @ d2) / beam.L**2
        largest = np.max(abs(bend), axis=0) * beam.E * beam.h.on(np.array([a, b]), a, b) / 2
        worst = max(worst, (largest[0], a), (largest[1], b))
    return worst


def read(motion, z):
    """One period of a settled motion, as section 6 of the model asks for it."""
    r = motion.reed
    t, x = motion.run(z, 12)
    at, half, periods = swings(t, motion.tip(x))
    period, n = np.mean(periods), 4096
    one = CubicSpline(t, x)(at[-1] + period * np.arange(n) / n) * motion.scale
    total, net = np.array([r.outflow(row[:6]) for row in one]).T
    k = np.arange(1, int(20e3 * period) + 1)
    rate = 2 * np.pi * k / period * abs(np.fft.rfft(net)[k]) / n * np.sqrt(2)
    p_rms = r.rho * np.sqrt(np.sum(rate**2)) / (4 * np.pi)
    worst, place = stress(r, one[:, :2])
    return {"tip_amplitude_m": half[-1], "mean_tip_m": r.gap + np.mean(one[:, 0] + one[:, 1]),
            "frequency_hz": 1 / period, "mean_flow_m3_s": np.mean(total),
            "level_db_at_1m": 20 * np.log10(p_rms / 20e-6), "stress_pa": worst, "stress_at_m": place}


def lasting(motion, kick):
    """(state, the orbit that a run started off it comes to)."""
    z, half, change, ran = settle(motion, motion.start(kick))
    if half == 0:
        raise RuntimeError(f"silent at {motion.P} Pa")
    return z, {"pressure_pa": motion.P, "start_tip_m": kick, "run_s": ran} | read(motion, z)


# --- Orbits that do not last ------------------------------------------------------------

def rest(motion):
    """The scaled state at rest under the pressure."""
    def still(q):
        return rates(0.0, np.array([q[0], q[1], 0.0, 0.0, q[2], q[3], 1.0]), *motion.args)[2:6]
    found = root(still, [0.0, 0.0, 1.0, 0.01], tol=1e-13)
    if np.max(abs(still(found.x)) * motion.period) > 1e-6:
        raise RuntimeError(f"no rest at {motion.P} Pa")
    return np.array([found.x[0], found.x[1], 0.0, 0.0, found.x[2], found.x[3], 1.0])


def verdict(motion, z, sounding, settling=30, leaving=0.15, longest=15.0):
    """Runs until the half range has left by a share what it was after `settling` periods, or has come to `sounding`.

    (whether it grew, half ranges, periods), both from then on."""
    t, x = motion.run(z, settling)
    z, now, first, half, periods = x[-1], t[-1], None, [], []
    while now < longest:
        t, x = motion.run(z, 10)
        z, now = x[-1], now + t[-1]
        _, b, c = swings(t, motion.tip(x))
        if len(b):
            first = first or b[0]
            half.append(b), periods.append(c)
            if b[-1] > 0.98 * sounding or abs(b[-1] / first - 1) > leaving:
                return b[-1] > first or b[-1] > 0.98 * sounding, np.concatenate(half), np.concatenate(periods)
        else:
            return False, np.concatenate(half), np.concatenate(periods)
    raise RuntimeError(f"no verdict at {motion.P} Pa after {now} s")


def fleeting(motion, dies, grows, agree=2e-5):
    """The orbit between a kick of the tip from rest that dies and one that grows."""
    still = rest(motion)

    def kicked(kick):
        z = still.copy()
        z[0] += kick / motion.scale[0]
        return z
    sounding = settle(motion, kicked(grows), tight=1e-4)[1]
    low, high = ((kick, verdict(motion, kicked(kick), sounding)) for kick in (dies, grows))
    if low[1][0] or not high[1][0]:
        raise RuntimeError(f"no edge between kicks of {dies} and {grows} m at {motion.P} Pa")
    for bisections in range(1, 31):
        middle = (low[0] + high[0]) / 2
        result = verdict(motion, kicked(middle), sounding)
        low, high = (low, (middle, result)) if result[0] else ((middle, result), high)
        below, above = (leaves(*side[1][1:]) for side in (low, high))
        half, period = (below[0] + above[0]) / 2, (below[1] + above[1]) / 2
        apart = abs(above[0] - below[0]) / half
        if apart < agree:
            break
    return {"pressure_pa": motion.P, "kicks_m": [dies, grows], "bisections": bisections, "tip_amplitude_m": half,
            "frequency_hz": 1 / period, "two_sides_apart": apart}


def leaves(half, periods):
    """Half range and period of the orbit that a run leaves as exp(rate t): Aitken's extrapolation of three looks, from
    where it changes least to where it has gone by a hundredth; not numbers where it does not linger at all."""
    flat = int(np.argmin(abs(np.diff(half))))
    gone = abs(half[flat:] / half[flat] - 1) > 0.01
    apart = int(np.argmax(gone)) // 2
    if apart < 2:
        return np.nan, np.nan

    def aitken(y):
        a, b, c = y[flat], y[flat + apart], y[flat + 2 * apart]
        return a - (b - a)**2 / (a - 2 * b + c)
    return aitken(half), aitken(periods)


# --- The ends ----------------------------------------------------------------------------

def end(make, start, ratio, part=5e-4):
    """The pressure at which sounding breaks off: steps of `ratio` from a settled (pressure, state, half range), then
    bisection to `part`.

    Every run starts from the sounding state nearest to the end."""
    sounds, state, half, silent = *start, None

    while silent is None or abs(silent / sounds - 1) > part:
        pressure = sounds * ratio if silent is None else np.sqrt(sounds * silent)
        motion = make(pressure)
        begin = state / motion.scale
        if motion.player is None:
            begin[6] = 1.0
        z, found, _, _ = settle(motion, begin, tight=1e-5, dead=0.2 * half)
        if found > 0:
            sounds, state, half = pressure, z * motion.scale, found
        else:
            silent = pressure
        if not 1 < sounds < 20e3:
            raise RuntimeError("sounds on to the limit")
    return {"sounds_pa": sounds, "silent_pa": silent, "tip_amplitude_m": half}


# --- Reeds -------------------------------------------------------------------------------

PLAYER = "\n[player]\nlung_resistance_pa_s_m3 = 2e6\nmouth_volume_cm3 = 80.0\n"

NEW = {
    "low bronze reed that sets in suddenly": toml(
        reed(20.0, 2.2, [[0.0, 0.114], [20.0, 0.122]], BRONZE, 0.72, "quality_factor = 46.0\n"),
        slot((0.024, 0.032), 0.021, 1.05, "leak_mm2 = 0.01\n"), chamber(330.0, 20.0, 15.0)),
    "high bronze reed that sets in suddenly": toml(
        reed(11.8, 1.66, [[0.0, 0.30], [11.8, 0.32]], BRONZE, 0.30, "quality_factor = 106.0\nrest_exponent = 1.5\n"),
        slot((0.017, 0.020), 0.030, 1.15, "leak_mm2 = 0.02\n"), chamber(300.0, 10.5, 13.0)),
    "brass reed, drawn, in room air": toml(
        reed(16.0, 2.2, 0.17, BRASS, 0.32), slot(0.03, 0.04), chamber(420.0, 16.0),
        "density_kg_m3 = 1.20\nsound_speed_m_s = 343.4\nviscosity_pa_s = 1.81e-5"),
    "brass reed with a player": toml(
        reed(14.0, 2.0, 0.15, BRASS, 0.28), slot(0.03, 0.04), chamber(350.0, 12.0)) + PLAYER,
}


def described(name):
    """(TOML, reed, (lung resistance, mouth volume) or None)."""
    text = NEW[name] if name in NEW else CASES[name][0]
    lungs = tomllib.loads(text).get("player")
    return text, Reed(text), lungs and (lungs["lung_resistance_pa_s_m3"], lungs["mouth_volume_cm3"] * 1e-6)


# name: pressures and kicks of orbits that last (Pa, mm); of orbits that do not, with a kick that dies and one that
# grows (Pa, mm, mm); which ends are sought, each from the lasting orbit nearest to it
ORBITS = {
    "low steel reed, long chamber": (
        [(18.1, 0.6), (60, 1.0), (400, 1.0), (1000, 4.0)], [(1000, 0.2, 1.5)], "both"),
    "mid steel reed": ([(120, 0.5), (1000, 1.0), (3000, 4.0)], [(3000, 0.2, 1.5)], "high"),
    "short high steel reed": ([(1500, 0.3), (6000, 0.5)], [], ""),
    "bronze reed, warm air given": ([(300, 0.3), (2000, 0.5)], [], ""),
    "harmonium-size brass reed on a windchest": ([(300, 2.0), (900, 2.0), (2500, 6.0)], [(2500, 0.5, 3.0)], "high"),
    "steel reed of stepped thickness": ([(100, 0.4), (600, 1.0), (2000, 4.0)], [(2000, 0.2, 1.5)], "high"),
    "low steel reed with a tip mass": ([(50, 0.5), (400, 1.0), (1100, 4.0)], [], "high"),
    "steel reed off centre in its slot": ([(300, 0.4), (2000, 1.0)], [], ""),
    "leaky steel reed": ([(400, 0.4), (2500, 1.0), (6000, 4.0)], [(6000, 0.15, 1.5)], ""),
    "low bronze reed that sets in suddenly": ([(22, 1.5), (300, 2.0)], [(22, 0.1, 0.58), (24, 0.1, 0.5)], "both"),
    "high bronze reed that sets in suddenly": ([(480, 0.6), (3000, 1.0)], [(480, 0.03, 0.22)], "low"),
    "brass reed, drawn, in room air": ([(200, 0.5), (1200, 1.0)], [], ""),
    "brass reed with a player": ([(300, 0.5), (1200, 1.0)], [], ""),
}


def results(name):
    begun = time.process_time()
    steady, edge, ends = ORBITS[name]
    text, r, player = described(name)

    def make(rtol):
        return lambda pressure: Motion(r, pressure, player, rtol)
    found = [lasting(make(1e-9)(p), kick * 1e-3) for p, kick in steady]
    out = {"name": name, "toml": text, "lasting": [orbit for _, orbit in found]}
    out["fleeting"] = [fleeting(make(1e-8)(p), low * 1e-3, high * 1e-3) for p, low, high in edge]

    def begin(k):
        pressure, (z, orbit) = steady[k][0], found[k]
        return pressure, z * make(1e-9)(pressure).scale, orbit["tip_amplitude_m"]
    out["lowest"] = end(make(1e-8), begin(0), 0.93) if ends in ("both", "low") else None
    out["highest"] = end(make(1e-8), begin(-1), 1.08) if ends in ("both", "high") else None
    return out | {"processor_s": round(time.process_time() - begun)}


PROVENANCE = {
    "program": "orbits.py on model.py, written from the equations alone, sharing no code with the crate",
    "command": "python3 orbits.py", "date": "2026-11-25",
    "python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__,
    "numba": numba.__version__,
    "tolerance": {
        "time_run": "LSODA, rtol 1e-9 (edges and ends 1e-8), atol a hundredth of it on the scaled state",
        "lasting": "half range changes by less than 1e-7 over ten plucked periods",
        "fleeting": "bisected until the extrapolations from either side agree to 2e-5; they differ by two_sides_apart",
        "ends": "between sounds_pa and silent_pa, 5e-4 apart; sounding means a half range that changes by less than 1e-5 "
                "over ten plucked periods"},
}


def main():
    names = sys.argv[1:]
    table = []
    for name in names or ORBITS:
        table.append(plain(results(name)))
        print(json.dumps(table[-1], indent=1) if names else f"{name}: {table[-1]['processor_s']} s", flush=True)
    if not names:
        path = Path(__file__).with_name("orbits.json")
        path.write_text(json.dumps({"provenance": PROVENANCE, "cases": table}, indent=1, allow_nan=False) + "\n")


if __name__ == "__main__":
    main()
