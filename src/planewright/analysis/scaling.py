"""Scaling a full-size aeroplane: what a model of like Froude number would be, and what ours is.

Source: similitude of free-flying models at like Froude number in incompressible flow (C. H. Wolowicz, J. S. Bowman and
W. P. Gilbert, NASA TP-1435, 1979; factors of length ratio as commonly tabulated): the same gravity and the same air.
"""

from __future__ import annotations

from dataclasses import dataclass

POWERS = {
    "length": 1.0, "area": 2.0, "mass": 3.0, "speed": 0.5, "time": 0.5, "rate of turning": -0.5, "wing loading": 1.0,
    "cube loading": 0.0, "inertia": 5.0, "thrust": 3.0, "power": 3.5, "Reynolds number": 1.5,
}  # fmt: skip
"""Exponent of the length ratio by which each quantity scales at like Froude number."""


def froude_factor(quantity: str, ratio: float) -> float:
    """Factor of a quantity of :data:`POWERS` for a length ratio (model over full size, above 0).

    Raises: KeyError for an unknown quantity, ValueError for a ratio that is not above 0.
    """
    if not ratio > 0:
        raise ValueError("the length ratio must be above 0")
    return float(ratio ** POWERS[quantity])


@dataclass(frozen=True)
class Looks:
    """Speeds at which the model looks like the full size: ``froude`` m/s moves its own lengths as gravity has it,
    ``linear`` m/s passes as many of its own lengths in a second (usually cannot be flown)."""

    froude: float
    linear: float


def look_speeds(full_speed: float, ratio: float) -> Looks:
    """Both speeds, m/s, of a full-size speed (m/s) at a length ratio."""
    return Looks(full_speed * froude_factor("speed", ratio), full_speed * ratio)
