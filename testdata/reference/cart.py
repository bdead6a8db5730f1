"""Gains, filter and angles of the starter cart, computed from the plant in templates/starters/cart.yaml.

make_tables.py writes them to cart.csv; model/cart_test.go holds the starter, and the benchmark's controllers, to them.

Plant: the two-wheeled pendulum of model/plant/pendulum.go, linearised upright, with a full battery as the supply. Its
state is travel (cm), its rate, the tilt (deg, positive leaning back) and its rate. The effort is duty in 1/320: a timer of
16 MHz that counts up and down to 320 gives 25 kHz, which nobody hears.

Gains: the loop as it is sampled, with the delay of sensor and computation, the complementary filter, what the accelerometer
sees of the axle's acceleration, and the filter of the travel's rate. The five gains of its two controllers are those of least
quadratic cost, weights 1/largest^2 (Bryson's rule), summed over four starts, among those whose sensitivity peak at the
effort is at most PEAK. Found by the simplex of Nelder and Mead, started from gains that stand.
"""
import numpy as np
from scipy import linalg, optimize

GRAVITY = 9.80665
# As in the starter: kg, m, Ohm, N.m/A, N.m.s, V; two motors.
BODY, HEIGHT, WHEEL, RADIUS, GEAR, ROTOR, SENSOR_HEIGHT = 0.9, 0.08, 0.034, 0.033, 30, 3e-7, 0.04
RESISTANCE, TORQUE, FRICTION = 4.0, 6.5e-3, 0.2e-3
FULL_VOLTS, EMPTY_VOLTS = 7.7, 6.2
FULL, DEAD_BAND = 320, 20
STUCK = 0.48     # V below which the geared motors stand still
PERIOD = 0.005   # s
DELAY = 0.004    # s: 3 ms of the sensor, 1 ms of the computation
FILTER = 0.035   # s, of the travel's rate: a share of 1/8 each tick

LARGEST = {"travel": 15, "speed": 40, "tilt": 3, "rate": 60}  # cm, cm/s, deg, deg/s
LARGEST_INTEGRAL, LARGEST_EFFORT = 1, 0.1 * FULL               # deg*s
STARTS = [{"tilt": 5, "filtered": 5}, {"speed": 20}, {"rate": 20}, {"travel": 20, "slow": 20}]
PEAK = 1.5

NOISE = np.degrees(0.01)  # deg: 0.01 g across gravity
DRIFT = 0.12     # deg/s that the gyroscope's bias may have moved since it was averaged (assumed)

STATES = ["travel", "speed", "tilt", "rate", "effort", "filtered", "slow", "integral"]
POINTS = np.exp(1j * np.logspace(-3, np.log10(np.pi), 260))


def plant():
    """A and B from duty to travel, speed, tilt, rate."""
    body_inertia, wheel_inertia, rotor = BODY * HEIGHT**2 / 3, WHEEL * RADIUS**2 / 2, 2 * GEAR**2 * ROTOR
    coupling = BODY * HEIGHT * RADIUS - rotor
    mass = np.array([[(2 * WHEEL + BODY) * RADIUS**2 + 2 * wheel_inertia + rotor, coupling],
                     [coupling, BODY * HEIGHT**2 + body_inertia + rotor]])
    damping = 2 * (GEAR**2 * TORQUE**2 / RESISTANCE + FRICTION) * np.array([[-1, 1], [1, -1]])
    weight = np.diag([0, BODY * GRAVITY * HEIGHT])
    a = np.block([[np.zeros((2, 2)), np.eye(2)], [np.linalg.solve(mass, weight), np.linalg.solve(mass, damping)]])
    torque = 2 * GEAR * TORQUE / RESISTANCE * np.array([[1], [-1]])
    b = np.vstack([np.zeros((2, 1)), np.linalg.solve(mass, torque)])
    cm, deg = 100 * RADIUS, -180 / np.pi
    turn = np.array([[cm, 0, 0, 0], [0, 0, cm, 0], [0, deg, 0, 0], [0, 0, 0, deg]])
    share = (FULL - DEAD_BAND) / FULL**2  # the output stage leads past the dead band: the rest is in proportion
    return turn @ a @ np.linalg.inv(turn), turn @ b * FULL_VOLTS * share


def sampled(tau):
    """The plant over a tick, the effort of the tick before acting up to DELAY; and the filtered tilt in terms of STATES."""
    a, b = plant()

    def held(seconds):
        m = linalg.expm(np.block([[a, b], [np.zeros((1, 5))]]) * seconds)
        return m[:4, :4], m[:4, 4]

    (early, old), (late, new) = held(DELAY), held(PERIOD - DELAY)
    state = np.eye(8)
    flow = np.zeros((8, 8))
    flow[:4] = late @ early @ state[:4] + np.outer(late @ old, state[4])
    to_lean, g = np.degrees(1), GRAVITY
    ahead, round_ = to_lean / 100 / g, SENSOR_HEIGHT / g  # of the axle's acceleration in cm/s^2, of the tilt's in deg/s^2
    lean = state[2] + (ahead * a[1] - round_ * a[3]) @ state[:4] + (ahead * b[1, 0] - round_ * b[3, 0]) * state[4]
    keep = tau / (tau + PERIOD)
    filtered = keep * (state[5] + PERIOD * state[3]) + (1 - keep) * lean
    moved = np.concatenate([new, [1, 0, 0, 0]])
    return flow, moved, filtered


