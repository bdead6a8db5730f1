#!/usr/bin/python3
"""Writes the trajectories of plants in plants/, by which the Go tests judge the kinds of plant and their effects.

    /usr/bin/python3 testdata/reference/make_plants.py           writes them
    /usr/bin/python3 testdata/reference/make_plants.py --check   compares, and fails where one differs

Each machine is set up here from first principles, in coordinates of its own: positions of masses and angles of each rotor in
space, the mass matrix from their velocities, and not the equations of the tool. Between events scipy.integrate.solve_ivp (DOP853, relative
tolerance 1e-12) takes it along. At an event all combinations of sticking, sliding, lying and free are tried, and the one
that agrees with its own forces goes on. --check allows 1e-9 of the largest value of a column. README.md tells more.
"""
import itertools
import math
import os
import sys

import numpy as np
from scipy import optimize
from scipy.integrate import solve_ivp

HERE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "plants")
RTOL, ATOL = 1e-12, 1e-13


class Dry:
    """Dry friction along row(q) . v: sticks up to static, slides against sliding."""

    def __init__(self, row, static, sliding):
        self.row, self.static, self.sliding = row, static, sliding


class Gap:
    """A distance gap(q) that stays within +-width; the blow at an end is plastic."""

    def __init__(self, gap, row, width):
        self.gap, self.row, self.width = gap, row, width


