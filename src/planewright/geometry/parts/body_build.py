"""One body as its parts see it: its hull, what there is to build from, and where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from planewright.geometry.parts.draft import thickness_of
from planewright.geometry.parts.hull import Hull, hull
from planewright.geometry.parts.model import MM, Array, Facet, Point3
from planewright.plane.model import Body, Stock


@dataclass(frozen=True)
class Build:
    """A body with what there is to build from."""

    body: Body
    stock: Mapping[str, Stock]
    hull: Hull

    @property
    def word(self) -> str:
        """BODY, or POD for what stands beside the centreline."""
        return "POD" if self.body.y else "BODY"

    @property
    def pair(self) -> int:
        """2 for a body on both sides."""
        return 2 if self.body.paired else 1

    @property
    def shift(self) -> Array:
        """From the body's own axes to those of the aeroplane (its right one), mm."""
        return np.array([0.0, self.body.y * MM, 0.0])


def body_build(body: Body, stock: Mapping[str, Stock]) -> Build:
    """The body ready for its parts."""
    sheet = stock.get(str(body.build.skin))
    return Build(body, stock, hull(body, thickness_of(sheet) * MM if sheet is not None else 5.0))


def placed(made: Build, found: tuple[Facet, ...]) -> tuple[Facet, ...]:
    """Strips moved to where the body stands in the aeroplane."""

    def there(row: tuple[Point3, ...]) -> tuple[Point3, ...]:
        return tuple((x, y + made.body.y * MM, z) for x, y, z in row)

    return tuple(replace(one, first=there(one.first), second=there(one.second)) for one in found)
