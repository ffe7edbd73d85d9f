"""Reference reeds and the table of their results.

    python3 cases.py            writes reference.json beside this file
    python3 cases.py NAME ...   prints the results of the named reeds only
"""

import json
import platform
import sys
import time
from math import pi
from multiprocessing import Pool
from pathlib import Path

import numba
import numpy as np
import scipy

from model import Reed
from sounding import attack
from stability import Stability
from tongue import profiles, thermoelastic

STEEL = "density_kg_m3 = 7850.0\nyoungs_modulus_gpa = 200.0\n"
BRASS = "density_kg_m3 = 8530.0\nyoungs_modulus_gpa = 110.0\n"
BRONZE = "density_kg_m3 = 8860.0\nyoungs_modulus_gpa = 111.0\n"
PLAYER = "lung_resistance_pa_s_m3 = 2e6\nmouth_volume_cm3 = 80.0"


def toml(reed, slot, chamber=None, air=None, player=None):
    text = "[reed]\n" + reed.strip() + "\n\n[slot]\n" + slot.strip() + "\n"
    for name, part in (("chamber", chamber), ("air", air), ("player", player)):
        if part:
            text += f"\n[{name}]\n" + part.strip() + "\n"
    return text


def chamber(volume, length, area=20.0):
    return f"volume_mm3 = {volume}\nchannel_length_mm = {length}\nchannel_area_mm2 = {area}"


def reed(length, width, thickness, metal, gap, quality=None, more=""):
    """A reed; width and thickness are one number or stations [[s, value], ...]; no quality is the one of its pitch."""
    def line(name, value):
        key = name + ("_stations_mm" if isinstance(value, list) else "_mm")
        return f"{key} = {value}\n"
    loss = f"quality_factor = {quality}\n" if quality else ""
    return (f"length_mm = {length}\n" + line("width", width) + line("thickness", thickness)
            + metal + f"tip_gap_mm = {gap}\n" + loss + more)


def slot(side, tip, plate=1.0, more=""):
    sides = (f"left_clearance_mm = {side[0]}\nright_clearance_mm = {side[1]}\n"
             if isinstance(side, tuple) else f"side_clearance_mm = {side}\n")
    return sides + f"tip_clearance_mm = {tip}\nplate_thickness_mm = {plate}\n" + more


STEPPED = [[0.0, 0.15], [4.0, 0.11], [5.0, 0.10], [5.0, 0.08], [12.0, 0.08], [15.0, 0.12]]
TAPERED = [[0.0, 0.16], [15.0, 0.11]]

