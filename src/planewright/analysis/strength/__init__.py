"""Strength of the wing: sections, loads, modes, joints, and the bend test of a smaller wing."""

from planewright.analysis.strength.aeroelastic import HONEST
from planewright.analysis.strength.bend import BendPrediction, Hung, bend_prediction, hung, specimen_plane
from planewright.analysis.strength.cases import gust_factor
from planewright.analysis.strength.half import HalfWing, half_wing
from planewright.analysis.strength.joints import Joiner, JointNeed
from planewright.analysis.strength.loads import elliptic_span_load
from planewright.analysis.strength.materials import known_materials
from planewright.analysis.strength.model import (
    JOINT_FACTOR,
    ULTIMATE,
    Governing,
    StrengthModel,
    governing,
    strength_model,
    tip_lift_moments,
)
from planewright.analysis.strength.modes import (
    FACE,
    GLUE,
    MODES,
    NOT_COVERED,
    PANEL,
    SPAR_END,
    STICK,
    STICK_BUCKLING,
    WEB,
    WEB_BUCKLING,
    Reached,
    modes_of,
)
from planewright.analysis.strength.stiffness import Stiffness, stiffness, torsion_factor

__all__ = [
    "FACE",
    "GLUE",
    "HONEST",
    "JOINT_FACTOR",
    "MODES",
    "NOT_COVERED",
    "PANEL",
    "SPAR_END",
    "STICK",
    "STICK_BUCKLING",
    "ULTIMATE",
    "WEB",
    "WEB_BUCKLING",
    "BendPrediction",
    "Governing",
    "HalfWing",
    "Hung",
    "Joiner",
    "JointNeed",
    "Reached",
    "Stiffness",
    "StrengthModel",
    "bend_prediction",
    "elliptic_span_load",
    "governing",
    "gust_factor",
    "half_wing",
    "hung",
    "known_materials",
    "modes_of",
    "specimen_plane",
    "stiffness",
    "strength_model",
    "tip_lift_moments",
    "torsion_factor",
]
