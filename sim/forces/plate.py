"""Force on flat plates at any angle: lips, fins, tails, blades, spoons, and blunt end faces.

Up to its stall the normal force is Kp sin a cos a, at the attached centre of pressure near the leading edge,
and Kv sin^2 a from the vortices over the side edges (Polhamus); past it a published law of stalled plates,
both spread over the plate so that its turning is damped. A plate that turns quickly stalls late (Gormont
1973), and has lift from its own circulation (Theodorsen 1935). A bent plate carries lift at no incidence.
Every normal force is taken from the normal velocity of the very point where it acts: none gives power.
Standing: attached and edge parts are linear theory; stalled force and delay are published fits; the stall angle
and the surface law are judgement.
"""

import math

from sim.compiled import REAL, ROW, TABLE, WHOLE, compiled, kernel
from sim.elements import (
    P_AREA,
    P_BEND_C,
    P_BEND_S,
    P_C,
    P_C90_BACK,
    P_C90_FRONT,
    P_CARRIED,
    P_KP_LONG,
    P_KP_WIDE,
    P_KV_LONG,
    P_KV_WIDE,
    P_LENGTH,
    P_N,
    P_OPEN,
    P_R,
    P_REACH_C,
    P_REACH_S,
    P_RELIEF_LONG,
    P_RELIEF_WIDE,
    P_ROLL_LONG,
    P_ROLL_WIDE,
    P_ROT,
    P_ROW,
    P_S,
    P_SHARE,
    P_STALL_LONG,
    P_STALL_WIDE,
    P_THICK,
    P_WIDTH,
    P_XA_LONG,
    P_XA_WIDE,
    P_XS_LONG,
    P_XS_WIDE,
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
    SHELTER,
    WET,
    push,
    velocity_at,
)
from sim.forces.laws import edge_lift, friction, lift_slope, stalled_relief

G_ADDED = COEFFICIENT_INDEX["added_mass"]
G_MUNK = COEFFICIENT_INDEX["munk"]
G_RELIEF = COEFFICIENT_INDEX["tail_relief"]
G_LIFT = COEFFICIENT_INDEX["plate_lift"]
G_SEPARATED = COEFFICIENT_INDEX["plate_drag"]
G_SPIN = COEFFICIENT_INDEX["plate_spin"]
G_FRICTION = COEFFICIENT_INDEX["plate_friction"]
G_SURFACE = COEFFICIENT_INDEX["near_surface"]

EDGE_CD = 0.9
"""Drag of a square-cut plate edge-on, on its edge area. Source: DNV-RP-H103 table B-2, rod end-on, 0.87 to 0.97
beyond one and a half widths (from memory); Matthews 2002, p. 95, cylinder end-on, 0.87 at four diameters."""
STALL_SHARPNESS = 6.0  # stall angle over the width of the stall (judgement)
LATE, LATE_THICK = 1.04, 6.0
"""Stall comes late by (1.04 + 6 t/c) sqrt(c q / 2V) rad at a rate of turning q toward greater incidence.
Source: Gormont 1973, USAAMRDL TR 72-67, gamma = 1.4 - 6 (0.06 - t/c), as kept in a public turbine program
(published fit to aerofoils that pitch; on plates of low aspect ratio judgement)."""
EARLY = 0.5  # share of that delay by which flow re-attaches late when incidence falls; same source
STILL_RATE = 0.03  # c q / 2V below which the root is rounded off, so that its slope stays finite (numerical)
SQUARE_ON = 0.1  # share of the speed along the plate below which "toward greater incidence" fades (numerical)
EDGE_ON = 0.005  # share of it across the plate below which that fades too: it turns round there (numerical)
STALLED_AHEAD = 0.175
"""Centre of pressure of stalled flow ahead of the middle, 0.175 (1 - 2a/pi) chords. Source: Lindenburg 2003,
ECN-C--03-025 (from memory); at 30 and 60 degrees within 0.02 chords of free-streamline theory, Lamb Art. 78."""


