"""Compiled arithmetic of `turnback.physics.rotor`: one flight state at a time, elements in parallel.

Inputs are arrays of one element or of as many as the answer; they are trusted.
"""

from __future__ import annotations

import math
from typing import Any

from numba import prange
from numpy.typing import NDArray

from turnback.base.constants import GRAVITY_MPS2
from turnback.base.kernels import kernel, parallel_kernel

MOST_STEPS = 40
CLOSE = 1e-7  # Newton squares its miss: the answer is good to 1e-13
CLOSE_FORCE = 1e-11
CLOSE_TILT = 1e-6  # the next secant is good to 1e-9
PROFILE_GROWTH = 4.65  # Bennett 1940, as in Leishman, section 5.4
TIP_OVER_PROPELLER = 4.0 / math.pi**3  # T / (ρ A (Ω R)²) over T / (ρ n² D⁴)


@kernel
def _induced(hover: float, through: float, in_plane: float) -> float:
    """Return v_i of v_i sqrt(V_t² + (V_n + v_i)²) = v_h² by Newton's method from above, where the curve is convex."""
    if hover <= 0.0:
        return 0.0
    target = hover * hover
    found = hover if through >= 0.0 else hover - through
    low = 0.0
    for _ in range(MOST_STEPS):
        total = through + found
        speed = math.sqrt(in_plane * in_plane + total * total)
        miss = found * speed - target
        if miss < 0.0:
            low = found
        slope = speed + found * total / speed
        step = miss / slope if slope > 0.0 else 0.5 * (found - low)
        after = found - step
        if after <= low:
            after = 0.5 * (found + low)
        if abs(after - found) <= CLOSE * hover:
            return after
        found = after
    return found


@kernel
def _balance(
    tilt: float, force: float, lean: float, airspeed: float, climb: float, flow: float, share: float
) -> tuple[float, float, float, float, float]:
    """Return thrust, air through and along the discs, induced velocity, and the in-plane force left over.

    `force` and `lean` are the size of weight plus body drag and its angle from the vertical; `flow` is 2 ρ A.
    """
    thrust = max(force * math.cos(tilt - lean), 0.0)
    through = airspeed * math.sin(tilt) + climb * math.cos(tilt)
    in_plane = airspeed * math.cos(tilt) - climb * math.sin(tilt)
    gain = (1.0 - share) * abs(in_plane)
    induced = _induced(math.sqrt(thrust / flow), through, gain)
    swallowed = 0.5 * flow * max(through + induced, 0.0)
    return thrust, through, in_plane, induced, force * math.sin(tilt - lean) - share * swallowed * in_plane


@kernel
def _duct_tilt(force: float, lean: float, airspeed: float, climb: float, flow: float, share: float) -> float:
    """Return the tilt at which the in-plane force balances the duct's momentum drag: secants kept in a bracket."""
    low, high = lean, lean + 0.5 * math.pi
    before, miss_before = low, _balance(low, force, lean, airspeed, climb, flow, share)[4]
    if miss_before >= 0.0:
        return low
    tilt = lean + math.asin(min(-miss_before / force, 1.0))
    for _ in range(MOST_STEPS):
        miss = _balance(tilt, force, lean, airspeed, climb, flow, share)[4]
        if abs(miss) <= CLOSE_FORCE * force:
            return tilt
        if miss < 0.0:
            low = tilt
        else:
            high = tilt
        change = miss - miss_before
        after = tilt - miss * (tilt - before) / change if change != 0.0 else low
        if not low < after < high:
            after = 0.5 * (low + high)
        elif abs(after - tilt) <= CLOSE_TILT:
            return after
        before, miss_before, tilt = tilt, miss, after
    return tilt


@kernel
def _state(
    weight: float, airspeed: float, climb: float, density: float, area: float, drag_area: float, merit: float,
    coefficient: float, share: float, factor: float,
) -> tuple[float, float, float, float, float]:  # fmt: skip
    """Return shaft power, thrust, tilt, air through the discs and induced velocity, with no floor in descent."""
    drag_over_speed = 0.5 * density * drag_area * math.sqrt(airspeed * airspeed + climb * climb)
    ahead = drag_over_speed * airspeed
    above = weight + drag_over_speed * climb
    force = math.sqrt(ahead * ahead + above * above)
    lean = math.atan2(ahead, above)
    flow = 2.0 * density * area
    tilt = lean
    if share > 0.0 and airspeed > 0.0:
        tilt = _duct_tilt(force, lean, airspeed, climb, flow, share)
    thrust, through, in_plane, induced, _ = _balance(tilt, force, lean, airspeed, climb, flow, share)
    hover_w = thrust * math.sqrt(thrust / flow)
    spread = min(factor, 1.0 / merit)
    tip_square = thrust / (density * area * coefficient * TIP_OVER_PROPELLER)
    advance_square = in_plane * in_plane / tip_square if tip_square > 0.0 else 0.0
    profile = (1.0 / merit - spread) * hover_w * (1.0 + PROFILE_GROWTH * advance_square)
    return spread * thrust * induced + thrust * through + profile, thrust, tilt, through, induced


@parallel_kernel
def induced_kernel(hover: Any, through: Any, in_plane: Any, out: NDArray[Any]) -> None:
    """Fill ``out[0]`` with induced velocities."""
    h, n, t = hover.size > 1, through.size > 1, in_plane.size > 1
    for i in prange(out.shape[1]):
        out[0, i] = _induced(hover[i * h], through[i * n], in_plane[i * t])


@parallel_kernel
def flight_kernel(
    mass: Any, airspeed: Any, climb: Any, density: Any, area: Any, drag_area: Any, merit: Any, efficiency: Any,
    coefficient: Any, share: Any, factor: Any, floor: Any, out: NDArray[Any],
) -> None:  # fmt: skip
    """Fill the six rows of `out`: shaft, electrical, thrust, tilt, air through the discs, induced velocity."""
    s0, s1, s2, s3 = mass.size > 1, airspeed.size > 1, climb.size > 1, density.size > 1
    s4, s5, s6, s7 = area.size > 1, drag_area.size > 1, merit.size > 1, efficiency.size > 1
    s8, s9, s10, s11 = coefficient.size > 1, share.size > 1, factor.size > 1, floor.size > 1
    for i in prange(out.shape[1]):
        weight = mass[i * s0] * GRAVITY_MPS2
        v, up, rho, disc = airspeed[i * s1], climb[i * s2], density[i * s3], area[i * s4]
        body, fm, kappa = drag_area[i * s5], merit[i * s6], factor[i * s10]
        ct, duct = coefficient[i * s8], share[i * s9]
        shaft, thrust, tilt, through, induced = _state(weight, v, up, rho, disc, body, fm, ct, duct, kappa)
        if up < 0.0:
            level = _state(weight, v, 0.0, rho, disc, body, fm, ct, duct, kappa)[0]
            hover = weight * math.sqrt(weight / (2.0 * rho * disc)) / fm
            shaft = max(shaft, min(level, floor[i * s11] * hover))
        out[0, i] = shaft
        out[1, i] = shaft / efficiency[i * s7]
        out[2, i] = thrust
        out[3, i] = tilt
        out[4, i] = through
        out[5, i] = induced