class Machine:
    """Bodies with coordinates q, velocities v and other states w (winding currents, charge drawn)."""
    joints = ()
    n = 1

    def mass(self, q):
        raise NotImplementedError

    def force(self, q, v, w, u):
        raise NotImplementedError

    def more(self, q, v, w, u):
        return np.zeros(0)

    def see(self, q, v, a, w, u):
        raise NotImplementedError

    # Electric modes, such as a current held at its limit; each has a guard as the joints have.
    limits = ()

    def split(self, y):
        return y[:self.n], y[self.n:2 * self.n], y[2 * self.n:]

    def solve(self, y, u, modes):
        """Accelerations and the forces of the joints that hold, in the sense of their rows."""
        q, v, w = self.split(y)
        m, f = self.mass(q), self.force(q, v, w, u).astype(float)
        rows, which = [], []
        for i, (j, mode) in enumerate(zip(self.joints, modes)):
            r = np.asarray(j.row(q), float)
            if isinstance(j, Gap):
                if mode != 0:
                    rows.append(r)
                    which.append(i)
            elif mode == 0:
                rows.append(r)
                which.append(i)
            else:
                f = f - mode * j.sliding * r
        hold = np.zeros(len(self.joints))
        if not rows:
            return np.linalg.solve(m, f), hold
        k = len(rows)
        c = np.array(rows)
        # holding forces act as +rows: m a = f + c^T s, c a = 0 (rows are constant along the motion in all machines here but for
        # directions that stay zero)
        kkt = np.block([[m, -c.T], [c, np.zeros((k, k))]])
        s = np.linalg.solve(kkt, np.concatenate([f, np.zeros(k)]))
        hold[which] = s[self.n:]
        return s[:self.n], hold

    def rate(self, y, u, modes):
        q, v, w = self.split(y)
        a, _ = self.solve(y, u, modes)
        return np.concatenate([v, a, self.more(q, v, w, u)])

    def guards(self, y, u, modes):
        q, v, _ = self.split(y)
        _, hold = self.solve(y, u, modes)
        out = []
        for j, mode, s in zip(self.joints, modes, hold):
            r = np.asarray(j.row(q), float)
            if isinstance(j, Gap):
                out.append(j.width - abs(j.gap(q)) if mode == 0 else -mode * s)
            else:
                out.append(j.static - abs(s) if mode == 0 else mode * (r @ v))
        return out

    def land(self, y):
        """Ends velocities into stops: of all sets of stops that could take part, the one whose blows push and whose others part."""
        q, v, w = self.split(y)
        m = self.mass(q)
        at = [(i, math.copysign(1, j.gap(q))) for i, j in enumerate(self.joints) if isinstance(j, Gap) and abs(j.gap(q)) >= j.width * (1 - 1e-12) - 1e-15]
        if not any(side * (np.asarray(self.joints[i].row(q)) @ v) > 1e-10 for i, side in at):
            return y, False
        for size in range(len(at), -1, -1):
            for chosen in itertools.combinations(at, size):
                c = np.array([self.joints[i].row(q) for i, _ in chosen], float).reshape(size, self.n)
                kkt = np.block([[m, -c.T], [c, np.zeros((size, size))]])
                s = np.linalg.solve(kkt, np.concatenate([m @ v, np.zeros(size)]))
                after, blow = s[:self.n], s[self.n:]
                if all(-side * b >= -1e-12 for (_, side), b in zip(chosen, blow)) and \
                        all(side * (np.asarray(self.joints[i].row(q)) @ after) <= 1e-10 for i, side in at):
                    return np.concatenate([q, after, w]), True
        raise AssertionError("no blow fits")

    def settle(self, y, u):
        """The modes that agree with their own forces, and the state with its velocities at rest exactly."""
        y, _ = self.land(y)
        q, v, w = self.split(y)
        still, slow = 1e-9 * max(1.0, np.abs(v).max()), 1e-7 * max(1.0, np.abs(v).max())
        choices = []
        for j in self.joints:
            r = np.asarray(j.row(q), float)
            if isinstance(j, Gap):
                g = j.gap(q)
                side = math.copysign(1, g)
                touching = abs(g) >= j.width * (1 - 1e-9) - 1e-12 and side * (r @ v) >= -slow
                choices.append((side, 0) if touching else (0,))
            else:
                s = r @ v
                choices.append((0, 1, -1) if abs(s) <= still else (int(math.copysign(1, s)),))
        for modes in itertools.product(*choices):
            a, hold = self.solve(y, u, modes)
            good = True
            for j, mode, s, choice in zip(self.joints, modes, hold, choices):
                r = np.asarray(j.row(q), float)
                if isinstance(j, Gap):
                    if mode != 0:
                        good &= -mode * s >= -1e-12
                    elif len(choice) > 1:
                        good &= choice[0] * (r @ a) <= 1e-12
                elif mode == 0:
                    good &= abs(s) < j.static * (1 - 1e-9)
                elif len(choice) > 1:
                    good &= mode * (r @ a) > -1e-6
            if good:
                rows = [j.row(q) for j, mode in zip(self.joints, modes) if isinstance(j, Gap) == (mode != 0)]
                if rows:
                    c, m = np.array(rows, float), self.mass(q)
                    k = len(rows)
                    kkt = np.block([[m, -c.T], [c, np.zeros((k, k))]])
                    v = np.linalg.solve(kkt, np.concatenate([m @ v, np.zeros(k)]))[:self.n]
                return np.concatenate([q, v, w]), modes
        raise AssertionError(f"no modes fit at {y}")

    def piece(self, y, u, h):
        """Takes the state through h seconds under inputs that stand still."""
        t = 0.0
        self.enter(y, u)
        y, modes = self.settle(y, u)
        for _ in range(500):
            events = []
            for i in range(len(self.joints)):
                e = lambda _, z, i=i, modes=modes: self.guards(z, u, modes)[i]
                e.terminal, e.direction = True, -1
                events.append(e)
            for e in self.limits:
                g = lambda _, z, e=e: e(z, u)
                g.terminal, g.direction = True, -1
                events.append(g)
            # steps that grow from next to nothing: what lets go of a stop and comes back at once is seen
            s = solve_ivp(lambda _, z: self.rate(z, u, modes), (t, h), y, method="DOP853", rtol=RTOL, atol=ATOL, events=events, max_step=h / 16,
                          first_step=min(1e-7 * h, (h - t) / 2))
            y = s.y[:, -1]
            t = s.t[-1]
            if s.status != 1:
                return y, modes
            self.enter(y, u)
            y, modes = self.settle(y, u)
        raise AssertionError("too many events")

    def enter(self, y, u):
        """Chooses electric modes at the start of a piece and at events."""

    def rest(self, inputs):
        """The inputs before the first tick."""
        return tuple(0.0 for _ in inputs[0])

    def run(self, y, inputs, h):
        """Rows of what is seen at each tick, the last after the last input."""
        rows = []
        before = self.rest(inputs)
        for u in list(inputs) + [None]:
            self.enter(y, before)
            y, modes = self.settle(y, before)
            q, v, w = self.split(y)
            a, _ = self.solve(y, before, modes)
            rows.append(self.see(q, v, a, w, before))
            if u is not None:
                y, modes = self.piece(y, u, h)
                before = u
        return np.array(rows)


# Machines ----------------------------------------------------------------------------------------

