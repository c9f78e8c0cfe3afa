"""Pull of the line on the lure: the moving line of a retrieve, or one that runs off the spool in a cast."""

import math

import numpy as np

from sim.compiled import compiled
from sim.forces.chain import E_LURE, E_MASS, E_SPEED, MOST_LINKS, N_ENDS, ROOM, chain
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    L_DENSITY,
    L_DIAMETER,
    L_LINKS,
    L_MODE,
    L_TIE,
    NU_A,
    RHO_A,
    push,
    velocity_at,
)
from sim.forces.state import SPIN, VELOCITY, WAKE, rotation

G_RUN = COEFFICIENT_INDEX["line_drag"]

S_WORK = N_ENDS + 4  # of the room: after both ends and the pull


@compiled
def line_force(t, y, p, out, rate, room):
    """Pull of the line on the tie-on point; the velocities of the line's points go into `rate`."""
    if p.line[L_MODE] == 0.0:
        return
    fx, fy, fz, _ = line_pull(t, y, p, rate, room)
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    push(
        out,
        r00 * fx + r10 * fy + r20 * fz,
        r01 * fx + r11 * fy + r21 * fz,
        r02 * fx + r12 * fy + r22 * fz,
        p.line[L_TIE],
        p.line[L_TIE + 1],
        p.line[L_TIE + 2],
    )


@compiled
def line_pull(t, y, p, rate, room):
    """Pull of the line on the tie-on point, world axes, and the tension there (N).

    rate: of the state; that of the line's points is filled in. room: made by `line_room`.
    """
    mode, line = p.line[L_MODE], p.line
    if mode == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    tx, ty, tz = line[L_TIE], line[L_TIE + 1], line[L_TIE + 2]
    bx, by, bz = velocity_at(y, VELOCITY, SPIN, tx, ty, tz)
    x = y[0] + r00 * tx + r01 * ty + r02 * tz
    yy = y[1] + r10 * tx + r11 * ty + r12 * tz
    z = y[2] + r20 * tx + r21 * ty + r22 * tz
    vx = r00 * bx + r01 * by + r02 * bz
    vy = r10 * bx + r11 * by + r12 * bz
    vz = r20 * bx + r21 * by + r22 * bz
    if mode == 1.0:
        ends, pull = room[:N_ENDS], room[N_ENDS:S_WORK]
        out = line_out(p.programme, t)
        for k in range(E_LURE):
            ends[k] = out[k]
        ends[E_LURE], ends[E_LURE + 1], ends[E_LURE + 2] = x, yy, z
        ends[E_SPEED], ends[E_SPEED + 1], ends[E_SPEED + 2] = vx, vy, vz
        ends[E_MASS] = p.inertia[0, 0]
        at = line_state(y, line)
        chain(ends, y[at:], rate[at:], room[S_WORK:], line, p.env, p.coefficients, pull)
        return pull[0], pull[1], pull[2], pull[3]
    return running_off(p.programme, line, p.env, p.coefficients, x, yy, z, vx, vy, vz)


def line_room(line):
    """Room that `line_pull` works in.

    Raises:
        ValueError: a line of more links than there is room for.
    """
    if line[L_LINKS] > MOST_LINKS:
        raise ValueError(f"a line has at most {MOST_LINKS} links")
    return np.empty(S_WORK + ROOM)


@compiled
def line_state(y, line):
    """Index of the first of the line's points in a state; its end if the state has none (a straight line)."""
    if line[L_MODE] != 1.0:
        return y.shape[0]
    points = 3 * (int(line[L_LINKS]) - 1)
    return y.shape[0] - points if y.shape[0] >= WAKE + points else y.shape[0]


@compiled
def line_out(programme, t):
    """Length of line out, its rate, and the rod tip's position and velocity at time t.

    `programme` rows (time, length, x, y, z) are joined by straight lines; after the last row the last
    slope goes on.
    """
    k = 0
    last = programme.shape[0] - 2
    while k < last and t >= programme[k + 1, 0]:
        k += 1
    step = programme[k + 1, 0] - programme[k, 0]
    part = (t - programme[k, 0]) / step
    length_rate = (programme[k + 1, 1] - programme[k, 1]) / step
    x_rate = (programme[k + 1, 2] - programme[k, 2]) / step
    y_rate = (programme[k + 1, 3] - programme[k, 3]) / step
    z_rate = (programme[k + 1, 4] - programme[k, 4]) / step
    dt = part * step
    return (
        programme[k, 1] + length_rate * dt,
        length_rate,
        programme[k, 2] + x_rate * dt,
        programme[k, 3] + y_rate * dt,
        programme[k, 4] + z_rate * dt,
        x_rate,
        y_rate,
        z_rate,
    )


@compiled
def running_off(programme, line, env, coefficients, x, y, z, vx, vy, vz):
    """Backward pull of the line that a lure in flight draws off the spool.

    Setting the line in motion takes mu v^2; the line already out drags at the air with
    Cf = 0.37 Re_d^-0.61 on its skin (Matsui 1976, from memory). Along the lure's own path.
    """
    speed = math.sqrt(vx * vx + vy * vy + vz * vz)
    if speed < 1e-6:
        return 0.0, 0.0, 0.0, 0.0
    dx, dy, dz = programme[0, 2] - x, programme[0, 3] - y, programme[0, 4] - z
    out = math.sqrt(dx * dx + dy * dy + dz * dz)
    diameter = line[L_DIAMETER]
    reynolds = max(speed * diameter / env[NU_A], 1.0)
    skin = 0.37 * reynolds**-0.61 * math.pi * diameter * out * 0.5 * env[RHO_A]
    per_length = line[L_DENSITY] * math.pi * diameter * diameter / 4.0
    pull = coefficients[G_RUN] * (per_length + skin) * speed * speed
    share = pull / speed
    return -share * vx, -share * vy, -share * vz, pull
