"""Runs in time and what is read off them (section 6 of the model).

The integrator is scipy's LSODA; accuracy.py compares it with scipy's Radau and DOP853.
"""

from math import log10, pi

import numba
import numpy as np
from scipy.integrate import odeint

from model import numbers, rates

SAMPLES = 256               # of a plucked period


@numba.njit(cache=True)
def mouth(t, P, rise):
    """P (3 x^2 - 2 x^3), x = t / t_r up to 1."""
    x = min(t / rise, 1.0) if rise > 0 else 1.0
    return P * (3 * x**2 - 2 * x**3)


@numba.njit(cache=True)
def scaled_rates(t, z, place, scale, numbers_of_reed, blow):
    """Rates of the scaled state under the pressure of an attack."""
    return rates(z * scale, mouth(t, blow[0], blow[1]), place, numbers(numbers_of_reed)) / scale


@numba.njit(cache=True)
def slopes_at(t, x, place, numbers_of_reed, blow):
    """Rates of many states."""
    n, out = numbers(numbers_of_reed), np.empty_like(x)
    for i in range(len(t)):
        out[i] = rates(x[i], mouth(t[i], blow[0], blow[1]), place, n)
    return out


def roots(t, y, dy, dt):
    """(times at which y passes zero, interval of each, share of it): cubics through values and slopes."""
    i = np.nonzero((y[:-1] < 0) != (y[1:] < 0))[0]
    u = y[i] / (y[i] - y[i + 1])
    for _ in range(20):
        f = cubic(u, y[i], y[i + 1], dt * dy[i], dt * dy[i + 1])
        g = (-6*u + 6*u**2) * (y[i] - y[i + 1]) + (1 - 4*u + 3*u**2) * dt * dy[i] + (3*u**2 - 2*u) * dt * dy[i + 1]
        u = np.clip(u - f / g, 0.0, 1.0)
    return t[i] + u * dt, i, u


def cubic(u, y0, y1, d0, d1):
    """Hermite's cubic; slopes by u."""
    return (1 + 2*u) * (1 - u)**2 * y0 + u * (1 - u)**2 * d0 + u**2 * (3 - 2*u) * y1 - u**2 * (1 - u) * d1


