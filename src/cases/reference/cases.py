"""Reference reeds and the table of their results.

    python3 cases.py            writes reference.json beside this file
    python3 cases.py NAME ...   prints the results of the named reeds only
"""

import json
import platform
import sys
from math import pi
from pathlib import Path

import numpy as np
import scipy

from model import Attack, Reed, Stability

STEEL = "density_kg_m3 = 7850.0\nyoungs_modulus_gpa = 200.0\n"
BRASS = "density_kg_m3 = 8530.0\nyoungs_modulus_gpa = 110.0\n"
BRONZE = "density_kg_m3 = 8860.0\nyoungs_modulus_gpa = 111.0\n"


def toml(reed, slot, chamber=None, air=None):
    text = "[reed]\n" + reed.strip() + "\n\n[slot]\n" + slot.strip() + "\n"
    for name, part in (("chamber", chamber), ("air", air)):
        if part:
            text += f"\n[{name}]\n" + part.strip() + "\n"
    return text


def chamber(volume, length, area=20.0):
    return f"volume_mm3 = {volume}\nchannel_length_mm = {length}\nchannel_area_mm2 = {area}"


def reed(length, width, thickness, metal, gap, more=""):
    """A reed; width and thickness are one number or stations [[s, value], ...]."""
    def line(name, value):
        key = name + ("_stations_mm" if isinstance(value, list) else "_mm")
        return f"{key} = {value}\n"
    return (f"length_mm = {length}\n" + line("width", width) + line("thickness", thickness)
            + metal + f"tip_gap_mm = {gap}\n" + more)


def slot(side, tip, plate=1.0, more=""):
    sides = (f"left_clearance_mm = {side[0]}\nright_clearance_mm = {side[1]}\n"
             if isinstance(side, tuple) else f"side_clearance_mm = {side}\n")
    return sides + f"tip_clearance_mm = {tip}\nplate_thickness_mm = {plate}\n" + more


STEPPED = [[0.0, 0.15], [4.0, 0.11], [5.0, 0.10], [5.0, 0.08], [12.0, 0.08], [15.0, 0.12]]

# name: (TOML, pressures of the growth rates, attack pressure or None, raw states wanted)
CASES = {
    "low steel reed, long chamber": (
        toml(reed(18.0, 2.3, 0.10, STEEL, 0.40), slot(0.03, 0.05), chamber(500.0, 20.0)),
        [20, 100, 300, 800], 400, True),
    "mid steel reed": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.30), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 500, 1000], 500, False),
    "short high steel reed": (
        toml(reed(9.5, 1.9, 0.20, STEEL, 0.15), slot(0.02, 0.03), chamber(300.0, 10.0)),
        [100, 500, 1500, 3000], 1500, False),
    "brass reed": (
        toml(reed(14.0, 2.0, 0.15, BRASS, 0.28), slot(0.03, 0.04), chamber(350.0, 12.0)),
        [20, 100, 500, 1000], 600, False),
    "bronze reed, warm air given": (
        toml(reed(12.5, 2.1, 0.20, BRONZE, 0.22, "quality_factor = 90.0\n"), slot(0.025, 0.04),
             chamber(330.0, 12.0), "density_kg_m3 = 1.15\nsound_speed_m_s = 349.0\nviscosity_pa_s = 1.85e-5"),
        [50, 200, 800, 2000], None, False),
    "harmonium-size brass reed on a windchest": (
        toml(reed(40.0, 4.0, 0.38, BRASS, 1.2, "quality_factor = 100.0\n"), slot(0.05, 0.10, 3.0)),
        [50, 200, 500, 1000], 800, True),
    "steel reed of stepped thickness": (
        toml(reed(15.0, 2.0, STEPPED, STEEL, 0.25), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 300, 600], 300, False),
    "steel reed tapered in width": (
        toml(reed(15.0, [[0.0, 2.4], [15.0, 1.6]], 0.13, STEEL, 0.30), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 500, 1000], None, False),
    "low steel reed with a tip mass": (
        toml(reed(16.0, 2.0, 0.09, STEEL, 0.35, "tip_mass_mg = 4.0\n"), slot(0.03, 0.05), chamber(450.0, 18.0)),
        [20, 100, 200, 400], 250, False),
    "steel reed on a yielding root": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.30, "root_spring_n_m_per_rad = 0.4\n"), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 500, 1000], None, False),
    "steel reed off centre in its slot": (
        toml(reed(14.0, 2.0, 0.14, STEEL, 0.28), slot((0.015, 0.055), 0.04), chamber(380.0, 14.0)),
        [20, 100, 500, 1500], 700, False),
    "leaky steel reed": (
        toml(reed(13.0, 2.0, 0.14, STEEL, 0.25), slot(0.03, 0.04, 1.0, "leak_mm2 = 0.4\n"), chamber(350.0, 12.0)),
        [50, 200, 800, 2000], None, False),
    "steel reed with hardly any gap": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.03), slot(0.025, 0.04), chamber(400.0, 15.0)),
        [5, 20, 50, 100], None, False),
    "steel reed with a root gap and a straighter rest": (
        toml(reed(13.0, 2.0, 0.13, STEEL, 0.30, "root_gap_mm = 0.05\nrest_exponent = 1.5\n"), slot(0.03, 0.04), chamber(350.0, 12.0)),
        [50, 200, 800, 1500], None, False),
    "wide-slotted high reed that never speaks": (
        toml(reed(9.0, 2.0, 0.30, STEEL, 0.45, "quality_factor = 30.0\n"), slot(0.08, 0.08, 1.0, "leak_mm2 = 2.0\n"), chamber(500.0, 10.0)),
        [100, 1000, 5000, 15000], None, False),
}