class Motor(Machine):
    """A rotor and a load on one shaft, or with play: the load's and the rotor's angle, both behind the gear."""

    def __init__(self, load, rotor=0.0, gear=1.0, resistance=2.0, kt=0.02, viscous=0.0, static=0.0, sliding=None, play=0.0, inductance=0.0, limit=0.0,
                 battery=None):
        self.jl, self.jr = load, gear * gear * rotor
        self.k, self.r, self.b, self.l, self.limit, self.battery = gear * kt, resistance, viscous, inductance, limit, battery
        self.play = play > 0
        self.n = 2 if self.play else 1
        joints = []
        if static > 0:
            joints.append(Dry(lambda q: [1, 0][:self.n], static, static if sliding is None else sliding))
        if self.play:
            joints.append(Gap(lambda q: q[1] - q[0], lambda q: [-1, 1], play / 2))
        self.joints = joints
        self.held = 0
        if inductance > 0 and limit > 0:
            self.limits = [self.at_limit]

    def mass(self, q):
        return np.diag([self.jl, self.jr]) if self.play else np.array([[self.jl + self.jr]])

    def share_and_volts(self, v, w, u):
        """The voltage at the motor, and the battery's current."""
        emf = self.k * v[-1]
        if self.battery is None:
            return self.clipped(u[0], emf, 10.0), 0.0
        full, rb, load = self.battery["volts"], self.battery["resistance"], self.battery.get("load", 0.0)
        if "capacity" in self.battery:
            full -= (full - self.battery["empty"]) * w[-1] / self.battery["capacity"]
        share = u[0]

        def drawn(volts):
            at = self.clipped(share * volts, emf, volts)
            i = w[0] if self.l > 0 else (at - emf) / self.r
            return load + (at / volts) * i, at

        volts = optimize.brentq(lambda x: x - full + rb * drawn(x)[0], 1e-3 * full, 3 * full, xtol=1e-14, rtol=1e-14)
        i, at = drawn(volts)
        return at, i

    def clipped(self, asked, emf, most):
        if self.limit == 0 or self.l > 0:
            return asked
        i = (asked - emf) / self.r
        if abs(i) <= self.limit:
            return asked
        at = math.copysign(self.limit, i) * self.r + emf
        return max(-most, min(most, at))

    def amperes(self, v, w, u):
        if self.l > 0:
            return w[0]
        return (self.share_and_volts(v, w, u)[0] - self.k * v[-1]) / self.r

    def force(self, q, v, w, u):
        torque = self.k * self.amperes(v, w, u)
        drag = -self.b * v[0] - u[1]
        return np.array([drag, torque]) if self.play else np.array([drag + torque])

    def hold(self, v, w):
        return self.r * w[0] + self.k * v[-1]

    def more(self, q, v, w, u):
        out = []
        at, drawn = self.share_and_volts(v, w, u)
        if self.l > 0:
            out.append(0.0 if self.held else (at - self.r * w[0] - self.k * v[-1]) / self.l)
        if self.battery is not None:
            out.append(drawn)
        return np.array(out)

    def enter(self, y, u):
        if self.limits:
            q, v, w = self.split(y)
            self.held = 0
            if abs(w[0]) >= self.limit * (1 - 1e-10):
                side = math.copysign(1, w[0])
                if side * (u[0] - self.hold(v, w)) > 0:
                    self.held = side

    def at_limit(self, y, u):
        q, v, w = self.split(y)
        if self.held:
            return self.held * (u[0] - self.hold(v, w))
        return self.limit - abs(w[0])

    def see(self, q, v, a, w, u):
        return [q[0], v[0], self.amperes(v, w, u)]

    def start(self):
        return np.zeros(2 * self.n + (1 if self.l > 0 else 0) + (1 if self.battery is not None else 0))


class Box(Machine):
    """A heated box, as one capacity: no coordinates, one other state."""
    n = 1

    def __init__(self, capacity, loss, ambient):
        self.c, self.g, self.t = capacity, loss, ambient

    def rest(self, inputs):
        return (0.0, self.t, 1.0, 0.0)

    def mass(self, q):
        return np.array([[1.0]])

    def force(self, q, v, w, u):
        return np.zeros(1)

    def more(self, q, v, w, u):
        return np.array([(u[0] + u[3] - self.g * u[2] * (w[0] - u[1])) / self.c])

    def see(self, q, v, a, w, u):
        return [w[0]]


