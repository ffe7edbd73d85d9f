"""The rest branch followed from P = 0, small motion about it, and the first mode along it (section 6 of the model)."""

from math import pi

import numpy as np
from scipy.linalg import eig
from scipy.optimize import brentq, minimize_scalar

LIMIT = 20e3                # highest mouth pressure considered, Pa


class Stability:
    """One reed under a prescribed mouth pressure, whether there is a player or not.

    At rest q_i = -F S_i / (m_i omega_i^2) with F = beta p, so the branch is one
    curve with F as its parameter: p(F) and P(F) follow, and a fold is where P(F)
    turns back."""

    def __init__(self, reed, limit=LIMIT, step=0.01):
        self.reed, self.limit, self.fold = reed, limit, None
        self.states = min(reed.states, 8)
        inner = [reed.C_s, reed.M_s] + ([reed.C_c, reed.M_c] if self.states > 6 else [])
        # Square root of energy per unit of each state variable.
        self.energy = np.sqrt(np.concatenate([reed.m * reed.omega**2, reed.m, inner]) / 2)
        self._branch()
        self._scan(step)

    def _branch(self):
        forces, pressures, f = [0.0], [0.0], 0.01
        while pressures[-1] < self.limit * 1.02:
            forces.append(f)
            pressures.append(self.rest(f)[1])
            if pressures[-1] <= pressures[-2]:
                top = minimize_scalar(lambda z: -self.rest(z)[1], bounds=(forces[-3], f),
                                      method="bounded", options={"xatol": 1e-9 * f})
                forces[-1], pressures[-1], self.fold = top.x, -top.fun, -top.fun
                break
            f *= 1.004
        self.forces, self.pressures = np.array(forces), np.array(pressures)
        if self.fold is not None and self.fold >= self.limit:
            self.fold = None

    def rest(self, force):
        """(state, mouth pressure) at the effective pressure F on the reed."""
        r = self.reed
        q = -force * r.S / (r.m * r.omega**2)

        def excess(p):
            return r.flow(q, p)[3] * p - force
        high = max(force, 1e-9)
        while excess(high) < 0:
            high *= 1.5
        p = brentq(excess, 0.0, high, xtol=1e-13, rtol=1e-14) if force > 0 else 0.0
        u = r.flow(q, p)[2]
        if self.states == 6:
            return np.array([*q, 0.0, 0.0, p, u]), p
        u_c = u + r.leak_flow(p)
        return np.array([*q, 0.0, 0.0, p, u, p, u_c]), p + r.R_c * u_c + r.K_c * u_c * abs(u_c)

    def equilibrium(self, pressure):
        """State at rest on the branch that starts at P = 0."""
        i = int(np.searchsorted(self.pressures, pressure))
        lo, hi = self.forces[i - 1], self.forces[i]
        f = brentq(lambda z: self.rest(z)[1] - pressure, lo, hi, xtol=1e-14, rtol=1e-13)
        return self.rest(f)[0]

    def modes(self, pressure):
        """(eigenvalues, eigenvectors of unit energy) of small motion, Im >= 0 only."""
        x, e, n = self.equilibrium(pressure), self.energy, self.states
        jac = np.empty((n, n))
        for k in range(n):
            z = x.astype(complex)
            dx = 1e-30 / e[k]
            z[k] += 1j * dx
            jac[:, k] = self.reed.rates(z, complex(pressure)).imag / dx
        lam, vec = eig(e[:, None] * jac / e[None, :])
        keep = lam.imag >= 0
        return lam[keep], vec[:, keep]

    def first(self, pressure, known):
        """(eigenvalue, eigenvector, overlap, other eigenvalues) of the first mode next to a known eigenvector."""
        lam, vec = self.modes(pressure)
        overlap = abs(known.conj() @ vec)
        i = int(np.argmax(overlap))
        return lam[i], vec[:, i], overlap[i], np.delete(lam, i)

    def follow(self, p0, v0, p1, depth=0):
        """Eigenpair at p1 by continuity from p0, halving the step where the shape turns fast."""
        lam, vec, overlap, others = self.first(p1, v0)
        if overlap < 0.97 and depth < 12:
            mid = np.sqrt(p0 * p1)
            _, v_mid, _ = self.follow(p0, v0, mid, depth + 1)
            return self.follow(mid, v_mid, p1, depth + 1)
        return lam, vec, others

    def _scan(self, step):
        end = self.fold * (1 - 1e-9) if self.fold else self.limit
        n = int(np.ceil(np.log(end) / np.log(1 + step)))
        self.grid = np.exp(np.linspace(0.0, np.log(end), n + 1))
        self.grid[0], self.grid[-1] = 1.0, end
        lam, vec = self.modes(1.0)
        share = np.where(lam.imag > 0, abs(vec[0])**2 + abs(vec[2])**2, -1)
        i = int(np.argmax(share))
        found = [(lam[i], vec[:, i], np.delete(lam, i))]
        for a, b in zip(self.grid[:-1], self.grid[1:]):
            found.append(self.follow(a, found[-1][1], b))
        self.lam = np.array([z for z, _, _ in found])
        self.vec, self.others = [v for _, v, _ in found], [o for _, _, o in found]

    def near(self, pressure):
        """(eigenvalue of the first mode, other eigenvalues) at any scanned pressure."""
        i = int(np.clip(np.searchsorted(self.grid, pressure) - 1, 0, len(self.grid) - 2))
        lam, _, others = self.follow(self.grid[i], self.vec[i], pressure)
        return lam, others

    def at(self, pressure):
        """Eigenvalue of the first mode."""
        return self.near(pressure)[0]

    def _cross(self, i, level):
        """Pressure between grid points i and i + 1 at which the growth passes a level."""
        return brentq(lambda p: self.at(p).real - level, self.grid[i] * (1 + 1e-12), self.grid[i + 1], rtol=1e-12)

    def corner(self, pressure):
        """Whether the growth jumps here: a point of quadrature passes a corner of the overlap."""
        slope = (self.at(pressure * (1 + 1e-4)).real - self.at(pressure * (1 - 1e-4)).real) / (2e-4 * pressure)
        close = self.at(pressure * (1 + 1e-7)).real - self.at(pressure * (1 - 1e-7)).real
        return bool(abs(close) > max(1e-6, 0.1 * abs(slope) * 2e-4 * pressure))

    def windows(self):
        """Pressure windows in which the first mode grows."""
        g, windows, start = self.lam.real, [], 1.0 if self.lam[0].real > 0 else None
        for i in range(len(g) - 1):
            if g[i] <= 0 < g[i + 1]:
                start = self._cross(i, 0.0)
            elif g[i] > 0 >= g[i + 1]:
                windows.append([start, self._cross(i, 0.0)])
                start = None
        return windows + ([[start, self.grid[-1]]] if start is not None else [])

    def squeal(self):
        """(pressure, frequency) at which a mode other than the first first grows."""
        def worst(others):
            return max((z for z in others if z.imag > 0), key=lambda z: z.real)
        g = [worst(o).real for o in self.others]
        for i in range(len(g) - 1):
            if g[i + 1] > 0:
                p = self.grid[i] if g[i] > 0 else brentq(
                    lambda p: worst(self.near(p)[1]).real, self.grid[i] * (1 + 1e-12), self.grid[i + 1], rtol=1e-10)
                return p, worst(self.near(p)[1]).imag / (2 * pi)
        return None, None

    def peak(self):
        """(pressure, largest growth): refined around the five largest of the grid, for corners can hide the top."""
        g, best = self.lam.real, (None, -np.inf)
        for top in np.argsort(g)[-5:]:
            lo, hi = self.grid[max(top - 1, 0)], self.grid[min(top + 1, len(g) - 1)]
            for a, b in ((lo, self.grid[top]), (self.grid[top], hi)):
                if a < b:
                    peak = minimize_scalar(lambda p: -self.at(p).real, bounds=(a, b), method="bounded",
                                           options={"xatol": 1e-8 * hi})
                    best = max(best, (peak.x, -peak.fun), (self.grid[top], g[top]), key=lambda z: z[1])
        return best

    def thresholds(self):
        """Onset, largest growth, choke, fold, every pressure window with growth, and the first squeal."""
        windows, (at, frequency) = self.windows(), self.squeal()
        out = {"onset_pressure_pa": None, "onset_frequency_hz": None, "choke_pressure_pa": None,
               "fold_pressure_pa": self.fold, "largest_growth_per_s": None, "largest_growth_pressure_pa": None,
               "windows_pa": windows, "other_mode_unstable_from_pa": at, "other_mode_frequency_hz": frequency}
        if not windows:
            return out
        out["onset_pressure_pa"] = windows[0][0]
        out["onset_at_corner"] = self.corner(windows[0][0])
        out["onset_frequency_hz"] = self.at(windows[0][0]).imag / (2 * pi)
        at, s_max = self.peak()
        out["largest_growth_per_s"], out["largest_growth_pressure_pa"] = s_max, at
        top = int(np.searchsorted(self.grid, at))
        for i in range(top - 1, len(self.grid) - 1):
            if self.lam[i + 1].real < 0.05 * s_max:
                out["choke_pressure_pa"] = self._cross(i, 0.05 * s_max)
                out["choke_at_corner"] = self.corner(out["choke_pressure_pa"])
                break
        return out