class Run:
    """A run in time, sampled evenly; from rest, all pressures and flows zero, unless a state is given.

    The pressure rises in `rise` seconds and then stays."""

    def __init__(self, reed, pressure, rise=0.010, rtol=1e-9, start=None):
        self.reed, self.P, self.rise, self.rtol = reed, float(pressure), rise, rtol
        self.period = 2 * pi / reed.omega[0]
        self.dt = self.period / SAMPLES
        a, u = max(abs(reed.gap), 1e-4), reed.slot_area * np.sqrt(2 * self.P / reed.rho)
        air = [self.P, u, self.P, u, self.P][:reed.states - 4]
        self.scale = np.array([a, a, a * reed.omega[0], a * reed.omega[0], *air])
        self.numbers, self.blow = np.array(reed.n), np.array([self.P, self.rise])
        first = np.zeros(reed.states) if start is None else np.array(start, float)
        self.x = first[None, :]
        self.slope = slopes_at(np.zeros(1), self.x, reed.place, self.numbers, self.blow)

    def sample(self, t):
        """(states, their rates) at the times t[1:], from the state at the end of the run, which is at t[0]."""
        z, info = odeint(scaled_rates, self.x[-1] / self.scale, t, tfirst=True, rtol=self.rtol, atol=self.rtol / 100,
                         args=(self.reed.place, self.scale, self.numbers, self.blow), mxstep=100_000, full_output=True)
        if info["message"] != "Integration successful.":
            raise RuntimeError(info["message"])
        x = z[1:] * self.scale
        return x, slopes_at(t[1:], x, self.reed.place, self.numbers, self.blow)

    def go(self, periods):
        """On by so many plucked periods."""
        first, count = len(self.x) - 1, int(round(periods * SAMPLES))
        states, slopes = self.sample(self.dt * (first + np.arange(count + 1)))
        self.x, self.slope = np.concatenate([self.x, states]), np.concatenate([self.slope, slopes])

    @property
    def now(self):
        return (len(self.x) - 1) * self.dt

    def settle(self, tight=1e-7, least_periods=40, longest=None, dead=1e-6):
        """Runs until the tip's half range changes by less than `tight` over ten sounding periods; whether it did."""
        longest = longest or max(2.0, 600 * self.period)
        self.go(np.ceil(max(self.rise / self.period, 1) + least_periods))
        while True:
            half, _, _ = self.swings()
            change = abs(half[-1] / half[-11] - 1) if len(half) > 11 else np.inf
            self.change = change
            if len(half) == 0 or half[-1] < min(dead, half[0]):
                return True
            if change < tight and half[-1] > dead:
                return True
            if self.now > longest:
                return False
            self.go(10)

    def swings(self, periods=16):
        """(half range of the tip in each period, start of each, length) in the last plucked periods.

        A period runs from one rise of the tip through its middle to the next."""
        back = slice(-int(periods * SAMPLES) - 1, None)
        x, d = self.x[back], self.slope[back]
        t = self.now - self.dt * np.arange(len(x) - 1, -1, -1)
        tip, v, acc = x[:, 0] + x[:, 1], x[:, 2] + x[:, 3], d[:, 2] + d[:, 3]
        level = (tip[-2 * SAMPLES:].max() + tip[-2 * SAMPLES:].min()) / 2
        at, i, _ = roots(t, tip - level, v, self.dt)
        rise = at[v[i] > 0]
        turn, i, u = roots(t, v, acc, self.dt)
        height = cubic(u, tip[i], tip[i + 1], self.dt * v[i], self.dt * v[i + 1])
        half, starts, lengths = [], [], []
        for a, b in zip(rise[:-1], rise[1:]):
            inside = height[(turn > a) & (turn < b)]
            if len(inside) > 1:
                half.append((inside.max() - inside.min()) / 2)
                starts.append(a), lengths.append(b - a)
        return np.array(half), np.array(starts), np.array(lengths)

    def extrema(self):
        """(times, values, whether it is the largest of its stretch) of the extrema of the tip's velocity.

        A stretch goes from one passage of the velocity through zero to the next."""
        v, acc = self.x[:, 2] + self.x[:, 3], self.slope[:, 2] + self.slope[:, 3]
        # The slope of the acceleration is not known, so the extremum is that of the cubic through v and its slopes.
        i = np.nonzero((acc[:-1] < 0) != (acc[1:] < 0))[0]
        rise, a, b = v[i + 1] - v[i], self.dt * acc[i], self.dt * acc[i + 1]
        # d/du of the cubic = a + 2 (3 rise - 2a - b) u + 3 (a + b - 2 rise) u^2
        two, three = 2 * (3 * rise - 2 * a - b), 3 * (a + b - 2 * rise)
        u = -2 * a / (two + np.copysign(np.sqrt(np.maximum(two**2 - 4 * three * a, 0)), two))
        at, top = self.dt * (i + np.clip(u, 0, 1)), cubic(u, v[i], v[i + 1], a, b)
        stretch = np.cumsum((v[:-1] < 0) != (v[1:] < 0))[i]
        largest = np.zeros(len(i), bool)
        for k in np.unique(stretch):
            mine = np.nonzero(stretch == k)[0]
            largest[mine[np.argmax(abs(top[mine]))]] = True
        return at, top, largest

    def envelope(self):
        """(times, half the difference of each extremum of the tip's velocity and the next).

        Where the second mode puts ripples on a swing, the largest extremum between two passages through zero counts."""
        at, top, largest = self.extrema()
        at, top = at[largest], top[largest]
        return (at[:-1] + at[1:]) / 2, abs(np.diff(top)) / 2

    def one_period(self, count=4096):
        """(period, states at `count` even times over one period, from the end of the run)."""
        _, _, lengths = self.swings()
        period = np.mean(lengths[-8:])
        return period, self.sample(max(self.now, self.rise) + period / count * np.arange(count + 1))[0]

    def read(self):
        """Steady values over a whole period."""
        half, _, lengths = self.swings()
        if len(half) == 0 or half[-1] < max(1e-6, 0.02 * abs(self.reed.gap)):
            return {"speaks": False, "tip_amplitude_m": half[-1] if len(half) else 0.0}
        period, x = self.one_period()
        through, net = outflow(self.reed, x)
        leak = np.mean([self.reed.leak_flow(p) for p in x[:, 6]]) if x.shape[1] > 6 else 0.0
        plain, weighted = levels(net, period, self.reed.rho)
        v = x[:, 2] + x[:, 3]
        return {"speaks": True, "tip_amplitude_m": half[-1], "mean_tip_m": self.reed.gap + np.mean(x[:, 0] + x[:, 1]),
                "frequency_hz": 1 / period, "mean_flow_m3_s": through.mean(), "mean_leak_m3_s": leak,
                "level_db_at_1m": plain, "level_dba_at_1m": weighted, "mean_p_pa": x[:, 4].mean(),
                "least_p_pa": x[:, 4].min(), "velocity_half_range_m_s": np.ptp(v) / 2,
                "velocity_extrema_per_period": turns(np.diff(np.append(v, v[0]))), "velocity_zeros_per_period": turns(v),
                "amplitude_change_per_10_periods": self.change, "period_scatter": np.ptp(lengths[-8:]) / period}

    def speaking_time(self, part):
        """First time at which the envelope reaches this part of its steady value and does not lose it again."""
        t, e = self.envelope()
        steady = np.mean(e[-16:])
        low = np.nonzero(e < part * steady)[0]
        if len(low) == 0 or low[-1] + 1 >= len(e):
            return None
        i = low[-1]
        share = np.log(part * steady / e[i]) / np.log(e[i + 1] / e[i])
        return t[i] + share * (t[i + 1] - t[i])


