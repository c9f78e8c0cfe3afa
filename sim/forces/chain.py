"""The moving line: light links between rod tip and lure whose points go where drag, weight and tension balance.

A line in the water weighs little and drags much, so its points have no inertia: their velocity across the line is
the one at which drag, weight and the pull of the bend balance (the equations of Ablow and Schechter 1983, Ocean
Engineering 10, without the line's mass). Along the line nothing holds them; they are kept spread. docs/theory/line.md
has law, range and checks.
"""

import math

import numpy as np

from sim.compiled import ROW, compiled, compiled_in_bulk, kernel
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    CURRENT,
    GRAVITY,
    L_CD,
    L_DAMPING,
    L_DENSITY,
    L_DIAMETER,
    L_EA,
    NU_W,
    RHO_A,
    RHO_W,
)
from sim.forces.laws import cylinder_cd

G_BEND = COEFFICIENT_INDEX["line_bend"]

ROD = 50.0
"""Stiffness of the rod's tip, in series with the line (N/m): two centimetres for a newton. Judgement; it keeps a
short or braided line from striking like a steel rod, and moves no steady figure."""
LAG = 0.003
"""The pull of the line is that of its shape so much later (s), as in an implicit step: faster swings of a light line
are even by then. It bounds the rates of the line by 1/LAG; judgement, and no depth hangs on it."""
DRY_CD = 1.5  # of the line in air; the air is there to hold back a line that falls, nothing else hangs on it
EDGE = 0.005  # m above and below the surface over which a level piece of line gets wet: ripples
DRY_LINKS = (
    2  # links spread over the dry part; the others over the wet one, the shorter the nearer to the lure
)
CROWDED = 1.6  # exponent of their spread
SPREAD = 10.0  # 1/s, how fast the points of the line slide back to their places along it
ROUNDS = 2  # Newton's rounds for the velocity of the points

# `ends`: line out (m) and its rate, place and velocity of the rod tip and of the tie-on point (3 each), kg
E_TIP, E_TIP_SPEED, E_LURE, E_SPEED, E_MASS = 2, 5, 8, 11, 14
N_ENDS = 15

# columns of the work table: row i is the link from point i - 1 to point i and that point
TX, TY, TZ, LENGTH, UPPER, LOWER = range(
    6
)  # direction, length, wet length of its upper and of its lower half
AX, AY, AZ, MX, MY, MZ = range(6, 12)  # change of direction at the point; direction along the line there
NX, NY, NZ, UX, UY, UZ = range(12, 18)  # weight and water's velocity across the line
VX, VY, VZ, WET, AIR, DRAG = range(18, 24)  # velocity across; wet length; drag over speed squared: air, all
RX, RY, RZ, QX, QY, QZ, PIVOT, COUPLED = range(24, 32)  # of the elimination
COLUMNS = 32


@compiled_in_bulk
def place(i, links, wet):
    """Share of the line, from the rod tip, at which its point i belongs, where a share `wet` is under water."""
    wet = min(max(1.05 * wet, 0.2), 0.9)
    if links <= 2 * DRY_LINKS:
        return i / links
    if i <= DRY_LINKS:
        return (1.0 - wet) * i / DRY_LINKS
    return 1.0 - wet * ((links - i) / (links - DRY_LINKS)) ** CROWDED


