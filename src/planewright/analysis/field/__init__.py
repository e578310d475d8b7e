"""Field: does the planned flight fit the site, and what speaks against the planned day.

Plain numbers and plain geometry: findings and drawings are made of them elsewhere. Local rules, the owner of
the ground and the pilot decide; nothing here permits a flight.
"""

from planewright.analysis.field.day import DayLimit, Glare, day_limits, glare_at, glare_of_day, moment
from planewright.analysis.field.pattern import (
    Margin,
    PatternFit,
    fit_pattern,
    path,
    path_length,
    room,
    wanted_from,
)
from planewright.analysis.field.plan import FieldPlan, field_plan
from planewright.analysis.field.runway import (
    Cones,
    OverTrees,
    TakeOff,
    cones,
    over_trees,
    run_share,
    straight_ahead,
    take_off,
    to_outline,
)
from planewright.analysis.field.sun import Sun, sun_at
from planewright.analysis.field.wind import (
    Lee,
    along_and_across,
    drift,
    greatest_across,
    greatest_total,
    lee_of_trees,
    towards,
    velocity,
)

__all__ = [
    "Cones",
    "DayLimit",
    "FieldPlan",
    "Glare",
    "Lee",
    "Margin",
    "OverTrees",
    "PatternFit",
    "Sun",
    "TakeOff",
    "along_and_across",
    "cones",
    "day_limits",
    "drift",
    "field_plan",
    "fit_pattern",
    "glare_at",
    "glare_of_day",
    "greatest_across",
    "greatest_total",
    "lee_of_trees",
    "moment",
    "over_trees",
    "path",
    "path_length",
    "room",
    "run_share",
    "straight_ahead",
    "sun_at",
    "take_off",
    "to_outline",
    "towards",
    "velocity",
    "wanted_from",
]
