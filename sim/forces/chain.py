"""The moving line: light links between rod tip and lure whose points go where drag, weight and tension balance.

A line in the water weighs little and drags much, so its points have no inertia: their velocity across the line is
the one at which drag, weight and the pull of the bend balance (the equations of Ablow and Schechter 1983, Ocean
Engineering 10, without the line's mass). Along the line nothing holds them; they are kept spread. docs/theory/line.md
has law, range and checks.
"""

import math

from sim.compiled import ROW, compiled, kernel
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

MOST_LINKS = 100
WIDTH = (
    MOST_LINKS + 8
)  # of a row; not a power of two, so that rows do not fall on each other in the processor's cache
# rows of the work room: number i of each is told of point i, or of the link from point i - 1 to it. What hangs on no
# neighbour is worked out for all points in a loop of its own, which the compiler carries out for several points at a
# time: it does where it knows where the rows lie, and what is read lies behind what is written
DRAG, LX, LY, LZ = range(0, 4 * WIDTH, WIDTH)  # drag over speed; load of drag, weight and stream
RX, RY, RZ, QX, QY, QZ, YIELD = range(
    4 * WIDTH, 11 * WIDTH, WIDTH
)  # velocity: r + tension q; of the elimination
NX, NY, NZ, UX, UY, UZ = range(11 * WIDTH, 17 * WIDTH, WIDTH)  # weight and water's velocity across the line
AX, AY, AZ, MX, MY, MZ = range(17 * WIDTH, 23 * WIDTH, WIDTH)  # change of direction; direction along the line
WET, DRY, HANGS = range(
    23 * WIDTH, 26 * WIDTH, WIDTH
)  # length in water and in air that the point takes; weight along it
DX, DY, DZ, LENGTH, PER_LENGTH = range(26 * WIDTH, 31 * WIDTH, WIDTH)  # direction and length of the link
UPPER, LOWER, PX, PY, PZ = range(
    31 * WIDTH, 36 * WIDTH, WIDTH
)  # what is wet of its two halves; place of the point
ROOM = 36 * WIDTH


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