@kernel(TABLE, TABLE, ROW, ROW, ROW, ROW, TABLE, WHOLE, WHOLE)
def plate_force(plates, wet, kin, env, coefficients, piece, rows, first, apart):
    """Force on every plate, its wet share in water and the rest in air; plate k adds to row first + apart * k.

    `piece`, as long as a row of `plates`, is room for the wet piece of a plate that stands in the surface.
    """
    for k in range(plates.shape[0]):
        plate, out = plates[k], rows[first + apart * k]
        share = wet[int(plate[P_ROW]), WET]
        part = plate[P_SHARE]
        if _of_a_body(plate):  # flow that leaves it
            part *= coefficients[G_RELIEF]
        water, air = env[RHO_W] * part, env[RHO_A] * part * (1.0 - share)
        if share > 0.0:
            wetted = plate
            if share < 1.0:
                _wet_part(plate, kin, share, piece)
                wetted = piece
            _one_medium(
                wetted,
                kin,
                K_WATER,
                water * (1.0 - wet[int(plate[P_ROW]), SHELTER]),
                env[NU_W],
                coefficients[G_SURFACE],
                coefficients,
                out,
            )
            _take_back(plate, kin, K_WATER, water * share, coefficients, out)
        if share < 1.0:
            _one_medium(plate, kin, K_AIR, air, env[NU_A], 0.0, coefficients, out)
            _take_back(plate, kin, K_AIR, air, coefficients, out)


@compiled
def _of_a_body(plate):
    """Whether it is the middle plane of a body: it has lift, and no edges and skin of its own."""
    return plate[P_OPEN] == 0.0 and plate[P_ROT] > 0.0


@compiled
def held(incidence, stall):
    """Share of the flow that is still attached at an incidence (rad), by the angle at which it stalls."""
    return 0.5 - 0.5 * math.tanh(STALL_SHARPNESS * (incidence / stall - 1.0))


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
def _wet_part(plate, kin, share, piece):
    """Fill `piece`: the wet part of a plate that stands in the surface, as a plate of its own: shorter along the
    side that leads out of the water, its middle moved down, its slope that of its own aspect ratio."""
    out_c = kin[K_UP] * plate[P_C] + kin[K_UP + 1] * plate[P_C + 1] + kin[K_UP + 2] * plate[P_C + 2]
    out_s = kin[K_UP] * plate[P_S] + kin[K_UP + 1] * plate[P_S + 1] + kin[K_UP + 2] * plate[P_S + 2]
    rise_c, rise_s = abs(out_c) * plate[P_LENGTH], abs(out_s) * plate[P_WIDTH]
    part = rise_c / (rise_c + rise_s) if rise_c + rise_s > 0.0 else 0.5
    for i in range(plate.shape[0]):
        piece[i] = plate[i]
    piece[P_LENGTH] *= share**part
    piece[P_WIDTH] *= share ** (1.0 - part)
    piece[P_AREA] *= share
    for reach, bend, kept in (
        (P_REACH_C, P_BEND_C, share**part),
        (P_REACH_S, P_BEND_S, share ** (1.0 - part)),
    ):
        piece[reach] *= kept
        piece[bend] *= kept  # as bent as the whole
    down_c = math.copysign(0.5 * (plate[P_LENGTH] - piece[P_LENGTH]), -out_c) if out_c != 0.0 else 0.0
    down_s = math.copysign(0.5 * (plate[P_WIDTH] - piece[P_WIDTH]), -out_s) if out_s != 0.0 else 0.0
    for i in range(3):
        piece[P_R + i] += down_c * plate[P_C + i] + down_s * plate[P_S + i]
    if plate[P_ROT] > 0.0:
        for kp, kv, relief, xa, span in (
            (P_KP_LONG, P_KV_LONG, P_RELIEF_LONG, P_XA_LONG, piece[P_WIDTH]),
            (P_KP_WIDE, P_KV_WIDE, P_RELIEF_WIDE, P_XA_WIDE, piece[P_LENGTH]),
        ):
            aspect = span * span / piece[P_AREA]
            piece[kp] = lift_slope(aspect)
            piece[kv] = edge_lift(aspect, piece[xa])
            piece[relief] = stalled_relief(aspect)
        if _of_a_body(plate):  # as `sim.lure.midplane` has it
            piece[P_KP_LONG] = piece[P_KP_WIDE] = min(piece[P_KP_LONG], piece[P_KP_WIDE])


