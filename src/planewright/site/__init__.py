"""The field: outline, runway, trees, people and cameras, margins and the plan of the flight."""

from planewright.site.model import Day, Margins, Pattern, Point, Runway, Site, Stand, Trees
from planewright.site.reading import read_site

__all__ = ["Day", "Margins", "Pattern", "Point", "Runway", "Site", "Stand", "Trees", "read_site"]