FLOW_CASES = ("mid steel reed", "harmonium-size brass reed on a windchest")


def beam(r):
    return {"modes_hz": r.omega / (2 * pi), "mass_kg": r.beam.mass, "modal_mass_kg": r.m, "swept_area_m2": r.S,
            "torsion_hz": r.beam.torsion(), "lateral_hz": r.beam.lateral(),
            "inertance_kg_m4": r.M, "compliance_m3_pa": r.C}


def growth(stability, pressures):
    rows = []
    for p in pressures:
        if stability.fold is None or p < stability.fold:
            lam = stability.at(p)
            rows.append({"pressure_pa": p, "growth_per_s": lam.real, "frequency_hz": lam.imag / (2 * pi),
                         "rest_state": stability.equilibrium(p)})
    return rows


def flow_table(r):
    """Flow through the slot for open, closing and passed-through reeds, forward, still and reversed."""
    g, T = r.gap, r.T
    places = [(0.0, 0.0), (0.5 * g, 0.02 * g), (-0.6 * g, -0.05 * g), (-g - 0.4 * T, 0.0), (-g - 1.5 * T, 0.1 * g)]
    rows = []
    for q in places:
        for dp in (800.0, 2.0, 0.0, -3.0, -400.0):
            u_e, u_s, u, beta, _ = r.flow(np.array(q), np.float64(dp))
            rows.append({"q1_m": q[0], "q2_m": q[1], "dp_pa": dp, "u_e_m3_s": u_e, "u_s_m3_s": u_s,
                         "u_m3_s": u, "beta": beta})
    return rows


def attack(r, pressure, raw):
    run = Attack(r, pressure)
    out = run.read()
    if raw:
        names = ("q1_m", "q2_m", "q1_dot_m_s", "q2_dot_m_s", "p_pa", "uc_m3_s")
        out["states"] = [{"t_s": t} | dict(zip(names, run.states(t))) for t in (0.005, 0.010, 0.015, 0.020)]
    return out


def results(name):
    text, pressures, firm, raw = CASES[name]
    r = Reed(text)
    stability = Stability(r)
    out = {"name": name, "toml": text} | beam(r) | stability.thresholds()
    out["growth"] = growth(stability, pressures)
    if firm:
        out["attack"] = attack(r, firm, raw)
    if name in FLOW_CASES:
        out["flow"] = flow_table(r)
    return out


def plain(x):
    """Numpy values as JSON ones."""
    if isinstance(x, dict):
        return {k: plain(v) for k, v in x.items()}
    if isinstance(x, (list, tuple, np.ndarray)):
        return [plain(v) for v in x]
    return x.item() if isinstance(x, np.generic) else x


PROVENANCE = {
    "program": "model.py and cases.py, written from the equations alone, sharing no code with the crate",
    "command": "python3 cases.py", "date": "2026-11-24",
    "python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__,
    "tolerance": {
        "modes_hz": "1e-7 relative", "onset": "1e-9 relative",
        "choke": "1e-9 relative with 32 Gauss-Legendre points a span; other rules move it by up to 2e-3, "
                 "for the overlap has kinks",
        "time_run": "LSODA, rtol 1e-9, atol 1e-11 of the scaled state; DOP853 agrees to 3e-8 in the steady values",
        "steady": "half range of the tip changes by less than 1e-5 over ten periods"},
}


def main():
    if len(sys.argv) > 1:
        for name in sys.argv[1:]:
            print(json.dumps(plain(results(name)), indent=1))
        return
    table = []
    for name in CASES:
        table.append(plain(results(name)))
        print(name, flush=True)
    path = Path(__file__).with_name("reference.json")
    path.write_text(json.dumps({"provenance": PROVENANCE, "cases": table}, indent=1, allow_nan=False) + "\n")


if __name__ == "__main__":
    main()
