"""Single figures that Go tests hold, computed again with numpy and scipy: check() raises where one differs. make_tables.py runs it.

Which test holds which: model/plant/poles_test.go (pendulum, motors, holds, cart_with_a_pole), model/cert/peak_test.go and
model/witness/witness_test.go (section).
"""
import math

import numpy as np
from scipy import signal


def close(got, want, tolerance, what):
    assert abs(got - want) <= tolerance, f"{what}: computed {got!r}, the test holds {want!r}"


def poles(a, want, what):
    got = np.linalg.eigvals(a)
    for w in want:
        close(min(abs(got - w)), 0, 1e-8 * max(1, abs(w)), f"{what}, pole {w}")


def pendulum():
    """The two-wheeled pendulum of Yamamoto, NXTway-GS Model-Based Design, 2008: his equations and parameters, gear 1, one voltage for both motors."""
    m, r, jm, rm, kt, kb, f, mb, l, g = 0.03, 0.04, 1e-5, 6.69, 0.317, 0.468, 0.0022, 0.6, 0.072, 9.81
    jw, jb = m * r**2 / 2, mb * l**2 / 3
    alpha, beta = kt / rm, kt * kb / rm + f
    e = np.array([[(2 * m + mb) * r**2 + 2 * jw + 2 * jm, mb * l * r - 2 * jm], [mb * l * r - 2 * jm, mb * l**2 + jb + 2 * jm]])
    stiff = np.linalg.solve(e, np.diag([0, mb * g * l]))
    damp = np.linalg.solve(e, 2 * beta * np.array([[-1, 1], [1, -1]]))
    drive = np.linalg.solve(e, 2 * alpha * np.array([1, -1]))
    a = np.block([[np.zeros((2, 2)), np.eye(2)], [stiff, damp]])
    poles(a, [0, -241.1937394, -6.5198638, 7.4367239], "pendulum")
    for (i, j), want in {(2, 1): -409.7184124, (3, 1): 269.6273393, (2, 2): -162.1272879, (3, 2): 78.1495914, (2, 3): 162.1272879, (3, 3): -78.1495914}.items():
        close(a[i, j], want, 1e-6, f"pendulum, A[{i},{j}]")
    close(drive[0], 2 * 157.5798419, 1e-6, "pendulum, B")
    close(drive[1], -2 * 75.9576035, 1e-6, "pendulum, B")


def motors():
    """DC motors with the parameters of the University of Michigan's control tutorials (from memory)."""
    j, b, k, r, l = 0.01, 0.1, 0.01, 1, 0.5
    poles(np.array([[-b / j, k / j], [-k / l, -r / l]]), [-9.9974992183, -2.0025007817], "motor for speed")
    j, b, k, r, l = 3.2284e-6, 3.5077e-6, 0.0274, 4, 2.75e-6
    poles(np.array([[-b / j, k / j], [-k / l, -r / l]]), [-59.2260384878, -1454487.315], "motor for position")


def holds():
    """Zero-order holds."""
    for what, num, den, h, b, a, tolerance in [
            ("DC motor for speed", [0.01], [0.005, 0.06, 0.1001], 0.05, [0.002058581, 0.0016857593], [-1.5113307896, 0.5488116361], 1e-9),
            ("1/(s(s+1))", [1], [1, 1, 0], 1, [0.36787944117, 0.26424111766], [-1.36787944117, 0.36787944117], 1e-11),
            ("1/s^2", [1], [1, 0, 0], 0.1, [0.005, 0.005], [-2, 1], 1e-12),
            ("1/(s^2+0.2s+1)", [1], [1, 0.2, 1], 0.5, [0.11845359730292, 0.11453840854264], [-1.6718454121903947, 0.9048374180359595], 1e-13),
            ("1/(0.05s+1)", [1], [0.05, 1], 0.01, [0.1812692469220180], [-0.8187307530779818], 1e-15)]:
        got_b, got_a, _ = signal.cont2discrete((num, den), h)
        for got, want in list(zip(got_b[0][1:], b)) + list(zip(got_a[1:], a)):
            close(got, want, tolerance, what)


def cart_with_a_pole():
    """M=0.5, m=0.2, b=0.1, I=0.006, l=0.3, g=9.8: a set of the same tutorials (from memory), and its poles sampled at 10 ms."""
    a = np.array([[0, 1, 0, 0], [0, -2 / 11, 2.6727272727272728, 0], [0, 0, 0, 1], [0, -5 / 11, 31.181818181818183, 0]])
    poles(a, [0, -0.1428316357, -5.6040941256, 5.5651075794], "cart with a pole")
    close(math.exp(5.5651075794 * 0.01), 1.0572287267, 5.1e-11, "cart with a pole, sampled")


def section():
    """The W3C note's low-pass of 50 Hz at 1 kHz, Q = 1/sqrt(2), coefficients in 14 bits: sums of absolute impulse responses."""
    b, a = np.array([329, 658, 329]) / 16384, np.array([16384, -25576, 10508]) / 16384
    impulse = np.zeros(4000)
    impulse[0] = 1
    through, own = (np.abs(signal.lfilter(n, a, impulse)).sum() for n in (b, [1]))
    close(through, 1.09312021187, 1e-11, "section, through")
    close(own, 13.6423348151, 1e-10, "section, recursion alone")
    close(own / 2, 6.821167, 5.1e-7, "section, rounding to the nearest")
    close(32767 * through, 35818.27, 5.1e-3, "section, range")


def check():
    for figures in (pendulum, motors, holds, cart_with_a_pole, section):
        figures()