@kernel(ROW, ROW, ROW, ROW, ROW, ROW, ROW, ROW)
def chain(ends, points, rate, s, line, env, coefficients, pull):
    """Pull of a line that is held, wound in or let out, on the lure's tie-on point.

    Args:
        ends: (N_ENDS,) line out, its rate, motion of the rod tip and of the tie-on point; mass of the lure.
        points: (3 (links - 1),) positions of the points between rod tip and lure, world, from the tip down (m).
        rate: their velocity is put here.
        s: (ROOM,) to work in.
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
        turn = stiff * s[PER_LENGTH + n]
        if k == 0:
            _alone(s, n, tension, drags)
        else:
            _about(s, n, tension, drags)
        _across(s, n, stiff, first)
        more, yields = _back(s, n, stiff, sx, sy, sz)
        tension = max(stiffness * (stretch + late * (apart - more)) / (1.0 + stiffness * late * yields), 0.0)

    _motion(s, n, under / arc, arc, tension, ends, rate)
    ux, uy, uz = first
    if n > 1:
        ux = s[RX + n - 1] + tension * s[QX + n - 1]
        uy = s[RY + n - 1] + tension * s[QY + n - 1]
        uz = s[RZ + n - 1] + tension * s[QZ + n - 1]

    # at the lure: tension, its turning, and drag and weight of the last half link
    rx, ry, rz = vx - env[CURRENT], vy - env[CURRENT + 1], vz - env[CURRENT + 2]
    along = rx * ex + ry * ey + rz * ez
    rx, ry, rz = rx - along * ex, ry - along * ey, rz - along * ez
    half = 0.5 * s[LENGTH + n]
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
    """Every link, and what every point carries: its share of its two links, weight across the line, the stream.

    Returns the length of all links, what of it is wet and that of the last half link (m), and the directions of the
    first, the last and the last but one.
    """
    for k in range(3):
        s[PX + k * WIDTH], s[PX + k * WIDTH + n] = ends[E_TIP + k], ends[E_LURE + k]
    for i in range(1, n):
        s[PX + i], s[PY + i], s[PZ + i] = points[3 * i - 3], points[3 * i - 2], points[3 * i - 1]
    for i in range(1, n + 1):
        z, pz = s[PZ + i], s[PZ + i - 1]
        dx, dy, dz = s[PX + i] - s[PX + i - 1], s[PY + i] - s[PY + i - 1], z - pz
        length = math.sqrt(dx * dx + dy * dy + dz * dz) + 1e-12
        shorter = 1.0 / length
        s[DX + i], s[DY + i], s[DZ + i] = shorter * dx, shorter * dy, shorter * dz
        half, middle = 0.5 * length, 0.5 * (pz + z)
        s[LENGTH + i], s[PER_LENGTH + i] = length, shorter
        s[UPPER + i], s[LOWER + i] = half * _under(pz, middle), half * _under(middle, z)
    for i in range(1, n):
        dx, dy, dz, tx, ty, tz = s[DX + i], s[DY + i], s[DZ + i], s[DX + i + 1], s[DY + i + 1], s[DZ + i + 1]
        mx, my, mz = tx + dx, ty + dy, tz + dz
        size = 1.0 / (math.sqrt(mx * mx + my * my + mz * mz) + 1e-12)
        s[MX + i], s[MY + i], s[MZ + i] = size * mx, size * my, size * mz
        s[AX + i], s[AY + i], s[AZ + i] = tx - dx, ty - dy, tz - dz
        wet = s[UPPER + i + 1] + s[LOWER + i]
        dry = 0.5 * s[LENGTH + i] + 0.5 * s[LENGTH + i + 1] - wet
        s[WET + i], s[DRY + i] = wet, dry
        s[HANGS + i] = -(in_water * wet + in_air * dry) * (size * mz)
    arc, under = 0.0, 0.0
    hanging = 0.0  # tension over that at the lure: the weight that hangs below
    for i in range(n, 0, -1):
        arc, under = arc + s[LENGTH + i], under + s[UPPER + i] + s[LOWER + i]
        if i < n:
            s[NX + i] = hanging + 0.5 * s[HANGS + i]
            hanging += s[HANGS + i]
    cx, cy, cz = env[CURRENT], env[CURRENT + 1], env[CURRENT + 2]
    thin = env[RHO_A] / env[RHO_W]
    for i in range(1, n):
        wet, dry, mean, hangs = s[WET + i], s[DRY + i], s[NX + i], s[HANGS + i]
        mx, my, mz = s[MX + i], s[MY + i], s[MZ + i]
        weight = -(in_water * wet + in_air * dry)
        s[NX + i] = mean * s[AX + i] - hangs * mx
        s[NY + i] = mean * s[AY + i] - hangs * my
        s[NZ + i] = mean * s[AZ + i] - hangs * mz + weight
        share = wet / (wet + dry * thin) if dry > 0.0 else 1.0
        along = share * (cx * mx + cy * my + cz * mz)
        s[UX + i], s[UY + i], s[UZ + i] = (
            share * cx - along * mx,
            share * cy - along * my,
            share * cz - along * mz,
        )
    k = max(n - 1, 1)
    return (
        arc, under, s[LOWER + n], s[DX + 1], s[DY + 1], s[DZ + 1],
        s[DX + n], s[DY + n], s[DZ + n], s[DX + k], s[DY + k], s[DZ + k],
    )  # fmt: skip


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
def _alone(s, n, tension, drags):
    """Drag of every point, and its load, at the velocity at which the point balances by itself: there drag times
    velocity is the load."""
    for i in range(1, n):
        wx = tension * s[AX + i] + s[NX + i]
        wy = tension * s[AY + i] + s[NY + i]
        wz = tension * s[AZ + i] + s[NZ + i]
        drag = _drag_under(wx * wx + wy * wy + wz * wz + 1e-40, s[WET + i], s[DRY + i], drags)
        _loaded(s, i, drag, wx, wy, wz)


@compiled
def _about(s, n, tension, drags):
    """The same about the velocities r + tension q found before."""
    for i in range(1, n):
        wx = s[RX + i] + tension * s[QX + i] - s[UX + i]
        wy = s[RY + i] + tension * s[QY + i] - s[UY + i]
        wz = s[RZ + i] + tension * s[QZ + i] - s[UZ + i]
        drag = _drag(wx * wx + wy * wy + wz * wz, s[WET + i], s[DRY + i], drags)
        _loaded(s, i, drag, drag * wx, drag * wy, drag * wz)


@compiled
def _loaded(s, i, drag, wx, wy, wz):
    """Keep a point's drag over speed and, with its drag (wx, wy, wz), what its velocity is linear in."""
    s[DRAG + i] = drag
    s[LX + i] = s[NX + i] + wx + 2.0 * drag * s[UX + i]
    s[LY + i] = s[NY + i] + wy + 2.0 * drag * s[UY + i]
    s[LZ + i] = s[NZ + i] + wz + 2.0 * drag * s[UZ + i]


