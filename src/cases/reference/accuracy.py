"""How well the values of reference.json are known: each is computed again with one thing finer, or by another method.

    python3 accuracy.py         prints relative changes, in some minutes
"""

import numpy as np
from scipy.integrate import solve_ivp

import beam
import model
from cases import CASES
from model import Reed
from sounding import Run, attack, scaled_rates
from stability import Stability

READ = ("tip_amplitude_m", "frequency_hz", "mean_flow_m3_s", "t50_s", "t90_s")
THRESHOLDS = ("onset_pressure_pa", "onset_frequency_hz", "largest_growth_per_s", "choke_pressure_pa")


def thresholds(name):
    text, _, _, coefficients = CASES[name]
    r = Reed(text, **coefficients)
    found = Stability(r).thresholds()
    return {"f1": r.omega[0], "f2": r.omega[1]} | {key: found[key] for key in THRESHOLDS}


def changes(here, there):
    return {key: f"{abs(here[key] / there[key] - 1):.1e}" for key in here if here[key] and there[key]}


def finer(name):
    """Twice the elements, and twice the points of quadrature."""
    usual = thresholds(name)
    beam.N_ELEMENTS *= 2
    print(name, "| 160 elements", changes(thresholds(name), usual))
    beam.N_ELEMENTS //= 2
    model.POINTS *= 2
    print(name, "| 64 points", changes(thresholds(name), usual), flush=True)
    model.POINTS //= 2


def runs(name, pressure):
    """A tighter step and a tighter end."""
    text, _, _, coefficients = CASES[name]
    r = Reed(text, **coefficients)
    usual = attack(r, pressure)[0]
    for what, setting in (("rtol 1e-11", {"rtol": 1e-11}), ("settled to 1e-8", {"tight": 1e-8, "longest": 30.0})):
        found = attack(r, pressure, **setting)[0]
        print(name, pressure, "Pa |", what, changes({k: found[k] for k in READ}, usual), flush=True)


def integrators(name, pressure, end=0.06):
    """The state in mid attack by three of scipy's integrators, relative to the largest so far."""
    r = Reed(CASES[name][0])
    run = Run(r, pressure)
    run.go(np.ceil(end / run.period))
    args = (r.place, run.scale, run.numbers, run.blow)
    for method in ("Radau", "DOP853"):
        found = solve_ivp(scaled_rates, (0, run.now), np.zeros(r.states), method=method, rtol=1e-9, atol=1e-11, args=args)
        apart = abs(found.y[:, -1] * run.scale - run.x[-1]) / abs(run.x).max(axis=0)
        print(name, pressure, "Pa |", method, f"{apart.max():.1e}", flush=True)


def main():
    for name in ("low steel reed, long chamber", "short high steel reed", "harmonium-size brass reed on a windchest"):
        finer(name)
    for name, pressure in (("low steel reed, long chamber", 400), ("brass reed with a player", 300)):
        runs(name, pressure)
    integrators("low steel reed, long chamber", 400)


if __name__ == "__main__":
    main()
