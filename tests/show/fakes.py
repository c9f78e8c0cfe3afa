"""Made-up results to look at pages with. The numbers are plausible and mean nothing."""

from sim.hydrostatics.verdict import Turns
from sim.trials.cautions import Hazard, told
from sim.trials.records import TurningValue
from sim.trials.results import (
    Behaviour,
    BudgetResult,
    CastResult,
    DropMotion,
    DropResult,
    Ended,
    FloatResult,
    PartRow,
    RetrieveResult,
    RightingPoint,
    TrialResult,
    Verdict,
)


def part(name, mass, volume, back, up, left=0.0, source="computed", note="", kind="body"):
    return PartRow(
        name=name, kind=kind, mass_g=mass, displaced_ml=volume, back_mm=back, up_mm=up, left_mm=left,
        source=source, note=note,
    )  # fmt: skip


def budget(**changes):
    values = {
        "mass_g": 10.42,
        "displaced_ml": 12.27,
        "water_density_kg_m3": 998.6,
        "margin_g": 1.83,
        "margin_sd_g": 0.31,
        "verdict": Verdict.FLOATS,
        "chance_floats": 0.93,
        "gravity_back_mm": 34.12,
        "gravity_up_mm": -3.4,
        "gravity_left_mm": 0.0,
        "buoyancy_back_mm": 33.6,
        "buoyancy_up_mm": 0.2,
        "buoyancy_left_mm": 0.0,
        "inertia_g_cm2": [4.1, 30.2, 31.0],
        "parts": [
            part("body main", 4.12, 11.6, 33.9, 0.0, note="weighed 4.12 g, computed 3.95 g (4 % more)"),
            part("plate lip", 0.55, 0.46, 5.2, -14.8, kind="plate"),
            part("hook belly", 1.31, 0.17, 28.0, -11.0, source="measured", kind="hook"),
            part("hook tail", 1.31, 0.17, 70.0, 0.0, source="measured", kind="hook"),
            part("fitting nose_ring", 0.12, 0.02, 0.0, 0.0, source="measured", kind="fitting"),
            part("ballast keel", 2.6, 0.0, 31.0, -8.0, source="measured", kind="ballast"),
            part("paint", 0.6, 0.4, 34.0, 0.0, source="measured", kind="paint"),
        ],
        "turning_values": [TurningValue(path="body.main.density", value_si=540.0, dimension="density")],
        "warnings": ["ballast.keel: 2.6 g of lead is 7.6 mm across; the body is only 10 mm high there"],
    }
    return BudgetResult(**(values | changes))


def sinking_budget():
    return budget(
        mass_g=22.14, displaced_ml=19.6, margin_g=-2.57, verdict=Verdict.SINKS, chance_floats=0.0
    )  # fmt: skip


def righting(limit=112.0):
    return [
        RightingPoint(angle_deg=a, arm_mm=3 * (1 - abs(a) / limit) * abs(a) / 60)
        for a in range(-180, 181, 10)
    ]


def floating(**changes):
    values = {
        "verdict": Verdict.FLOATS,
        "pitch_deg": -4.2,
        "roll_deg": 0.0,
        "immersed_fraction": 0.85,
        "draught_mm": 19.3,
        "freeboard_mm": 4.1,
        "trim_gm_mm": 38.0,
        "heel_gm_mm": 2.9,
        "righting_heel": righting(),
        "righting_trim": righting(150.0),
        "turns": Turns.NOT,
        "other_rests": [],
        "origin_height_mm": -7.0,
        "up_in_body": [-0.0732, 0.0, 0.9973],
    }
    return FloatResult(**(values | changes))


def sunk():
    nothing = dict.fromkeys(
        [
            "pitch_deg", "roll_deg", "immersed_fraction", "draught_mm", "freeboard_mm", "trim_gm_mm",
            "heel_gm_mm", "turns", "origin_height_mm", "up_in_body",
        ]
    )  # fmt: skip
    return floating(verdict=Verdict.SINKS, righting_heel=[], righting_trim=[], **nothing)