class Pendulum(Machine):
    """Axle, body and both rotors: the way of the axle in metres, the body's lean, and with play the rotors' turn against the body, behind the gear."""

    def __init__(self, mb, height, mw, radius, rm, kt, gear=1.0, ke=None, jm=0.0, axle=0.0, rolling=0.0, imu=0.0, lift=None, floor=70 * math.pi / 180, g=9.80665,
                 static=0.0, sliding=None, play=0.0, battery=None, limit=0.0):
        self.limit = limit
        self.mb, self.h, self.mw, self.radius, self.rm, self.k = mb, height, mw, radius, rm, gear * kt
        self.e = gear * (kt if ke is None else ke)
        self.jb, self.jw, self.jr = mb * height**2 / 3, mw * radius**2 / 2, gear**2 * jm
        self.axle, self.rolling, self.imu, self.g = axle, rolling, imu, g
        self.lift = 2 * height if lift is None else lift
        self.play = play > 0
        self.n = 3 if self.play else 2
        self.battery = battery
        pad = [0] if self.play else []
        self.joints = [Gap(lambda q: q[1], lambda q: [0, 1] + pad, floor)]
        if static > 0:
            self.joints.append(Dry(lambda q: [1 / radius, -1] + pad, 2 * static, 2 * (static if sliding is None else sliding)))
        if self.play:
            self.joints.append(Gap(lambda q: q[2] - (q[0] / radius - q[1]), lambda q: [-1 / radius, 1, 1], play / 2))

    def body(self, q, height):
        """How a point of the body on its axis moves with way and lean: rows x and z."""
        return np.array([[1, height * math.cos(q[1])], [0, -height * math.sin(q[1])]])

    def mass(self, q):
        j = self.body(q, self.h)
        m = np.zeros((self.n, self.n))
        m[:2, :2] = self.mb * j.T @ j
        m[1, 1] += self.jb
        m[0, 0] += 2 * self.mw + 2 * self.jw / self.radius**2
        turn = np.array([0, 0, 1]) if self.play else np.array([1 / self.radius, -1])
        return m + 2 * self.jr * np.outer(turn, turn)

    def turning(self, v):
        return v[2] if self.play else v[0] / self.radius - v[1]

    def volts(self, v, w, u):
        if self.battery is None:
            emf = self.e * self.turning(v)
            if self.limit > 0 and abs(u[0] - emf) > self.limit * self.rm:
                return max(-10, min(10, emf + math.copysign(self.limit * self.rm, u[0] - emf))), 0.0
            return u[0], 0.0
        b = self.battery
        full = b["volts"] - (b["volts"] - b["empty"]) * w[0] / b["capacity"]
        # volts = full - rb*(load + share*2*(share*volts - e*turn)/rm), solved for volts
        s, rb = u[0], b["resistance"]
        volts = (full - rb * b["load"] + rb * s * 2 * self.e * self.turning(v) / self.rm) / (1 + rb * s * s * 2 / self.rm)
        return s * volts, (full - volts) / rb

    def force(self, q, v, w, u):
        f = np.zeros(self.n)
        f[:2] = self.body(q, self.h).T @ np.array([0, -self.mb * self.g])
        f[0] += self.mb * self.h * math.sin(q[1]) * v[1]**2  # -mb * j^T * (dj/dt v), which is 0 along the lean
        wheel = v[0] / self.radius
        f[:2] += self.body(q, self.lift).T @ np.array([u[1], 0])
        f[0] -= 2 * self.rolling * wheel / self.radius
        rub = 2 * self.axle * (wheel - v[1])
        f[0] -= rub / self.radius
        f[1] += rub
        torque = 2 * self.k * (self.volts(v, w, u)[0] - self.e * self.turning(v)) / self.rm
        if self.play:
            f[2] += torque
        else:
            f[0] += torque / self.radius
            f[1] -= torque
        return f

    def more(self, q, v, w, u):
        return np.zeros(0) if self.battery is None else np.array([self.volts(v, w, u)[1]])

    def see(self, q, v, a, w, u):
        j = self.body(q, self.imu)
        bend = np.array([-self.imu * math.sin(q[1]), -self.imu * math.cos(q[1])]) * v[1]**2
        felt = j @ a[:2] + bend + np.array([0, self.g])
        forward = np.array([math.cos(q[1]), -math.sin(q[1])])
        up = np.array([math.sin(q[1]), math.cos(q[1])])
        return [-q[1], -v[1], q[0], v[0], felt @ forward, felt @ up, (self.volts(v, w, u)[0] - self.e * self.turning(v)) / self.rm]

    def start(self, lean=0.0):
        y = np.zeros(2 * self.n + (0 if self.battery is None else 1))
        y[1] = lean
        if self.play:
            y[2] = -lean  # in the middle of the play
        return y


