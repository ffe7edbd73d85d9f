"""Sustained oscillations of reeds by long runs in time: orbits that last, orbits that do not, and where sounding ends.

    python3 orbits.py            writes orbits.json beside this file
    python3 orbits.py NAME ...   prints the results of the named reeds only

No derivative is taken and no period is closed by iteration:

- An orbit that lasts is what a run comes to that was started well off it.
- An orbit that does not last lies on the edge between starts that die and starts that grow. Bisection of the start
  brings two runs, one on either side, to within some 1e-4 of it; they leave it as exp(rate t), so that three looks at
  each of them give the amplitude they leave (Aitken's extrapolation).
- Sounding ends at the highest and lowest pressure at which a run goes on that was started from the sounding state at
  the pressure before.
"""

import json
import sys
import time
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from beam import hermite
from cases import BRONZE, CASES, PROVENANCE, chamber, plain, reed, slot, toml
from model import Reed
from sounding import Run
from stability import Stability

TIGHT = 1e-7                # relative change of the amplitude over ten periods


def swing(r, pressure, state, rtol, periods=12):
    """(run of some plucked periods from a state under a steady pressure, half ranges, periods)."""
    run = Run(r, pressure, rise=0.0, rtol=rtol, start=state)
    run.go(periods)
    half, _, lengths = run.swings(periods)
    return run, half, lengths


def rest(r, pressure, tip=0.0):
    """At rest under the pressure, then the tip kicked."""
    branch = Stability.__new__(Stability)
    branch.reed, branch.states = r, min(r.states, 8)
    force = brentq(lambda f: branch.rest(f)[1] - pressure, 0.0, pressure, xtol=1e-12)
    x = np.zeros(r.states)
    x[:branch.states] = branch.rest(force)[0]
    x[0] += tip
    if r.states == 9:
        x[8] = pressure
    return x


# --- Orbits that last ------------------------------------------------------------------

def settle(r, pressure, state, rtol=1e-9, tight=TIGHT, longest=30.0, dead=2e-6):
    """Runs until the half range changes by less than `tight` over ten periods, or is less than `dead`.

    (last run, half range, time run); the half range is zero where the motion died."""
    now = 0.0
    while now < longest:
        run, half, _ = swing(r, pressure, state, rtol)
        state, now = run.x[-1], now + run.now
        if len(half) == 0 or half[-1] < dead:
            return run, 0.0, now
        if len(half) > 10 and abs(half[-1] / half[-11] - 1) < tight:
            return run, half[-1], now
    raise RuntimeError(f"not settled at {pressure} Pa after {now} s: {half[-1]} m")


def stress(r, q):
    """(largest E h/2 |sum q_i phi_i''| along the reed over the states q, its place)."""
    worst, beam = (0.0, 0.0), r.beam
    for j, (a, b) in enumerate(zip(beam.nodes[:-1], beam.nodes[1:])):
        _, d2 = hermite(np.array([0.0, 1.0]), (b - a) / beam.L)
        bend = q @ (beam.shape[2*j:2*j + 4].T @ d2) / beam.L**2
        largest = np.max(abs(bend), axis=0) * beam.E * beam.h.on(np.array([a, b]), a, b) / 2
        worst = max(worst, (largest[0], a), (largest[1], b))
    return worst


def lasting(r, pressure, kick):
    """(run, the orbit that a run started off it comes to)."""
    run, half, ran = settle(r, pressure, rest(r, pressure, kick))
    if half == 0:
        raise RuntimeError(f"silent at {pressure} Pa")
    run.change = TIGHT
    worst, place = stress(r, run.one_period()[1][:, :2])
    return run, {"pressure_pa": pressure, "start_tip_m": kick, "settled_in_s": ran} | run.read() | {
        "stress_pa": worst, "stress_at_m": place}


# --- Orbits that do not last ------------------------------------------------------------

def verdict(r, pressure, state, sounding, settling=30, leaving=0.15, longest=15.0):
    """Runs until the half range has left by a share what it was after `settling` periods, or has come to `sounding`.

    (whether it grew, half ranges, periods), both from then on."""
    run, _, _ = swing(r, pressure, state, 1e-8, settling)
    first, half, periods, now = None, [], [], run.now
    while now < longest:
        run, b, c = swing(r, pressure, run.x[-1], 1e-8, 10)
        now += run.now
        if len(b) == 0:
            return False, np.concatenate(half), np.concatenate(periods)
        first = first or b[0]
        half.append(b), periods.append(c)
        if b[-1] > 0.98 * sounding or abs(b[-1] / first - 1) > leaving:
            return b[-1] > first or b[-1] > 0.98 * sounding, np.concatenate(half), np.concatenate(periods)
    raise RuntimeError(f"no verdict at {pressure} Pa after {now} s")


