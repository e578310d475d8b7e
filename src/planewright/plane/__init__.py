"""The aeroplane as described: the language, its reader, its faults, and writing it back."""

from planewright.plane.names import canonical
from planewright.plane.reader import read_plane, read_text_plane
from planewright.plane.rewrite import rewrite

__all__ = ["canonical", "read_plane", "read_text_plane", "rewrite"]
