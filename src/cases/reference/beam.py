"""The reed as a beam: section 1 of the model. Hermite cubic elements, consistent mass, exact at 8 Gauss points.

SI units.  `s` runs from the clamp (0) to the tip (L).
"""

from math import pi

import numpy as np
from numpy.polynomial.legendre import leggauss
from scipy.linalg import eigh

POISSON = 0.33              # G = E / 2.66
N_ELEMENTS = 80             # least number of beam elements


class Section:
    """A quantity piecewise linear in s; two stations at one place make a step."""

    def __init__(self, value, length):
        if np.isscalar(value):
            value = [[0.0, value], [length, value]]
        self.s, self.v = np.array(value, float).T

    def on(self, s, a, b):
        """Values at s inside the span [a, b], which holds no station."""
        mid = (a + b) / 2
        i = np.clip(np.searchsorted(self.s, mid) - 1, 0, len(self.s) - 2)
        s0, s1, v0, v1 = self.s[i], self.s[i + 1], self.v[i], self.v[i + 1]
        return v0 + (v1 - v0) * (s - s0) / (s1 - s0)


def hermite(x, h):
    """Cubic shape functions on [0, 1] and their second derivatives by s.

    The rotation unknown is (slope * L), and h is the element length over L."""
    n = np.array([1 - 3*x**2 + 2*x**3, h*(x - 2*x**2 + x**3), 3*x**2 - 2*x**3, h*(x**3 - x**2)])
    d2 = np.array([-6 + 12*x, h*(-4 + 6*x), 6 - 12*x, h*(-2 + 6*x)]) / h**2
    return n, d2


class Beam:
    """Cantilever modes: frequencies, unit-tip shapes, modal masses, swept areas."""

    def __init__(self, length, width, thickness, rho, e, tip_mass=0.0, root_spring=None):
        self.L, self.rho, self.E = length, rho, e
        self.w, self.h = Section(width, length), Section(thickness, length)
        self.tip_mass, self.root_spring = tip_mass, root_spring
        self.spans = np.unique(np.concatenate([self.w.s, self.h.s]))
        self.nodes = [0.0]
        for a, b in zip(self.spans[:-1], self.spans[1:]):
            n = int(np.ceil(N_ELEMENTS * (b - a) / length)) + 4
            self.nodes += list(a + (b - a) * np.arange(1, n + 1) / n)
        self.nodes = np.array(self.nodes)
        self.mass = self._integral(lambda w, h: rho * w * h) + tip_mass
        self.omega, self.shape = self._bending(lambda w, h: w * h**3 / 12, root_spring, 2)
        self.modal_mass, self.S = self._modal_integrals()

    def _elements(self, order=8):
        """(left end, length, Gauss points on [0, 1], weights, width, thickness) of each element."""
        x, g = leggauss(order)
        x, g = (x + 1) / 2, g / 2
        for a, b in zip(self.nodes[:-1], self.nodes[1:]):
            s = a + (b - a) * x
            yield a, b - a, x, g, self.w.on(s, a, b), self.h.on(s, a, b)

    def _integral(self, f):
        return sum(le * g @ f(w, h) for _, le, _, g, w, h in self._elements())

    def _bending(self, second_moment, root_spring, count):
        """Lowest angular frequencies, and nodal unknowns (deflection, slope * L) at unit tip."""
        L, n = self.L, 2 * len(self.nodes)
        k, m = np.zeros((n, n)), np.zeros((n, n))
        i0, m0 = second_moment(self.w.v[0], self.h.v[0]), self.w.v[0] * self.h.v[0]
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            shp, d2 = hermite(x, le / L)
            at = slice(2*j, 2*j + 4)
            k[at, at] += (d2 * g * second_moment(w, h) / i0) @ d2.T * le / L
            m[at, at] += (shp * g * w * h / m0) @ shp.T * le / L
        m[-2, -2] += self.tip_mass / (self.rho * m0 * L)
        if root_spring is None:
            keep = np.arange(2, n)
        else:
            k[1, 1] += root_spring * L / (self.E * i0)
            keep = np.arange(1, n)
        k, m = k[np.ix_(keep, keep)], m[np.ix_(keep, keep)]
        # Mass against stiffness: the lowest modes are then the largest, clear of round-off.
        inverse, vec = eigh(m, k, subset_by_index=[len(k) - count, len(k) - 1])
        lam, vec = 1 / inverse[::-1], vec[:, ::-1]
        full = np.zeros((n, count))
        full[keep] = vec / vec[-2]
        return np.sqrt(lam * self.E * i0 / (self.rho * m0)) / L**2, full

    def phi(self, s):
        """Both mode shapes at the points s."""
        j = np.clip(np.searchsorted(self.nodes, s) - 1, 0, len(self.nodes) - 2)
        le = self.nodes[j + 1] - self.nodes[j]
        n, _ = hermite((s - self.nodes[j]) / le, le / self.L)
        return np.array([sum(n[r] * self.shape[2*j + r, i] for r in range(4)) for i in range(2)])

    def _modal_integrals(self):
        mass, swept = np.zeros(2), np.zeros(2)
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            n, _ = hermite(x, le / self.L)
            phi = self.shape[2*j:2*j + 4].T @ n
            mass += (phi**2 * self.rho * w * h) @ g * le
            swept += (phi * w) @ g * le
        return mass + self.tip_mass, swept

    def lateral(self):
        """First sideways frequency, Hz; built in at the root."""
        return self._bending(lambda w, h: h * w**3 / 12, None, 1)[0][0] / (2 * pi)

    def torsion(self):
        """First torsional frequency, Hz: free warping, built in at the root, quadratic elements."""
        n = 2 * len(self.nodes) - 1
        k, m = np.zeros((n, n)), np.zeros((n, n))
        for j, (_, le, x, g, w, h) in enumerate(self._elements()):
            shp = np.array([(1 - x) * (1 - 2*x), 4*x*(1 - x), x*(2*x - 1)])
            d = np.array([4*x - 3, 4 - 8*x, 4*x - 1])
            at, u = slice(2*j, 2*j + 3), le / self.L
            k[at, at] += (d * g * saint_venant(w, h) / saint_venant(*self._root())) @ d.T / u
            m[at, at] += (shp * g * polar(w, h) / polar(*self._root())) @ shp.T * u
        lam = eigh(k[1:, 1:], m[1:, 1:], subset_by_index=[0, 0], eigvals_only=True)[0]
        shear = self.E / (2 * (1 + POISSON))
        stiff = shear * saint_venant(*self._root()) / (self.rho * polar(*self._root()))
        return np.sqrt(lam * stiff) / (2 * pi * self.L)

    def _root(self):
        return self.w.v[0], self.h.v[0]


def polar(w, h):
    """Polar second moment of a rectangle."""
    return w * h * (w**2 + h**2) / 12


def saint_venant(w, h):
    """Torsion constant of a rectangle."""
    a, b = np.maximum(w, h), np.minimum(w, h)
    odd = np.arange(1, 200, 2)
    series = sum(np.tanh(n * pi * a / (2 * b)) / n**5 for n in odd)
    return a * b**3 * (1/3 - 64 / pi**5 * b / a * series)
