"""Wings, tailplanes, fins and bodies from their tables."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from planewright.errors import InputError
from planewright.plane.model import (
    Body,
    BodyStation,
    Build,
    Joint,
    Section,
    Spar,
    Station,
    Surface,
    SurfaceKind,
)
from planewright.plane.stock import Shelf
from planewright.plane.tables import read_section_points
from planewright.plane.walk import Notes, Place, Values

FLAT = Section("flat", "flat")
_USED: dict[str, tuple[str, ...]] = {
    "folded": ("rib", "rib_pitch", "folds"),
    "ribs": ("rib", "rib_pitch"),
    "sheet": ("edge",),
    "kinked": ("edge", "kink", "camber"),
    "box": ("corners", "former", "former_pitch", "floor", "corner_radius"),
    "shell": ("corners", "former", "former_pitch", "floor", "sides"),
}
_SHORT = ("span", "height", "chord", "sweep", "dihedral", "twist")


class Surfaces:
    """Builds surfaces and bodies of one file; ``folder`` is where files of section points are looked for."""

    def __init__(self, notes: Notes, shelf: Shelf, folder: Path | None) -> None:
        self.notes, self.shelf, self.folder = notes, shelf, folder

    def surface(self, name: str, kind: SurfaceKind, values: Values) -> Surface | None:
        """One surface, or None when something it needs is missing (faults noted)."""
        build = self._build(kind, values)
        section = self._section(values, build)
        paired, y = self._sides(kind, values)
        stations = self._stations(kind, values, section, paired)
        if stations is None or not values.complete:
            self.spars_and_joints(values, 1.0)
            return None
        spars, joints = self.spars_and_joints(values, stations[-1].out)
        return Surface(
            name, kind, values.get("x"), values.get("z", 0.0), stations, build, y=y, paired=paired,
            incidence=values.get("incidence", 0.0), spars=spars, joints=joints, article=values.get("article", ""),
        )  # fmt: skip

    def spars_and_joints(self, values: Values, tip: float) -> tuple[tuple[Spar, ...], tuple[Joint, ...]]:
        """The spars and joints of a surface whose tip is ``tip`` m out."""
        spars = tuple(s for one in values.get("spar", []) if (s := self._spar(one, values, tip)) is not None)
        named: dict[str, Values] = values.get("joint", {})
        joints = [j for name, one in named.items() if (j := self._joint(name, one)) is not None]
        return spars, tuple(sorted(joints, key=lambda joint: joint.out))

    def _sides(self, kind: SurfaceKind, values: Values) -> tuple[bool, float]:
        return sides(values, alone=kind == "fin")

    def _build(self, kind: SurfaceKind, values: Values) -> Build:
        got: Values | None = values.get("build")
        place = got.place if got is not None else values.place.into("build")
        way = got.get("way") if got is not None else None
        if way is None:
            way = "folded" if kind == "wing" else "sheet"
            if got is None or "way" not in got.places:
                self.notes.assume(place.into("way"), way)
        fields: dict[str, Any] = {"way": way}
        fields["skin"] = self.shelf.or_only(got, "skin", "board", place, needed=True)
        if way in ("folded", "ribs"):
            fields |= self._ribs(got, place, fields["skin"])
        elif got is not None and "edge" in got.places:
            fields["edge"] = self.shelf.named(got, "edge", ("stick",))
        else:
            fields["edge"] = self.shelf.or_only(got, "edge", "stick", place, needed=False)
        self._idle(got, way, _USED[way])
        for key in ("kink", "camber", "folds"):
            if got is not None and key in got:
                fields[key] = got.get(key)
            elif way == "kinked" and key != "folds":
                self.notes.assume(place.into(key), "25 %" if key == "kink" else "3 %")
        return Build(**fields)

    def _idle(self, got: Values | None, way: str, used: tuple[str, ...]) -> None:
        """Note what a build says that its way has no use for."""
        for field in () if got is None else got.places:
            if got is not None and field not in ("way", "skin", *used):
                said = f'way = "{way}" has none.'
                self.notes.say(
                    got.at(field), "is never used.", said, "Delete it, or choose another way.", "note"
                )

    def _ribs(self, got: Values | None, place: Place, skin: str | None) -> dict[str, Any]:
        rib = self.shelf.named(got, "rib")
        if rib is None and skin is not None and (got is None or "rib" not in got.places):
            rib = skin
            self.notes.assume(place.into("rib"), skin)
        pitch = got.get("rib_pitch") if got is not None else None
        if pitch is None:
            pitch = 0.18
            if got is None or "rib_pitch" not in got.places:
                self.notes.assume(place.into("ribs"), "180 mm apart")
        return {"rib": rib, "rib_pitch": pitch}

    def _section(self, values: Values, build: Build) -> Section:
        section = self.points(values, "section")
        if section is not None:
            return section
        if build.way in ("folded", "ribs") and "section" not in values.places and not self._stated(values):
            self.notes.say(
                values.place,
                'has no "section".',
                "A wing folded round its nose or built on ribs has a section.",
                'Write section = "Clark Y" (or "NACA 2415").',
            )
        elif "section" not in values.places and not self._stated(values):
            self.notes.assume(values.place.into("section"), "flat")
        return FLAT

    def _stated(self, values: Values) -> bool:
        stations: list[Values] = values.get("stations", [])
        return bool(stations) and "section" in stations[0].places

    def points(self, values: Values, field: str) -> Section | None:
        """The section a field names; a file of points is read from the folder."""
        section: Section | str | None = values.get(field)
        if not isinstance(section, str):
            return section
        try:
            return read_section_points(self.folder, section)
        except InputError as error:
            first = error.faults[0]
            self.notes.say(
                values.at(field),
                f'names the file "{section[:60]}": {first.read}',
                first.expected,
                first.advice,
            )
            return None

    def _stations(
        self, kind: SurfaceKind, values: Values, section: Section, paired: bool
    ) -> tuple[Station, ...] | None:
        written = [name for name in _SHORT if name in values.places]
        if "stations" in values.places:
            if written:
                self.notes.say(
                    values.at(written[0]),
                    "stands beside stations.",
                    "A surface has either stations or a span and a chord.",
                    f"Keep one and delete the other ({', '.join(written)}).",
                )
            return self._long(values, section) if "stations" in values else None
        return self._short(kind, values, section, paired)

    def _long(self, values: Values, section: Section) -> tuple[Station, ...] | None:
        found: list[Station] = []
        whole = True
        last: dict[str, Any] = {"back": 0.0, "up": 0.0, "twist": 0.0, "section": section}
        for one in values.get("stations"):
            got = {k: v for k, v in one.got.items() if k != "section"}
            if (own := self.points(one, "section")) is not None:
                got["section"] = own
            last = last | got
            if "chord" not in last and "chord" not in one.places:
                self.notes.say(
                    one.place, 'has no "chord".', "The first station has one.", 'Write chord = "360 mm".'
                )
            whole = whole and one.complete and not any(name not in one for name in one.places)
            if "chord" in last and one.complete:
                found.append(Station(**last))
            else:
                whole = False
        if len(values.get("stations")) < 2:
            self.notes.say(
                values.at("stations"),
                "has fewer than two stations.",
                "A surface runs from one station to another.",
                "Add the tip.",
            )
            return None
        return tuple(found) if whole else None

    def _short(
        self, kind: SurfaceKind, values: Values, section: Section, paired: bool
    ) -> tuple[Station, ...] | None:
        wanted, other = ("height", "span") if kind == "fin" else ("span", "height")
        if other in values.places:
            said = f"A {kind} has a {wanted}."
            self.notes.say(
                values.at(other), f"is no word for a {kind}.", said, f"Write {wanted} in its place."
            )
            return None
        reach, chords = values.get(wanted), values.get("chord")
        for name, value in ((wanted, reach), ("chord", chords)):
            if value is None and name not in values.places:
                self.notes.say(
                    values.place,
                    f'has no "{name}" and no stations.',
                    f"A {kind} has stations, or a {wanted} and a chord.",
                    f'Write {name} = "{"400 mm" if name != "chord" else "260 mm to 220 mm"}".',
                )
        if reach is None or chords is None:
            return None
        half = reach / 2 if paired and kind != "fin" else reach
        sweep, dihedral = values.get("sweep", 0.0), values.get("dihedral", 0.0)
        if max(abs(sweep), abs(dihedral)) > math.radians(80):
            name = "sweep" if abs(sweep) > abs(dihedral) else "dihedral"
            self.notes.say(values.at(name), "is over 80 deg.", "That is no wing.", "Write the angle again.")
            return None
        tip = Station(
            half,
            chords[1],
            half * math.tan(sweep),
            half * math.tan(dihedral),
            values.get("twist", 0.0),
            section,
        )
        return (Station(0.0, chords[0], section=section), tip)

    def _spar(self, one: Values, values: Values, tip: float) -> Spar | None:
        caps = self.shelf.or_only(one, "caps", "stick", one.place, needed=True)
        web = self._web(one, values)
        end = one.get("to")
        if end is None and "to" not in one.places:
            end = tip
        if not one.complete or caps is None or web is None or end is None:
            return None
        return Spar(one.get("at"), caps, web, end)

    def _web(self, one: Values, values: Values) -> str | None:
        if "web" in one.places:
            return self.shelf.named(one, "web")
        build: Values | None = values.get("build")
        web = build.get("skin") if build is not None else None
        if web is None or web not in self.shelf.stock:
            return self.shelf.or_only(one, "web", "board", one.place, needed=True)
        self.notes.assume(one.place.into("web"), web)
        return str(web)

    def _joint(self, name: str, one: Values) -> Joint | None:
        joiner = self.shelf.named(one, "joiner", ("board", "stick"))
        got = {k: v for k, v in one.got.items() if k != "joiner"}
        return Joint(name, joiner=joiner, **got) if one.complete else None

    def body(self, name: str, values: Values) -> Body | None:
        """A fuselage, nacelle or pod, or None when something it needs is missing (faults noted)."""
        paired, y = sides(values, alone=True)
        build = self._body_build(values)
        stations = self._body_stations(values)
        if stations is None or not values.complete:
            return None
        return Body(name, stations, build, y=y, paired=paired)

    def _body_build(self, values: Values) -> Build:
        got: Values | None = values.get("build")
        place = got.place if got is not None else values.place.into("build")
        fields: dict[str, Any] = {"way": got.get("way", "box") if got is not None else "box"}
        fields["skin"] = self.shelf.or_only(got, "skin", "board", place, needed=True)
        fields["floor"] = self.shelf.named(got, "floor")
        fields["former"] = self.shelf.named(got, "former")
        if (
            fields["former"] is None
            and fields["skin"] is not None
            and (got is None or "former" not in got.places)
        ):
            fields["former"] = fields["skin"]
            self.notes.assume(place.into("former"), fields["skin"])
        fields["corners"] = self._corners(values, got, place)
        self._idle(got, fields["way"], _USED[fields["way"]])
        for key in ("former_pitch", "corner_radius", "sides"):
            if got is not None and key in got:
                fields[key] = got.get(key)
        if fields["way"] == "shell" and got is not None and "sides" not in got.places:
            self.notes.assume(place.into("sides"), "8")
        if got is None:
            fields["former_pitch"] = 0.15
            self.notes.assume(place, '{ way = "box", formers = "150 mm apart" }')
        return Build(**fields)

    def _corners(self, values: Values, got: Values | None, place: Place) -> str | None:
        if got is not None and "corners" in got.places:
            return self.shelf.named(got, "corners", ("stick",))
        if "y" in values.places:
            return None
        return self.shelf.or_only(got, "corners", "stick", place, needed=False)

    def _body_stations(self, values: Values) -> tuple[BodyStation, ...] | None:
        short = [name for name in ("length", "width", "height", "x", "z") if name in values.places]
        if "stations" not in values.places:
            return self._short_body(values)
        if short:
            self.notes.say(
                values.at(short[0]),
                "stands beside stations.",
                "A body has either stations or a length, width and height.",
                f"Keep one and delete the other ({', '.join(short)}).",
            )
        if "stations" not in values:
            return None
        return self._long_body(values)

    def _long_body(self, values: Values) -> tuple[BodyStation, ...] | None:
        found: list[BodyStation] = []
        last: dict[str, float] = {"z": 0.0}
        written: list[Values] = values.get("stations")
        whole = True
        for one in written:
            last = last | one.got
            for name in ("width", "height"):
                if name not in last and name not in one.places:
                    self.notes.say(
                        one.place,
                        f'has no "{name}".',
                        "The first station has one.",
                        f'Write {name} = "120 mm".',
                    )
            if one.complete and {"width", "height"} <= set(last) and set(one.places) <= set(one.got):
                found.append(BodyStation(**last))
            else:
                whole = False
        if len(written) < 2:
            self.notes.say(
                values.at("stations"),
                "has fewer than two stations.",
                "A body runs from one station to another.",
                "Add the end.",
            )
            return None
        return tuple(found) if whole else None

    def _short_body(self, values: Values) -> tuple[BodyStation, ...] | None:
        for name in ("length", "width", "height"):
            if name not in values.places:
                self.notes.say(
                    values.place, f'has no "{name}" and no stations.',
                    "A body has stations, or a length, a width and a height.",
                    f'Write {name} = "{"1.15 m" if name == "length" else "110 mm to 50 mm"}".',
                )  # fmt: skip
        length, width, height = values.get("length"), values.get("width"), values.get("height")
        if length is None or width is None or height is None:
            return None
        x, z = values.get("x", 0.0), values.get("z", 0.0)
        return tuple(BodyStation(x + length * end, width[end], height[end], z) for end in (0, 1))


def sides(values: Values, alone: bool) -> tuple[bool, float]:
    """(one each side?, y with its sign). A part without a y is a pair only if it is not ``alone``."""
    y: float = values.get("y", 0.0)
    side = values.get("side")
    if side is not None:
        return False, -abs(y) if side == "left" else abs(y)
    if y < 0:
        return False, y
    return (y > 0 or not alone), y
