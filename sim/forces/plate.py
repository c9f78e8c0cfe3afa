"""Force on flat plates at any angle: lips, fins, tails, blades, spoons, and blunt end faces.

The normal force has an attached part, Kp sin a cos a, acting at the attached centre of pressure near the
leading edge and let go smoothly past stall, and a separated part, C90 sin^2 a, spread over the plate so that
its turning is damped. A turning plate has lift from its own circulation (Theodorsen 1935).
Standing: attached slope is linear theory; broadside drag is published; stall and surface laws are judgement.
"""

import math

from sim.compiled import ROW, TABLE, compiled, kernel
from sim.elements import (
    P_AREA,
    P_C,
    P_C90_BACK,
    P_C90_FRONT,
    P_CARRIED,
    P_KP_LONG,
    P_KP_WIDE,
    P_LENGTH,
    P_N,
    P_R,
    P_ROT,
    P_ROW,
    P_S,
    P_STALL_LONG,
    P_STALL_WIDE,
    P_THICK,
    P_WIDTH,
    P_XA_LONG,
    P_XA_WIDE,
)
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    K_AIR,
    K_HEIGHT,
    K_SPIN,
    K_UP,
    K_WATER,
    NU_A,
    NU_W,
    RHO_A,
    RHO_W,
    WET,
    push,
    velocity_at,
)
from sim.forces.laws import friction, lift_slope

G_ADDED = COEFFICIENT_INDEX["added_mass"]
G_MUNK = COEFFICIENT_INDEX["munk"]
G_LIFT = COEFFICIENT_INDEX["plate_lift"]
G_SEPARATED = COEFFICIENT_INDEX["plate_drag"]
G_SPIN = COEFFICIENT_INDEX["plate_spin"]
G_FRICTION = COEFFICIENT_INDEX["plate_friction"]
G_SURFACE = COEFFICIENT_INDEX["near_surface"]

GAUSS = 0.5 / math.sqrt(3.0)  # two-point rule: exact for the spread of a cubic over the plate
EDGE_CD = 0.9
"""Drag of a square-cut plate edge-on, on its edge area. Source: DNV-RP-H103 table B-2, rod end-on, 0.87 to 0.97
beyond one and a half widths (from memory); Matthews 2002, p. 95, cylinder end-on, 0.87 at four diameters."""
ROLL_DAMPING = 1.0 / 32.0
"""Roll damping over lift slope, span squared: slender wing, Clp = -pi AR/32 with CLa = pi AR/2. Closed form for
narrow plates (Ribner 1947, NACA TN 1423, number from memory); a broad plate has up to 2.7 times as much."""
STALL_SHARPNESS = 6.0  # stall angle over the width of the stall (judgement)


@kernel(f"void({TABLE}, {TABLE}, {ROW}, {ROW}, {ROW}, {TABLE}, i8, i8)")
def plate_force(plates, wet, kin, env, coefficients, rows, first, apart):
    """Force on every plate, its wet share in water and the rest in air; plate k adds to row first + apart * k."""
    for k in range(plates.shape[0]):
        plate, out = plates[k], rows[first + apart * k]
        share = wet[int(plate[P_ROW]), WET]
        if share > 0.0:
            wetted = plate if share >= 1.0 else _wet_part(plate, kin, share)
            _one_medium(
                wetted, kin, K_WATER, env[RHO_W], env[NU_W], coefficients[G_SURFACE], coefficients, out
            )
            _take_back(plate, kin, K_WATER, env[RHO_W] * share, coefficients, out)
        if share < 1.0:
            _one_medium(plate, kin, K_AIR, env[RHO_A] * (1.0 - share), env[NU_A], 0.0, coefficients, out)
            _take_back(plate, kin, K_AIR, env[RHO_A] * (1.0 - share), coefficients, out)