class Cart(Machine):
    """A differential drive by the angles of its wheels, and with play those of its rotors, behind the gear."""

    def __init__(self, m, yaw, track, radius, rm, kt, gear=1.0, jw=0.0, jm=0.0, rolling=0.0, turning=0.0, static=0.0, sliding=None, play=0.0, limit=0.0,
                 battery=None):
        self.battery = battery
        self.m, self.yaw, self.half, self.radius, self.rm, self.k = m, yaw, track / 2, radius, rm, gear * kt
        self.jw, self.jr, self.rolling, self.turning, self.limit = jw, gear**2 * jm, rolling, turning, limit
        self.play = play > 0
        self.n = 4 if self.play else 2
        self.joints = []
        if static > 0:
            for i in range(2):
                self.joints.append(Dry(lambda q, i=i: list(np.eye(self.n)[i]), static, static if sliding is None else sliding))
        if self.play:
            for i in range(2):
                self.joints.append(Gap(lambda q, i=i: q[2 + i] - q[i], lambda q, i=i: list(np.eye(4)[2 + i] - np.eye(4)[i]), play / 2))

    def way(self):
        r = self.radius
        return np.array([r / 2, r / 2]), np.array([-r / (2 * self.half), r / (2 * self.half)])

    def mass(self, q):
        x, yaw = self.way()
        m = np.zeros((self.n, self.n))
        m[:2, :2] = self.m * np.outer(x, x) + self.yaw * np.outer(yaw, yaw) + self.jw * np.eye(2)
        if self.play:
            m[2:, 2:] = self.jr * np.eye(2)
        else:
            m += self.jr * np.eye(2)
        return m

    def force(self, q, v, w, u):
        x, yaw = self.way()
        f = np.zeros(self.n)
        f[:2] = (u[2] - self.rolling * (x @ v[:2])) * x + (u[3] - self.turning * (yaw @ v[:2])) * yaw
        spin = v[2:] if self.play else v
        i = self.currents(spin, w, u)[0]
        f[-2:] += self.k * i
        return f

    def currents(self, spin, w, u):
        """Those of both motors, and the battery's: each motor takes its own for the share of the time that it is switched on."""
        if self.battery is None:
            i = (np.array(u[:2]) - self.k * spin) / self.rm
            return (np.clip(i, -self.limit, self.limit) if self.limit > 0 else i), 0.0
        b, share = self.battery, np.array(u[:2])
        full = b["volts"] - (b["volts"] - b["empty"]) * w[0] / b["capacity"]
        left = lambda volts: volts - full + b["resistance"] * (b["load"] + share @ ((share * volts - self.k * spin) / self.rm))
        low, high = left(0.0), left(1.0)  # a straight line
        volts = -low / (high - low)
        return (share * volts - self.k * spin) / self.rm, (full - volts) / b["resistance"]

    def more(self, q, v, w, u):
        return np.zeros(0) if self.battery is None else np.array([self.currents(v[2:] if self.play else v, w, u)[1]])

    def see(self, q, v, a, w, u):
        x, yaw = self.way()
        return [x @ q[:2], x @ v[:2], yaw @ q[:2], yaw @ v[:2]]

    def start(self):
        return np.zeros(2 * self.n + (0 if self.battery is None else 1))


# Tables ------------------------------------------------------------------------------------------

def table(columns, inputs, seen):
    """Rows of tick, inputs from that tick on, and what is seen at it; the last row repeats its inputs."""
    inputs = list(inputs)
    inputs.append(inputs[-1])
    return columns, [[k] + list(i) + list(s) for k, (i, s) in enumerate(zip(inputs, seen))]


MOTOR = "tick,out drive,load load_torque,angle,speed,current"


def motor(volts, h=0.02, torque=None, **numbers):
    m = Motor(**numbers)
    inputs = [(v, 0.0 if torque is None else torque[k]) for k, v in enumerate(volts)]
    seen = m.run(m.start(), [(v / 10, t) for v, t in inputs] if m.battery else inputs, h)
    return table(MOTOR, inputs, seen)


def swing(n, size, period):
    return [round(size * math.sin(2 * math.pi * k / period), 2) for k in range(n)]


def motor_dry():
    """50 Hz, friction hides the pole at rest."""
    return motor([3] * 4 + [6] * 4 + [0] * 3 + [-3] * 4 + [0.1] * 2 + [6] * 2 + [-6] * 3, load=1e-6, static=2e-3)


def motor_static():
    """Static above sliding friction, and a load that pulls."""
    return motor(swing(60, 4, 23), h=0.01, torque=[0.004 if 20 <= k < 30 else 0 for k in range(60)], load=4e-6, static=6e-3, sliding=2e-3, viscous=2e-6)


