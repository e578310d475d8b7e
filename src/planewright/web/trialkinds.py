"""The kinds of trial that can be planned from the page: what each asks, which columns it reads, its cautions.

Cautions are common practice, no source; local rules and those who are responsible for the place decide.
"""

from __future__ import annotations

from collections.abc import Iterable

from planewright.plane.model import Plane
from planewright.plane.parts import WHOLE, nameable
from planewright.web.api import TrialKind

Asks = tuple[tuple[str, str, str], ...]
EYES = "Eye protection for everybody; nobody below or beside what is loaded."
BLADES = (
    "Nobody beside or in front of the blades; eye protection; an adult holds the throttle and can cut it."
)
ROAD = (
    "Private ground only, an adult drives, a second adult watches; stop when anything moves that should not."
)
PACKS = "Charge and store packs as their maker says, on a surface that cannot burn, never alone."

KINDS: tuple[tuple[str, str, str, tuple[str, ...], Asks, tuple[str, ...]], ...] = (
    (
        "bend", "load a smaller wing until it breaks", "wing",
        ("step", "load_each_side_g", "tip_left_mm", "tip_right_mm", "minute", "note"),
        (
            ("specimen.scale", "its size over that of the aeroplane", "0.5"),
            ("rig.held", "how it is held", "saddle 90 mm wide in the middle, wing upside down"),
            ("rig.load", "how it is loaded", "sand in six pockets each side, elliptical"),
            ("said_before.fails_at", "at which load do we think it breaks", "2.2 kg to 3.9 kg each side"),
            ("ids.article", "mark on this wing", "wing-half-1"),
            ("done_by.loads", "who loads", "two adults"), ("done_by.reads", "who reads", "one teacher"),
        ),
        (EYES, "Load in small steps, hands out from under before each reading."),
    ),
    (
        "vehicle", "drive a wing down a track and log its lift", "wing",
        ("run", "heading", "angle_deg", "speed_kmh", "pitot_Pa", "front_N", "rear_N", "front_zero_N",
         "rear_zero_N", "note"),
        (
            ("specimen.scale", "its size over that of the aeroplane", "0.5"),
            ("rig.on", "what it stands on", "roof bars of a van 1.8 m wide, wing 1.1 m above the roof, private track"),
            ("rig.cells", "where the two cells are", "60 mm ahead of the quarter chord, 140 mm behind it"),
            ("said_before.lift", "how much lift do we expect", "36 N to 48 N at 60 km/h and 10 deg"),
            ("air.temperature", "air temperature", "13 C"), ("air.pressure", "air pressure", "1012 hPa"),
            ("done_by.drives", "who drives", "one adult"), ("done_by.reads", "who reads", "one adult"),
        ),
        (ROAD, "Tie the wing with a second line that holds when the first does not."),
    ),
    (
        "thrust", "measure the push of an engine on the bench", "engine",
        ("second", "throttle_pct", "cell_g", "volts", "amps"),
        (
            ("rig.held", "how it is held", "whole nacelle on a hinged arm, cell reads grams"),
            ("rig.pack", "the pack", "full"),
            ("said_before.thrust", "how much push do we expect", "11 N to 14 N at 15.9 V"),
            ("serial", "mark of this engine", "L1"), ("configuration", "letter of the aeroplane", "A"),
            ("air.temperature", "air temperature", "15 C"), ("air.pressure", "air pressure", "1013 hPa"),
            ("done_by.throttle", "who holds the throttle", "one adult"),
        ),
        (BLADES, PACKS),
    ),
    (
        "balance", "weigh the aeroplane on its wheels", WHOLE,
        ("repeat", "nose_g", "right_g", "left_g", "pitch_deg"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("rig.nose", "nose axle behind the nose tip", "150 mm"),
            ("rig.mains", "main axles behind the nose tip", "630 mm"),
            ("rig.battery", "middle of the battery behind the nose tip", "150 mm"),
            ("said_before.mass", "what do we think it weighs", "4.00 kg to 4.15 kg"),
            ("done_by.reads", "who reads", "one adult"),
        ),
        ("Take the propellers off or pull the pack's plug before anybody leans over it.",),
    ),
    (
        "proof", "load a joint or the wing to its limit", "joint",
        ("step", "hung_g", "latch_gap_mm", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("rig.load", "where it hangs", "hung 250 mm outboard of the pin"),
            ("said_before.holds", "what do we think it holds", "1.5 kg"),
            ("done_by.loads", "who loads", "two adults"),
        ),
        (EYES, "Never above limit load on the wing that will fly."),
    ),
    (
        "pull", "pull the aeroplane over the grass", "gear",
        ("run", "heading", "pull_N", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("rig.surface", "the ground", "mown grass, dry"),
            ("said_before.pull", "how hard do we think it pulls", "1.5 N to 7.0 N at walking pace"),
            ("done_by.pulls", "who pulls", "one adult"),
        ),
        ("Motors disarmed, the pack's plug out.",),
    ),
    (
        "weighing", "weigh the stock: boards, sticks, tape", "stock",
        ("piece", "length_mm", "width_mm", "mass_g"),
        (
            ("said_before.mass_per_area", "what do we think a square metre weighs", "370 g/m2 to 410 g/m2"),
            ("ids.batch", "mark of this batch", "board"), ("done_by.reads", "who reads", "one member"),
        ),
        ("Nothing here can hurt; mind sharp edges of cut sheets.",),
    ),
    (
        "coupon", "bend and crush small pieces", "stock",
        ("piece", "span_mm", "width_mm", "load_g", "middle_mm", "note"),
        (
            ("said_before.sinks", "how far do we think a kilogram bends it", "20 mm to 70 mm"),
            ("rig.spans", "the two spans", "400 mm and 150 mm"), ("done_by.reads", "who reads", "one member"),
        ),
        ("Eye protection on: short sticks split and fly.",),
    ),
    (
        "battery", "run the battery down", "battery",
        ("second", "volts", "amps"),
        (
            ("rig.pack", "the pack", "full, rested half an hour"),
            ("said_before.resistance", "what do we think its resistance is", "16 mohm to 40 mohm"),
            ("air.temperature", "air temperature", "15 C"), ("done_by.reads", "who reads", "one adult"),
        ),
        (BLADES, PACKS),
    ),
    (
        "swing", "swing it on two lines", WHOLE,
        ("axis", "swings", "time_s", "line_mm", "apart_mm"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("said_before.yaw", "how long does one swing take about the upright axis", "3.0 s to 4.2 s"),
            ("done_by.holds", "who steadies it", "one adult"), ("done_by.times", "who times it", "one member"),
        ),
        ("Indoors, the pack's plug out, lines that hold three times the weight; a hand near it all the time.",),
    ),
    (
        "controls", "move every surface and measure it", WHOLE,
        ("control", "way", "angle_deg", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("done_by.sticks", "who is at the sticks", "one adult"),
            ("done_by.sees", "who sees and measures", "one member"),
        ),
        ("Propellers off or the engines' plug out: a motor may start when the radio is switched on.",),
    ),
    (
        "range", "walk away with the radio", WHOLE,
        ("distance_m", "motors", "heading", "answers", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("said_before.reaches", "how far the radio's maker says it must reach in this check", "30 m"),
            ("done_by.walks", "who walks", "one adult"), ("done_by.watches", "who watches the surfaces", "one adult"),
        ),
        (BLADES, "The aeroplane is tied down. The radio maker's own instructions come first."),
    ),
    (
        "taxi", "roll it out and let it stop", WHOLE,
        ("run", "heading", "speed_mps", "stop_m", "off_line_m", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("rig.surface", "the ground", "mown grass, dry"),
            ("said_before.stops_in", "in how many metres do we think it stops from a run", "3 m to 12 m"),
            ("done_by.pilots", "who has the radio", "one adult"), ("done_by.films", "who films", "one member"),
        ),
        (BLADES, "All behind the line, one says GO. Never above eight tenths of the slowest flying speed."),
    ),
)  # fmt: skip


def _of(plane: Plane, names: Iterable[str], what: str) -> tuple[str, ...]:
    """The parts a kind of trial may be of, best guess first."""
    if what == "joint":
        wing = plane.wing
        return (*(one for one in names if ".joint." in one), *((wing.name,) if wing is not None else ()))
    if what == "engine":
        return tuple(one.name for one in plane.engines)
    if what == "stock":
        return tuple(plane.stock)
    return tuple(one for one in names if one == what)


def trial_kinds(plane: Plane | None) -> tuple[TrialKind, ...]:
    """The kinds that this aeroplane has a part for."""
    if plane is None:
        return ()
    names = nameable(plane)
    found = [(row, _of(plane, names, row[2])) for row in KINDS]
    return tuple(
        TrialKind(kind=row[0], words=row[1], of=of, columns=row[3], asks=row[4], cautions=row[5])
        for row, of in found
        if of
    )


def cautions_of(kind: str) -> tuple[str, ...]:
    """What to mind in this kind of trial."""
    return next((row[5] for row in KINDS if row[0] == kind), ())
