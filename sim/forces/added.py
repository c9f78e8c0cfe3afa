"""Water carried along: added mass of the wetted elements, its growth at entry, buoyancy of what is wet.

One pass over the elements, because all three hang on the same wetted share.
"""

import math

from sim.compiled import ROW, TABLE, compiled, kernel
from sim.elements import (
    BOXY,
    HX,
    HY,
    HZ,
    N_ADDED,
    QXX,
    QXY,
    QXZ,
    QYY,
    QYZ,
    QZZ,
    RX,
    RY,
    RZ,
    VOLUME,
)
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    DEPTH,
    GRAVITY,
    K_AIR,
    K_HEIGHT,
    K_SPIN,
    K_UP,
    K_WATER,
    RHO_A,
    RHO_W,
    T_FIRST,
    T_REACH,
    T_VOLUME,
    WET,
    push,
)
from sim.hydrostatics.wetting import wetted, wetted_box

G_BUOYANCY = COEFFICIENT_INDEX["buoyancy"]
G_ADDED = COEFFICIENT_INDEX["added_mass"]
G_MUNK = COEFFICIENT_INDEX["munk"]
G_SLAM = COEFFICIENT_INDEX["slam"]


@kernel(TABLE, TABLE, ROW, TABLE, ROW, ROW, ROW, ROW, ROW, ROW)
def wet_elements(common, added, whole, wet, kin, env, coefficients, out, mass, growth):
    """Fill `wet`; add buoyancy to `out`, added mass to `mass`, its rate of growth at entry to `growth`.

    `mass` and `growth` are packed 6x6 upper triangles (kg, kg m, kg m2 and per second). Only growth is
    counted: an element that leaves the water leaves its share of moving water behind (judgement).
    Slam on entry is -(dM/dt)(v, w): momentum given to water that was at rest.
    """
    u0, u1, u2 = kin[K_UP], kin[K_UP + 1], kin[K_UP + 2]
    rho = env[RHO_W]
    lift = rho * env[GRAVITY] * coefficients[G_BUOYANCY]
    carried = rho * coefficients[G_ADDED]
    if kin[K_HEIGHT] < -whole[T_REACH]:  # all under: the sums are known
        for i in range(common.shape[0]):
            wet[i, WET] = 1.0
            wet[i, DEPTH] = -(kin[K_HEIGHT] + u0 * common[i, RX] + u1 * common[i, RY] + u2 * common[i, RZ])
        for k in range(N_ADDED):
            mass[k] += carried * whole[k]
        volume = whole[T_VOLUME]
        mx, my, mz = whole[T_FIRST], whole[T_FIRST + 1], whole[T_FIRST + 2]
        out[0] += lift * volume * u0
        out[1] += lift * volume * u1
        out[2] += lift * volume * u2
        out[3] += lift * (my * u2 - mz * u1)
        out[4] += lift * (mz * u0 - mx * u2)
        out[5] += lift * (mx * u1 - my * u0)
        return
    # velocity straight up of a point r: up . (v + w x r), with the velocity relative to the water
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    rise = u0 * kin[K_WATER] + u1 * kin[K_WATER + 1] + u2 * kin[K_WATER + 2]
    g0, g1, g2 = wy * u2 - wz * u1, wz * u0 - wx * u2, wx * u1 - wy * u0  # w x up
    for i in range(common.shape[0]):
        rx, ry, rz = common[i, RX], common[i, RY], common[i, RZ]
        qx = common[i, QXX] * u0 + common[i, QXY] * u1 + common[i, QXZ] * u2
        qy = common[i, QXY] * u0 + common[i, QYY] * u1 + common[i, QYZ] * u2
        qz = common[i, QXZ] * u0 + common[i, QYZ] * u1 + common[i, QZZ] * u2
        half = math.sqrt(max(qx * u0 + qy * u1 + qz * u2, 0.0))
        depth = -(kin[K_HEIGHT] + u0 * rx + u1 * ry + u2 * rz)
        share, growing, sink = wetted(depth, half)
        down = sink / half if half > 0.0 else 0.0
        dx, dy, dz = (
            down * qx,
            down * qy,
            down * qz,
        )  # from the centre up to where what is wet has its middle, turned round
        boxy = common[i, BOXY]
        if boxy > 0.0 and abs(depth) < 1.6 * half:
            hx = u0 * common[i, HX] + u1 * common[i, HX + 1] + u2 * common[i, HX + 2]
            hy = u0 * common[i, HY] + u1 * common[i, HY + 1] + u2 * common[i, HY + 2]
            hz = u0 * common[i, HZ] + u1 * common[i, HZ + 1] + u2 * common[i, HZ + 2]
            part, more, x, y, z = wetted_box(depth, abs(hx), abs(hy), abs(hz))
            x, y, z = math.copysign(x, hx), math.copysign(y, hy), math.copysign(z, hz)
            oval = (1.0 - boxy) * share
            share = oval + boxy * part
            growing = (1.0 - boxy) * growing + boxy * more
            if share > 0.0:
                oval, x, y, z = oval / share, boxy * x / share, boxy * y / share, boxy * z / share
                dx = oval * dx + x * common[i, HX] + y * common[i, HY] + z * common[i, HZ]
                dy = oval * dy + x * common[i, HX + 1] + y * common[i, HY + 1] + z * common[i, HZ + 1]
                dz = oval * dz + x * common[i, HX + 2] + y * common[i, HY + 2] + z * common[i, HZ + 2]
        wet[i, WET] = share
        wet[i, DEPTH] = depth
        if share <= 0.0:
            continue
        force = lift * common[i, VOLUME] * share
        push(out, force * u0, force * u1, force * u2, rx - dx, ry - dy, rz - dz)
        scaled = carried * share
        for k in range(N_ADDED):
            mass[k] += scaled * added[i, k]
        if share < 1.0:
            # a point's own up-velocity: up . (w x r) = -(w x up) . r
            entering = -(rise - (g0 * rx + g1 * ry + g2 * rz)) * growing
            if entering > 0.0:
                scaled = carried * coefficients[G_SLAM] * entering
                for k in range(N_ADDED):
                    growth[k] += scaled * added[i, k]