def drop(**changes):
    values = {
        "sink_rate_m_s": -0.212,
        "sink_rate_cm_s": -21.2,
        "sink_rate_ft_s": -0.696,
        "seconds_per_m": -4.72,
        "seconds_per_ft": -1.44,
        "pitch_deg": -3.1,
        "roll_deg": 0.0,
        "glide_deg": 2.0,
        "swing_deg": 0.4,
        "turns_per_m": 0.0,
        "motion": DropMotion.STRAIGHT,
        "countdown": [],
        "ended": Ended.SURFACE,
        "evaluations": 2100,
        "sentence": "rises",
    }
    return DropResult(**(values | changes))


def sinking_drop(**changes):
    values = {
        "sink_rate_m_s": 0.31,
        "sink_rate_cm_s": 31.0,
        "sink_rate_ft_s": 1.017,
        "seconds_per_m": 3.23,
        "seconds_per_ft": 0.98,
        "pitch_deg": -12.0,
        "motion": DropMotion.FLUTTER,
        "swing_deg": 24.0,
        "ended": Ended.BOTTOM,
        "countdown": [(float(s), 0.31 * s) for s in range(1, 13)],
    }
    return drop(**(values | changes))


def cast(**changes):
    values = {
        "range_m": 31.4,
        "drift_m": 0.02,
        "flight_time_s": 2.61,
        "apex_m": 9.3,
        "tumbles": 3.2,
        "splash_pitch_deg": 160.0,
        "splash_speed_m_s": 14.2,
        "lands": "tail first",
        "ended": Ended.SPLASH,
        "evaluations": 4000,
        "sentence": "flies",
    }
    return CastResult(**(values | changes))


def run(tie_on="nose", speed=0.4, behaviour=Behaviour.WAKES, also=(), **changes):
    values = {
        "tie_on": tie_on,
        "speed_m_s": speed,
        "behaviour": behaviour,
        "also": list(also),
        "depth_m": 0.006,
        "pitch_deg": -6.3,
        "roll_deg": 0.1,
        "pitch_amplitude_deg": 1.2,
        "roll_amplitude_deg": 14.6,
        "yaw_amplitude_deg": 9.1,
        "wobble_hz": 4.25,
        "turns_per_m": 0.0,
        "offset_m": 0.0,
        "tension_n": 0.312,
        "tension_max_n": 0.61,
        "ended": Ended.STEADY,
        "evaluations": 21000,
        "sentence": "wakes",
    }
    return RetrieveResult(**(values | changes))


def retrieve():
    dives = {"depth_m": 0.62, "pitch_deg": -21.0, "tension_n": 1.42, "wobble_hz": 6.8}
    return [
        run(),
        run(speed=0.8, behaviour=Behaviour.DIVES, also=[Behaviour.WOBBLES], **dives),
        run(
            speed=1.2,
            behaviour=Behaviour.DIVES,
            also=[Behaviour.WOBBLES, Behaviour.ROCKS],
            **dives | {"depth_m": 0.81},
        ),
        run("lip_low", 0.4, Behaviour.WAKES),
        run("lip_low", 0.8, Behaviour.WAKES, [Behaviour.ROCKS], roll_amplitude_deg=32.0),
        run("lip_low", 1.2, Behaviour.SPINS, turns_per_m=2.1, wobble_hz=None, offset_m=-0.7, depth_m=0.2),
    ]


GIVEN_UP = {
    "behaviour": Behaviour.UNKNOWN,
    "depth_m": None,
    "pitch_deg": None,
    "roll_deg": None,
    "pitch_amplitude_deg": None,
    "roll_amplitude_deg": None,
    "yaw_amplitude_deg": None,
    "wobble_hz": None,
    "turns_per_m": None,
    "offset_m": None,
    "tension_n": None,
    "tension_max_n": None,
    "ended": Ended.GAVE_UP,
}

CAUTIONS = told(set(Hazard) - {Hazard.FOAM, Hazard.MELTED_LEAD, Hazard.TOOLS, Hazard.EDGES})


def trial(**changes):
    values = {
        "design": "Harbour runner",
        "version": "0.1.0",
        "budget": budget(),
        "floating": floating(),
        "drop": drop(),
        "cast": cast(),
        "retrieve": retrieve(),
        "cautions": CAUTIONS,
    }
    return TrialResult(**(values | changes))