@compiled
def _across(s, n, stiff, first):
    """From the rod tip down: the equation of every point less what the one above says of it.

    Every point: drag |w| w + stiff (turning of its two links) = tension * bend + weight, w relative to the water,
    a system with one diagonal to either side, for velocities r + tension q, linearised. `first` moves its end at
    the rod tip.
    """
    rx, ry, rz = first
    qx, qy, qz, yields, taken = 0.0, 0.0, 0.0, 1.0, 0.0
    for i in range(1, n):
        low, high = stiff * s[PER_LENGTH + i], stiff * s[PER_LENGTH + i + 1]
        f = low * yields
        rx, ry, rz = s[LX + i] + f * rx, s[LY + i] + f * ry, s[LZ + i] + f * rz
        qx, qy, qz = s[AX + i] + f * qx, s[AY + i] + f * qy, s[AZ + i] + f * qz
        yields = 1.0 / (2.0 * s[DRAG + i] + low + high + 1e-12 - f * taken)
        s[RX + i], s[RY + i], s[RZ + i], s[QX + i], s[QY + i], s[QZ + i] = rx, ry, rz, qx, qy, qz
        s[YIELD + i] = yields
        taken = high


@compiled
def _back(s, n, stiff, x, y, z):
    """From the lure, whose end moves at (x, y, z), up: the velocities r + tension q of all points.

    Returns how fast the line grows by r and how fast it shrinks for each newton.
    """
    qx, qy, qz, more, yields = 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(n - 1, 0, -1):
        high, f = stiff * s[PER_LENGTH + i + 1], s[YIELD + i]
        x, y, z = f * (s[RX + i] + high * x), f * (s[RY + i] + high * y), f * (s[RZ + i] + high * z)
        qx, qy, qz = f * (s[QX + i] + high * qx), f * (s[QY + i] + high * qy), f * (s[QZ + i] + high * qz)
        s[RX + i], s[RY + i], s[RZ + i], s[QX + i], s[QY + i], s[QZ + i] = x, y, z, qx, qy, qz
        more += s[AX + i] * x + s[AY + i] * y + s[AZ + i] * z
        yields += s[AX + i] * qx + s[AY + i] * qy + s[AZ + i] * qz
    return more, yields


@compiled
def _motion(s, n, wet, arc, tension, ends, rate):
    """Fill `rate`: the points move across the line as found, along it as the ends move and back to their places."""
    total = 0.0
    for i in range(1, n):
        total += s[LENGTH + i]
        s[HANGS + i] = total
    tip_vx, tip_vy, tip_vz = ends[E_TIP_SPEED], ends[E_TIP_SPEED + 1], ends[E_TIP_SPEED + 2]
    vx, vy, vz = ends[E_SPEED], ends[E_SPEED + 1], ends[E_SPEED + 2]
    for i in range(1, n):
        share = place(i, n, wet)
        rest = 1.0 - share
        ux, uy, uz = (
            s[RX + i] + tension * s[QX + i],
            s[RY + i] + tension * s[QY + i],
            s[RZ + i] + tension * s[QZ + i],
        )
        mx, my, mz = s[MX + i], s[MY + i], s[MZ + i]
        slide = (
            (share * vx + rest * tip_vx - ux) * mx
            + (share * vy + rest * tip_vy - uy) * my
            + (share * vz + rest * tip_vz - uz) * mz
            + SPREAD * (share * arc - s[HANGS + i])
        )
        rate[3 * i - 3], rate[3 * i - 2], rate[3 * i - 1] = ux + slide * mx, uy + slide * my, uz + slide * mz