def motor_loop():
    """A position loop at 50 Hz that aims at 10 rad: 0.4 V for each rad, 10 V at most."""
    m = Motor(load=1e-6, static=2e-3)
    y, before, rows, inputs = m.start(), (0.0, 0.0), [], []
    modes = None
    for _ in range(60):
        y, modes = m.settle(y, before)
        q, v, w = m.split(y)
        rows.append(m.see(q, v, None, w, before))
        before = (max(-10, min(10, 0.4 * (10 - q[0]))), 0.0)
        inputs.append(before)
        y, modes = m.piece(y, before, 0.02)
    rows.append(m.see(*m.split(y)[:2], None, m.split(y)[2], before))
    return table(MOTOR, inputs, rows)


def motor_backlash():
    return motor(swing(100, 6, 37), h=0.005, load=2e-4, rotor=2e-7, gear=20, static=0, viscous=2e-4, play=math.radians(3))


def motor_backlash_dry():
    return motor(swing(100, 5, 41), h=0.005, load=2e-4, rotor=2e-7, gear=20, static=0.02, sliding=0.012, play=math.radians(2))


def motor_inductance_dry():
    return motor(swing(60, 6, 23), h=0.01, load=4e-6, static=4e-3, inductance=2e-3)


def motor_limit():
    return motor([6] * 12 + [-6] * 12 + [3] * 6, h=0.005, load=4e-6, limit=1.2)


def motor_limit_inductance():
    return motor([6] * 12 + [-6] * 12 + [3] * 6, h=0.005, load=4e-6, limit=1.2, inductance=1e-3)


BATTERY = {"volts": 7.4, "empty": 6.0, "capacity": 2.0, "resistance": 0.8, "load": 0.1}


def motor_battery():
    """20 ms, shares of the duty; 2 A.s, so that the open voltage falls in the run."""
    return motor([10] * 8 + [4] * 8 + [-6] * 8, load=4e-6, static=2e-3, battery=BATTERY, viscous=5e-6)


def motor_battery_limit():
    return motor([10] * 8 + [5] * 8 + [-8] * 8, load=8e-6, limit=1.0, battery=BATTERY)


def heater():
    m = Box(2500, 1.2, 15)
    inputs = [(v * 6, 15 + d, f, x) for v, d, f, x in [(10, 0, 1, 0)] * 20 + [(10, 0, 20, 0)] * 6 + [(4, -5, 8, 0)] * 10 + [(2, 0, 1, -30)] * 10]
    seen = m.run(np.array([0, 0, 15.0]), inputs, 120)
    columns = "tick,out drive,load ambient,load loss_factor,load extra_heat,temperature"
    return table(columns, [(i[0] / 6, i[1], i[2], i[3]) for i in inputs], seen)


CART = dict(mb=0.9, height=0.08, mw=0.034, radius=0.033, gear=30, jm=3e-7, rm=4.0, kt=6.5e-3, axle=0.2e-3, imu=0.04)
PENDULUM = "tick,out drive,load push,pitch,pitch_rate,travel,speed,accel_forward,accel_up,current"


def pendulum_run(volts, h, lean, push=None, **more):
    m = Pendulum(**{**CART, **more})
    inputs = [(v, 0.0 if push is None else push[k]) for k, v in enumerate(volts)]
    seen = m.run(m.start(lean), [(v / 10, p) for v, p in inputs] if m.battery else inputs, h)
    return table(PENDULUM, inputs, seen)


def pendulum_falls():
    """Pushed over, onto the floor, driven there, and lifted by its motors."""
    return pendulum_run([0.5] * 40 + [4] * 20 + [-7] * 30, 0.01, 0.05, push=[1.0 if 5 <= k < 9 else 0 for k in range(90)], rolling=1e-4)


def stand(h, ticks, **more):
    """The pendulum under a feedback computed here, whose outputs, in steps of 10 mV, stand in the table."""
    m = Pendulum(**{**CART, **more})
    y, inputs, rows = m.start(0.06), [], []
    before, modes = (0.0, 0.0), None
    for k in range(ticks):
        m.enter(y, before)
        y, modes = m.settle(y, before)
        q, v, w = m.split(y)
        a, _ = m.solve(y, before, modes)
        rows.append(m.see(q, v, a, w, before))
        volts = round(max(-7, min(7, 40 * q[1] + 3 * v[1] + 3 * q[0] + 4 * v[0])), 2)
        push = 1.5 if 60 <= k < 64 else 0.0
        inputs.append((volts, push))
        before = (volts / 10 if m.battery else volts, push)
        y, modes = m.piece(y, before, h)
    q, v, w = m.split(y)
    a, _ = m.solve(y, before, modes)
    rows.append(m.see(q, v, a, w, before))
    return table(PENDULUM, inputs, rows)