@kernel(f"void({ROW}, {ROW}, {ROW}, {ROW}, {ROW}, {ROW}, {ROW})")
def chain(ends, points, rate, line, env, coefficients, pull):
    """Pull of a line that is held, wound in or let out, on the lure's tie-on point.

    Args:
        ends: (N_ENDS,) line out, its rate, motion of the rod tip and of the tie-on point; mass of the lure.
        points: (3 (links - 1),) positions of the points between rod tip and lure, world, from the tip down (m).
        rate: their velocity is put here.
        pull: (4,) force on the lure in world axes (N) and the tension there (N) are put here.
    """
    length, length_rate = ends[0], ends[1]
    tip_x, tip_y, tip_z = ends[E_TIP], ends[E_TIP + 1], ends[E_TIP + 2]
    tip_vx, tip_vy, tip_vz = ends[E_TIP_SPEED], ends[E_TIP_SPEED + 1], ends[E_TIP_SPEED + 2]
    x, y, z = ends[E_LURE], ends[E_LURE + 1], ends[E_LURE + 2]
    vx, vy, vz = ends[E_SPEED], ends[E_SPEED + 1], ends[E_SPEED + 2]
    mass = ends[E_MASS]
    n = points.shape[0] // 3 + 1
    s = np.empty((n + 1, COLUMNS))
    arc, under = _links(s, n, points, tip_x, tip_y, tip_z, x, y, z)

    # the tension: that of the stretch LAG from now, and as much later as the line's own damping says
    stiffness = 1.0 / (length / line[L_EA] + 1.0 / ROD)
    late = LAG + 2.0 * line[L_DAMPING] * math.sqrt(mass / stiffness)
    along = s[n, TX] * vx + s[n, TY] * vy + s[n, TZ] * vz
    at_tip = s[1, TX] * tip_vx + s[1, TY] * tip_vy + s[1, TZ] * tip_vz
    stretch, apart = arc - length, along - at_tip - length_rate

    # both ends move across the line as the lure and the rod tip do
    ex, ey, ez = s[n, TX], s[n, TY], s[n, TZ]
    if n > 1:  # direction at the lure, half a link on
        ex += 0.5 * (ex - s[n - 1, TX])
        ey += 0.5 * (ey - s[n - 1, TY])
        ez += 0.5 * (ez - s[n - 1, TZ])
        shorter = 1.0 / math.sqrt(ex * ex + ey * ey + ez * ez)
        ex, ey, ez = shorter * ex, shorter * ey, shorter * ez
    along = vx * ex + vy * ey + vz * ez
    s[n, VX], s[n, VY], s[n, VZ] = vx - along * ex, vy - along * ey, vz - along * ez
    s[0, VX], s[0, VY], s[0, VZ] = (
        tip_vx - at_tip * s[1, TX],
        tip_vy - at_tip * s[1, TY],
        tip_vz - at_tip * s[1, TZ],
    )  # fmt: skip

    diameter = line[L_DIAMETER]
    area = 0.25 * math.pi * diameter * diameter
    in_air = area * line[L_DENSITY] * env[GRAVITY]
    in_water = in_air - area * env[RHO_W] * env[GRAVITY]
    water = 0.5 * env[RHO_W] * diameter * coefficients[G_BEND]
    air = 0.5 * env[RHO_A] * diameter * DRY_CD
    tension = max(stiffness * stretch, 0.0)
    _loads(s, n, in_air, in_water, air, env)
    cd = line[L_CD] if line[L_CD] > 0.0 else 1.5
    for i in range(1, n):  # first guess: each point by itself
        c = water * cd * s[i, WET] + s[i, AIR]
        fx, fy, fz = (
            tension * s[i, AX] + s[i, NX],
            tension * s[i, AY] + s[i, NY],
            tension * s[i, AZ] + s[i, NZ],
        )
        load = math.sqrt(fx * fx + fy * fy + fz * fz) + 1e-20
        if line[L_CD] <= 0.0 and s[i, WET] > 0.0:  # C_d goes about as Re^-0.4, so the speed as load^(1/1.6)
            speed = math.sqrt(load / c)
            there = water * cylinder_cd(speed * diameter / env[NU_W]) * s[i, WET] + s[i, AIR]
            more = math.sqrt(c / there)
            c = there / math.sqrt(more)
        size = math.sqrt(c * load)
        s[i, VX], s[i, VY], s[i, VZ] = s[i, UX] + fx / size, s[i, UY] + fy / size, s[i, UZ] + fz / size
        s[i, DRAG] = c
    stiff = 0.0
    for k in range(ROUNDS):
        if k > 0 and line[L_CD] <= 0.0:
            for i in range(1, n):
                if s[i, WET] > 0.0:
                    wx, wy, wz = s[i, VX] - s[i, UX], s[i, VY] - s[i, UY], s[i, VZ] - s[i, UZ]
                    speed = math.sqrt(wx * wx + wy * wy + wz * wz)
                    s[i, DRAG] = water * s[i, WET] * cylinder_cd(speed * diameter / env[NU_W]) + s[i, AIR]
        stiff = LAG * tension
        tension = _velocities(s, n, stiff, stiffness, late, stretch, apart)

    total = 0.0
    for i in range(1, n):  # across the line as found, along it as the ends move and back to its place
        total += s[i, LENGTH]
        share = place(i, n, under / arc)
        ux, uy, uz = s[i, VX], s[i, VY], s[i, VZ]
        mx, my, mz = s[i, MX], s[i, MY], s[i, MZ]
        slide = (
            (share * vx + (1.0 - share) * tip_vx - ux) * mx
            + (share * vy + (1.0 - share) * tip_vy - uy) * my
            + (share * vz + (1.0 - share) * tip_vz - uz) * mz
            + SPREAD * (share * arc - total)
        )
        rate[3 * i - 3], rate[3 * i - 2], rate[3 * i - 1] = ux + slide * mx, uy + slide * my, uz + slide * mz

    # at the lure: tension, its turning, and drag and weight of the last half link
    rx, ry, rz = vx - env[CURRENT], vy - env[CURRENT + 1], vz - env[CURRENT + 2]
    along = rx * ex + ry * ey + rz * ez
    rx, ry, rz = rx - along * ex, ry - along * ey, rz - along * ez
    speed = math.sqrt(rx * rx + ry * ry + rz * rz)
    wet, half = s[n, LOWER], 0.5 * s[n, LENGTH]
    cd = line[L_CD] if line[L_CD] > 0.0 else cylinder_cd(speed * diameter / env[NU_W])
    drag = (water * cd * wet + air * half) * speed
    turn = stiff / s[n, LENGTH]
    kx, ky, kz = (
        turn * (s[n - 1, VX] - s[n, VX]),
        turn * (s[n - 1, VY] - s[n, VY]),
        turn * (s[n - 1, VZ] - s[n, VZ]),
    )
    along = kx * s[n, TX] + ky * s[n, TY] + kz * s[n, TZ] + tension
    weight = in_air * (half - wet) + in_water * wet
    pull[0] = kx - along * s[n, TX] - drag * rx
    pull[1] = ky - along * s[n, TY] - drag * ry
    pull[2] = kz - along * s[n, TZ] - drag * rz - weight
    pull[3] = tension