# name: (TOML, pressures of the growth rates, pressures of attacks, the model's own coefficients if not the usual ones)
CASES = {
    "low steel reed, long chamber": (
        toml(reed(18.0, 2.3, 0.10, STEEL, 0.40, 60.0), slot(0.03, 0.05), chamber(500.0, 20.0)),
        [20, 100, 300, 800], [100, 400], {}),
    "mid steel reed": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.30), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 500, 1000], [150, 500], {}),
    "short high steel reed": (
        toml(reed(9.5, 1.9, 0.20, STEEL, 0.15, 150.0), slot(0.02, 0.03), chamber(300.0, 10.0)),
        [100, 500, 1500, 3000], [1500, 4000], {}),
    "brass reed": (
        toml(reed(14.0, 2.0, 0.15, BRASS, 0.28), slot(0.03, 0.04), chamber(350.0, 12.0)),
        [20, 100, 500, 1000], [200, 600], {}),
    "bronze reed, warm air given": (
        toml(reed(12.5, 2.1, 0.20, BRONZE, 0.22, 90.0), slot(0.025, 0.04),
             chamber(330.0, 12.0), "density_kg_m3 = 1.15\nsound_speed_m_s = 349.0\nviscosity_pa_s = 1.85e-5"),
        [50, 200, 800, 2000], [800], {}),
    "harmonium-size brass reed on a windchest": (
        toml(reed(40.0, 4.0, 0.38, BRASS, 1.2, 100.0), slot(0.05, 0.10, 3.0)),
        [50, 200, 500, 1000], [300, 800], {}),
    "steel reed of stepped thickness": (
        toml(reed(15.0, 2.0, STEPPED, STEEL, 0.25, 80.0), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 300, 600], [300], {}),
    "steel reed tapered in width and thickness": (
        toml(reed(15.0, [[0.0, 2.4], [15.0, 1.6]], TAPERED, STEEL, 0.30), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [20, 100, 500, 1000], [400], {}),
    "low steel reed with a tip mass": (
        toml(reed(16.0, 2.0, 0.09, STEEL, 0.35, 70.0, "tip_mass_mg = 4.0\n"), slot(0.03, 0.05), chamber(450.0, 18.0)),
        [20, 100, 200, 400], [100, 250], {}),
    "steel reed on a yielding root": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.30, 100.0, "root_spring_n_m_per_rad = 0.4\n"), slot(0.03, 0.05),
             chamber(400.0, 15.0)),
        [20, 100, 500, 1000], [], {}),
    "steel reed off centre in its slot": (
        toml(reed(14.0, 2.0, 0.14, STEEL, 0.28, 100.0), slot((0.015, 0.055), 0.04), chamber(380.0, 14.0)),
        [20, 100, 500, 1500], [700], {}),
    "leaky steel reed": (
        toml(reed(13.0, 2.0, 0.14, STEEL, 0.25, 100.0), slot(0.03, 0.04, 1.0, "leak_mm2 = 0.4\n"), chamber(350.0, 12.0)),
        [50, 200, 800, 2000], [500], {}),
    "steel reed with hardly any gap": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.03, 100.0), slot(0.025, 0.04), chamber(400.0, 15.0)),
        [5, 20, 50, 100], [60], {}),
    "steel reed with its tip sunk into the slot": (
        toml(reed(15.0, 2.0, 0.12, STEEL, -0.03, 100.0), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [5, 20, 50, 100], [], {}),
    "steel reed with a wide gap": (
        toml(reed(15.0, 2.0, 0.12, STEEL, 0.80, 100.0), slot(0.03, 0.05), chamber(400.0, 15.0)),
        [50, 200, 500, 1500], [800], {}),
    "steel reed with a root gap and a straighter rest": (
        toml(reed(13.0, 2.0, 0.13, STEEL, 0.30, 100.0, "root_gap_mm = 0.05\nrest_exponent = 1.5\n"), slot(0.03, 0.04),
             chamber(350.0, 12.0)),
        [50, 200, 800, 1500], [], {}),
    "brass reed with a player": (
        toml(reed(14.0, 2.0, 0.15, BRASS, 0.28), slot(0.03, 0.04), chamber(350.0, 12.0), player=PLAYER),
        [20, 100, 500, 1000], [300], {}),
    "brass reed in a flat channel, other coefficients": (
        toml(reed(14.0, 2.0, 0.15, BRASS, 0.28), slot(0.03, 0.04), chamber(350.0, 12.0)),
        [20, 100, 500, 1000], [600],
        {"inertance_factor": 1.0, "contraction": 0.68, "drag": 3.0, "channel_perimeter_mm": 24.0}),
    "brass reed on a windchest, more inertance": (
        toml(reed(30.0, 3.5, 0.35, BRASS, 0.9, 150.0), slot(0.04, 0.08, 2.5), air="density_kg_m3 = 1.2\n"
             "sound_speed_m_s = 343.4\nviscosity_pa_s = 1.81e-5"),
        [50, 200, 500, 1000], [600], {"inertance_factor": 1.7}),
    "wide-slotted high reed that never speaks": (
        toml(reed(9.0, 2.0, 0.30, STEEL, 0.45, 30.0), slot(0.08, 0.08, 1.0, "leak_mm2 = 2.0\n"), chamber(500.0, 10.0)),
        [100, 1000, 5000, 15000], [], {}),
}

USUAL = {"inertance_factor": 1.3, "contraction": 0.61, "drag": 5.0, "channel_perimeter_mm": None}
FLOW_CASES = ("mid steel reed", "harmonium-size brass reed on a windchest", "brass reed in a flat channel, other coefficients")


def body(r):
    """What is known before any air moves."""
    return {"modes_hz": r.omega / (2 * pi), "mass_kg": r.beam.mass, "modal_mass_kg": r.m, "swept_area_m2": r.S,
            "torsion_hz": r.beam.torsion(), "lateral_hz": r.beam.lateral(), "quality_factor": r.Q,
            "air": {"slot_inertance_kg_m4": r.M_s, "slot_compliance_m3_pa": r.C_s, "chamber_compliance_m3_pa": r.C_c,
                    "channel_inertance_kg_m4": r.M_c, "channel_resistance_pa_s_m3": r.R_c, "wall_share": r.e,
                    "channel_loss_pa_s2_m6": r.K_c, "mouth_compliance_m3_pa": r.C_m}}


