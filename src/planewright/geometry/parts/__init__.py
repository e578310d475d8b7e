"""Flat parts from the description alone: outlines, folds, slopes, glue, ticks and the seams between them."""

from planewright.geometry.parts.cutlist import cut_list
from planewright.geometry.parts.making import part_set, parts, sheet_fit
from planewright.geometry.parts.model import (
    Advice,
    Bevel,
    Edge,
    Facet,
    Fold,
    Glue,
    Hand,
    Mark,
    Part,
    PartSet,
    Ring,
    Seam,
    SeamSide,
    Tick,
    Word,
)
from planewright.geometry.parts.numbering import numbered, numbers

__all__ = [
    "Advice",
    "Bevel",
    "Edge",
    "Facet",
    "Fold",
    "Glue",
    "Hand",
    "Mark",
    "Part",
    "PartSet",
    "Ring",
    "Seam",
    "SeamSide",
    "Tick",
    "Word",
    "cut_list",
    "numbered",
    "numbers",
    "part_set",
    "parts",
    "sheet_fit",
]