def pendulum_stands():
    return stand(0.005, 200)


def pendulum_dry():
    return stand(0.005, 200, static=6e-3, sliding=4e-3)


def pendulum_backlash():
    return stand(0.005, 200, play=math.radians(2))


def pendulum_backlash_dry():
    return stand(0.005, 160, play=math.radians(1), static=4e-3)


def pendulum_battery():
    return stand(0.005, 200, battery={"volts": 7.7, "empty": 6.2, "capacity": 3.0, "resistance": 0.35, "load": 0.12})


def pendulum_limit():
    return pendulum_run([1] * 10 + [8] * 25 + [-8] * 25, 0.01, 0.02, limit=0.7)


DRIVE = dict(m=1.2, yaw=6e-3, track=0.16, radius=0.033, gear=30, jw=2e-5, jm=3e-7, rm=4.0, kt=6.5e-3, rolling=0.05, turning=1e-3)
DRIVING = "tick,out drive,out other,load push,load twist,travel,speed,yaw,yaw_rate"


def drive(ticks=120, h=0.01, **more):
    m = Cart(**{**DRIVE, **more})
    inputs = [(a, b, 1.0 if 50 <= k < 60 else 0.0, -0.02 if 80 <= k < 85 else 0.0)
              for k, (a, b) in enumerate(zip(swing(ticks, 5, 47), [round(x + 0.5, 2) for x in swing(ticks, 4, 31)]))]
    given = [(a / 10, b / 10, c, d) for a, b, c, d in inputs] if m.battery else inputs
    return table(DRIVING, inputs, m.run(m.start(), given, h))


def drive_plain():
    return drive()


def drive_dry():
    return drive(static=0.012, sliding=0.008)


def drive_backlash():
    return drive(play=math.radians(2))


def drive_backlash_dry():
    return drive(play=math.radians(2), static=0.01)


def drive_battery():
    return drive(static=0.01, battery={"volts": 7.7, "empty": 6.2, "capacity": 2.0, "resistance": 0.5, "load": 0.12})


def drive_limit():
    return drive(limit=0.6)


class Chain(Machine):
    """A linear chain of states, for the plants that are known by a transfer function: dx/dt = a x + b (u + load)."""
    n = 1

    def __init__(self, a, b, c):
        self.a, self.b, self.c = np.array(a, float), np.array(b, float), np.array(c, float)

    def run(self, y, inputs, h):
        n = len(self.b)
        rows = []
        x = np.zeros(n)
        for u in list(inputs) + [None]:
            rows.append(list(self.c @ x))
            if u is not None:
                s = solve_ivp(lambda _, z: self.a @ z + self.b * (u[0] + u[1]), (0, h), x, method="DOP853", rtol=RTOL, atol=ATOL, max_step=h / 8)
                x = s.y[:, -1]
        return np.array(rows)


def chain(a, b, c, columns):
    inputs = [(v, 0.5 if 30 <= k < 40 else 0.0) for k, v in enumerate(swing(80, 5, 37))]
    return table("tick,out drive,load load," + columns, inputs, Chain(a, b, c).run(None, inputs, 0.01))


def first_order():
    return chain([[-1 / 0.07]], [2.5 / 0.07], [[1]], "level")


def double_integrator():
    return chain([[0, 1], [0, 0]], [0, 3], [[1, 0], [0, 1]], "level,level_rate")


def resonance():
    w = 2 * math.pi * 6
    return chain([[0, 1], [-w * w, -2 * 0.05 * w]], [0, 1.5 * w * w], [[1, 0], [0, 1]], "level,level_rate")


def transfer_function():
    # (2 s + 30)/(s^3 + 4 s^2 + 50 s + 60), as three states in a row: w''' + 4 w'' + 50 w' + 60 w = u, y = 2 w' + 30 w
    return chain([[0, 1, 0], [0, 0, 1], [-60, -50, -4]], [0, 0, 1], [[30, 2, 0]], "level")


def state_space():
    return chain([[-1, 2], [-30, -0.5]], [0, 40], [[1, 0], [1, 0.5]], "level,slope")


