#!/usr/bin/python3
"""Margins of ten sampled loops, for ten_loops_test.go: ten_loops.json holds the loops and what this script computes of them.

    /usr/bin/python3 model/loop/testdata/ten_loops.py          writes the figures anew
    /usr/bin/python3 model/loop/testdata/ten_loops.py --check  compares, and fails where one differs by more than 1e-6 of it

The formulation is not the tool's, which solves the joint state equations of controller and sampled plant: here the plant is taken apart into
partial fractions by scipy.signal.residue, each of which has a z-transform in closed form, delays of a share of a tick included (modified z-transform), the
controller is its transfer function, and crossings are looked for among 2 million frequencies and refined by scipy.optimize.brentq. Whether a
loop is stable is decided by counting how often the curve goes around -1 (Nyquist), not by poles of the closed loop.
"""
import json
import math
import os
import sys

import numpy as np
from scipy import optimize, signal

FILE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "ten_loops.json")


class Loop:
    def __init__(self, d):
        self.h = h = 1 / d["rate_hz"]
        num, den = np.array(d["numerator"], float), np.array(d["denominator"], float)
        # Of the step response, in units of time in which its fastest pole is 1: residue takes poles for equal that are close.
        scale = max(abs(np.roots(den)).max(), 1e-30)
        unit = scale if scale > 1e-29 else 1.0
        stretched = lambda c: c * unit ** np.arange(len(c) - 1, -1, -1)
        r, p, _ = signal.residue(stretched(num), stretched(np.polymul(den, [1, 0])), tol=1e-9)
        p = p * unit
        whole, self.late = divmod(d["delay_s"] / h + 1e-9, 1)
        self.whole, self.late = int(whole), max(0.0, self.late - 1e-9) * h
        self.parts, seen = [], {}
        for res, pole in zip(r, p):  # residue lists equal poles one behind the other, their powers rising
            pole = 0 if abs(pole) <= 1e-9 * scale else complex(pole)
            seen[pole] = seen.get(pole, 0) + 1
            self.parts.append((complex(res) * unit ** seen[pole], pole, seen[pole]))
        self.kp, self.ki, self.kd, self.tau = d["kp"], d["ki"], d["kd"], d["derivative_filter_s"]
        self.open = sum(1 for q in np.roots(den) if q.real > 1e-12 * scale)
        self.integrators = sum(1 for q in np.roots(den) if abs(q) <= 1e-9 * scale) + (self.ki != 0)

    def at(self, w):
        h, late = self.h, self.late
        z1 = -2 * np.sin(w * h / 2) ** 2 + 1j * np.sin(w * h)  # z - 1 without loss of digits
        z = 1 + z1
        c = self.kp + self.ki * h * z / z1 + self.kd * z1 / (self.tau * z1 + h * z)
        p = 0
        for res, pole, power in self.parts:
            gap = z1 - np.expm1(pole * h)  # z - e^(pole*h)
            if power == 1:
                p = p + res * np.exp(pole * (h - late)) / gap
            elif pole == 0 and power == 2:
                p = p + res * (h * z / z1**2 - late / z1)
            elif pole == 0 and power == 3:
                p = p + res * (h * h * z * (z + 1) / (2 * z1**3) - late * h * z / z1**2 + late**2 / 2 / z1)
            else:
                raise ValueError("a pole too often")
        return c * p * z1 / z * z**-self.whole

    def frequencies(self):
        top = math.pi / self.h
        return np.geomspace(1e-9 * top, top * (1 - 1e-12), 2_000_000)

    def factors(self, w, loop):
        """Factors of the gain at which the curve goes through -1."""
        out = []
        for i in np.where((np.diff(np.sign(loop.imag)) != 0) & (loop.real[1:] < 0) & (loop.real[:-1] < 0))[0]:
            out.append(-1 / self.at(optimize.brentq(lambda x: self.at(x).imag, w[i], w[i + 1], xtol=1e-18, rtol=1e-14)).real)
        if (last := self.at(math.pi / self.h).real) < 0:
            out.append(-1 / last)
        if self.integrators == 0 and loop[0].real < 0:
            out.append(-1 / loop[0].real)
        return sorted(out)

    def stable(self, w, loop, factor):
        """Counts turns around -1 of the upper half of the curve, the small half circle around z = 1 taken into account."""
        turned = np.sum(np.angle((1 + factor * loop[1:]) / (1 + factor * loop[:-1])))
        # From z = 1+r to 1+r*e^(i*90 degrees): for n integrators the curve comes from the right and turns by -n*90 degrees.
        if self.integrators:
            turned -= self.integrators * math.pi / 2
        return round(turned / math.pi) == self.open

    def figures(self):
        w = self.frequencies()
        loop = self.at(w)
        out = {"stable": bool(self.stable(w, loop, 1))}
        limits = self.factors(w, loop)
        out["gain_up"] = min([k for k in limits if k > 1], default=0)
        out["gain_down"] = max([k for k in limits if k < 1], default=0)
        if not out["stable"]:
            ends = [0] + limits + [0]
            best = None
            for lo, hi in zip(ends[:-1], ends[1:]):
                inside = hi / 2 if lo == 0 else 2 * lo if hi == 0 else math.sqrt(lo * hi)
                if self.stable(w, loop, inside):
                    far = min(abs(math.log(e)) for e in (lo, hi) if e)
                    if best is None or far < best[0]:
                        best = far, [lo, hi]
            out["gain_up"] = out["gain_down"] = 0
            out["stable_with"] = best and best[1]
        margins = []
        gain = lambda x: math.log(abs(self.at(x)))
        for i in np.where(np.diff(np.sign(np.log(abs(loop)))) != 0)[0]:
            wc = optimize.brentq(gain, w[i], w[i + 1], xtol=1e-18, rtol=1e-14)
            lag = (math.pi + np.angle(self.at(wc))) % (2 * math.pi)
            angle = math.degrees(min(lag, 2 * math.pi - lag))
            if not out["stable"] and lag > math.pi:
                angle = -angle
            margins.append((abs(angle), angle, wc / 2 / math.pi, lag / wc))
        least = min(margins)
        out["phase_deg"], out["crossover_hz"] = least[1], least[2]
        out["delay_s"] = min(m[3] for m in margins) if out["stable"] else 0
        s = abs(1 + loop)
        i = int(s.argmin())
        found = optimize.minimize_scalar(lambda x: abs(1 + self.at(x)), bounds=(w[max(0, i - 2)], w[min(len(w) - 1, i + 2)]), method="bounded", options={"xatol": 1e-12 * w[i]})
        out["sensitivity_peak"] = 1 / min(found.fun, s[i])
        t = abs(loop / (1 + loop)) - 1 / math.sqrt(2)
        falls = np.where((t[:-1] > 0) & (t[1:] <= 0))[0]
        out["bandwidth_hz"] = 0
        if len(falls) and t[-1] < 0:
            i = falls[-1]
            out["bandwidth_hz"] = optimize.brentq(lambda x: abs(self.at(x) / (1 + self.at(x))) - 1 / math.sqrt(2), w[i], w[i + 1], xtol=1e-18, rtol=1e-14) / 2 / math.pi
        return {k: (float(v) if isinstance(v, (float, np.floating)) else [float(x) for x in v] if isinstance(v, list) else v) for k, v in out.items()}


def near(a, b):
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(near(x, y) for x, y in zip(a, b))
    if a is None or b is None or isinstance(a, bool):
        return a == b
    return abs(a - b) <= 1e-6 * abs(b)


loops = json.load(open(FILE))
failed = False
for d in loops:
    got = Loop(d).figures()
    if "--check" in sys.argv:
        for k, v in got.items():
            if not near(v, d["computed"].get(k)):
                print(f"{d['name']}: {k} is {v}, the file says {d['computed'].get(k)}")
                failed = True
    d["computed"] = got
if "--check" not in sys.argv:
    with open(FILE, "w") as f:
        f.write("[\n" + ",\n".join("  " + json.dumps(d) for d in loops) + "\n]\n")
sys.exit(failed)
