"""Amplitude and period of x'' - mu (1 - x^2) x' + x = 0 (B. van der Pol 1926), beside published series.

    python3 van_der_pol.py       prints a table

A run is left to settle, then followed from one greatest x to the next: DOP853, rtol 1e-13, event at x' = 0 located by
scipy. Mean of ten periods; the spread says how far the values are to be trusted.

Series for small mu, both from memory (C. M. Andersen and J. F. Geer, SIAM J. Appl. Math. 42 (1982) 678, frequency;
A. Buonomo, SIAM J. Appl. Math. 59 (1998) 156, amplitude):
    omega = 1 - mu^2/16 + 17 mu^4/3072 + 35 mu^6/884736 - 678899 mu^8/5096079360 + ...
    a     = 2 + mu^2/96 - 1033 mu^4/552960 + 1019689 mu^6/55738368000 + ...
Period at mu = 1 from memory: 6.66328685932313 (D. Viswanath, SIAM Review 43 (2001) 478).
"""

import numpy as np
import scipy
from scipy.integrate import solve_ivp


def series(mu):
    """(amplitude, period) of the series as far as quoted."""
    omega = 1 - mu**2 / 16 + 17 * mu**4 / 3072 + 35 * mu**6 / 884736 - 678899 * mu**8 / 5096079360
    a = 2 + mu**2 / 96 - 1033 * mu**4 / 552960 + 1019689 * mu**6 / 55738368000
    return a, 2 * np.pi / omega


def orbit(mu, periods=10):
    """(amplitude, period, spread of the amplitude, spread of the period) of the settled oscillation."""
    def rates(t, x):
        return [x[1], mu * (1 - x[0]**2) * x[1] - x[0]]

    def top(t, x):
        return x[1]
    top.direction = -1
    exact = {"method": "DOP853", "rtol": 1e-13, "atol": 1e-13}
    settled = solve_ivp(rates, (0, 50 + 40 / mu), [2.0, 0.0], **exact).y[:, -1]
    run = solve_ivp(rates, (0, (periods + 3) * (7 + 2 * mu)), settled, events=top, **exact)
    at, x = run.t_events[0][:periods + 1], run.y_events[0][:periods + 1, 0]
    return np.mean(x), np.mean(np.diff(at)), np.ptp(x), np.ptp(np.diff(at))


if __name__ == "__main__":
    print(f"numpy {np.__version__}, scipy {scipy.__version__}")
    for mu in (0.1, 0.5, 1.0, 2.0, 5.0, 10.0):
        a, period, a_spread, spread = orbit(mu)
        print(f"mu {mu:4}: amplitude {a:.11f} ({a_spread:.0e})  period {period:.11f} ({spread:.0e})", end="")
        print("   series: {:.9f} {:.9f}".format(*series(mu)) if mu <= 1 else "")
