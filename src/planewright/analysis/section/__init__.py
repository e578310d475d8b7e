"""Flow about wing sections at the Reynolds numbers of foam aeroplanes, and the polars made from it."""

from planewright.analysis.section.bands import Band
from planewright.analysis.section.polars import BRIDGED, CONVERGED, EXTENDED, SectionPolars

__all__ = ["BRIDGED", "CONVERGED", "EXTENDED", "Band", "SectionPolars"]
