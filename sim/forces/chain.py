"""The moving line: light links between rod tip and lure whose points go where drag, weight and tension balance.

A line in the water weighs little and drags much, so its points have no inertia: their velocity across the line is
the one at which drag, weight and the pull of the bend balance (the equations of Ablow and Schechter 1983, Ocean
Engineering 10, without the line's mass). Along the line nothing holds them; they are kept spread. docs/theory/line.md
has law, range and checks.
"""

import math

from sim.compiled import ROW, TABLE, compiled, kernel
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
from sim.forces.tabled import drag_at, drag_under

G_BEND = COEFFICIENT_INDEX["line_bend"]

ROD = 50.0
"""Stiffness of the rod's tip, in series with the line (N/m): two centimetres for a newton. Judgement; it keeps a
short or braided line from striking like a steel rod, and moves no steady figure."""
LAG = 0.003
"""The pull of the line is that of its shape so much later (s), as in an implicit step: faster swings of a light line
are even by then. It bounds the rates of the line by 1/LAG; judgement, and no depth hangs on it."""
LEAST_DRAG = (
    1e-3  # factor on the drag of a line "without drag": points that nothing holds back have no velocity
)
DRY_CD = 1.5  # of the line in air; the air is there to hold back a line that falls, nothing else hangs on it
EDGE = 0.005  # m above and below the surface over which a level piece of line gets wet: ripples
DRY_LINKS = (
    2  # links spread over the dry part; the others over the wet one, the shorter the nearer to the lure
)
SPREAD = 10.0  # 1/s, how fast the points of the line slide back to their places along it
ROUNDS = 2  # Newton's rounds for the velocity of the points

# `ends`: line out (m) and its rate, place and velocity of the rod tip and of the tie-on point (3 each), kg
E_TIP, E_TIP_SPEED, E_LURE, E_SPEED, E_MASS = 2, 5, 8, 11, 14
N_ENDS = 15

# columns of the work table: row i is point i and the link from point i - 1 to it
AX, AY, AZ, MX, MY, MZ = range(6)  # change of direction at the point; direction along the line there
NX, NY, NZ, UX, UY, UZ = range(6, 12)  # weight and water's velocity across the line
LENGTH, PER_LENGTH = 12, 13  # of the link
WET, DRY = 14, 15  # length in water and in air that the point takes
RX, RY, RZ, QX, QY, QZ, YIELD, COUPLED = range(16, 24)  # velocity: r + tension q; of the elimination
COLUMNS = 24


@compiled
def place(i, links, wet):
    """Share of the line, from the rod tip, at which its point i belongs, where a share `wet` is under water."""
    wet = min(max(1.05 * wet, 0.2), 0.9)
    if links <= 2 * DRY_LINKS:
        return i / links
    if i <= DRY_LINKS:
        return (1.0 - wet) * i / DRY_LINKS
    left = (links - i) * (1.0 / (links - DRY_LINKS))
    return 1.0 - wet * left * math.sqrt(left)