def closed(gains, model):
    """The open loop with memories, and the effort as a function of STATES."""
    kp, ki, kd, ahead, speed = gains
    flow, moved, filtered = model
    state = np.eye(8)
    gap = state[0] - state[6]
    error = ahead * state[0] + speed / (FILTER + PERIOD) * gap - filtered
    integral = state[7] + PERIOD * error
    effort = kp * error + ki * integral - kd * state[3]
    flow = flow.copy()
    flow[5], flow[6], flow[7] = filtered, state[6] + PERIOD / (FILTER + PERIOD) * gap, integral
    return flow, effort


def peak(gains, model):
    """Largest sensitivity of the loop cut at the effort."""
    flow, effort = closed(gains, model)
    poles, modes = np.linalg.eig(flow)
    out, into = effort @ modes, np.linalg.solve(modes, model[1].astype(complex))
    return max(abs(1 / (1 - ((out * into)[None] / (POINTS[:, None] - poles[None])).sum(axis=1))))


def cost(gains, model):
    flow, effort = closed(gains, model)
    whole = flow + np.outer(model[1], effort)
    radius = max(abs(np.linalg.eigvals(whole)))
    if radius >= 0.99995:
        return 1e9 * radius
    q = np.outer(effort, effort) / LARGEST_EFFORT**2
    for name, most in {**LARGEST, "integral": LARGEST_INTEGRAL}.items():
        q[STATES.index(name), STATES.index(name)] += 1 / most**2
    p = linalg.solve_discrete_lyapunov(whole.T, q)
    starts = [np.array([s.get(name, 0) for name in STATES]) for s in STARTS]
    return PERIOD * sum(x @ p @ x for x in starts)


def best(tau):
    model = sampled(tau)
    size = np.array([FULL / 10, FULL, FULL / 100, 0.05, 0.2])

    def worth(z):
        c = cost(z * size, model)
        return np.log(c) if c > 1e8 else np.log(c) + 20 * max(0, peak(z * size, model) - PEAK)

    z = np.array([28, 40, 2.2, 0.062, 0.27]) / size
    for _ in range(6):
        z = optimize.minimize(worth, z, method="Nelder-Mead", options={"maxfev": 1500, "xatol": 1e-7, "fatol": 1e-9, "adaptive": True}).x
    return z * size, peak(z * size, model)


def rightable(volts):
    """The largest lean at rest, in deg, from which that supply at full duty can still right the cart: where the effort no longer
    outweighs the unstable mode (the null-controllable set of a plant with one unstable pole)."""
    a, b = plant()
    poles, left = linalg.eig(a, left=True, right=False)
    i = np.argmax(poles.real)
    mode = left[:, i].real / left[2, i].real
    return abs((mode @ b)[0]) * FULL * volts / FULL_VOLTS / poles[i].real


SEARCHED = "least quadratic cost"  # how a gain was found


def cart():
    tau = (NOISE**2 * PERIOD / (4 * DRIFT**2)) ** (1 / 3)  # least of noise^2*period/(2*tau) + (drift*tau)^2
    (kp, ki, kd, ahead, speed), highest = best(0.3)
    assert highest < PEAK + 1e-3
    lean = rightable(EMPTY_VOLTS)
    rows = [("effort.kp", kp, 41, "duty/deg", SEARCHED), ("effort.ki", ki, 650, "duty/deg/s", SEARCHED),
            ("effort.kd", kd, 1.5, "duty/deg*s", SEARCHED),
            ("balance.kp", -ahead, -0.052, "deg/cm", SEARCHED), ("balance.kd", -speed, -0.116, "deg/cm*s", SEARCHED),
            ("tilt.time_constant", tau, 0.3, "s", "least noise and drift together"),
            ("upright.limits", 0.6 * lean, 24, "deg", "three fifths of the lean that an empty battery can still right"),
            ("upright.release", 0.25 * lean, 10, "deg", "a quarter of it"),
            ("drive.least_effort", STUCK / FULL_VOLTS * FULL, 20, "duty", "where the geared motors begin to turn")]
    for name, exact, used, *_ in rows:
        assert abs(used / exact - 1) < 0.05, (name, exact, used)
    return ("gains of least quadratic cost with a sensitivity peak of at most 1.5, and filter and angles of the cart; see cart.py",
            "computed with scipy from the starter's plant; to three digits, and as used",
            "what,computed,used,unit,how", [(name, f"{exact:.3g}", *rest) for name, exact, *rest in rows])
