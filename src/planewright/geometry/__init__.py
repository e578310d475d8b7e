"""What follows from the description alone: sections, surfaces, bodies, areas, volumes, overall size."""

from planewright.geometry.derive import derive, overall, tail_volumes
from planewright.geometry.model import BodyShape, Geometry, SurfaceShape
from planewright.geometry.sections import outline, thickness_ratio, zero_lift
from planewright.geometry.surfaces import Cut, at

__all__ = [
    "BodyShape",
    "Cut",
    "Geometry",
    "SurfaceShape",
    "at",
    "derive",
    "outline",
    "overall",
    "tail_volumes",
    "thickness_ratio",
    "zero_lift",
]
