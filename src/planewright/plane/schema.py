"""The description language as data: every table, every key, what it says and how it is read.

The reader walks these tables, the fault finder takes its advice from them, and the reference page is
generated from them, so that the three cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from planewright.units import Dimension

Kind = Literal[
    "text", "count", "number", "choice", "name", "quantity", "ends", "pair", "travel", "apart", "share",
    "mass of stock", "section", "claim", "fractions", "table", "list", "named", "file",
    "steering",
]  # fmt: skip
Sign = Literal["any", "positive", "not negative"]


@dataclass(frozen=True)
class Key:
    """One key of a table.

    Arguments:
        name: as written in the file.
        kind: how its value is read.
        says: what it says, for the reference.
        dimension: of a quantity or of both figures of a pair.
        noun: the word for it in advice ("chord").
        required: the table is incomplete without it.
        default: what silence means, as it would be written; None when silence means nothing is there.
        sign: which values are refused; most is the largest value that is taken (SI).
        choices: the words a choice takes.
        table: the table a nested value holds.
        into: the field of the model it fills; the name itself when empty.
        names: what a "name" points to ("stock", "servo", "part").
        sample: a value as it might be written, for advice.
    """

    name: str
    kind: Kind
    says: str
    dimension: Dimension | None = None
    noun: str = ""
    required: bool = False
    default: str | None = None
    sign: Sign = "any"
    most: float | None = None
    choices: tuple[str, ...] = ()
    table: Table | None = None
    into: str = ""
    names: str = ""
    sample: str = ""

    @property
    def silent(self) -> str:
        """What silence means where the reader decides it from other keys; for the reference."""
        return SILENT.get(self.name, "") if self.default is None and not self.required else ""

    @property
    def word(self) -> str:
        """The word for the key in advice."""
        return self.noun or NOUNS.get(self.name, self.name.replace("_", " "))


NOUNS: dict[str, str] = {
    "x": "place along x", "y": "place along y", "z": "place along z", "out": "distance out", "back": "set-back",
    "up": "rise", "from": "beginning", "to": "end",
    "at": "place along the chord", "apart": "distance from pin to latch",
    "wheel": "wheel diameter", "inside": "duct diameter", "hub": "hub diameter", "mouth": "mouth diameter",
    "nozzle": "nozzle diameter", "bank": "bank angle", "limit": "current limit", "placard": "placard speed",
    "at_voltage": "servo voltage", "corner": "corner radius", "sheet": "sheet size", "ribs": "rib pitch",
    "formers": "former pitch", "slide": "place on the slide",
}  # fmt: skip
"""The words for keys in advice, where the key alone would not read as English."""
SAMPLES: dict[str, str] = {
    "x": "430 mm", "y": "370 mm", "z": "118 mm", "out": "620 mm", "back": "50 mm", "up": "36 mm", "twist": "-2 deg",
    "span": "2.6 m", "height": "400 mm", "width": "48 mm", "length": "1 m", "thickness": "4.8 mm", "at": "30 %",
    "to": "1.15 m", "from": "700 mm", "reach": "160 mm", "apart": "36 mm", "wheel": "110 mm", "inside": "80 mm",
    "hub": "36 mm", "mouth": "100 mm", "nozzle": "66 mm", "corner": "20 mm", "bank": "20 deg", "placard": "20 m/s",
    "static_margin": "12 %", "mass_limit": "5.2 kg", "spread": "3 g", "camber": "3 %", "idle": "0.7 A",
    "dihedral": "3 deg", "ribs": "180 mm apart", "formers": "150 mm apart", "cells": "4", "sides": "12", "count": "16",
}  # fmt: skip
"""Values as they might be written, by key, for advice and the reference. Invented."""
SILENT: dict[str, str] = {
    "way": "`folded` (wing), `sheet` (tailplane, fin)", "skin": "the only foam board", "rib": "the skin",
    "ribs": "`180 mm apart`", "edge": "the only stick, if there is one", "corners": "the only stick, if there is one",
    "caps": "the only stick", "web": "the skin", "former": "the skin", "to": "the tip",
    "section": "flat on a sheet, else needed", "serial": "`left-1` and so on", "kink": "`25 %`", "camber": "`3 %`",
    "allowance": "`12 % of board`",
}  # fmt: skip


@dataclass(frozen=True)
class Table:
    """One kind of table: its ``title`` in the reference, what it ``says``, and its keys."""

    title: str
    says: str
    keys: tuple[Key, ...]
    by_name: dict[str, Key] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {key.name: key for key in self.keys})


def _length(name: str, says: str, **more: object) -> Key:
    return Key(name, "quantity", says, "length", **more)  # type: ignore[arg-type]


def _size(name: str, says: str, **more: object) -> Key:
    return _length(name, says, sign="positive", **more)


def _mass(name: str, says: str, **more: object) -> Key:
    return Key(name, "quantity", says, "mass", sign="positive", **more)  # type: ignore[arg-type]


def _stock(name: str, says: str, sample: str = "board") -> Key:
    return Key(name, "name", says, names="stock", sample=sample)


SHEETS = ("foam board", "cardboard", "plywood")
STICKS = ("pine stick",)
TAPES = ("packing tape",)
GLUES = ("hot melt", "polyurethane", "white glue")
SECTIONS = ("Clark Y", "E387")
"""Published sections whose coordinates ship with the tool."""

FIRST_FLIGHT = Table(
    "first_flight",
    "the plan for the first flight",
    (
        Key("time", "quantity", "in the air", "time", sign="positive"),
        Key("bank", "quantity", "in the turns", "angle", sign="positive", most=1.4),
        Key("speed", "quantity", "on the straights", "speed", sign="positive"),
    ),
)
LIMITS = Table(
    "[limits]",
    "what the builder asks of the aeroplane",
    (
        Key("load", "number", "limit load factor", default="3", sign="positive", most=20.0),
        Key("placard", "quantity", "speed not to be passed", "speed", sign="positive"),
        Key("static_margin", "quantity", "own wish, part of the mean chord", "fraction", most=1.0),
    ),
)
STIFF_WAYS = ("long", "short", "none")
DAMAGE = Table(
    "damaged (in a pile)",
    "a spoilt corner, the sheet lying with its longer side across",
    (
        Key(
            "at",
            "choice",
            "which corner",
            noun="corner",
            required=True,
            choices=("lower left", "lower right", "upper left", "upper right"),
        ),
        Key(
            "size",
            "pair",
            "how much of it: across, up",
            "length",
            sign="positive",
            required=True,
            noun="size",
            sample="40 x 30 mm",
        ),
    ),
)
PILE = Table(
    "pile (in [stock])",
    "sheets that differ from the others: off-cuts, damaged ones, a heavy or light batch",
    (
        Key(
            "sheet",
            "pair",
            "both sides, if not those of the stock",
            "length",
            sign="positive",
            sample="300 x 200 mm",
        ),
        Key("count", "count", "how many of them", default="1"),
        _mass("mass", "of one of them"),
        Key("stiff", "choice", "the side along which it is stiff", choices=STIFF_WAYS),
        Key("damaged", "list", "spoilt corners", table=DAMAGE),
    ),
)
STOCK = Table(
    "[stock] NAME",
    "a sheet, stick, tape or glue as bought and weighed",
    (
        Key("kind", "choice", "what it is", choices=SHEETS + STICKS + TAPES + GLUES, required=True),
        Key("sheet", "pair", "the two sides of a sheet", "length", sign="positive", sample="20 x 30 in"),
        Key(
            "size",
            "pair",
            "the two sides of a stick's cross-section",
            "length",
            sign="positive",
            into="section",
            sample="5 x 10 mm",
        ),
        _size("thickness", "of a sheet"),
        _size("length", "of a stick"),
        _size("width", "of a tape"),
        Key("mass", "mass of stock", "of one sheet or stick; of a tape per length"),
        Key(
            "spread", "quantity", "standard deviation of the mass between pieces", "mass", sign="not negative"
        ),
        Key("count", "count", "how many are there"),
        Key(
            "allowance", "share", "of a glue: its mass as a part of the board it joins", "fraction", most=1.0
        ),
        Key("stiff", "choice", "the side of a sheet along which it bends least", choices=STIFF_WAYS),
        Key("pile", "list", "sheets that differ, besides those counted", table=PILE),
    ),
)  # fmt: skip
STATION = Table(
    "stations (wing, tailplane, fin)",
    "one station of a surface; what it leaves out it inherits from the station inboard",
    (
        _length(
            "out",
            "from the centreline, seen from above; of a fin, above its foot",
            required=True,
            sign="not negative",
        ),
        _size("chord", "chord"),
        _length("back", "leading edge behind that of the first station"),
        _length("up", "rise of the leading edge"),
        Key("twist", "quantity", "nose up positive, added to the incidence", "angle"),
        Key("section", "section", "section from here outward"),
    ),
)
BUILD = Table(
    "build (wing, tailplane, fin)",
    "how a surface is made",
    (
        Key("way", "choice", "folded round the nose, on ribs, a flat sheet, or a sheet scored at a kink",
            choices=("folded", "ribs", "sheet", "kinked")),
        _stock("skin", "sheet of the skin"),
        _stock("rib", "sheet of the ribs"),
        Key("ribs", "apart", "distance between ribs", "length", sign="positive", into="rib_pitch"),
        _stock("edge", "stick along the edges of a sheet", "strip"),
        Key("kink", "quantity", "where a kinked sheet is scored, part of the chord", "fraction",
            sign="positive", most=1.0),
        Key("camber", "quantity", "how high a kinked sheet is raised, part of the chord", "fraction",
            sign="not negative", most=1.0),
        Key("folds", "fractions", "fold lines of a folded wing, parts of the chord", "fraction",
            sign="not negative", most=1.0),
    ),
)  # fmt: skip
SPAR = Table(
    "spar",
    "a spar (or a list of them)",
    (
        Key("at", "quantity", "part of the chord", "fraction", required=True, sign="positive", most=1.0),
        _stock("caps", "stick of the two caps", "strip"),
        _stock("web", "sheet of the web"),
        _size("to", "where it ends, out from the centreline"),
    ),
)
JOINT = Table(
    "joint NAME",
    "where a wing comes apart, or folds",
    (
        _size("out", "from the centreline", required=True),
        _stock("joiner", "stock of the joiner of a plug-in joint", "ply"),
        _size("reach", "length of the joiner"),
        Key("hinge", "text", "where the hinge of a folding joint lies", sample="top"),
        Key("pin", "text", "hinge pin", sample="4 mm steel"),
        Key("latch", "text", "latch", sample="bottom, turn button"),
        _size("apart", "distance from pin to latch"),
        _mass("mass", "of the fittings"),
    ),
)
SURFACE = Table(
    "[wing], [tailplane], [fin], [surface.NAME]",
    "a lifting surface, written once from the centreline outward",
    (
        Key("kind", "choice", "of a [surface.NAME]: what it does", choices=("wing", "tailplane", "fin")),
        _length("x", "leading edge of the first station, behind the nose tip", required=True),
        _length("z", "the same, above the body line", default="0"),
        _length("y", "out from the centreline: a twin fin, one each side"),
        Key("side", "choice", "makes a part with a y single", choices=("left", "right")),
        Key("incidence", "quantity", "of the first station, nose up", "angle", default="0"),
        Key("section", "section", "section"),
        Key("stations", "list", "from the centreline outward", table=STATION),
        _size("span", "short form: whole span"),
        _size("height", "short form of a fin"),
        Key("chord", "ends", "short form: one chord, or centreline to tip", "length", sign="positive"),
        Key("sweep", "quantity", "short form: sweep of the leading edge", "angle"),
        Key("dihedral", "quantity", "short form", "angle"),
        Key("twist", "quantity", "short form: of the tip, nose up", "angle"),
        Key("build", "table", "how it is made", table=BUILD),
        Key(
            "article", "text", "mark of the built one: another after a repair or a new wing", sample="wing-1b"
        ),
        Key("spar", "list", "one spar or a list", table=SPAR),
        Key("joint", "named", "joints by name", table=JOINT),
    ),
)
BODY_STATION = Table(
    "stations ([body], [nacelle], [pod.NAME])",
    "one cross-section of a body; what it leaves out it inherits from the one in front",
    (
        _length("x", "behind the nose tip", required=True),
        _size("width", "width"),
        _size("height", "height"),
        _length("z", "of the middle, above the body line"),
    ),
)
BODY_BUILD = Table(
    "build ([body], [nacelle], [pod.NAME])",
    "how a body is made",
    (
        Key("way", "choice", "flat sides, or facets on formers", choices=("box", "shell"), default="box"),
        _stock("skin", "sheet of the skin"),
        _stock("corners", "stick along the corners", "strip"),
        _stock("former", "sheet of the formers"),
        Key("formers", "apart", "distance between formers", "length", sign="positive", into="former_pitch",
            default="150 mm apart"),
        _stock("floor", "sheet of a floor", "ply"),
        _length("corner", "radius of the corners of a box", into="corner_radius", sign="not negative"),
        Key("sides", "count", "facets of a shell"),
    ),
)  # fmt: skip
BODY = Table(
    "[body], [nacelle], [pod.NAME]",
    "a fuselage, or what hangs beside it",
    (
        _length("y", "out from the centreline: one each side"),
        Key("side", "choice", "makes a part with a y single", choices=("left", "right")),
        Key("stations", "list", "from the front aft", table=BODY_STATION),
        _size("length", "short form"),
        Key("width", "ends", "short form: front to back", "length", sign="positive"),
        Key("height", "ends", "short form: front to back", "length", sign="positive"),
        _length("x", "short form: of the front"),
        _length("z", "short form: of the middle"),
        Key("build", "table", "how it is made", table=BODY_BUILD),
    ),
)
CONTROL = Table(
    "[control] NAME",
    "a moving surface; its name is its kind unless a kind is given",
    (
        Key("kind", "choice", "what it does", choices=("aileron", "elevator", "rudder", "flap")),
        Key("on", "name", "the part it is on", names="part", required=True, sample="wing"),
        _length("from", "inner end, out along its part", default="0", sign="not negative", into="start"),
        _size("to", "outer end", into="end"),
        Key("chord", "quantity", "part of the local chord", "fraction", required=True, sign="positive", most=1.0,
            noun="control chord"),
        Key("travel", "travel", "greatest movement up and down (of a rudder left and right)", "angle",
            required=True),
        Key("hinge", "text", "hinge", default="tape"),
        Key("servo", "name", "its servo; if left out, the only one", names="servo", sample="standard"),
        Key("count", "count", "servos in all, both sides together"),
    ),
)  # fmt: skip
SERVO = Table(
    "[servo] NAME",
    "a servo that controls and wheels name",
    (
        _mass("mass", "of one", required=True),
        Key("torque", "quantity", "at that voltage", "torque", required=True, sign="positive"),
        Key("at_voltage", "quantity", "voltage of the torque", "voltage", default="5 V", sign="positive",
            into="voltage"),
        _length("x", "where it sits, if not in its surface"),
        _length("z", "where it sits, if not in its surface"),
    ),
)  # fmt: skip
WHEEL = Table(
    "[gear] nose, main, tail",
    "a leg of the undercarriage",
    (
        _length("x", "behind the nose tip", required=True),
        _length("y", "out from the centreline: one each side", default="0", sign="not negative"),
        _length("z", "where the tyre meets the ground", required=True),
        _size("wheel", "diameter", required=True, into="diameter"),
        _mass("mass", "of one leg with its wheel", required=True),
        Key("leg", "text", "what the leg is", sample="4 mm wire"),
        Key("steers", "steering", "how it steers: with what, or how far each way", sample="with rudder"),
        Key("servo", "name", "its own servo", names="servo", sample="standard"),
    ),
)
MOTOR = Table(
    "motor",
    "an electric motor",
    (
        _mass("mass", "of the motor", required=True),
        Key("speed", "quantity", "turns per minute and volt, unloaded", "speed constant", required=True,
            sign="positive", noun="motor speed", into="speed_constant"),
        Key("resistance", "quantity", "of the winding", "resistance", required=True, sign="positive"),
        Key("idle", "quantity", "current without load", "current", required=True, sign="not negative",
            noun="idle current"),
        Key("serial", "text", "mark of this one", sample="L1"),
    ),
)  # fmt: skip
CONTROLLER = Table(
    "controller",
    "a motor controller",
    (
        _mass("mass", "of the controller", required=True),
        Key("limit", "quantity", "current it carries", "current", sign="positive"),
        _length("x", "where it sits, if not with its engine"),
    ),
)
PROPELLER = Table(
    "propeller",
    "a propeller",
    (
        Key("size", "pair", "diameter x pitch", "length", required=True, sign="positive", sample="12 x 6 in"),
        Key("blades", "count", "number of blades", default="2"),
        Key("mass", "quantity", "of the propeller", "mass", default="0", sign="not negative"),
        Key("turns", "text", "which way", sample="outward at the top"),
        _size("width", "of a blade at three quarters of the radius"),
        Key("serial", "text", "mark of this one", sample="L1"),
        Key("claim", "claim", "the seller's figure"),
    ),
)
FAN = Table(
    "fan",
    "a ducted fan with its motor",
    (
        _size("inside", "diameter of the duct at the blades", required=True),
        _size("hub", "diameter of the hub", required=True),
        _size("mouth", "diameter of the inlet", required=True),
        _size("nozzle", "diameter of the outlet", required=True),
        Key("blades", "count", "number of blades", required=True),
        _mass("mass", "with its motor", required=True),
        Key("serial", "text", "mark of this one", sample="L1"),
        Key("claim", "claim", "the seller's figure"),
    ),
)


def _engine_keys(required: bool) -> tuple[Key, ...]:
    return (
        Key("kind", "choice", "what drives it", choices=("propeller", "fan")),
        _length("x", "of the engine's middle", required=required),
        _length("y", "out from the centreline: one each side"),
        _length("z", "above the body line", default="0" if required else None),
        Key("side", "choice", "makes an engine with a y single", choices=("left", "right")),
        Key("serial", "text", "mark of this one", sample="L1"),
        Key("motor", "table", "its motor", table=MOTOR),
        Key("controller", "table", "its controller", table=CONTROLLER),
        Key("propeller", "table", "its propeller", table=PROPELLER),
        Key("fan", "table", "its fan", table=FAN),
        Key(
            "table",
            "file",
            "a measured table of one's own: advance_ratio, thrust_coefficient, power_coefficient",
        ),
        Key("claim", "claim", "the seller's figure, kept apart until a thrust trial replaces it"),
    )


ENGINE_SIDE = Table("[engine.left], [engine.right]", "what differs on one side", _engine_keys(False))
ENGINE = Table(
    "[engine]",
    "one engine, or with a y one each side",
    (
        *_engine_keys(True),
        Key("left", "table", "what differs on the left", table=ENGINE_SIDE),
        Key("right", "table", "what differs on the right", table=ENGINE_SIDE),
    ),
)
BATTERY = Table(
    "[battery]",
    "the flight pack",
    (
        Key("cells", "count", "in series", required=True),
        Key("charge", "quantity", "of one pack", "charge", required=True, sign="positive"),
        _mass("mass", "of one pack", required=True),
        Key("resistance", "quantity", "of one pack", "resistance", sign="positive"),
        _length("x", "of its middle", required=True),
        _length("z", "of its middle", default="0"),
        Key("count", "count", "packs in parallel", default="1"),
        Key("slide", "ends", "range of x the tray allows", "length"),
        Key("serial", "text", "mark of this one", sample="L1"),
    ),
)
EQUIPMENT = Table(
    "[equipment] NAME",
    "anything else with a mass and a place",
    (
        _mass("mass", "of one", required=True),
        _length("x", "behind the nose tip", required=True),
        _length("y", "out from the centreline: one each side"),
        _length("z", "above the body line", default="0"),
        Key("side", "choice", "makes a part with a y single", choices=("left", "right")),
    ),
)
GEAR = Table(
    "[gear]",
    "the undercarriage",
    tuple(Key(name, "table", f"{name} wheel", table=WHEEL) for name in ("nose", "main", "tail")),
)
TOP = Table(
    "(top)",
    "the aeroplane",
    (
        Key("name", "text", "its name", default="Unnamed", sample="Plover"),
        Key("configuration", "text", "a letter, raised by hand at each change", default="A", sample="B"),
        _mass("mass_limit", "the most it may weigh"),
        Key("first_flight", "table", "time, bank and speed of the first flight", table=FIRST_FLIGHT),
        Key("show", "choice", "units shown", choices=("metric", "imperial"), default="metric"),
        Key("limits", "table", "load, placard, static margin", table=LIMITS),
        Key("stock", "named", "sheets, sticks, tapes, glues", table=STOCK),
        Key("wing", "table", "the wing", table=SURFACE),
        Key("tailplane", "table", "the tailplane", table=SURFACE),
        Key("fin", "table", "the fin", table=SURFACE),
        Key("surface", "named", "further surfaces, each with its kind", table=SURFACE),
        Key("body", "table", "the fuselage", table=BODY),
        Key("nacelle", "table", "a body beside it", table=BODY),
        Key("pod", "named", "further bodies", table=BODY),
        Key("control", "named", "moving surfaces", table=CONTROL),
        Key("servo", "named", "servos", table=SERVO),
        Key("gear", "table", "undercarriage", table=GEAR),
        Key("engine", "table", "engines", table=ENGINE),
        Key("battery", "table", "the flight pack", table=BATTERY),
        Key("equipment", "named", "all else", table=EQUIPMENT),
    ),
)

WORKED_OUT: dict[str, str] = {
    "area": "from the stations",
    "wing_area": "from the stations of the wing",
    "cg": "from the parts, their masses and places",
    "cg_x": "from the parts, their masses and places",
    "centre_of_gravity": "from the parts, their masses and places",
    "balance": "from the parts, their masses and places",
    "wing_loading": "from the mass and the wing",
    "aspect_ratio": "from the stations",
    "mean_chord": "from the stations",
    "mean_aerodynamic_chord": "from the stations",
    "taper": "from the stations",
    "taper_ratio": "from the stations",
    "tail_volume": "from the wing and the tail",
    "areal_mass": "from the size and mass of one sheet in [stock]",
    "density": "from the size and mass of one stick in [stock]",
    "total_mass": "from the parts and their weighings",
    "weight": "from the parts and their weighings",
    "inertia": "from the parts, their masses and places",
    "thrust": "from the engine and its trials",
    "thrust_to_weight": "from the engine and the mass",
    "stall_speed": "from the wing and the mass",
    "lift": "from the wing, the speed and the air",
    "drag": "from the shape, the speed and the air",
    "neutral_point": "from the surfaces",
    "volume": "from the stations",
    "sheets": "from the parts and the size of a sheet",
    "half_span": "from the stations",
    "endurance": "from the pack and the current",
    "range": "from the pack and the current",
}
"""Results that are never written, and where each comes from."""
