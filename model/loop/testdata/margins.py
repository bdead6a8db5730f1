"""Margins of two textbook loops with scipy.signal, for margins_test.go, which runs it: a line for each loop with its gain and
phase margin (degrees), crossover (Hz), delay margin (s), sensitivity peak and where that is (Hz).

The loops: 1/(s(s+1)) sampled at 1 s, whose ultimate gain (1-1/e)/(1-2/e) = 2.392 is in textbooks of sampled control, and the
speed of a DC motor, J=0.01, b=0.1, K=0.01, R=1, L=0.5, sampled at 50 ms, under a proportional gain of 100.
"""
import numpy as np
from scipy import optimize, signal


def show(name, num, den, h):
    def at(w):
        z = np.exp(1j * w * h)
        return np.polyval(num, z) / np.polyval(den, z)

    w = np.linspace(1e-3, np.pi, 1_000_001) / h
    loop = at(w)
    cross = np.where(np.diff(np.sign(abs(loop) - 1)))[0][0]
    wc = optimize.brentq(lambda x: abs(at(x)) - 1, w[cross], w[cross + 1])
    lag = np.pi + np.angle(at(wc))
    turn = np.where((np.diff(np.sign(loop.imag)) != 0) & (loop.real[1:] < 0))[0][0]
    wt = optimize.brentq(lambda x: at(x).imag, w[turn], w[turn + 1])
    s = 1 / abs(1 + loop)
    print(name, -1 / at(wt).real, np.degrees(lag), wc / 2 / np.pi, lag / wc, s.max(), w[s.argmax()] / 2 / np.pi)


num, den, _ = signal.cont2discrete(([1], [1, 1, 0]), 1.0)
show("lag", num[0], den, 1.0)
a = np.array([[-10, 1], [-0.02, -2]])
ad, bd, c, d, _ = signal.cont2discrete((a, np.array([[0], [2.0]]), np.array([[1.0, 0]]), np.zeros((1, 1))), 0.05)
num, den = signal.ss2tf(ad, bd, c, d)
show("motor", 100 * num[0], den, 0.05)
