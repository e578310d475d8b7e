"""Engines that are really there, from one table and what differs on a side."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from planewright.errors import InputError
from planewright.plane.model import Claim, Controller, Engine, Fan, Motor, Propeller
from planewright.plane.tables import read_propeller_table
from planewright.plane.walk import Notes, Values

_PARTS = ("motor", "controller", "propeller", "fan")
_MARKS = ("serial", "claim")


class Engines:
    """Builds the engines of one file."""

    def __init__(self, notes: Notes, folder: Path | None) -> None:
        self.notes, self.folder = notes, folder

    def engines(self, values: Values) -> tuple[Engine, ...]:
        """One engine, or left and right (y with its sign)."""
        y: float = values.get("y", 0.0)
        side = values.get("side")
        if side is not None or y <= 0:
            self._no_sides(values)
            signed = y if side is None else (-abs(y) if side == "left" else abs(y))
            one = self._engine("engine", values, None, signed, "engine-1")
            return () if one is None else (one,)
        return self._pair(values, y)

    def _no_sides(self, values: Values) -> None:
        for name in ("left", "right"):
            if name in values.places:
                self.notes.say(
                    values.at(name),
                    "changes one side of a single engine.",
                    "A pair of engines has a y.",
                    f"Write y in [engine], or put what it says into [engine] and delete [engine.{name}].",
                )

    def _pair(self, values: Values, y: float) -> tuple[Engine, ...]:
        found: list[Engine] = []
        shared = _mark(values, "serial")
        own = {side: _mark(values.get(side), "serial") for side in ("left", "right")}
        free = [side for side in ("left", "right") if own[side] is None]
        for side, sign in (("left", -1.0), ("right", 1.0)):
            serial = own[side] or _shared_serial(shared, side, free)
            differs: Values | None = values.get(side)
            offset = differs.get("y", y) if differs is not None else y
            one = self._engine(f"engine.{side}", values, differs, sign * abs(offset), f"{side}-1", serial)
            if one is not None:
                found.append(one)
        return tuple(found)

    def _engine(
        self,
        name: str,
        base: Values,
        differs: Values | None,
        y: float,
        silent: str,
        serial: str | None = None,
    ) -> Engine | None:
        serial = serial or _mark(base, "serial") if differs is None and name == "engine" else serial
        if serial is None:
            serial = silent
            self.notes.assume(_place(base, differs).into("serial"), silent)
        parts = {part: self._part(part, base, differs) for part in _PARTS}
        kind = self._kind(base, differs, parts)
        x, z = _either(base, differs, "x"), _either(base, differs, "z")
        if kind is None or x is None or None in [parts[p] for p in _PARTS if _written(base, differs, p)]:
            return None
        table = self._table(base, differs)
        return Engine(
            name, kind, x, y, z or 0.0, serial, make_of(kind, parts, table),
            motor=parts["motor"], propeller=parts["propeller"] if kind == "propeller" else None,
            fan=parts["fan"] if kind == "fan" else None, controller=parts["controller"],
            claim=self._claim(base, differs), table=table,
        )  # fmt: skip

    def _kind(self, base: Values, differs: Values | None, parts: dict[str, Any]) -> Any:
        kind = _either(base, differs, "kind")
        stated = kind is not None
        if kind is None and "kind" not in base.places:
            kind = "fan" if _written(base, differs, "fan") else "propeller"
            self.notes.assume(base.place.into("kind"), kind)
        needed = {"propeller": ("motor", "propeller"), "fan": ("fan",)}.get(str(kind), ())
        missing = [part for part in needed if not _written(base, differs, part)]
        for part in missing:
            said = f'reads kind = "{kind}" but has no "{part}".' if stated else f'has no "{part}".'
            self.notes.say(
                base.place, said, f"A {kind} engine has {' and '.join(needed)}.", f"Write {part} = {{ ... }}."
            )
        return None if missing else kind

    def _part(self, part: str, base: Values, differs: Values | None) -> Any:
        """The hardware of one part, what differs laid over what is shared."""
        first: Values | None = base.get(part)
        second: Values | None = differs.get(part) if differs is not None else None
        whole = [one for one in (first, second) if one is not None]
        if not whole or not all(one.complete for one in whole):
            return None
        got: dict[str, Any] = {}
        for one in whole:
            got |= one.got
        got = {k: v for k, v in got.items() if k not in _MARKS}
        if part == "propeller":
            diameter, pitch = got.pop("size")
            return Propeller(diameter, pitch, **got)
        return {"motor": Motor, "controller": Controller, "fan": Fan}[part](**got)

    def _claim(self, base: Values, differs: Values | None) -> Claim | None:
        own: Claim | None = _mark(differs, "claim")
        shared: Claim | None = _mark(base, "claim")
        return own if own is not None or _replaced(differs) else shared

    def _table(self, base: Values, differs: Values | None) -> tuple[tuple[float, float, float], ...]:
        holder = differs if differs is not None and "table" in differs else base
        name = holder.get("table")
        if name is None:
            return ()
        try:
            return read_propeller_table(self.folder, name)
        except InputError as error:
            first = error.faults[0]
            read = f'names the file "{name[:60]}": {first.read}'
            self.notes.say(holder.at("table"), read, first.expected, first.advice)
            return ()


def _place(base: Values, differs: Values | None) -> Any:
    return base.place if differs is None else differs.place


def _written(base: Values, differs: Values | None, name: str) -> bool:
    return name in base.places or (differs is not None and name in differs.places)


def _either(base: Values, differs: Values | None, name: str) -> Any:
    return differs.get(name) if differs is not None and name in differs else base.get(name)


def _replaced(differs: Values | None) -> bool:
    """True if one side has other hardware: the shared claim is not its own."""
    return differs is not None and any(part in differs for part in ("motor", "propeller", "fan"))


def _mark(values: Values | None, name: str) -> Any:
    """A serial or claim, in the engine's own table or in that of its fan, motor or propeller."""
    if values is None:
        return None
    if name in values:
        return values.get(name)
    inner = [values.get(part) for part in ("fan", "motor", "propeller")]
    return next((one.get(name) for one in inner if one is not None and name in one), None)


def _shared_serial(shared: str | None, side: str, free: list[str]) -> str | None:
    """A serial in [engine] belongs to the side that states none of its own; of two like it, each gets its side."""
    if shared is None or side not in free:
        return None
    return shared if len(free) == 1 else f"{shared}-{side}"


def make_of(kind: str, parts: dict[str, Any], table: tuple[tuple[float, float, float], ...]) -> str:
    """A key equal for like hardware: readable, with six digits of a digest of every value that matters."""
    motor, propeller, fan = parts.get("motor"), parts.get("propeller"), parts.get("fan")
    used = (kind, motor, propeller if kind == "propeller" else fan, table)
    digest = hashlib.sha256(repr(used).encode()).hexdigest()[:6]
    if kind == "fan" and fan is not None:
        words = f"fan {1000 * fan.inside:.0f} mm {fan.blades} blades"
    elif propeller is not None:
        words = f"propeller {propeller.diameter / 0.0254:.3g} x {propeller.pitch / 0.0254:.3g} in"
    else:
        words = kind
    return f"{words} {digest}"