def growth(stability, pressures):
    rows = []
    for p in pressures:
        if stability.fold is None or p < stability.fold:
            lam, x = stability.at(p), stability.equilibrium(p)
            rows.append({"pressure_pa": p, "growth_per_s": lam.real, "frequency_hz": lam.imag / (2 * pi),
                         "rest_q_m": x[:2], "rest_p_pa": x[4], "rest_flow_m3_s": x[5]})
    return rows


def flow_table(r):
    """Flow through the slot for open, closing and passed-through reeds, forward, still and reversed."""
    g, T = r.gap, r.T
    places = [(0.0, 0.0), (0.5 * g, 0.02 * g), (-0.6 * g, -0.05 * g), (-g - 0.4 * T, 0.0), (-g - 1.5 * T, 0.1 * g)]
    rows = []
    for q in places:
        for dp in (800.0, 2.0, 0.0, -3.0, -400.0):
            u_e, _, u, beta = r.flow(q, np.float64(dp))
            rows.append({"q1_m": q[0], "q2_m": q[1], "dp_pa": dp, "u_e_m3_s": u_e, "u_m3_s": u, "beta": beta})
    return rows


def results(name):
    begun = time.process_time()
    text, pressures, attacks, coefficients = CASES[name]
    r = Reed(text, **coefficients)
    stability = Stability(r)
    out = {"name": name, "toml": text, "coefficients": USUAL | coefficients} | body(r) | stability.thresholds()
    out["growth"] = growth(stability, pressures)
    out["attacks"] = [attack(r, p, longest=30.0)[0] for p in attacks]
    out["flow"] = flow_table(r) if name in FLOW_CASES else []
    return plain(out | {"processor_s": round(time.process_time() - begun, 1)})


def plain(x):
    """Numpy values as JSON ones."""
    if isinstance(x, dict):
        return {k: plain(v) for k, v in x.items()}
    if isinstance(x, (list, tuple, np.ndarray)):
        return [plain(v) for v in x]
    return x.item() if isinstance(x, np.generic) else x


PROVENANCE = {
    "program": "model.py, stability.py, sounding.py, tongue.py and cases.py, written from the equations of model 2 alone, "
               "sharing no code with the crate",
    "command": "python3 cases.py", "date": "2026-11-29",
    "python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__, "numba": numba.__version__,
    # Relative, as accuracy.py finds them: what is left open by elements, steps, ends of runs and integrators.
    "known_to": {
        "modes_hz, modal_mass_kg, swept_area_m2, lateral_hz, torsion_hz": 1e-7,
        "air, flow, rest under pressure": 1e-9,
        "onset_pressure_pa, onset_frequency_hz": 1e-7,
        "growth_per_s, largest_growth_per_s": "1e-7 of the largest with 32 points a span; 64 move the largest by up to 6e-4",
        "choke_pressure_pa": "1e-7 with 32 points a span; 64 move it by up to 2e-3, and where choke_at_corner the growth jumps "
                             "there and other points may move it by a hundredth",
        "largest_growth_pressure_pa": "1e-3: the top is flat or a corner",
        "other_mode_unstable_from_pa": "1e-7 with 32 points a span",
        "attacks": "amplitude 1e-6, frequency 1e-8, mean flow 1e-6, level 0.001 dB, t50 and t90 1e-5: LSODA, rtol 1e-9; the "
                   "half range of the tip changes by less than 1e-7 over ten periods",
        "t50_s, t90_s where velocity_extrema_per_period > 2": "hang on the largest extremum of each swing being the one that "
                                                               "counts",
        "profile, thermoelastic": 1e-9}}


def main():
    if len(sys.argv) > 1:
        for name in sys.argv[1:]:
            print(json.dumps(results(name), indent=1))
        return
    table = {}
    with Pool(2) as pool:
        for found in pool.imap_unordered(results, CASES):
            table[found["name"]] = found
            print(found["name"], found["processor_s"], "s", flush=True)
    whole = {"provenance": PROVENANCE, "cases": [table[name] for name in CASES],
             "profile": plain(profiles()), "thermoelastic": plain(thermoelastic())}
    path = Path(__file__).with_name("reference.json")
    path.write_text(json.dumps(whole, indent=1, allow_nan=False) + "\n")


if __name__ == "__main__":
    main()