@kernel(ROW, ROW, ROW, TABLE, ROW, ROW, ROW, ROW)
def chain(ends, points, rate, s, line, env, coefficients, pull):
    """Pull of a line that is held, wound in or let out, on the lure's tie-on point.

    Args:
        ends: (N_ENDS,) line out, its rate, motion of the rod tip and of the tie-on point; mass of the lure.
        points: (3 (links - 1),) positions of the points between rod tip and lure, world, from the tip down (m).
        rate: their velocity is put here.
        s: (links + 1, COLUMNS) room to work in.
        pull: (4,) force on the lure in world axes (N) and the tension there (N) are put here.
    """
    length, length_rate = ends[0], ends[1]
    tip_vx, tip_vy, tip_vz = ends[E_TIP_SPEED], ends[E_TIP_SPEED + 1], ends[E_TIP_SPEED + 2]
    vx, vy, vz = ends[E_SPEED], ends[E_SPEED + 1], ends[E_SPEED + 2]
    n = points.shape[0] // 3 + 1
    diameter = line[L_DIAMETER]
    area = 0.25 * math.pi * diameter * diameter
    in_air = area * line[L_DENSITY] * env[GRAVITY]
    in_water = in_air - area * env[RHO_W] * env[GRAVITY]
    drags = _drags(line, env, coefficients)
    arc, under, half_wet, tx, ty, tz, lx, ly, lz, last_x, last_y, last_z = _shape(
        s, n, ends, points, in_air, in_water, env
    )

    # the tension: that of the stretch LAG from now, and as much later as the line's own damping says
    stiffness = 1.0 / (length / line[L_EA] + 1.0 / ROD)
    late = LAG + 2.0 * line[L_DAMPING] * math.sqrt(ends[E_MASS] / stiffness)
    at_tip = tx * tip_vx + ty * tip_vy + tz * tip_vz
    stretch, apart = arc - length, lx * vx + ly * vy + lz * vz - at_tip - length_rate
    tension = max(stiffness * stretch, 0.0)

    # both ends move across the line as the lure and the rod tip do; the line's direction at the lure, half a link on
    ex, ey, ez = lx + 0.5 * (lx - last_x), ly + 0.5 * (ly - last_y), lz + 0.5 * (lz - last_z)
    shorter = 1.0 / math.sqrt(ex * ex + ey * ey + ez * ez)
    ex, ey, ez = shorter * ex, shorter * ey, shorter * ez
    along = vx * ex + vy * ey + vz * ez
    sx, sy, sz = vx - along * ex, vy - along * ey, vz - along * ez
    first = (tip_vx - at_tip * tx, tip_vy - at_tip * ty, tip_vz - at_tip * tz)

    turn = 0.0
    for k in range(ROUNDS):
        stiff = LAG * tension
        turn = stiff * s[n, PER_LENGTH]
        _across(s, n, k == 0, tension, stiff, first, drags)
        more, yields = _back(s, n, sx, sy, sz)
        tension = max(stiffness * (stretch + late * (apart - more)) / (1.0 + stiffness * late * yields), 0.0)

    total, wet_share, ux, uy, uz = 0.0, under / arc, 0.0, 0.0, 0.0
    for i in range(1, n):  # across the line as found, along it as the ends move and back to its place
        total += s[i, LENGTH]
        share = place(i, n, wet_share)
        rest = 1.0 - share
        ux, uy, uz = (
            s[i, RX] + tension * s[i, QX],
            s[i, RY] + tension * s[i, QY],
            s[i, RZ] + tension * s[i, QZ],
        )
        mx, my, mz = s[i, MX], s[i, MY], s[i, MZ]
        slide = (
            (share * vx + rest * tip_vx - ux) * mx
            + (share * vy + rest * tip_vy - uy) * my
            + (share * vz + rest * tip_vz - uz) * mz
            + SPREAD * (share * arc - total)
        )
        rate[3 * i - 3], rate[3 * i - 2], rate[3 * i - 1] = ux + slide * mx, uy + slide * my, uz + slide * mz
    if n == 1:
        ux, uy, uz = first

    # at the lure: tension, its turning, and drag and weight of the last half link
    rx, ry, rz = vx - env[CURRENT], vy - env[CURRENT + 1], vz - env[CURRENT + 2]
    along = rx * ex + ry * ey + rz * ez
    rx, ry, rz = rx - along * ex, ry - along * ey, rz - along * ez
    half = 0.5 * s[n, LENGTH]
    drag = _drag(rx * rx + ry * ry + rz * rz, half_wet, half - half_wet, drags)
    kx, ky, kz = turn * (ux - sx), turn * (uy - sy), turn * (uz - sz)
    along = kx * lx + ky * ly + kz * lz + tension
    weight = in_air * (half - half_wet) + in_water * half_wet
    pull[0] = kx - along * lx - drag * rx
    pull[1] = ky - along * ly - drag * ry
    pull[2] = kz - along * lz - drag * rz - weight
    pull[3] = tension


