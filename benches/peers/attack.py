"""The same attack by general-purpose integrators, beside the program's own.

    cargo build --release && python3 -m pip install numpy scipy numba
    python3 benches/peers/attack.py

One harmonica reed (488 Hz, 700 Pa, 0.3 s) by scipy's RK45, LSODA and Radau and by a fixed step of order 4 compiled with numba, on
the equations as `src/cases/reference/model.py` has them, compiled too and sharing no code with the program. Each works at the
loosest accuracy of a few at which its swing at the end is within 1 % of a tight solution. Prints processor time as the
median of five runs in turn, beside the whole process of the program, its start included.
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numba
import numpy as np
from scipy.integrate import solve_ivp

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "src" / "cases" / "reference"))
from model import Reed, rates  # noqa: E402

PROGRAM = ROOT / "target" / "release" / "freereed"
PRESSURE_PA, RISE_S, END_S = 700.0, 0.01, 0.3
REED = """
[reed]
length_mm = 14.2
width_mm = 2.1
thickness_mm = 0.172
density_kg_m3 = 8860.0
youngs_modulus_gpa = 110.0
quality_factor = 90.0
tip_gap_mm = 0.27

[slot]
side_clearance_mm = 0.027
tip_clearance_mm = 0.03
plate_thickness_mm = 1.0

[chamber]
volume_mm3 = 500.0
channel_length_mm = 20.0
channel_area_mm2 = 20.0
"""


@numba.njit
def blown(t):
    x = min(t / RISE_S, 1.0)
    return PRESSURE_PA * x * x * (3 - 2 * x)


@numba.njit
def slope(t, z, scale, place, n):
    return rates(z * scale, blown(t), place, n) / scale


@numba.njit
def fixed_step(scale, place, n, step):
    """Runge and Kutta's method of order 4; the tip's motion in the last 10 ms."""
    z, count = np.zeros(scale.size), int(END_S / step)
    low, high = 1e9, -1e9
    for k in range(count):
        t = k * step
        a = slope(t, z, scale, place, n)
        b = slope(t + step / 2, z + step / 2 * a, scale, place, n)
        c = slope(t + step / 2, z + step / 2 * b, scale, place, n)
        d = slope(t + step, z + step * c, scale, place, n)
        z = z + step / 6 * (a + 2 * b + 2 * c + d)
        if t > END_S - 0.01:
            tip = z[0] * scale[0] + z[1] * scale[1]
            low, high = min(low, tip), max(high, tip)
    return (high - low) / 2


def main():
    reed = Reed(REED)
    flow = reed.slot_area * np.sqrt(2 * PRESSURE_PA / reed.rho)
    scale = np.array([1e-4, 1e-4, 1e-4 * reed.omega[0], 1e-4 * reed.omega[0], PRESSURE_PA, flow, PRESSURE_PA, flow])
    place, n = reed.place, reed.n

    def peer(method, rtol):
        times = np.linspace(END_S - 0.01, END_S, 2000)
        run = solve_ivp(slope, (0.0, END_S), np.zeros(8), method=method, rtol=rtol, atol=rtol / 100, t_eval=times,
                        args=(scale, place, n))
        tip = run.y[0] * scale[0] + run.y[1] * scale[1]
        return (tip.max() - tip.min()) / 2

    def program():
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "reed.toml"
            file.write_text(REED)
            call = [PROGRAM, "attack", file, "--pressure-pa", str(PRESSURE_PA), "--duration-s", str(END_S), "--json"]
            text = subprocess.run(call, capture_output=True, text=True, check=True).stdout
        return float(text.split('"tip_amplitude_m":')[1].split(",")[0].split("}")[0])

    tight = peer("LSODA", 1e-9)
    loosest = {"freereed": program}
    for method in ("RK45", "LSODA", "Radau"):
        for rtol in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6):
            if abs(peer(method, rtol) / tight - 1) < 0.01:
                loosest[f"scipy {method}, rtol {rtol:g}"] = lambda method=method, rtol=rtol: peer(method, rtol)
                break
    for step in (1e-6, 5e-7, 2.5e-7):
        if abs(fixed_step(scale, place, n, step) / tight - 1) < 0.01:
            loosest[f"fixed step of {step:g} s, numba"] = lambda step=step: fixed_step(scale, place, n, step)
            break

    took = {name: [] for name in loosest}
    for _ in range(5):
        for name, run in loosest.items():
            def spent():
                children = resource.getrusage(resource.RUSAGE_CHILDREN)
                return time.process_time() + children.ru_utime + children.ru_stime
            before = spent()
            swing = run()
            took[name].append(spent() - before)
            assert abs(swing / tight - 1) < 0.01, f"{name}: {swing} m, {tight} m"
    own = statistics.median(took["freereed"])
    print(f"swing {1e3 * tight:.4f} mm, all within 1 %")
    for name, times in took.items():
        median = statistics.median(times)
        print(f"{1e3 * median:9.1f} ms  {median / own:8.1f} times  {name}")


if __name__ == "__main__":
    main()