@compiled
def _links(s, n, points, px, py, pz, x, y, z):
    """Direction, length and wet halves of every link; returns the length of them all and what of it is wet (m)."""
    arc, under = 0.0, 0.0
    for i in range(1, n + 1):
        qx, qy, qz = x, y, z
        if i < n:
            qx, qy, qz = points[3 * i - 3], points[3 * i - 2], points[3 * i - 1]
        dx, dy, dz = qx - px, qy - py, qz - pz
        length = math.sqrt(dx * dx + dy * dy + dz * dz) + 1e-12
        s[i, TX], s[i, TY], s[i, TZ], s[i, LENGTH] = dx / length, dy / length, dz / length, length
        middle = 0.5 * (pz + qz)
        s[i, UPPER] = 0.5 * length * _under(pz, middle)
        s[i, LOWER] = 0.5 * length * _under(middle, qz)
        arc, under = arc + length, under + s[i, UPPER] + s[i, LOWER]
        px, py, pz = qx, qy, qz
    return arc, under


@compiled
def _under(a, b):
    """Share of a straight piece between two heights that is under water, its ends blurred by the ripples."""
    low, high = min(a, b) - EDGE, max(a, b) + EDGE
    return min(max(low / (low - high), 0.0), 1.0)


@compiled
def _loads(s, n, in_air, in_water, air, env):
    """What every point carries: its share of the neighbouring links, weight across the line, the stream."""
    more = 0.0  # tension over that at the lure: the weight that hangs below
    for i in range(n - 1, 0, -1):
        mx, my, mz = s[i + 1, TX] + s[i, TX], s[i + 1, TY] + s[i, TY], s[i + 1, TZ] + s[i, TZ]
        size = 1.0 / (math.sqrt(mx * mx + my * my + mz * mz) + 1e-12)
        mx, my, mz = size * mx, size * my, size * mz
        ax, ay, az = s[i + 1, TX] - s[i, TX], s[i + 1, TY] - s[i, TY], s[i + 1, TZ] - s[i, TZ]
        s[i, AX], s[i, AY], s[i, AZ], s[i, MX], s[i, MY], s[i, MZ] = ax, ay, az, mx, my, mz
        length = 0.5 * (s[i, LENGTH] + s[i + 1, LENGTH])
        wet = s[i, LOWER] + s[i + 1, UPPER]
        weight = -(in_water * wet + in_air * (length - wet))
        hangs = weight * mz
        mean = more + 0.5 * hangs
        more += hangs
        s[i, NX] = mean * ax - hangs * mx
        s[i, NY] = mean * ay - hangs * my
        s[i, NZ] = mean * az - hangs * mz + weight
        share = wet / (wet + length * env[RHO_A] / env[RHO_W])
        cx, cy, cz = share * env[CURRENT], share * env[CURRENT + 1], share * env[CURRENT + 2]
        along = cx * mx + cy * my + cz * mz
        s[i, UX], s[i, UY], s[i, UZ] = cx - along * mx, cy - along * my, cz - along * mz
        s[i, WET], s[i, AIR] = wet, air * length


