"""Plain names of the quantities of knowledge: the same on page and paper."""

from __future__ import annotations

from collections.abc import Mapping

NAMES: Mapping[str, str] = {
    "board.areal_mass": "weight of each square metre of {}", "board.D": "bending stiffness of {}",
    "board.S": "shear stiffness of {}", "board.wrinkle": "load at which the face of {} creases",
    "foam.shear": "shear strength of the foam in {}", "paper.shear": "shear strength of the faces of {}",
    "paper.stiffness": "stiffness of the faces of {}", "stick.density": "weight of {} sticks",
    "stick.modulus": "stiffness of {} sticks", "stick.compression": "strength of {} sticks when pressed",
    "stick.grade": "knots and grain of {} sticks", "tape.line_mass": "weight of each metre of {}",
    "build.glue_tape": "glue and tape that the drawing does not show", "build.growth": "weight that building adds",
    "cg.unmodelled": "what moves the balance and was not drawn", "scale.gain": "the kitchen scale",
    "inertia.roll": "weight far out along the wing", "inertia.pitch": "weight far ahead and aft",
    "inertia.yaw": "weight far from the middle", "joint.factor": "joints as built over joints as drawn",
    "tape.bond": "hold of the tape", "glue.line": "hold of the glue line of the spar",
    "skin.share": "part of the skin that carries", "work.strength": "strength as built over strength as drawn",
    "work.stiffness": "stiffness as built over stiffness as drawn", "sec.slope": "lift for each degree",
    "sec.alpha0": "angle without lift", "sec.clmax": "most lift of the section", "sec.cm0": "nose-down tendency",
    "drag.cd0": "drag of shape and surface", "drag.e": "drag of making lift", "np.shift": "place of the neutral point",
    "ctl.effect": "effect of the moving surfaces", "hinge.factor": "force that the servos feel",
    "gust.factor": "gusts over mean wind", "wind.day": "wind of the day", "wheel.mu": "drag of the wheels",
    "eng.make": "push of this make of engine", "eng.current": "current of this make of engine",
    "eng.lapse": "loss of push with speed", "eng.serial": "push of the engine {}",
    "pack.R": "inner resistance of the pack {}", "pack.Q": "charge of the pack {}", "article.skin": "skins of {}",
    "article.stick": "sticks of {}", "article.joint": "joints of {}",
    "rate.damping": "how much turning slows itself", "yaw.stiffness": "how hard the fin straightens the flight",
    "roll.sideslip": "how much sliding sideways rolls it",
}  # fmt: skip


def plain_name(id_: str) -> str:
    """The plain name of a quantity; its id in words where there is none."""
    base, _, owner = id_.partition("[")
    owner = owner.removesuffix("]")
    words = NAMES.get(base, base.replace(".", " ").replace("_", " "))
    if "{}" in words:
        return words.format(owner or "the stock")
    return f"{words} ({owner})" if owner and base not in NAMES else words