@kernel(ROW, ROW, ROW, ROW, ROW, ROW, ROW)
def air_moment(whole, added, kin, env, coefficients, air, out):
    """Fill `air`, the packed mass of the air that the dry part carries (kg), and add its Munk moment.

    A lure carries a thousandth of its own mass in air, a card of paper a quarter to half; and at 20 m/s the moment
    is that of water at 0.7 m/s. `added` is the packed added mass of what is wet (kg); the rest of `whole` is dry.
    """
    if kin[K_HEIGHT] < -whole[T_REACH]:
        for k in range(N_ADDED):
            air[k] = 0.0
        return
    for k in range(N_ADDED):
        air[k] = env[RHO_A] * (coefficients[G_ADDED] * whole[k] - added[k] / env[RHO_W])
    ax, ay, az = kin[K_AIR], kin[K_AIR + 1], kin[K_AIR + 2]
    px, py, pz, _, _, _ = times(air, ax, ay, az, kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2])
    out[3] -= coefficients[G_MUNK] * (ay * pz - az * py)
    out[4] -= coefficients[G_MUNK] * (az * px - ax * pz)
    out[5] -= coefficients[G_MUNK] * (ax * py - ay * px)


@compiled
def turning_momentum(mass, kin, at, y, out):
    """Take from `out` what turns with the axes of the fluid that `mass` (packed, kg) stands for: w x p and w x h, and
    A (w x U, 0) where that fluid itself moves. `at` is where `kin` holds the velocity through it."""
    sx, sy, sz = kin[at], kin[at + 1], kin[at + 2]
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    px, py, pz, hx, hy, hz = times(mass, sx, sy, sz, wx, wy, wz)
    ux, uy, uz = y[7] - sx, y[8] - sy, y[9] - sz
    e0, e1, e2, e3, e4, e5 = times(
        mass, wy * uz - wz * uy, wz * ux - wx * uz, wx * uy - wy * ux, 0.0, 0.0, 0.0
    )
    out[0] -= wy * pz - wz * py + e0
    out[1] -= wz * px - wx * pz + e1
    out[2] -= wx * py - wy * px + e2
    out[3] -= wy * hz - wz * hy + e3
    out[4] -= wz * hx - wx * hz + e4
    out[5] -= wx * hy - wy * hx + e5


@compiled
def entry_push(growth, kin, out):
    """Push of the water that an entering part sets in motion: -(dM/dt)(v, w)."""
    e0, e1, e2, e3, e4, e5 = times(
        growth,
        kin[K_WATER],
        kin[K_WATER + 1],
        kin[K_WATER + 2],
        kin[K_SPIN],
        kin[K_SPIN + 1],
        kin[K_SPIN + 2],
    )
    out[0] -= e0
    out[1] -= e1
    out[2] -= e2
    out[3] -= e3
    out[4] -= e4
    out[5] -= e5


@compiled
def times(packed, vx, vy, vz, wx, wy, wz):
    """Product of a packed symmetric 6x6 matrix and (v, w)."""
    return (
        packed[0] * vx + packed[1] * vy + packed[2] * vz + packed[3] * wx + packed[4] * wy + packed[5] * wz,
        packed[1] * vx + packed[6] * vy + packed[7] * vz + packed[8] * wx + packed[9] * wy + packed[10] * wz,
        packed[2] * vx
        + packed[7] * vy
        + packed[11] * vz
        + packed[12] * wx
        + packed[13] * wy
        + packed[14] * wz,
        packed[3] * vx
        + packed[8] * vy
        + packed[12] * vz
        + packed[15] * wx
        + packed[16] * wy
        + packed[17] * wz,
        packed[4] * vx
        + packed[9] * vy
        + packed[13] * vz
        + packed[16] * wx
        + packed[18] * wy
        + packed[19] * wz,
        packed[5] * vx
        + packed[10] * vy
        + packed[14] * vz
        + packed[17] * wx
        + packed[19] * wy
        + packed[20] * wz,
    )
