"""What textbook mechanics expects of a rolling ball and of a softer cover.

A labelled yardstick beside a figure, never a verdict: real balls have weight blocks, real lanes
have oil that varies.  SI units throughout (metres, seconds, newtons, radians unless the name
says degrees), speeds of the surface Rω in metres per second.

Sliding to rolling: Hopkins & Patterson 1977, Am. J. Phys. 45:263; Frohlich 2004, Am. J. Phys.
72:1170.  Contact: Johnson 1985, Contact Mechanics, ch. 4; modulus from hardness: Gent 1958 and
Qi, Joyce & Boyce 2003, Rubber Chem. Technol. 76:419.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Standard gravity, m/s² (CGPM 1901).
GRAVITY = 9.80665
#: Moment of inertia over m·R² of a solid uniform sphere.
SOLID_SPHERE = 0.4
#: Shore D readings the hardness formula was made for (Qi et al. 2003).
SHORE_D_RANGE = (30.0, 85.0)


@dataclass(frozen=True)
class RollOut:
    """A ball from release to pure rolling, under constant friction."""

    time: float
    """Seconds until it rolls; 0 if it rolls from the start."""
    forward: float
    """Metres down the launch line where rolling starts."""
    side: float
    """Metres to the side there, towards the side spin."""
    speed: float
    """Metres per second once rolling."""
    angle: float
    """Degrees from the launch line once rolling."""


def roll_out(
    speed: float,
    friction: float,
    forward_spin: float = 0.0,
    side_spin: float = 0.0,
    inertia: float = SOLID_SPHERE,
    gravity: float = GRAVITY,
) -> RollOut:
    """Where and how a sliding ball starts to roll.

    ``speed`` v of the centre along the launch line and ``forward_spin``, ``side_spin`` surface
    speeds Rω_f, Rω_s, all m/s; ``friction`` μ > 0 constant; ``inertia`` k = I/(mR²).  The slip
    u = (v − Rω_f, −Rω_s) keeps its direction, so the path is a parabola; rolling starts after
    |u|k/((1+k)μg).  The angle then, tanθ = kRω_s/(v + kRω_f), knows no friction: friction decides
    where the turn happens, not where it ends.  ValueError unless μ, k and g are positive.
    """
    if friction <= 0 or inertia <= 0 or gravity <= 0:
        raise ValueError("friction, inertia and gravity are positive")
    slip = math.hypot(speed - forward_spin, side_spin)
    time = slip * inertia / ((1 + inertia) * friction * gravity)
    forward, side = _position(speed, friction, forward_spin, side_spin, gravity, time)
    end_forward = (speed + inertia * forward_spin) / (1 + inertia)
    end_side = inertia * side_spin / (1 + inertia)
    return RollOut(
        time,
        forward,
        side,
        math.hypot(end_forward, end_side),
        math.degrees(math.atan2(end_side, end_forward)),
    )


def rolling_distance(
    speed: float, friction: float, inertia: float = SOLID_SPHERE, gravity: float = GRAVITY
) -> float:
    """Metres until a ball thrown without spin rolls: 12v²/(49μg) for a solid sphere."""
    return roll_out(speed, friction, inertia=inertia, gravity=gravity).forward


def _position(
    speed: float, friction: float, forward_spin: float, side_spin: float, gravity: float, t: float
) -> tuple[float, float]:
    """Metres forward and to the side while sliding, ``t`` seconds after release."""
    slip = math.hypot(speed - forward_spin, side_spin)
    if slip == 0:
        return speed * t, 0.0
    pull = friction * gravity * t * t / (2 * slip)
    return speed * t - pull * (speed - forward_spin), pull * side_spin


def modulus(shore_d: float) -> float | None:
    """Young's modulus in MPa from Shore D: log₁₀E = 0.0235·(D + 50) − 0.6403 (Qi et al. 2003).

    For ratios between covers only.  None outside 30–85 Shore D, where the formula was not made.
    """
    low, high = SHORE_D_RANGE
    if not low <= shore_d <= high:
        return None
    return float(10 ** (0.0235 * (shore_d + 50) - 0.6403))


def contact_radius_ratio(shore_d: float, against: float) -> float | None:
    """Contact radius at ``shore_d`` over that at ``against`` (Shore D): (E₂/E₁)^⅓.

    For one ball and load on a lane far stiffer than the cover; a lane that gives, too, makes
    the ratio smaller.
    """
    here, there = modulus(shore_d), modulus(against)
    return None if here is None or there is None else (there / here) ** (1 / 3)


def contact_area_ratio(shore_d: float, against: float) -> float | None:
    """Contact area at ``shore_d`` over that at ``against`` (Shore D): the radius ratio squared."""
    ratio = contact_radius_ratio(shore_d, against)
    return None if ratio is None else ratio**2
