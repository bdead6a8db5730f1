#!/usr/bin/python3
"""Room of one sampled loop over two of its gains, by brute force, for plane_test.go.

    /usr/bin/python3 model/loop/testdata/plane.py          writes plane.json anew
    /usr/bin/python3 model/loop/testdata/plane.py --check  compares, and fails where a value is off by more than 1e-9

A position 9/(s*(0.2*s + 1)), sampled at 50 Hz behind a tick of delay, under a PID. The plant is sampled by scipy.signal.cont2discrete, the loop is
a quotient of polynomials, its distance to -1 is looked for at 200,000 even frequencies and refined by scipy.optimize, and stability is read from numpy.roots
of 1 + L: none of it is how the tool goes about it, which joins state equations.
"""
import json
import os
import sys

import numpy as np
from scipy import optimize, signal

FILE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "plane.json")
H, KI, TAU = 0.02, 1.5, 0.03
KP, KD = np.linspace(0, 7.5, 9), np.linspace(0, 0.75, 9)  # ranges [1, 6.2] and [0.1, 0.62], a quarter more to each side

num, den, _ = signal.cont2discrete(([9.0], [0.2, 1.0, 0.0]), H, method="zoh")
num = np.trim_zeros(num[0], "f")
den = np.polymul(den, [1, 0])  # a tick of delay


def loop(kp, kd):
    """L = C*P as a quotient; C = kp + ki*h*z/(z-1) + kd*(z-1)/(tau*(z-1) + h*z)."""
    one, slow = np.array([1.0, -1.0]), np.array([TAU + H, -TAU])
    c = np.polyadd(np.polyadd(kp * np.polymul(one, slow), KI * H * np.polymul([1, 0], slow)), kd * np.polymul(one, one))
    return np.polymul(c, num), np.polymul(np.polymul(one, slow), den)


def room(kp, kd):
    a, b = loop(kp, kd)
    at = lambda w: abs(1 + np.polyval(a, np.exp(1j * w)) / np.polyval(b, np.exp(1j * w)))
    w = np.linspace(1e-4, np.pi, 200_000)
    g = at(w)
    i = int(g.argmin())
    found = optimize.minimize_scalar(at, bounds=(w[max(0, i - 2)], w[min(len(w) - 1, i + 2)]), method="bounded", options={"xatol": 1e-12})
    nearest = min(float(found.fun), float(g[i]))
    return nearest if abs(np.roots(np.polyadd(a, b))).max() < 1 else -nearest


got = {"kp": list(KP), "kd": list(KD), "room": [[room(kp, kd) for kp in KP] for kd in KD]}
if "--check" in sys.argv:
    sys.exit(not np.allclose(json.load(open(FILE))["room"], got["room"], rtol=0, atol=1e-9))
with open(FILE, "w") as f:
    json.dump(got, f)
    f.write("\n")
