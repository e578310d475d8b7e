"""What is believed before any trial: the prior table of this release, laid over one aeroplane.

The table (``tables/priors.toml``) holds one entry for each quantity with its median, spread, kind and source.
Here each entry is repeated for whoever owns it: every sheet, stick and tape of the stock, every make and
serial of engine, the flight pack, and the flying wing (article ``wing-1``). A median belongs to the nominal
method it multiplies; two allowances for one thing would be a fault.

Where an aeroplane differs from the plain table:

* a stock that its builder weighed has a factor of 1 on that weight, is ``measured``, and its ``spread``
  between pieces is the deviation;
* a propeller of a size that was measured and published carries less doubt than one known by diameter and
  pitch, and a fan's factor stands on its ideal thrust;
* ``wheel.mu`` is the friction coefficient itself, after the words of the site's surface;
* an aeroplane without a sheet, stick or tape in its stock still gets that quantity, without an owner, for the
  materials an analysis takes by default.
"""

from __future__ import annotations

import hashlib
import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, Protocol

from planewright.knowledge.draws import scoped
from planewright.knowledge.model import Kind, Knowledge, Quantity

INCH = 0.0254
FLYING_WING = "wing-1"
SCOPES: Mapping[str, tuple[str, ...]] = {
    "sheet": ("foam board", "cardboard", "plywood"),
    "stick": ("pine stick",),
    "tape": ("packing tape",),
}
WEIGHED_ID = {"sheet": "board.areal_mass", "stick": "stick.density", "tape": "tape.line_mass"}


class StockLike(Protocol):
    """What the prior table needs to know of a stock."""

    @property
    def kind(self) -> str: ...
    @property
    def mass(self) -> float | None: ...
    @property
    def spread(self) -> float | None: ...
    @property
    def line_mass(self) -> float | None: ...
    @property
    def areal_mass(self) -> float | None: ...
    @property
    def density(self) -> float | None: ...


class PropellerLike(Protocol):
    """Diameter and pitch, m."""

    @property
    def diameter(self) -> float: ...
    @property
    def pitch(self) -> float: ...


class EngineLike(Protocol):
    """What the prior table needs to know of an engine."""

    @property
    def kind(self) -> Literal["propeller", "fan"]: ...
    @property
    def make(self) -> str: ...
    @property
    def serial(self) -> str: ...
    @property
    def propeller(self) -> PropellerLike | None: ...
    @property
    def table(self) -> tuple[tuple[float, float, float], ...]: ...


class BatteryLike(Protocol):
    """The pack's serial."""

    @property
    def serial(self) -> str: ...


class PlaneLike(Protocol):
    """The part of an aeroplane's description that decides which quantities there are."""

    @property
    def stock(self) -> Mapping[str, StockLike]: ...
    @property
    def engines(self) -> Sequence[EngineLike]: ...
    @property
    def battery(self) -> BatteryLike | None: ...


def _text() -> str:
    return resources.files("planewright.knowledge").joinpath("tables/priors.toml").read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def prior_table() -> Mapping[str, Any]:
    """The prior table of this release as read from its TOML file."""
    return tomllib.loads(_text())


@lru_cache(maxsize=1)
def prior_hash() -> str:
    """SHA-256 of the prior table of this release, as ``sha256:...``."""
    return "sha256:" + hashlib.sha256(_text().encode()).hexdigest()


def prior_knowledge(plane: PlaneLike, surface: str = "") -> Knowledge:
    """Knowledge of one aeroplane before any trial.

    Arguments:
        plane: the aeroplane as read; only its stock, engines and battery matter here.
        surface: the words of the site for its surface, such as ``"mown grass, dry"``; "" takes mown grass.

    Result: every quantity of the prior table, instantiated for this aeroplane, all independent.
    Source: the source stands beside each quantity.
    """
    found = (
        *_plain(),
        *_stocks(plane),
        *_engines(plane),
        *_packs(plane),
        *_articles(),
        wheel_friction(surface),
    )
    return Knowledge({one.id: one for one in sorted(found, key=lambda q: q.id)}, prior_hash=prior_hash())


def article_quantities(article: str) -> tuple[Quantity, ...]:
    """The piece-to-piece quantities of one built article."""
    rows = (row for row in prior_table()["quantity"] if row.get("scope") == "article")
    return tuple(_quantity(row, article, f"article:{article}") for row in rows)


