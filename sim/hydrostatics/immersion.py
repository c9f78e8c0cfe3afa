"""Immersed volume and waterplane of closed triangle meshes and of small parts.

The water surface is the plane of depth zero, and a point r in the lure's axes has depth
-(height + up . r), with `up` the unit vector straight up in those axes and `height` that of the origin above
the surface (m). The volume under the plane is summed from tetrahedra between the origin and the wet faces,
and a cone between the origin and the waterplane, whose outline is the cut edges themselves. Closed form for
polyhedra, whatever their shape. A whole face counts the same however the body lies, so only the few faces
near the surface are worked on again as it moves.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.compiled import INDICES, MESH, REAL, ROW, TABLE, WHOLE, compiled, kernel
from sim.hydrostatics.wetting import wetted

# --- what `immersed` returns --------------------------------------------------------------------------
I_VOLUME = 0  # under water (m3)
I_MOMENT = 1  # its first moments, the integral of r (3, m4)
I_AREA = 4  # of the waterplane (m2); d volume / d height = -area
I_AREA_MOMENT = 5  # first moments of the waterplane (3, m3)
I_AREA_SECOND = 8  # its second moments xx, yy, zz, xy, xz, yz about the origin (6, m4)
N_IMMERSED = 14


def immersed(
    vertices: NDArray[np.float64],
    faces: NDArray[np.int64],
    small: NDArray[np.float64],
    up: NDArray[np.float64],
    height: float,
) -> NDArray[np.float64]:
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
    terms, near = face_terms(vertices, faces), np.empty(len(faces), dtype=np.int64)
    rise, under, out = np.empty(len(vertices)), np.empty(4), np.empty(N_IMMERSED)
    rises(vertices, up, rise)
    count = sorted_out(terms, faces, rise, height, 0.0, near, under)
    sliced(vertices, faces, terms, small, up, height, near, count, under, out)
    return out


def face_terms(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> NDArray[np.float64]:
    """Six times the volume between each face and the origin, and 24 times its first moments (m, 4)."""
    terms = np.empty((len(faces), 4))
    _face_terms(vertices, faces, terms)
    return terms


@kernel(TABLE, MESH, TABLE)
def _face_terms(vertices, faces, terms):
    for f in range(faces.shape[0]):
        i, j, k = faces[f, 0], faces[f, 1], faces[f, 2]
        ax, ay, az = vertices[i, 0], vertices[i, 1], vertices[i, 2]
        bx, by, bz = vertices[j, 0], vertices[j, 1], vertices[j, 2]
        cx, cy, cz = vertices[k, 0], vertices[k, 1], vertices[k, 2]
        w = _six_volumes(ax, ay, az, bx, by, bz, cx, cy, cz)
        terms[f, 0] = w
        terms[f, 1] = w * (ax + bx + cx)
        terms[f, 2] = w * (ay + by + cy)
        terms[f, 3] = w * (az + bz + cz)


@kernel(TABLE, ROW, ROW)
def rises(vertices, up, rise):
    """Fill in how far along `up` from the origin each vertex is (n,), m."""
    for i in range(vertices.shape[0]):
        rise[i] = up[0] * vertices[i, 0] + up[1] * vertices[i, 1] + up[2] * vertices[i, 2]


@kernel(TABLE, MESH, ROW, REAL, REAL, INDICES, ROW, returns=WHOLE)
def sorted_out(terms, faces, rise, height, slack, near, under):
    """Part the faces for all heights within `slack` (m) of `height`: those that may then be cut are put into
    `near` (m,), the sum of `terms` over those that stay wholly wet into `under` (4,). Returns how many are near."""
    count = 0
    v, mx, my, mz = 0.0, 0.0, 0.0, 0.0
    wet, dry = -height - slack, -height + slack
    for f in range(faces.shape[0]):
        a, b, c = rise[faces[f, 0]], rise[faces[f, 1]], rise[faces[f, 2]]
        if a < wet and b < wet and c < wet:
            v += terms[f, 0]
            mx += terms[f, 1]
            my += terms[f, 2]
            mz += terms[f, 3]
        elif a < dry or b < dry or c < dry:
            near[count] = f
            count += 1
    under[0], under[1], under[2], under[3] = v, mx, my, mz
    return count


@kernel(TABLE, MESH, TABLE, TABLE, ROW, REAL, INDICES, WHOLE, ROW, ROW)
def sliced(vertices, faces, terms, small, up, height, near, count_near, under, out):
    """Fill `out` (14,) with what `immersed` returns, from faces parted by `sorted_out`."""
    for k in range(N_IMMERSED):
        out[k] = 0.0
    v, mx, my, mz = under[0], under[1], under[2], under[3]
    px, py, pz = -height * up[0], -height * up[1], -height * up[2]
    ux, uy, uz = up[0], up[1], up[2]
    plane = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    for n in range(count_near):
        f = near[n]
        i, j, k = faces[f, 0], faces[f, 1], faces[f, 2]
        ax, ay, az = vertices[i, 0], vertices[i, 1], vertices[i, 2]
        bx, by, bz = vertices[j, 0], vertices[j, 1], vertices[j, 2]
        cx, cy, cz = vertices[k, 0], vertices[k, 1], vertices[k, 2]
        da = ux * ax + uy * ay + uz * az + height  # over the water, in the words of `rises`
        db = ux * bx + uy * by + uz * bz + height
        dc = ux * cx + uy * cy + uz * cz + height
        wet_a, wet_b, wet_c = da < 0.0, db < 0.0, dc < 0.0
        count = int(wet_a) + int(wet_b) + int(wet_c)
        if count == 0:
            continue
        if count == 3:
            v += terms[f, 0]
            mx += terms[f, 1]
            my += terms[f, 2]
            mz += terms[f, 3]
            continue
        alone = count == 1  # turn the face so that a is the one on its own side
        if wet_b == alone and wet_a != alone:
            ax, ay, az, bx, by, bz, cx, cy, cz = bx, by, bz, cx, cy, cz, ax, ay, az
            da, db, dc = db, dc, da
        elif wet_c == alone and wet_a != alone:
            ax, ay, az, bx, by, bz, cx, cy, cz = cx, cy, cz, ax, ay, az, bx, by, bz
            da, db, dc = dc, da, db
        s, t = da / (da - db), da / (da - dc)
        qx, qy, qz = ax + s * (bx - ax), ay + s * (by - ay), az + s * (bz - az)
        rx, ry, rz = ax + t * (cx - ax), ay + t * (cy - ay), az + t * (cz - az)
        if alone:
            plane = _edge(rx - px, ry - py, rz - pz, qx - px, qy - py, qz - pz, ux, uy, uz, plane)
            bx, by, bz, cx, cy, cz = qx, qy, qz, rx, ry, rz
        else:
            plane = _edge(qx - px, qy - py, qz - pz, rx - px, ry - py, rz - pz, ux, uy, uz, plane)
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
    _add_plane(plane, px, py, pz, out)
    # the lid that closes the cut: a cone from the origin over the waterplane
    out[I_VOLUME] = v / 6.0 - height * out[I_AREA] / 3.0
    out[I_MOMENT] = mx / 24.0 - height * out[I_AREA_MOMENT] / 4.0
    out[I_MOMENT + 1] = my / 24.0 - height * out[I_AREA_MOMENT + 1] / 4.0
    out[I_MOMENT + 2] = mz / 24.0 - height * out[I_AREA_MOMENT + 2] / 4.0
    for k in range(small.shape[0]):
        _small_part(small[k], up, height, out)


@compiled
def _six_volumes(ax, ay, az, bx, by, bz, cx, cy, cz):
    return ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)


@compiled
def _edge(ax, ay, az, bx, by, bz, ux, uy, uz, plane):
    """`plane` with the triangle between the point above the origin and an edge of the waterplane added: area,
    first and second moments (10 numbers)."""
    area = 0.5 * (ux * (ay * bz - az * by) + uy * (az * bx - ax * bz) + uz * (ax * by - ay * bx))
    sx, sy, sz = ax + bx, ay + by, az + bz
    third, share = area / 3.0, area / 12.0
    return (
        plane[0] + area,
        plane[1] + third * sx,
        plane[2] + third * sy,
        plane[3] + third * sz,
        plane[4] + share * (ax * ax + bx * bx + sx * sx),
        plane[5] + share * (ay * ay + by * by + sy * sy),
        plane[6] + share * (az * az + bz * bz + sz * sz),
        plane[7] + share * (ax * ay + bx * by + sx * sy),
        plane[8] + share * (ax * az + bx * bz + sx * sz),
        plane[9] + share * (ay * az + by * bz + sy * sz),
    )


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
    """Add one small part by the law of `sim.hydrostatics.wetting`.

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
    own, back = volume * shift / half, 1.0 / (half * half)
    plane = (
        part[9] * growth, 0.0, 0.0, 0.0,
        own * (qxx - qx * qx * back), own * (qyy - qy * qy * back), own * (qzz - qz * qz * back),
        own * (qxy - qx * qy * back), own * (qxz - qx * qz * back), own * (qyz - qy * qz * back),
    )  # fmt: skip
    along = depth * back
    _add_plane(plane, rx + along * qx, ry + along * qy, rz + along * qz, out)


def whole(vertices: NDArray[np.float64], faces: NDArray[np.int64], small: NDArray[np.float64]) -> float:
    """Volume of hulls and small parts wholly under (m3)."""
    return float(face_terms(vertices, faces)[:, 0].sum() / 6.0 + small[:, 9].sum())