@compiled
def _take_back(plate, kin, at, rho, coefficients, out):
    """Undo the Munk moment that the momentum equations give the water a plate carries.

    In ideal flow that moment is how the centre of pressure moves ahead. Here the centre of pressure is told
    outright, for attached and for separated flow, so the moment would count twice.
    """
    rx, ry, rz = plate[P_R], plate[P_R + 1], plate[P_R + 2]
    n0, n1, n2 = plate[P_N], plate[P_N + 1], plate[P_N + 2]
    vx, vy, vz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
    back = (
        rho * plate[P_CARRIED] * coefficients[G_ADDED] * coefficients[G_MUNK] * (vx * n0 + vy * n1 + vz * n2)
    )
    out[3] += back * (vy * n2 - vz * n1)
    out[4] += back * (vz * n0 - vx * n2)
    out[5] += back * (vx * n1 - vy * n0)


@compiled
def _wet_part(plate, kin, share):
    """The wet piece of a plate that stands in the surface, as a plate of its own: shorter along the side that
    leads out of the water, its middle moved down, its slope that of its own aspect ratio."""
    out_c = kin[K_UP] * plate[P_C] + kin[K_UP + 1] * plate[P_C + 1] + kin[K_UP + 2] * plate[P_C + 2]
    out_s = kin[K_UP] * plate[P_S] + kin[K_UP + 1] * plate[P_S + 1] + kin[K_UP + 2] * plate[P_S + 2]
    rise_c, rise_s = abs(out_c) * plate[P_LENGTH], abs(out_s) * plate[P_WIDTH]
    part = rise_c / (rise_c + rise_s) if rise_c + rise_s > 0.0 else 0.5
    piece = plate.copy()
    piece[P_LENGTH] *= share**part
    piece[P_WIDTH] *= share ** (1.0 - part)
    piece[P_AREA] *= share
    down_c = math.copysign(0.5 * (plate[P_LENGTH] - piece[P_LENGTH]), -out_c) if out_c != 0.0 else 0.0
    down_s = math.copysign(0.5 * (plate[P_WIDTH] - piece[P_WIDTH]), -out_s) if out_s != 0.0 else 0.0
    for i in range(3):
        piece[P_R + i] += down_c * plate[P_C + i] + down_s * plate[P_S + i]
    if plate[P_ROT] > 0.0:
        piece[P_KP_LONG] = lift_slope(piece[P_WIDTH] * piece[P_WIDTH] / piece[P_AREA])
        piece[P_KP_WIDE] = lift_slope(piece[P_LENGTH] * piece[P_LENGTH] / piece[P_AREA])
    return piece