def fleeting(r, pressure, dies, grows, agree=5e-5):
    """The orbit between a kick of the tip from rest that dies and one that grows."""
    still = rest(r, pressure)

    def kicked(kick):
        x = still.copy()
        x[0] += kick
        return x
    sounding = settle(r, pressure, kicked(grows), 1e-8, tight=1e-4)[1]
    low, high = ((kick, verdict(r, pressure, kicked(kick), sounding)) for kick in (dies, grows))
    if low[1][0] or not high[1][0]:
        raise RuntimeError(f"no edge between kicks of {dies} and {grows} m at {pressure} Pa")
    for bisections in range(1, 31):
        middle = (low[0] + high[0]) / 2
        result = verdict(r, pressure, kicked(middle), sounding)
        low, high = (low, (middle, result)) if result[0] else ((middle, result), high)
        below, above = (leaves(*side[1][1:]) for side in (low, high))
        half, period = (below[0] + above[0]) / 2, (below[1] + above[1]) / 2
        apart = abs(above[0] - below[0]) / half
        if apart < agree:
            break
    return {"pressure_pa": pressure, "kicks_m": [dies, grows], "bisections": bisections, "tip_amplitude_m": half,
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

def end(r, start, ratio, part=5e-4):
    """The pressure at which sounding breaks off: steps of `ratio` from a settled (pressure, run, half range), then
    bisection to `part`.

    Every run starts from the sounding state nearest to the end."""
    sounds, run, half, silent = *start, None
    while silent is None or abs(silent / sounds - 1) > part:
        pressure = sounds * ratio if silent is None else np.sqrt(sounds * silent)
        after, found, _ = settle(r, pressure, run.x[-1], 1e-8, tight=1e-5, dead=0.2 * half)
        if found > 0:
            sounds, run, half = pressure, after, found
        else:
            silent = pressure
        if not 1 < sounds < 20e3:
            raise RuntimeError("sounds on to the limit")
    return {"sounds_pa": sounds, "silent_pa": silent, "tip_amplitude_m": half}


# --- Reeds -------------------------------------------------------------------------------

NEW = {
    "low bronze reed that sets in suddenly": toml(
        reed(20.0, 2.2, [[0.0, 0.114], [20.0, 0.122]], BRONZE, 0.72, 46.0),
        slot((0.024, 0.032), 0.021, 1.05, "leak_mm2 = 0.01\n"), chamber(330.0, 20.0, 15.0)),
    "high bronze reed that sets in suddenly": toml(
        reed(11.8, 1.66, [[0.0, 0.30], [11.8, 0.32]], BRONZE, 0.30, 106.0, "rest_exponent = 1.5\n"),
        slot((0.017, 0.020), 0.030, 1.15, "leak_mm2 = 0.02\n"), chamber(300.0, 10.5, 13.0)),
}

# name: pressures and kicks of orbits that last (Pa, mm); of orbits that do not, with a kick that dies and one that
# grows (Pa, mm, mm); the end that is sought, from the lasting orbit nearest to it
ORBITS = {
    "low bronze reed that sets in suddenly": ([(37, 1.2), (300, 2.0)], [(37, 0.1, 0.9)], "low"),
    "low steel reed, long chamber": ([(1000, 4.0)], [], "high"),
    "high bronze reed that sets in suddenly": ([(530, 0.6), (3000, 1.0)], [], ""),
    "mid steel reed": ([(3000, 4.0)], [], ""),
    "harmonium-size brass reed on a windchest": ([(2500, 6.0)], [], ""),
    "brass reed with a player": ([(1200, 1.0)], [], ""),
}


def results(name):
    begun = time.process_time()
    steady, edge, which = ORBITS[name]
    text = NEW[name] if name in NEW else CASES[name][0]
    r = Reed(text)
    found = [lasting(r, p, kick * 1e-3) for p, kick in steady]
    out = {"name": name, "toml": text, "lasting": [orbit for _, orbit in found]}
    out["fleeting"] = [fleeting(r, p, low * 1e-3, high * 1e-3) for p, low, high in edge]
    for key, k, ratio in (("lowest", 0, 0.95), ("highest", -1, 1.06)):
        start = steady[k][0], found[k][0], found[k][1]["tip_amplitude_m"]
        out[key] = end(r, start, ratio) if key.startswith(which or "none") else None
    return plain(out | {"processor_s": round(time.process_time() - begun, 1)})


KNOWN_TO = {
    "lasting": "amplitude 1e-6, frequency 1e-8, stress 1e-5: LSODA, rtol 1e-9; the half range changes by less than 1e-7 over "
               "ten periods",
    "fleeting": "bisected until the extrapolations from either side agree to 5e-5; they differ by two_sides_apart",
    "ends": "between sounds_pa and silent_pa, 5e-4 apart; sounding means a half range that changes by less than 1e-5 over "
            "ten periods"}


def main():
    if len(sys.argv) > 1:
        for name in sys.argv[1:]:
            print(json.dumps(results(name), indent=1))
        return
    table = {}
    with Pool(2) as pool:
        for found in pool.imap_unordered(results, ORBITS):
            table[found["name"]] = found
            print(found["name"], found["processor_s"], "s", flush=True)
    provenance = PROVENANCE | {"program": "orbits.py on the reference of model 2, sharing no code with the crate",
                               "command": "python3 orbits.py", "known_to": KNOWN_TO}
    whole = {"provenance": provenance, "cases": [table[name] for name in ORBITS]}
    path = Path(__file__).with_name("orbits.json")
    path.write_text(json.dumps(whole, indent=1, allow_nan=False) + "\n")


if __name__ == "__main__":
    main()
