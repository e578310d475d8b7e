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
        "proof", "hang a weight on a joint", "joint",
        ("step", "hung_kg", "seconds", "note"),
        (
            ("configuration", "letter of the aeroplane", "B"),
            ("rig.load", "where it hangs", "hung 250 mm outboard of the pin"),
            ("said_before.holds", "what do we think it holds", "1.5 kg"),
            ("done_by.loads", "who loads", "two adults"),
        ),
        (EYES,),
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
)  # fmt: skip


def _of(plane: Plane, names: Iterable[str], what: str) -> tuple[str, ...]:
    """The parts a kind of trial may be of, best guess first."""
    if what == "joint":
        return tuple(one for one in names if ".joint." in one)
    if what == "engine":
        return tuple(one.name for one in plane.engines)
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