def turns(y):
    """Changes of sign of a periodic sequence."""
    return int(np.sum((y < 0) != (np.roll(y, 1) < 0)))


def outflow(reed, x):
    """(U, net outflow with the reed's own sweep taken off) at each state."""
    u = np.array([reed.flow(s[:2], s[4])[2] for s in x])
    return u, u - x[:, 2] * reed.S[0] - x[:, 3] * reed.S[1]


def a_weighting_db(f):
    """IEC 61672-1, annex E."""
    s = f**2
    ra = 12194**2 * s**2 / ((s + 20.6**2) * np.sqrt((s + 107.7**2) * (s + 737.9**2)) * (s + 12194**2))
    return 20 * np.log10(ra) + 2.0


def levels(net, period, rho):
    """Level at 1 m of a monopole, plain and A-weighted: p_rms = rho rms(d/dt) / (4 pi r), up to 20 kHz."""
    n = len(net)
    k = np.arange(1, int(20e3 * period) + 1)
    rate = 2 * pi * k / period * abs(np.fft.rfft(net)[k]) / n * np.sqrt(2)
    p = rho * rate / (4 * pi) / 20e-6
    return 10 * log10(np.sum(p**2)), 10 * log10(np.sum(p**2 * 10**(a_weighting_db(k / period) / 10)))


def attack(reed, pressure, rise=0.010, tight=1e-7, rtol=1e-9, longest=None):
    """An attack from rest until steady: steady values and speaking times."""
    run = Run(reed, pressure, rise, rtol)
    settled = run.settle(tight, longest=longest)
    out = {"pressure_pa": pressure, "rise_s": rise, "settled": bool(settled)} | run.read() | {"run_s": run.now}
    if out["speaks"]:
        out |= {"t50_s": run.speaking_time(0.5), "t90_s": run.speaking_time(0.9)}
    return out, run
