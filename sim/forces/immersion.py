"""Immersed volume and waterplane of closed triangle meshes and of small parts.

The water surface is the plane of depth zero, and a point r in the lure's axes has depth
-(height + up . r), with `up` the unit vector straight up in those axes and `height` that of the origin above
the surface (m). The volume under the plane is summed from tetrahedra that stand on the wet faces and
have their apex on the plane: the lid that would close the cut then has no volume, so it need not be built.
The outline of the waterplane is the cut edges themselves. Closed form for polyhedra, whatever their shape.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.compiled import compiled
from sim.forces.wetting import wetted

# --- what `immersed` returns --------------------------------------------------------------------------
I_VOLUME = 0  # under water (m3)
I_MOMENT = 1  # its first moments, the integral of r (3, m4)
I_AREA = 4  # of the waterplane (m2); d volume / d height = -area
I_AREA_MOMENT = 5  # first moments of the waterplane (3, m3)
I_AREA_SECOND = 8  # its second moments xx, yy, zz, xy, xz, yz about the origin (6, m4)
N_IMMERSED = 14


@compiled
def immersed(vertices, faces, small, up, height):
    """Volume, waterplane and their moments for hulls and small parts together (closed form).

    Args:
        vertices: (n, 3) m, of all hulls one behind the other.
        faces: (m, 3) indices into them, counter-clockwise seen from outside; every hull closed.
        small: (k, 10) centre, Q and volume of each small part (columns as in `sim.elements`).
        up: (3,) unit vector straight up.
        height: of the origin above the surface (m).

    Returns:
        (14,) array, see the names I_... of this module.
    """
    out = np.zeros(N_IMMERSED)
    _hulls(vertices, faces, up, height, out)
    for k in range(small.shape[0]):
        _small_part(small[k], up, height, out)
    return out


@compiled
def _hulls(vertices, faces, up, height, out):
    """Add the hulls. Sums are taken about the point of the surface above or below the origin."""
    n = vertices.shape[0]
    px, py, pz = -height * up[0], -height * up[1], -height * up[2]
    at = np.empty((n, 4))  # position from that point, and depth
    for i in range(n):
        x, y, z = vertices[i, 0] - px, vertices[i, 1] - py, vertices[i, 2] - pz
        at[i, 0], at[i, 1], at[i, 2] = x, y, z
        at[i, 3] = -(up[0] * x + up[1] * y + up[2] * z)
    v, mx, my, mz = 0.0, 0.0, 0.0, 0.0
    plane = np.zeros(10)
    for f in range(faces.shape[0]):
        i, j, k = faces[f, 0], faces[f, 1], faces[f, 2]
        wet_i, wet_j, wet_k = at[i, 3] > 0.0, at[j, 3] > 0.0, at[k, 3] > 0.0
        count = int(wet_i) + int(wet_j) + int(wet_k)
        if count == 0:
            continue
        if count < 3:  # turn the face so that i is the one on its own side
            alone = count == 1
            if wet_j == alone and wet_i != alone:
                i, j, k = j, k, i
            elif wet_k == alone and wet_i != alone:
                i, j, k = k, i, j
        ax, ay, az, da = at[i, 0], at[i, 1], at[i, 2], at[i, 3]
        bx, by, bz, db = at[j, 0], at[j, 1], at[j, 2], at[j, 3]
        cx, cy, cz, dc = at[k, 0], at[k, 1], at[k, 2], at[k, 3]
        if count < 3:
            s, t = da / (da - db), da / (da - dc)
            qx, qy, qz = ax + s * (bx - ax), ay + s * (by - ay), az + s * (bz - az)
            rx, ry, rz = ax + t * (cx - ax), ay + t * (cy - ay), az + t * (cz - az)
            if count == 1:
                _edge(rx, ry, rz, qx, qy, qz, up, plane)
                bx, by, bz, cx, cy, cz = qx, qy, qz, rx, ry, rz
            else:
                _edge(qx, qy, qz, rx, ry, rz, up, plane)
                w = _six_volumes(qx, qy, qz, cx, cy, cz, rx, ry, rz)
                v += w
                mx += w * (qx + cx + rx)
                my += w * (qy + cy + ry)
                mz += w * (qz + cz + rz)
                ax, ay, az = qx, qy, qz
        w = _six_volumes(ax, ay, az, bx, by, bz, cx, cy, cz)
        v += w
        mx += w * (ax + bx + cx)
        my += w * (ay + by + cy)
        mz += w * (az + bz + cz)
    v /= 6.0
    out[I_VOLUME] += v
    out[I_MOMENT] += mx / 24.0 + v * px
    out[I_MOMENT + 1] += my / 24.0 + v * py
    out[I_MOMENT + 2] += mz / 24.0 + v * pz
    _add_plane(plane, px, py, pz, out)


@compiled
def _six_volumes(ax, ay, az, bx, by, bz, cx, cy, cz):
    return ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)


@compiled
def _edge(ax, ay, az, bx, by, bz, up, plane):
    """Add the triangle between the point above the origin and an edge of the waterplane, area and moments."""
    area = 0.5 * (
        up[0] * (ay * bz - az * by) + up[1] * (az * bx - ax * bz) + up[2] * (ax * by - ay * bx)
    )  # fmt: skip
    sx, sy, sz = ax + bx, ay + by, az + bz
    plane[0] += area
    plane[1] += area * sx / 3.0
    plane[2] += area * sy / 3.0
    plane[3] += area * sz / 3.0
    share = area / 12.0
    plane[4] += share * (ax * ax + bx * bx + sx * sx)
    plane[5] += share * (ay * ay + by * by + sy * sy)
    plane[6] += share * (az * az + bz * bz + sz * sz)
    plane[7] += share * (ax * ay + bx * by + sx * sy)
    plane[8] += share * (ax * az + bx * bz + sx * sz)
    plane[9] += share * (ay * az + by * bz + sy * sz)


@compiled
def _add_plane(plane, px, py, pz, out):
    """Add area and moments taken about p to those about the origin."""
    area, fx, fy, fz = plane[0], plane[1], plane[2], plane[3]
    out[I_AREA] += area
    out[I_AREA_MOMENT] += fx + area * px
    out[I_AREA_MOMENT + 1] += fy + area * py
    out[I_AREA_MOMENT + 2] += fz + area * pz
    out[I_AREA_SECOND] += plane[4] + 2.0 * px * fx + area * px * px
    out[I_AREA_SECOND + 1] += plane[5] + 2.0 * py * fy + area * py * py
    out[I_AREA_SECOND + 2] += plane[6] + 2.0 * pz * fz + area * pz * pz
    out[I_AREA_SECOND + 3] += plane[7] + px * fy + py * fx + area * px * py
    out[I_AREA_SECOND + 4] += plane[8] + px * fz + pz * fx + area * px * pz
    out[I_AREA_SECOND + 5] += plane[9] + py * fz + pz * fy + area * py * pz


@compiled
def _small_part(part, up, height, out):
    """Add one small part by the law of `sim.forces.wetting`.

    Its waterplane is what the second derivative of the law's potential calls for: area V d(share)/d(depth)
    at r + depth (Q u)/e2, with own second moments V share shift (Q/e - (Qu)(Qu)^T/e3), where e2 = u.Q.u.
    """
    rx, ry, rz = part[0], part[1], part[2]
    qxx, qyy, qzz, qxy, qxz, qyz = part[3], part[4], part[5], part[6], part[7], part[8]
    qx = qxx * up[0] + qxy * up[1] + qxz * up[2]
    qy = qxy * up[0] + qyy * up[1] + qyz * up[2]
    qz = qxz * up[0] + qyz * up[1] + qzz * up[2]
    half = math.sqrt(max(qx * up[0] + qy * up[1] + qz * up[2], 0.0))
    depth = -(height + up[0] * rx + up[1] * ry + up[2] * rz)
    share, growth, shift = wetted(depth, half)
    if share <= 0.0:
        return
    volume = part[9] * share
    down = shift / half if half > 0.0 else 0.0
    out[I_VOLUME] += volume
    out[I_MOMENT] += volume * (rx - down * qx)
    out[I_MOMENT + 1] += volume * (ry - down * qy)
    out[I_MOMENT + 2] += volume * (rz - down * qz)
    if growth <= 0.0:
        return
    plane = np.zeros(10)
    plane[0] = part[9] * growth
    own, back = volume * shift / half, 1.0 / (half * half)
    plane[4] = own * (qxx - qx * qx * back)
    plane[5] = own * (qyy - qy * qy * back)
    plane[6] = own * (qzz - qz * qz * back)
    plane[7] = own * (qxy - qx * qy * back)
    plane[8] = own * (qxz - qx * qz * back)
    plane[9] = own * (qyz - qy * qz * back)
    along = depth * back
    _add_plane(plane, rx + along * qx, ry + along * qy, rz + along * qz, out)


@compiled
def _reach(vertices, small, up):
    """Lowest and highest reach of anything along `up`, from the origin (m)."""
    low, high = math.inf, -math.inf
    for i in range(vertices.shape[0]):
        z = up[0] * vertices[i, 0] + up[1] * vertices[i, 1] + up[2] * vertices[i, 2]
        low, high = min(low, z), max(high, z)
    for k in range(small.shape[0]):
        part = small[k]
        qx = part[3] * up[0] + part[6] * up[1] + part[7] * up[2]
        qy = part[6] * up[0] + part[4] * up[1] + part[8] * up[2]
        qz = part[7] * up[0] + part[8] * up[1] + part[5] * up[2]
        half = math.sqrt(max(qx * up[0] + qy * up[1] + qz * up[2], 0.0))
        z = up[0] * part[0] + up[1] * part[1] + up[2] * part[2]
        low, high = min(low, z - half), max(high, z + half)
    return low, high


@compiled
def afloat(vertices, faces, small, up, volume, guess, accuracy):
    """Height of the origin at which `volume` (m3) is under water, and what is immersed there.

    Newton's steps on the waterplane area, kept inside a bracket: volume never grows with height, so there is
    one answer. `volume` outside what the shapes hold gives the height at which they just touch.

    Args:
        vertices, faces, small, up: as for `immersed`.
        volume: to be displaced (m3).
        guess: a height to start from (m).
        accuracy: largest error of the volume, relative to `volume`.

    Returns:
        height (m) and the (14,) array of `immersed`.
    """
    low, high = _reach(vertices, small, up)
    under, out_of = -high, -low  # heights: wholly under, wholly out
    width = out_of - under
    height = min(max(guess, under), out_of)
    state = immersed(vertices, faces, small, up, height)
    for _ in range(100):
        error = state[I_VOLUME] - volume
        if abs(error) <= accuracy * volume or out_of - under <= 4e-16 * width:
            break
        if error > 0.0:
            under = height
        else:
            out_of = height
        area = state[I_AREA]
        step = height + error / area if area > 0.0 else under
        height = step if under < step < out_of else 0.5 * (under + out_of)
        state = immersed(vertices, faces, small, up, height)
    return height, state


def whole(vertices: NDArray[np.float64], faces: NDArray[np.int64], small: NDArray[np.float64]) -> float:
    """Volume of hulls and small parts wholly under (m3)."""
    up = np.array([0.0, 0.0, 1.0])
    high = _reach(vertices, small, up)[1]
    return float(immersed(vertices, faces, small, up, -2.0 * abs(high) - 1.0)[I_VOLUME])
