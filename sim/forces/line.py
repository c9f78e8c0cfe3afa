"""Pull of the line: stretch, the bend of its wet part in closed form, and its drag as it runs off the spool."""

import math

from sim.compiled import compiled
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    CURRENT,
    L_CD,
    L_DAMPING,
    L_DENSITY,
    L_DIAMETER,
    L_EA,
    L_MODE,
    L_TIE,
    NU_A,
    NU_W,
    RHO_A,
    RHO_W,
    push,
    velocity_at,
)
from sim.forces.laws import cylinder_cd
from sim.forces.state import SPIN, VELOCITY, rotation

G_BEND = COEFFICIENT_INDEX["line_bend"]
G_RUN = COEFFICIENT_INDEX["line_drag"]

ROD = 50.0
"""Stiffness of the rod's tip, in series with the line (N/m): two centimetres for a newton. Judgement; it keeps a
short or braided line from striking like a steel rod, and moves no steady figure."""
MOST_BEND = 4.0  # the closed form runs away for a line that hardly pulls; e^4 is a line hanging straight up


@compiled
def line_force(t, y, p, out):
    """Pull of the line on the tie-on point."""
    fx, fy, fz, tension = line_pull(t, y, p)
    if tension > 0.0:
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
def line_pull(t, y, p):
    """Pull of the line on the tie-on point, world axes, and the tension (N)."""
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
        return wound_in(t, p.programme, line, p.env, p.coefficients, p.inertia[0, 0], x, yy, z, vx, vy, vz)
    return running_off(p.programme, line, p.env, p.coefficients, x, yy, z, vx, vy, vz)


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
def bend(level, depth, height, pull, drag):
    """Direction of the line at the lure: (cosine, sine) of its angle above level.

    Wet part: weightless line, normal drag only, so the tension is the same all along and
    tan(phi/2) grows by e^(depth/a) from the surface down, with a = pull/drag. Dry part: straight from the
    surface to the rod tip. With A = a(1 - e^(-depth/a)) the half-angle tangent at the surface solves
    (height + A e^(depth/a)) tau^2 + 2 level tau - (height + A) = 0. Closed form (Pode 1951, DTMB 687, for
    the wet part; the join to the dry part is ours).

    Args:
        level: horizontal distance from the lure to the rod tip (m).
        depth: of the tie-on point below the surface; negative when above it (m).
        height: of the rod tip above the surface (m).
        pull: tension (N).
        drag: cross-flow drag of the line per length (N/m), positive when it moves toward the rod.
    """
    if depth <= 0.0 or pull <= 0.0 or drag == 0.0:
        rise = height + depth
        distance = math.sqrt(level * level + rise * rise)
        return level / distance, rise / distance
    ratio = depth * drag / pull
    ratio = min(max(ratio, -MOST_BEND), MOST_BEND)
    grow = math.exp(ratio)
    reach = depth if abs(ratio) < 1e-9 else depth * (1.0 - 1.0 / grow) / ratio
    rise = height + reach
    steep = height + reach * grow
    tau = rise / (level + math.sqrt(level * level + rise * steep)) * grow
    square = tau * tau
    return (1.0 - square) / (1.0 + square), 2.0 * tau / (1.0 + square)


@compiled
def wound_in(t, programme, line, env, coefficients, mass, x, y, z, vx, vy, vz):
    """Pull of a line that is held or wound in, on a tie-on point at (x, y, z) moving at (vx, vy, vz), world.

    Tension = stiffness of line and rod tip in series * stretch + damping, never negative. The stretch is told
    from the straight distance; the arc of the bend is a few centimetres longer, and that is left out.

    Returns:
        (fx, fy, fz) in world axes (N) and the tension (N).
    """
    length, length_rate, tip_x, tip_y, tip_z, tip_vx, tip_vy, tip_vz = line_out(programme, t)
    dx, dy, dz = tip_x - x, tip_y - y, tip_z - z
    level = math.sqrt(dx * dx + dy * dy)
    distance = math.sqrt(level * level + dz * dz)
    if distance <= length:
        return 0.0, 0.0, 0.0, 0.0
    closing = (dx * (tip_vx - vx) + dy * (tip_vy - vy) + dz * (tip_vz - vz)) / distance
    stiffness = 1.0 / (length / line[L_EA] + 1.0 / ROD)
    stretch = distance - length
    damping = 2.0 * line[L_DAMPING] * math.sqrt(stiffness * mass)
    # damping grows in with the first millimetres of stretch: a line that comes taut does not strike a blow
    pull = stiffness * stretch + damping * (closing - length_rate) * min(stretch / 0.005, 1.0)
    if pull <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    if level < 1e-6:
        return 0.0, 0.0, pull, pull
    # a line wound in past a rod tip that stands still swings about it: its points move across themselves the
    # slower the nearer they are to the tip. On the lure's end, whose direction counts, a load that grows with
    # the square of the distance from the tip does (1 + q^2)/2 of what an even load does, q the dry share of the
    # line. A current meets all of it alike.
    dry = tip_z / (tip_z - z) if z < 0.0 < tip_z else 1.0
    own = ((vx - tip_vx) * dx + (vy - tip_vy) * dy) / level * math.sqrt(0.5 * (1.0 + dry * dry))
    even = ((tip_vx - env[CURRENT]) * dx + (tip_vy - env[CURRENT + 1]) * dy) / level
    toward = own + even
    across = abs(toward) * abs(dz) / distance
    cd = line[L_CD] if line[L_CD] > 0.0 else cylinder_cd(across * line[L_DIAMETER] / env[NU_W])
    drag = 0.5 * env[RHO_W] * cd * line[L_DIAMETER] * abs(toward) * toward * coefficients[G_BEND]
    cosine, sine = bend(level, -z, tip_z, pull, drag)
    return pull * cosine * dx / level, pull * cosine * dy / level, pull * sine, pull


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