@compiled
def _shape(s, n, ends, points, in_air, in_water, env):
    """From the lure up: every link, and what every point carries: its share of the neighbouring links, weight
    across the line, the stream.

    Returns the length of all links, what of it is wet and that of the last half link (m), and the directions of the
    first, the last and the last but one.
    """
    arc, under, half_wet = 0.0, 0.0, 0.0
    hanging = 0.0  # tension over that at the lure: the weight that hangs below
    cx, cy, cz = env[CURRENT], env[CURRENT + 1], env[CURRENT + 2]
    thin = env[RHO_A] / env[RHO_W]
    x, y, z = ends[E_LURE], ends[E_LURE + 1], ends[E_LURE + 2]
    tx, ty, tz, before, wet = 0.0, 0.0, 0.0, 0.0, 0.0  # of the link below
    lx, ly, lz, last_x, last_y, last_z = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(n, 0, -1):
        px, py, pz = ends[E_TIP], ends[E_TIP + 1], ends[E_TIP + 2]
        if i > 1:
            px, py, pz = points[3 * i - 6], points[3 * i - 5], points[3 * i - 4]
        dx, dy, dz = x - px, y - py, z - pz
        length = math.sqrt(dx * dx + dy * dy + dz * dz) + 1e-12
        shorter = 1.0 / length
        dx, dy, dz = shorter * dx, shorter * dy, shorter * dz
        half = 0.5 * length
        upper, lower = half, half
        if max(z, pz) > -EDGE:
            middle = 0.5 * (pz + z)
            upper, lower = half * _under(pz, middle), half * _under(middle, z)
        arc, under = arc + length, under + upper + lower
        s[i, LENGTH], s[i, PER_LENGTH] = length, shorter
        if i == n:
            lx, ly, lz, last_x, last_y, last_z, half_wet = dx, dy, dz, dx, dy, dz, lower
        else:
            mx, my, mz = tx + dx, ty + dy, tz + dz
            size = 1.0 / (math.sqrt(mx * mx + my * my + mz * mz) + 1e-12)
            mx, my, mz = size * mx, size * my, size * mz
            ax, ay, az = tx - dx, ty - dy, tz - dz
            s[i, AX], s[i, AY], s[i, AZ], s[i, MX], s[i, MY], s[i, MZ] = ax, ay, az, mx, my, mz
            wet += lower
            dry = half + before - wet
            weight = -(in_water * wet + in_air * dry)
            hangs = weight * mz
            mean = hanging + 0.5 * hangs
            hanging += hangs
            s[i, NX], s[i, NY], s[i, NZ] = (
                mean * ax - hangs * mx,
                mean * ay - hangs * my,
                mean * az - hangs * mz + weight,
            )
            share = wet / (wet + dry * thin) if dry > 0.0 else 1.0
            along = share * (cx * mx + cy * my + cz * mz)
            s[i, UX], s[i, UY], s[i, UZ] = (
                share * cx - along * mx,
                share * cy - along * my,
                share * cz - along * mz,
            )
            s[i, WET], s[i, DRY] = wet, dry
            if i == n - 1:
                last_x, last_y, last_z = dx, dy, dz
        x, y, z, tx, ty, tz, before, wet = px, py, pz, dx, dy, dz, half, upper
    return arc, under, half_wet, tx, ty, tz, lx, ly, lz, last_x, last_y, last_z


@compiled
def _under(a, b):
    """Share of a straight piece between two heights that is under water, its ends blurred by the ripples."""
    low, high = min(a, b) - EDGE, max(a, b) + EDGE
    return min(max(low / (low - high), 0.0), 1.0)


@compiled
def _drags(line, env, coefficients):
    """What the drag of the line hangs on: of wet and dry line over length and speed squared, the former with a fixed
    C_d or none; of wet line over C_d Re, and Re^2 over speed squared."""
    diameter, coefficient = line[L_DIAMETER], max(coefficients[G_BEND], LEAST_DRAG)
    fixed = 0.5 * env[RHO_W] * diameter * line[L_CD] * coefficient
    air = 0.5 * env[RHO_A] * diameter * DRY_CD
    return fixed, air, 0.5 * env[RHO_W] * env[NU_W] * coefficient, (diameter / env[NU_W]) ** 2


@compiled
def _drag(speed2, wet, dry, drags):
    """Drag over speed, at the square of the speed across the line."""
    fixed, air, viscous, re2 = drags
    if fixed > 0.0:
        return (fixed * wet + air * dry) * math.sqrt(speed2)
    drag = viscous * wet * drag_at(re2 * speed2) if wet > 0.0 else 0.0
    if dry > 0.0:
        drag += air * dry * math.sqrt(speed2)
    return drag