@compiled
def _velocities(s, n, stiff, stiffness, late, stretch, apart):
    """One round of Newton for the velocities across the line and the tension, which it returns (N).

    Every point: drag |w| w + stiff (turning of its two links) = tension * bend + weight, w relative to the water,
    a system with one diagonal to either side. The tension follows the stretch `late` seconds on, and that
    follows the velocities: they are solved for as r + tension q.
    """
    low = stiff / s[1, LENGTH]
    for i in range(1, n):
        high = stiff / s[i + 1, LENGTH]
        ux, uy, uz = s[i, UX], s[i, UY], s[i, UZ]
        wx, wy, wz = s[i, VX] - ux, s[i, VY] - uy, s[i, VZ] - uz
        drag = s[i, DRAG] * math.sqrt(wx * wx + wy * wy + wz * wz)
        rx = s[i, NX] + drag * (2.0 * ux + wx)
        ry = s[i, NY] + drag * (2.0 * uy + wy)
        rz = s[i, NZ] + drag * (2.0 * uz + wz)
        qx, qy, qz = s[i, AX], s[i, AY], s[i, AZ]
        pivot = 2.0 * drag + low + high + 1e-12
        if i == 1:
            rx, ry, rz = rx + low * s[0, VX], ry + low * s[0, VY], rz + low * s[0, VZ]
        else:
            f = low / s[i - 1, PIVOT]
            pivot -= f * low
            rx, ry, rz = rx + f * s[i - 1, RX], ry + f * s[i - 1, RY], rz + f * s[i - 1, RZ]
            qx, qy, qz = qx + f * s[i - 1, QX], qy + f * s[i - 1, QY], qz + f * s[i - 1, QZ]
        if i == n - 1:
            rx, ry, rz = rx + high * s[n, VX], ry + high * s[n, VY], rz + high * s[n, VZ]
        s[i, RX], s[i, RY], s[i, RZ], s[i, QX], s[i, QY], s[i, QZ] = rx, ry, rz, qx, qy, qz
        s[i, PIVOT], s[i, COUPLED] = pivot, high
        low = high
    yields = 0.0
    for i in range(n - 1, 0, -1):
        rx, ry, rz, qx, qy, qz = s[i, RX], s[i, RY], s[i, RZ], s[i, QX], s[i, QY], s[i, QZ]
        if i < n - 1:
            high = s[i, COUPLED]
            rx, ry, rz = rx + high * s[i + 1, RX], ry + high * s[i + 1, RY], rz + high * s[i + 1, RZ]
            qx, qy, qz = qx + high * s[i + 1, QX], qy + high * s[i + 1, QY], qz + high * s[i + 1, QZ]
        f = 1.0 / s[i, PIVOT]
        rx, ry, rz, qx, qy, qz = f * rx, f * ry, f * rz, f * qx, f * qy, f * qz
        s[i, RX], s[i, RY], s[i, RZ], s[i, QX], s[i, QY], s[i, QZ] = rx, ry, rz, qx, qy, qz
        apart -= s[i, AX] * rx + s[i, AY] * ry + s[i, AZ] * rz
        yields += s[i, AX] * qx + s[i, AY] * qy + s[i, AZ] * qz
    tension = max(stiffness * (stretch + late * apart) / (1.0 + stiffness * late * yields), 0.0)
    for i in range(1, n):
        s[i, VX] = s[i, RX] + tension * s[i, QX]
        s[i, VY] = s[i, RY] + tension * s[i, QY]
        s[i, VZ] = s[i, RZ] + tension * s[i, QZ]
    return tension
