"""Quantities as people write them, exact; and figures as people read them.

``read("6 1/2 in", "length")`` is 0.1651 (fractions all the way, rounded once); ``show(0.1651, "m")`` is
"165 mm". Everything between the two is plain SI floats and radians.
"""

from planewright.units.pairs import read_each_way, read_pair, read_phrase, read_slide, read_travel
from planewright.units.reading import misread, read, suggest
from planewright.units.showing import show, show_range
from planewright.units.symbols import DIMENSIONS, UNITS, Dimension, Unit

__all__ = [
    "DIMENSIONS",
    "UNITS",
    "Dimension",
    "Unit",
    "misread",
    "read",
    "read_each_way",
    "read_pair",
    "read_phrase",
    "read_slide",
    "read_travel",
    "show",
    "show_range",
    "suggest",
]
