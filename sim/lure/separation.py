"""Where a laminar boundary layer leaves a body that moves end on."""

from __future__ import annotations

import math

import numpy as np

from sim.lure.profile import Profile, section_shape


def separation(profile: Profile, even: float = 0.0, tail_first: bool = False) -> float:
    """Distance (m) from the leading end at which a laminar boundary layer leaves the body, end on to the flow.

    Thwaites's method in the form for bodies of revolution, theta^2 = 0.45 nu / (r^2 u^6) * integral of r^2 u^5,
    leaving where theta^2 u' / nu < -0.09, behind the largest section; r is the radius of a circle of the
    section's area and u goes with the cosine of the outline's slope, which is exact for a spheroid. Sections are
    averaged over the share `even` of the length. Source: Thwaites 1949, Aeronaut. Quart. 1, 245-280; Rott &
    Crabtree 1952, J. Aeronaut. Sci. 19, 553-565 (both from memory). A sphere is left at 104 degrees, where 80 to
    83 are measured; the Reynolds number does not matter up to transition, about 5e5 on the length.
    """
    fine = profile.even(400)
    fine[-1] = profile.end
    cut = profile.at(fine)
    radius = np.sqrt(section_shape(cut.n).area * cut.b * cut.c / math.pi)
    if even > 0.0:
        half = 0.5 * even * profile.length
        run = np.concatenate([[0.0], np.cumsum(0.5 * (radius[1:] + radius[:-1]) * np.diff(fine))])
        ahead, behind = np.minimum(fine + half, fine[-1]), np.maximum(fine - half, fine[0])
        radius = (np.interp(ahead, fine, run) - np.interp(behind, fine, run)) / (ahead - behind)
    run = fine - profile.start
    if tail_first:
        radius, run = radius[::-1], (profile.end - fine)[::-1]
    steps = np.hypot(np.diff(run), np.diff(radius))
    speed = np.diff(run) / steps  # between the points
    middle = 0.5 * (radius[1:] + radius[:-1])
    grown = np.cumsum(middle**2 * speed**5 * steps)[:-1]
    apart = 0.5 * (steps[1:] + steps[:-1])
    level = 0.5 * (speed[1:] + speed[:-1])
    held = 0.45 * grown / np.maximum(radius[1:-1] ** 2 * level**6, 1e-300) * np.diff(speed) / apart
    gone = np.flatnonzero((held < -0.09) & (np.arange(1, len(run) - 1) >= int(radius.argmax())))
    return float(run[gone[0] + 1]) if len(gone) else profile.length