@kernel(ROW, ROW, WHOLE, REAL, REAL, REAL, ROW, ROW)
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
    attached, whole, ec, es = 0.0, 0.0, 0.0, 0.0  # `whole`: edge vortices that have not burst, late or not
    incidence = 0.5 * math.pi  # as the flow has it that comes late
    if edge > 1e-9:
        ec, es = vc / edge, vs / edge
        incidence = math.atan2(abs(vn), edge)
        chord = math.sqrt(chord2)
        speed2 = edge2 + vn * vn
        toward = vn / math.sqrt(vn * vn + EDGE_ON**2 * speed2)
        rising = toward * (ws * vc - wc * vs) / math.sqrt(edge2 + SQUARE_ON**2 * speed2)
        rate = 0.5 * chord * rising / math.sqrt(speed2)
        rounded = math.sqrt(rate * rate + STILL_RATE * STILL_RATE)
        late = (LATE + LATE_THICK * plate[P_THICK] / chord) * rate / math.sqrt(rounded)
        late *= 0.5 * (1.0 + EARLY) + 0.5 * (1.0 - EARLY) * rate / rounded
        stall = plate[P_STALL_LONG] * lengthwise + plate[P_STALL_WIDE] * (1.0 - lengthwise)
        whole = held(incidence, stall)
        incidence -= late
        attached = held(incidence, stall) * plate[P_ROT]  # an end face has no lift
        kp = plate[P_KP_LONG] * lengthwise + plate[P_KP_WIDE] * (1.0 - lengthwise)
        pull = 0.5 * rho * area * kp * attached * (1.0 - lost) * coefficients[G_LIFT]
        front_c, front_s = 0.5 - plate[P_XA_LONG], 0.5 - plate[P_XA_WIDE]
        ahead_c, ahead_s = front_c * length * ec, front_s * width * es
        fn = -pull * edge * (vn - ws * ahead_c + wc * ahead_s)
        push(
            out,
            fn * n0,
            fn * n1,
            fn * n2,
            rx + ahead_c * c0 + ahead_s * s0,
            ry + ahead_c * c1 + ahead_s * s1,
            rz + ahead_c * c2 + ahead_s * s2,
        )
        if plate[P_BEND_C] != 0.0 or plate[P_BEND_S] != 0.0:
            # a plate bent to an arc is one that turns, to linear theory: lift toward its bulge, somewhat behind
            # the middle, and by the reverse-flow theorem the pull along the plate of its lift at an incidence;
            # the two together give no power. Last, what the first costs on the slope of its own sheet
            behind_c = (front_c - 2.0 * plate[P_XS_LONG]) * length
            behind_s = (front_s - 2.0 * plate[P_XS_WIDE]) * width
            bow_c, bow_s = 4.0 * front_c * plate[P_BEND_C] * vc, 4.0 * front_s * plate[P_BEND_S] * vs
            bulge = pull * (bow_c * vc + bow_s * vs)
            there = vn + ws * behind_c * ec - wc * behind_s * es
            fc = -pull * bow_c * (there + 4.0 * plate[P_BEND_C] * behind_c / length * abs(vc))
            fs = -pull * bow_s * (there + 4.0 * plate[P_BEND_S] * behind_s / width * abs(vs))
            push(
                out,
                bulge * n0 + fc * c0 + fs * s0,
                bulge * n1 + fc * c1 + fs * s1,
                bulge * n2 + fc * c2 + fs * s2,
                rx - behind_c * ec * c0 - behind_s * es * s0,
                ry - behind_c * ec * c1 - behind_s * es * s1,
                rz - behind_c * ec * c2 - behind_s * es * s2,
            )
        # roll about the direction of flow: the rising side loses lift, the falling side gains it
        roll = plate[P_ROLL_LONG] * lengthwise + plate[P_ROLL_WIDE] * (1.0 - lengthwise)
        steady = pull / (1.0 - lost) * edge * span2 * roll * (wc * ec + ws * es)
        out[3] -= steady * (ec * c0 + es * s0)
        out[4] -= steady * (ec * c1 + es * s1)
        out[5] -= steady * (ec * c2 + es * s2)
        rub = 0.0  # the skin and edges of a body's face or middle plane are counted with the body
        if plate[P_OPEN] > 0.0:
            edges = plate[P_THICK] * (width * abs(vc) + length * abs(vs))
            skin = area * friction(edge * chord / nu) * edge
            rub = -rho * coefficients[G_FRICTION] * (skin + 0.5 * EDGE_CD * edges)
        fx = rub * (vc * c0 + vs * s0)
        fy = rub * (vc * c1 + vs * s1)
        fz = rub * (vc * c2 + vs * s2)
        push(out, fx, fy, fz, rx, ry, rz)

    # rotation: circulation about either edge direction, lift at right angles to the motion. Theodorsen 1935,
    # NACA Report 496: a plate turning about its middle carries 2 pi a^2 w, half of it inertia of the water, which
    # the momentum equations hold already. The attached lift above is that of the front point; in all it is that of
    # the point as far behind the middle (reverse-flow theorem), and the difference is put on here
    turning = 0.125 * rho * area * plate[P_ROT] * coefficients[G_SPIN]
    kept_c = 1.0 + attached * (3.0 - 8.0 * plate[P_XA_LONG])
    kept_s = 1.0 + attached * (3.0 - 8.0 * plate[P_XA_WIDE])
    spin_s = turning * plate[P_KP_LONG] * length * ws * kept_c
    spin_c = turning * plate[P_KP_WIDE] * width * wc * kept_s
    ahead_c, ahead_s = attached * plate[P_XS_LONG] * length * ec, attached * plate[P_XS_WIDE] * width * es
    px, py, pz = (
        rx + ahead_c * c0 + ahead_s * s0,
        ry + ahead_c * c1 + ahead_s * s1,
        rz + ahead_c * c2 + ahead_s * s2,
    )
    vx, vy, vz = velocity_at(kin, at, K_SPIN, px, py, pz)
    fx = spin_s * (s1 * vz - s2 * vy) + spin_c * (c1 * vz - c2 * vy)
    fy = spin_s * (s2 * vx - s0 * vz) + spin_c * (c2 * vx - c0 * vz)
    fz = spin_s * (s0 * vy - s1 * vx) + spin_c * (c0 * vy - c1 * vx)
    push(out, fx, fy, fz, px, py, pz)

    # side-edge vortices up to the stall and the stalled force past it: at four points, from each one's own
    # motion across the sheet as it lies there
    part = -0.125 * rho * area * coefficients[G_SEPARATED] * (1.0 - 0.5 * lost)
    kv = plate[P_KV_LONG] * lengthwise + plate[P_KV_WIDE] * (1.0 - lengthwise)
    relief = plate[P_RELIEF_LONG] * lengthwise + plate[P_RELIEF_WIDE] * (1.0 - lengthwise)
    shift = (
        plate[P_ROT]
        * (1.0 - attached)
        * STALLED_AHEAD
        * max(1.0 - max(incidence, 0.0) * (2.0 / math.pi), 0.0)
    )
    middle_c, middle_s = shift * length * ec, shift * width * es
    vortex = plate[P_ROT] * attached * whole * (1.0 - 2.0 * lost)  # at the surface the low pressure draws air
    if plate[P_ROT] > 0.0:  # what stalled flow adds to the cross flow below, by the motion of the whole plate
        there = vn - ws * middle_c + wc * middle_s
        speed = math.sqrt(edge2 + there * there)
        sine = abs(there) / speed if speed > 0.0 else 1.0
        more = (1.0 / (0.56 + 0.44 * sine) - relief) / (1.0 - relief) - sine
        c90 = plate[P_C90_FRONT] if there > 0.0 else plate[P_C90_BACK]
        fn = 4.0 * part * (1.0 - attached) * c90 * more * speed * there
        px, py, pz = (
            rx + middle_c * c0 + middle_s * s0,
            ry + middle_c * c1 + middle_s * s1,
            rz + middle_c * c2 + middle_s * s2,
        )
        push(out, fn * n0, fn * n1, fn * n2, px, py, pz)
    reach_c, reach_s = plate[P_REACH_C], plate[P_REACH_S]
    for i in range(2):
        dc = middle_c + (reach_c if i == 0 else -reach_c)
        for j in range(2):
            ds = middle_s + (reach_s if j == 0 else -reach_s)
            tilt_c = 4.0 * plate[P_BEND_C] / length * dc
            tilt_s = 4.0 * plate[P_BEND_S] / width * ds
            local = vn - ws * dc + wc * ds
            longer = 1.0
            if tilt_c != 0.0 or tilt_s != 0.0:
                turn = wx * n0 + wy * n1 + wz * n2
                longer = math.sqrt(1.0 + tilt_c * tilt_c + tilt_s * tilt_s)
                local = (local + tilt_c * (vc - turn * ds) + tilt_s * (vs + turn * dc)) / longer
            c90 = plate[P_C90_FRONT] if local > 0.0 else plate[P_C90_BACK]
            fn = part * (c90 + vortex * (kv - c90)) * abs(local) * local
            push(
                out,
                fn * (n0 + tilt_c * c0 + tilt_s * s0),
                fn * (n1 + tilt_c * c1 + tilt_s * s1),
                fn * (n2 + tilt_c * c2 + tilt_s * s2),
                rx + dc * c0 + ds * s0,
                ry + dc * c1 + ds * s1,
                rz + dc * c2 + ds * s2,
            )