@compiled
def _drag_under(load2, wet, dry, drags):
    """Drag over speed at the speed at which it is as great as a load, of which the square is told."""
    fixed, air, viscous, re2 = drags
    if fixed > 0.0:
        return math.sqrt((fixed * wet + air * dry) * math.sqrt(load2))
    if wet <= 0.0:
        return math.sqrt(air * dry * math.sqrt(load2))
    per_wet = 1.0 / (viscous * wet)
    by_water = drag_under(re2 * load2 * per_wet * per_wet) / per_wet
    if dry <= 0.0:
        return by_water
    load = math.sqrt(load2)
    return math.sqrt(by_water * by_water + air * dry * load)


@compiled
def _across(s, n, alone, tension, stiff, first, drags):
    """From the rod tip down: linearised drag of every point, and its equation less what the one above says of it.

    Every point: drag |w| w + stiff (turning of its two links) = tension * bend + weight, w relative to the water,
    a system with one diagonal to either side, for velocities r + tension q. Linearised about the velocities found
    before, or, with `alone`, those at which each point balances by itself. `first` moves the rod tip's end.
    """
    low = stiff * s[1, PER_LENGTH]
    rx, ry, rz = first
    qx, qy, qz, yields, taken = 0.0, 0.0, 0.0, 1.0, 0.0
    for i in range(1, n):
        high = stiff * s[i + 1, PER_LENGTH]
        ux, uy, uz = s[i, UX], s[i, UY], s[i, UZ]
        nx, ny, nz, ax, ay, az = s[i, NX], s[i, NY], s[i, NZ], s[i, AX], s[i, AY], s[i, AZ]
        if alone:
            wx, wy, wz = tension * ax + nx, tension * ay + ny, tension * az + nz
            drag = _drag_under(wx * wx + wy * wy + wz * wz + 1e-40, s[i, WET], s[i, DRY], drags)
            # drag times velocity is the load
        else:
            wx = s[i, RX] + tension * s[i, QX] - ux
            wy = s[i, RY] + tension * s[i, QY] - uy
            wz = s[i, RZ] + tension * s[i, QZ] - uz
            drag = _drag(wx * wx + wy * wy + wz * wz, s[i, WET], s[i, DRY], drags)
            wx, wy, wz = drag * wx, drag * wy, drag * wz
        f = low * yields
        rx = nx + wx + 2.0 * drag * ux + f * rx
        ry = ny + wy + 2.0 * drag * uy + f * ry
        rz = nz + wz + 2.0 * drag * uz + f * rz
        qx, qy, qz = ax + f * qx, ay + f * qy, az + f * qz
        yields = 1.0 / (2.0 * drag + low + high + 1e-12 - f * taken)
        s[i, RX], s[i, RY], s[i, RZ], s[i, QX], s[i, QY], s[i, QZ] = rx, ry, rz, qx, qy, qz
        s[i, YIELD], s[i, COUPLED] = yields, high
        low, taken = high, high


@compiled
def _back(s, n, x, y, z):
    """From the lure, whose end moves at (x, y, z), up: the velocities r + tension q of all points.

    Returns how fast the line grows by r and how fast it shrinks for each newton.
    """
    qx, qy, qz, more, yields = 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(n - 1, 0, -1):
        high, f = s[i, COUPLED], s[i, YIELD]
        x, y, z = f * (s[i, RX] + high * x), f * (s[i, RY] + high * y), f * (s[i, RZ] + high * z)
        qx, qy, qz = f * (s[i, QX] + high * qx), f * (s[i, QY] + high * qy), f * (s[i, QZ] + high * qz)
        s[i, RX], s[i, RY], s[i, RZ], s[i, QX], s[i, QY], s[i, QZ] = x, y, z, qx, qy, qz
        more += s[i, AX] * x + s[i, AY] * y + s[i, AZ] * z
        yields += s[i, AX] * qx + s[i, AY] * qy + s[i, AZ] * qz
    return more, yields