class Shaken(Pendulum):
    """Sensors on the body: an accelerometer that sits 3 deg nose up and reads 4 % of its other axis, both shaken by the motors, and a gyroscope as askew."""

    def see(self, q, v, a, w, u):
        j = self.body(q, self.imu)
        felt = j @ a[:2] + np.array([-math.sin(q[1]), -math.cos(q[1])]) * self.imu * v[1]**2 + np.array([0, self.g])
        askew = math.radians(3)
        forward = felt @ np.array([math.cos(q[1] - askew), -math.sin(q[1] - askew)])
        up = felt @ np.array([math.sin(q[1] - askew), math.cos(q[1] - askew)])
        turn, speed = 30 * (q[0] / self.radius - q[1]), 30 * (v[0] / self.radius - v[1])
        shake = (speed / 600)**2 * math.sin(turn)
        return [forward + 0.04 * up + 5 * shake, up + 0.04 * forward + 3 * shake, -v[1] * math.cos(askew)]


def sensors_pendulum():
    m = Shaken(**CART)
    inputs = [(v, 0.0) for v in [2.5] * 20 + [-4] * 20 + [5] * 20 + [-6] * 20]
    return table("tick,out drive,load push,reads forward,reads up,reads rate", inputs, m.run(m.start(0.1), inputs, 0.005))


class ShakenCart(Cart):
    def see(self, q, v, a, w, u):
        x, yaw = self.way()
        shake = sum((30 * s / 600)**2 * math.sin(30 * t) for t, s in zip(q[:2], v[:2]))
        return [yaw @ v[:2] * math.cos(math.radians(-10)) + 0.3 * shake]


def sensors_drive():
    m = ShakenCart(**DRIVE)
    inputs = [(a, b, 0.0, 0.0) for a, b in zip(swing(120, 6, 47), swing(120, 5, 31))]
    return table("tick,out drive,out other,load push,load twist,reads rate", inputs, m.run(m.start(), inputs, 0.01))


TABLES = [sensors_pendulum, sensors_drive, motor_dry, motor_static, motor_loop, motor_backlash, motor_backlash_dry, motor_inductance_dry, motor_limit, motor_limit_inductance, motor_battery,
          motor_battery_limit, heater, pendulum_falls, pendulum_stands, pendulum_dry, pendulum_backlash, pendulum_backlash_dry, pendulum_battery, pendulum_limit, drive_plain,
          drive_dry, drive_backlash, drive_backlash_dry, drive_battery, drive_limit, first_order, double_integrator, resonance, transfer_function, state_space]


def text(v):
    return repr(float(v) + 0.0).removesuffix(".0")


def render(make):
    columns, rows = make()
    doc = (make.__doc__ or "").strip().replace("\n", " ")
    return "\n".join([f"# {make.__name__}: {doc}".rstrip(": "), "# written by make_plants.py", columns] + [",".join(map(text, r)) for r in rows]) + "\n"


def same(have, want):
    """Equal but for 1e-7 of the largest value of a column, a tenth of what the tests allow: where something strikes or a limit holds, the moment is found
    a little earlier or later on another processor."""
    a, b = have.split("\n"), want.split("\n")
    if len(a) != len(b) or a[:3] != b[:3]:
        return False
    try:
        x, y = (np.array([list(map(float, r.split(","))) for r in t[3:-1]]) for t in (a, b))
    except ValueError:
        return False
    return x.shape == y.shape and bool(np.all(np.abs(x - y) <= 1e-7 * np.maximum(np.abs(y).max(axis=0), 1e-9)))


def main(args):
    check = args[:1] == ["--check"]
    names = args[1:] if check else args
    failed = False
    os.makedirs(HERE, exist_ok=True)
    for orphan in sorted(set(os.listdir(HERE)) - {t.__name__ + ".csv" for t in TABLES}):
        failed = True
        print(f"plants/{orphan}: no table of this name is made any more; delete it", file=sys.stderr)
    for make in TABLES:
        name = make.__name__ + ".csv"
        if names and make.__name__ not in names:
            continue
        want, path = render(make), os.path.join(HERE, name)
        if not check:
            with open(path + ".new", "w", newline="\n") as f:
                f.write(want)
            os.replace(path + ".new", path)
            continue
        if not os.path.exists(path) or not same(open(path).read(), want):
            failed = True
            print(f"plants/{name}: not what is made", file=sys.stderr)
    if failed:
        sys.exit("make_plants: to accept what was made, run it without --check")


if __name__ == "__main__":
    main(sys.argv[1:])