def engine_quantities(engine: EngineLike) -> tuple[Quantity, ...]:
    """Make, current and lapse of an engine's make, and its serial's own factor."""
    table = prior_table()["engine"][engine_class(engine)]
    source = prior_table()["propeller"]["source"]
    of_make = (
        _quantity(
            {"id": base, "form": "ln", **row, "source": row["source"] or source, "moves": _moves(base)},
            engine.make,
            f"make:{engine.make}",
        )
        for base, row in table.items()
    )
    serial = next(row for row in prior_table()["quantity"] if row["id"] == "eng.serial")
    return (*of_make, _quantity(serial, engine.serial, f"serial:{engine.serial}"))


def engine_class(engine: EngineLike) -> Literal["fan", "own", "measured", "reckoned"]:
    """Which nominal method an engine's thrust stands on: a fan's ideal thrust, the builder's own table, a
    measured table of its size, or a regression on diameter and pitch."""
    if engine.kind == "fan":
        return "fan"
    if engine.table:
        return "own"
    size = engine.propeller
    if size is None:
        return "reckoned"
    sizes = prior_table()["propeller"]["measured"]
    same = (
        abs(size.diameter / (d * INCH) - 1) < 0.005 and abs(size.pitch / (p * INCH) - 1) < 0.005
        for d, p in sizes
    )
    return "measured" if any(same) else "reckoned"


def wheel_friction(surface: str) -> Quantity:
    """``wheel.mu``: the rolling friction coefficient, by the words of the site's surface."""
    words = surface.lower()
    rows = prior_table()["surface"]
    row = next(one for one in rows if not one["words"] or any(word in words for word in one["words"]))
    entry = {**row, "id": "wheel.mu", "form": "ln", "kind": "assumed", "moves": "take-off run"}
    return _quantity(entry, "", "place")


def _moves(base: str) -> str:
    return {"eng.make": "thrust", "eng.current": "minutes in the air, heat", "eng.lapse": "run, climb"}[base]


def _quantity(row: Mapping[str, Any], owner: str, holder: str, sd: float | None = None) -> Quantity:
    mean = math.log(row["median"]) if row["form"] == "ln" else float(row["median"])
    spread = float(row["sd"]) if sd is None else sd
    kind: Kind = "measured" if sd is not None else row["kind"]
    source = "the builder's own weighing" if sd is not None else row["source"]
    name = scoped(row["id"], owner)
    unit = row.get("unit", "1")
    return Quantity(
        name, row["form"], unit, holder, mean, spread, mean, spread, kind, source, moves=row.get("moves", "")
    )


def _plain() -> Iterator[Quantity]:
    rows = (row for row in prior_table()["quantity"] if not row.get("scope"))
    return (_quantity(row, "", row["owner"]) for row in rows)


def _stocks(plane: PlaneLike) -> Iterator[Quantity]:
    for scope, kinds in SCOPES.items():
        rows = [row for row in prior_table()["quantity"] if row.get("scope") == scope]
        stocks = {name: stock for name, stock in plane.stock.items() if stock.kind in kinds}
        for row in rows:
            if not stocks:
                yield _quantity(row, "", row["owner"])
            for name, stock in stocks.items():
                sd = weighed_sd(scope, stock) if row["id"] == WEIGHED_ID[scope] else None
                yield _quantity(row, name, f"batch:{name}", sd)


def weighed_sd(scope: str, stock: StockLike) -> float | None:
    """Relative deviation of a stock's own weighing; None when it was not weighed."""
    table = prior_table()["weighed"]
    known = {"sheet": stock.areal_mass, "stick": stock.density, "tape": stock.line_mass}[scope]
    if known is None:
        return None
    if stock.spread and stock.mass:
        return max(stock.spread / stock.mass, float(table["least"]))
    return float(table[scope])


def _engines(plane: PlaneLike) -> Iterator[Quantity]:
    for engine in plane.engines:
        yield from engine_quantities(engine)


def _packs(plane: PlaneLike) -> Iterator[Quantity]:
    if plane.battery is None:
        return iter(())
    serial = plane.battery.serial
    rows = (row for row in prior_table()["quantity"] if row.get("scope") == "pack")
    return (_quantity(row, serial, f"pack:{serial}" if serial else "pack") for row in rows)


def _articles() -> tuple[Quantity, ...]:
    return article_quantities(FLYING_WING)