@kernel(f"void({ROW}, {ROW}, i8, f8, f8, f8, {ROW}, {ROW})")
def _one_medium(plate, kin, at, rho, nu, surface, coefficients, out):
    rx, ry, rz = plate[P_R], plate[P_R + 1], plate[P_R + 2]
    c0, c1, c2 = plate[P_C], plate[P_C + 1], plate[P_C + 2]
    s0, s1, s2 = plate[P_S], plate[P_S + 1], plate[P_S + 2]
    n0, n1, n2 = plate[P_N], plate[P_N + 1], plate[P_N + 2]
    length, width, area = plate[P_LENGTH], plate[P_WIDTH], plate[P_AREA]
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    vx, vy, vz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
    vc = vx * c0 + vy * c1 + vz * c2
    vs = vx * s0 + vy * s1 + vz * s2
    vn = vx * n0 + vy * n1 + vz * n2
    wc = wx * c0 + wy * c1 + wz * c2
    ws = wx * s0 + wy * s1 + wz * s2
    edge2 = vc * vc + vs * vs
    edge = math.sqrt(edge2)
    lengthwise = vc * vc / edge2 if edge > 1e-9 else 0.5
    chord2 = length * length * lengthwise + width * width * (1.0 - lengthwise)
    span2 = width * width * lengthwise + length * length * (1.0 - lengthwise)
    # negative-image hydrofoil near the surface (Hough & Moran 1969; Wadlin; from memory): lift is half at the
    # surface and whole well below it, depth told in chords. A narrow plate's image fades with its span: the
    # length 1/sqrt(1/c^2 + 2/b^2) follows a vortex lattice with its negative image (ours, aspect 0.5 to 2)
    depth = max(-(kin[K_HEIGHT] + kin[K_UP] * rx + kin[K_UP + 1] * ry + kin[K_UP + 2] * rz), 0.0)
    lost = surface / (16.0 * depth * depth * (1.0 / chord2 + 2.0 / span2) + 2.0)

    # attached part: flow along the plate decides chord, slope, stall and leading edge
    if edge > 1e-9:
        kp = plate[P_KP_LONG] * lengthwise + plate[P_KP_WIDE] * (1.0 - lengthwise)
        stall = plate[P_STALL_LONG] * lengthwise + plate[P_STALL_WIDE] * (1.0 - lengthwise)
        past = STALL_SHARPNESS * (math.atan2(abs(vn), edge) / stall - 1.0)
        attached = 0.5 - 0.5 * math.tanh(past)
        hold = 0.25 * (1.0 + math.sqrt(attached)) ** 2  # Kirchhoff: what a part-stalled section keeps
        fn = -0.5 * rho * area * kp * hold * (1.0 - lost) * coefficients[G_LIFT] * vn * edge
        ahead_c = (0.5 - plate[P_XA_LONG]) * length * vc / edge
        ahead_s = (0.5 - plate[P_XA_WIDE]) * width * vs / edge
        push(
            out,
            fn * n0,
            fn * n1,
            fn * n2,
            rx + ahead_c * c0 + ahead_s * s0,
            ry + ahead_c * c1 + ahead_s * s1,
            rz + ahead_c * c2 + ahead_s * s2,
        )
        # roll about the direction of flow: the rising side loses lift, the falling side coefficients
        ec, es = vc / edge, vs / edge
        steady = (
            0.5
            * rho
            * area
            * kp
            * hold
            * coefficients[G_LIFT]
            * edge
            * span2
            * ROLL_DAMPING
            * (wc * ec + ws * es)
        )
        out[3] -= steady * (ec * c0 + es * s0)
        out[4] -= steady * (ec * c1 + es * s1)
        out[5] -= steady * (ec * c2 + es * s2)
        rub = 0.0  # an end face's skin and edges are counted with its body
        if plate[P_ROT] > 0.0:
            edges = plate[P_THICK] * (width * abs(vc) + length * abs(vs))
            skin = area * friction(edge * math.sqrt(chord2) / nu) * edge
            rub = -rho * coefficients[G_FRICTION] * (skin + 0.5 * EDGE_CD * edges)
        fx = rub * (vc * c0 + vs * s0)
        fy = rub * (vc * c1 + vs * s1)
        fz = rub * (vc * c2 + vs * s2)
        push(out, fx, fy, fz, rx, ry, rz)

    # rotation: circulation Kp a^2 w / 2 about either edge direction, lift at right angles to the motion.
    # Theodorsen 1935, NACA Report 496: a plate turning about its middle carries 2 pi a^2 w, half of it
    # inertia of the water, which the momentum equations hold already
    spin_s = 0.125 * rho * area * plate[P_ROT] * coefficients[G_SPIN] * plate[P_KP_LONG] * length * ws
    spin_c = 0.125 * rho * area * plate[P_ROT] * coefficients[G_SPIN] * plate[P_KP_WIDE] * width * wc
    fx = spin_s * (s1 * vz - s2 * vy) + spin_c * (c1 * vz - c2 * vy)
    fy = spin_s * (s2 * vx - s0 * vz) + spin_c * (c2 * vx - c0 * vz)
    fz = spin_s * (s0 * vy - s1 * vx) + spin_c * (c0 * vy - c1 * vx)
    push(out, fx, fy, fz, rx, ry, rz)

    # separated part: the local normal velocity squared, at four points
    part = -0.125 * rho * area * coefficients[G_SEPARATED] * (1.0 - 0.5 * lost)
    reach_c, reach_s = GAUSS * length, GAUSS * width
    for i in range(2):
        dc = reach_c if i == 0 else -reach_c
        for j in range(2):
            ds = reach_s if j == 0 else -reach_s
            local = vn - ws * dc + wc * ds
            c90 = plate[P_C90_FRONT] if local > 0.0 else plate[P_C90_BACK]
            fn = part * c90 * abs(local) * local
            push(
                out,
                fn * n0,
                fn * n1,
                fn * n2,
                rx + dc * c0 + ds * s0,
                ry + dc * c1 + ds * s1,
                rz + dc * c2 + ds * s2,
            )
