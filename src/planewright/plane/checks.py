"""Whether the parts of a description fit together, and whether its figures can be believed.

Nothing here needs an analysis. A shape that cannot be is a fault; a figure that is hard to believe is kept and
asked about; what is written and never used is noted. The bounds of belief are judgement unless said otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from planewright.plane.build import used_stock
from planewright.plane.drive import drive_faults
from planewright.plane.model import (
    Body,
    BodyStation,
    Control,
    Engine,
    Joint,
    Plane,
    Station,
    Stock,
    Surface,
    Wheel,
)
from planewright.plane.stock import sort_of
from planewright.plane.walk import Notes, Place, Values
from planewright.units import show
from planewright.units.showing import THIN

AREAL_MASS = (0.060, 2.500)
DENSITY = (250.0, 900.0)
MEAN_CHORD = (0.08, 0.80)
SPAN = (0.6, 5.0)
MASS = (0.3, 12.0)
SPEED = (4.0, 45.0)
USUAL_TORQUE = 18.5
"""Torque of a hobby servo per its mass, N m/kg (0.19 kg cm a gram): common practice, no source."""
SEA_LEVEL = 1.225
"""Density of the air at sea level, kg/m3: ISO 2533:1975, Standard Atmosphere."""


def plain(value: float, unit: str) -> str:
    """A figure for a fault: as ``show``, with ordinary spaces and "deg"."""
    text = show(value, unit).replace(THIN, " ").replace("−", "-")
    return text.replace("°", " deg")


class Checks:
    """All checks on one description; ``top`` finds the place of what is asked about."""

    def __init__(self, notes: Notes, top: Values, plane: Plane) -> None:
        self.notes, self.top, self.plane = notes, top, plane

    def run(self) -> None:
        """Note everything found."""
        for surface in self.plane.surfaces:
            self.surface(surface)
        for body in self.plane.bodies:
            self.body(body)
        for control in self.plane.controls:
            self.control(control)
        self.gear()
        self.serials()
        self.stock()
        self.servos()
        self.numbers()
        for engine in self.plane.engines:
            self.claim(engine)
        self.drive()

    def values(self, name: str) -> Values | None:
        """The table of a part: "wing", "surface.canard", "engine.left" ..."""
        found: Values | None = None
        here: Values | dict[str, Values] = self.top
        for step in name.split("."):
            following = here.get(step)
            if not isinstance(following, Values | dict):
                break
            here = following
            found = here if isinstance(here, Values) else found
        return found

    def place(self, name: str, field: str = "", *inner: int) -> Place:
        """The place of a field of a part, or of one entry in its list."""
        values = self.values(name)
        if values is None:
            return Place()
        if inner:
            listed = values.get(field)
            if isinstance(listed, list) and inner[0] < len(listed):
                return Place(listed[inner[0]].place.raw, listed[inner[0]].place.path)
        return values.at(field) if field else values.place

    # ---- shape

    def surface(self, surface: Surface) -> None:
        """Stations, spars, joints and size of one surface."""
        for number, (inner, outer) in enumerate(pairwise(surface.stations), start=1):
            if outer.out <= inner.out:
                self.notes.say(
                    self.place(surface.name, "stations", number),
                    f"has out = {plain(outer.out, 'm')}, not beyond the {plain(inner.out, 'm')} of the one before.",
                    "Stations run from the centreline outward.",
                    "Put them in order, or measure this one again.",
                )
        for number, spar in enumerate(surface.spars):
            if spar.to > surface.stations[-1].out + 1e-9:
                self.notes.say(
                    self._spar_place(surface, number, "to"),
                    f"ends at {plain(spar.to, 'm')}, beyond the tip at {plain(surface.stations[-1].out, 'm')}.",
                    "A spar ends at the tip or before it.",
                    f'Write to = "{plain(surface.stations[-1].out, "m")}" at most.',
                )
            for joint in surface.joints:
                self._spar_at_joint(surface, number, spar.to, joint)
        for joint in surface.joints:
            self._joint(surface, joint)
        self._size(surface)

    def _spar_place(self, surface: Surface, number: int, field: str) -> Place:
        values = self.values(surface.name)
        spars: list[Values] = values.get("spar", []) if values is not None else []
        return spars[number].at(field) if number < len(spars) else self.place(surface.name, "spar")

    def _spar_at_joint(self, surface: Surface, number: int, end: float, joint: Joint) -> None:
        half = (joint.reach or 0.0) / 2
        if half and abs(end - joint.out) < half - 1e-9:
            self.notes.say(
                self._spar_place(surface, number, "to"),
                f"ends at {plain(end, 'm')}, inside the reach of joint {joint.name}.",
                f"The joiner reaches from {plain(joint.out - half, 'm')} to {plain(joint.out + half, 'm')}.",
                "End the spar before it or carry it beyond.",
            )

    def _joint(self, surface: Surface, joint: Joint) -> None:
        values = self.values(f"{surface.name}.joint.{joint.name}")
        place = values.at("out") if values is not None else self.place(surface.name, "joint")
        if joint.out >= surface.stations[-1].out:
            self.notes.say(
                place,
                f"lies at {plain(joint.out, 'm')}, outside the surface, whose tip is at "
                f"{plain(surface.stations[-1].out, 'm')}.",
                "A joint lies between the centreline and the tip.",
                "Measure it again.",
            )
        self._whole(joint, values)

    def _whole(self, joint: Joint, values: Values | None) -> None:
        """A joint plugs in (joiner and reach) or folds (hinge and apart)."""
        if values is None:
            return
        lacks = ""
        if "hinge" not in values.places and "joiner" not in values.places:
            lacks, sample = "neither a joiner nor a hinge", 'joiner = "ply", reach = "160 mm"'
        elif joint.folds and "apart" not in values.places:
            lacks, sample = 'a hinge but no "apart"', 'apart = "36 mm"'
        elif "joiner" in values.places and "reach" not in values.places:
            lacks, sample = 'a joiner but no "reach"', 'reach = "160 mm"'
        if lacks:
            self.notes.say(
                values.place,
                f"has {lacks}.",
                "A joint plugs in (joiner, reach) or folds (hinge, pin, latch, apart from pin to latch).",
                f"Write {sample}.",
            )

    def body(self, body: Body) -> None:
        """Stations of one body, and whether a body beside it stands in it."""
        for number, (front, rear) in enumerate(pairwise(body.stations), start=1):
            if rear.x <= front.x:
                self.notes.say(
                    self.place(body.name, "stations", number),
                    f"has x = {plain(rear.x, 'm')}, not behind the {plain(front.x, 'm')} of the one before.",
                    "Stations of a body run aft.",
                    "Put them in order, or measure this one again.",
                )
        main = next((one for one in self.plane.bodies if one.name == "body"), None)
        if main is not None and body is not main and body.y != 0 and _meet(body, main):
            self.notes.say(
                self.place(body.name, "y"),
                f"puts it {plain(abs(body.y), 'm')} out, inside the body.",
                "Two parts are in one place.",
                "Move it outward.",
            )

    def control(self, control: Control) -> None:
        """Where a control ends, what it crosses, and how much of the chord it takes."""
        surface = self.plane.surface(control.on)
        if surface is None:
            return
        place, tip = f"control.{control.name}", surface.stations[-1].out
        if control.end > tip + 1e-9:
            self.notes.say(
                self.place(place, "end"),
                f"ends at {plain(control.end, 'm')}, beyond the tip at {plain(tip, 'm')}.",
                f"A control ends within its {surface.kind}.",
                f'Write to = "{plain(tip, "m")}" at most.',
            )
        if control.start >= control.end:
            self.notes.say(
                self.place(place, "start"),
                f"begins at {plain(control.start, 'm')} and ends at {plain(control.end, 'm')}.",
                'A control runs outward: "from" is less than "to".',
                "Change them round, or measure again.",
            )
        if control.chord > 0.5:
            self.notes.say(
                self.place(place, "chord"),
                f"is {100 * control.chord:g} % of the local chord.",
                "A control takes half of the chord at most.",
                "Measure it from the hinge line to the trailing edge.",
            )
        self._across(control, surface)

    def _across(self, control: Control, surface: Surface) -> None:
        for joint in surface.joints:
            if joint.folds and control.start + 1e-9 < joint.out < control.end - 1e-9:
                self.notes.say(
                    self.place(f"control.{control.name}", "end"),
                    f"crosses the folding joint {joint.name} at {plain(joint.out, 'm')}.",
                    "A control lies on one side of a folding joint.",
                    "Write two controls, one on each side.",
                )

    # ---- gear

    def gear(self) -> None:
        """Order of the wheels, the propeller above the ground, wheels clear of the wing."""
        wheels = {wheel.name: wheel for wheel in self.plane.wheels}
        nose, main, tail = wheels.get("nose"), wheels.get("main"), wheels.get("tail")
        if nose is not None and main is not None and nose.x >= main.x:
            self._order("nose", nose, main, "ahead of")
        if tail is not None and main is not None and tail.x <= main.x:
            self._order("tail", tail, main, "behind")
        for wheel in self.plane.wheels:
            self._propeller_clear(wheel)
            for surface in self.plane.of_kind("wing"):
                if _through(wheel, surface):
                    self.notes.say(
                        self.place(f"gear.{wheel.name}", "z"),
                        f"stands through the {surface.name}.",
                        "Two parts are in one place.",
                        "The wheel is below the wing or beside it.",
                    )

    def _order(self, name: str, wheel: Wheel, main: Wheel, where: str) -> None:
        self.notes.say(
            self.place(f"gear.{name}", "x"),
            f"is at {plain(wheel.x, 'm')}, the main wheels at {plain(main.x, 'm')}.",
            f"The {name} wheel is {where} the main wheels.",
            "Measure both again.",
        )

    def _propeller_clear(self, wheel: Wheel) -> None:
        for engine in self.plane.engines:
            if engine.propeller is None:
                continue
            lowest = engine.z - engine.propeller.diameter / 2
            if wheel.z >= lowest:
                self.notes.say(
                    self.place(f"gear.{wheel.name}", "z"),
                    f"meets the ground at z = {plain(wheel.z, 'm')}; the propeller of {engine.name} reaches down "
                    f"to {plain(lowest, 'm')}.",
                    "The tyres meet the ground below every propeller.",
                    "Lengthen the leg, or raise the engine.",
                )
                return

    # ---- names

    def serials(self) -> None:
        """One serial is one engine."""
        seen: dict[str, Engine] = {}
        for engine in self.plane.engines:
            if engine.serial in seen:
                self.notes.say(
                    self.place(engine.name, "serial"),
                    f'has the serial "{engine.serial}" of {seen[engine.serial].name}.',
                    "A serial is the mark of one engine.",
                    "Give each its own.",
                )
            seen[engine.serial] = engine

    def stock(self) -> None:
        """Believable mass of sheets and sticks, and stock that no part is made of."""
        used = used_stock(self.plane)
        declared: dict[str, Values] = self.top.get("stock", {})
        whole = not any(fault.severity == "fault" for fault in self.notes.faults)
        for name in declared:
            stock = self.plane.stock.get(name)
            if stock is None:
                continue
            self._believed(stock)
            if whole and name not in used and sort_of(stock.kind) in ("board", "stick"):
                self.notes.say(
                    self.place(f"stock.{name}"),
                    "is never used.",
                    "No part is made of it.",
                    "Keep it if it is wanted later; nothing rests on it.",
                    "note",
                )

    def _believed(self, stock: Stock) -> None:
        place = self.place(f"stock.{stock.name}", "mass")
        if stock.areal_mass is not None and not AREAL_MASS[0] <= stock.areal_mass <= AREAL_MASS[1]:
            self._ask(
                place,
                f"makes {1000 * stock.areal_mass:.0f} g/m2 of this sheet.",
                "Sheets weigh 60 to 2500 g/m2.",
                "Is the mass that of one sheet, and the size that of the same sheet?",
            )
        if stock.density is not None and not DENSITY[0] <= stock.density <= DENSITY[1]:
            self._ask(
                place,
                f"makes {stock.density:.0f} kg/m3 of this stick.",
                "Sticks weigh 250 to 900 kg/m3.",
                "Is the mass that of one stick, and the size that of the same stick?",
            )

    def _ask(self, place: Place, read: str, expected: str, advice: str) -> None:
        self.notes.say(place, read, expected, f"Kept as written. {advice}", "question")

    # ---- belief

    def servos(self) -> None:
        """Torque against mass."""
        for servo in self.plane.servos.values():
            ratio = servo.torque / servo.mass / USUAL_TORQUE
            if not 0.1 < ratio < 10:
                times = f"{ratio:.3g} times" if ratio > 1 else f"1/{1 / ratio:.3g} of"
                self._ask(
                    self.place(f"servo.{servo.name}", "torque"),
                    f"is {times} what is usual for a servo of {plain(servo.mass, 'kg')}.",
                    f"Usual is about {servo.mass * USUAL_TORQUE / 0.0980665:.2g} kg cm.",
                    "Is it kg cm that was meant?",
                )

    def _size(self, surface: Surface) -> None:
        if surface.kind != "wing":
            return
        reach = surface.half_span * (2 if surface.paired else 1)
        chord = _mean_chord(surface.stations)
        for value, (low, high), word in ((reach, SPAN, "span"), (chord, MEAN_CHORD, "mean chord")):
            if not low <= value <= high:
                self._ask(
                    self.place(surface.name, "stations" if "stations" in self._written(surface) else "span"),
                    f"has a {word} of {plain(value, 'm')}.",
                    f"Wings here have a {word} of {plain(low, 'm')} to {plain(high, 'm')}.",
                    "Are the units right?",
                )

    def _written(self, surface: Surface) -> tuple[str, ...]:
        values = self.values(surface.name)
        return tuple(values.places) if values is not None else ()

    def numbers(self) -> None:
        """Masses and speeds outside the range the tool is made for; a battery outside its own slide."""
        plane = self.plane
        if plane.mass_limit is not None and not MASS[0] <= plane.mass_limit <= MASS[1]:
            self._ask(
                self.top.at("mass_limit"),
                f"is {plain(plane.mass_limit, 'kg')}.",
                f"Aeroplanes here weigh {plain(MASS[0], 'kg')} to {plain(MASS[1], 'kg')}.",
                "Is the unit right?",
            )
        for name, field, speed in (
            ("limits", "placard", plane.limits.placard),
            ("first_flight", "speed", plane.first_flight.speed),
        ):
            if speed is not None and not SPEED[0] <= speed <= SPEED[1]:
                self._ask(
                    self.place(name, field),
                    f"is {plain(speed, 'm/s')}.",
                    f"Speeds here are {plain(SPEED[0], 'm/s')} to {plain(SPEED[1], 'm/s')}.",
                    "Is the unit right?",
                )
        self._slide()

    def _slide(self) -> None:
        battery = self.plane.battery
        if battery is None or battery.slide is None or battery.slide[0] <= battery.x <= battery.slide[1]:
            return
        self._ask(
            self.place("battery", "x"),
            f"is {plain(battery.x, 'm')}, outside its slide.",
            f"The slide runs from {plain(battery.slide[0], 'm')} to {plain(battery.slide[1], 'm')}.",
            "Which of the two was measured?",
        )

    def drive(self) -> None:
        """Motors and propellers that cannot be, each said once where it is written."""
        said: set[tuple[object, str]] = set()
        for one in drive_faults(self.plane):
            names = (one.part, f"engine.{one.part.rpartition('.')[2]}")
            tables = [
                found for found in map(self.values, names) if found is not None and one.key in found.places
            ]
            place = tables[0].at(one.key) if tables else self.place("engine")
            if (place.path, one.read) not in said:
                self.notes.say(place, one.read, one.expected, one.advice)
            said.add((place.path, one.read))

    def claim(self, engine: Engine) -> None:
        """A claim above the ideal thrust of its own power.

        Ideal static thrust by the momentum theory: (2 rho A P^2)^(1/3) of a propeller disc of area A, and
        (4 rho A P^2)^(1/3) of a duct with outlet area A (its wake does not contract). Source: the momentum
        theory of Rankine and Froude, from memory.
        """
        claim = engine.claim
        if claim is None or claim.thrust is None or claim.volts is None or claim.amps is None:
            return
        power = claim.volts * claim.amps
        if engine.fan is not None:
            ideal = (4 * SEA_LEVEL * math.pi / 4 * engine.fan.nozzle**2 * power**2) ** (1 / 3)
        elif engine.propeller is not None:
            ideal = (2 * SEA_LEVEL * math.pi / 4 * engine.propeller.diameter**2 * power**2) ** (1 / 3)
        else:
            return
        if claim.thrust > ideal:
            self._ask(
                self._claim_place(engine),
                f"claims {plain(claim.thrust, 'N')} from {plain(power, 'W')}.",
                f"No engine of this size can give more than {plain(ideal, 'N')} from that.",
                "Read the seller's page again.",
            )

    def _claim_place(self, engine: Engine) -> Place:
        for values in self._engine_tables(engine):
            if "claim" in values.places:
                return values.at("claim")
        return self.place("engine")

    def _engine_tables(self, engine: Engine) -> Iterator[Values]:
        for name in (engine.name, "engine"):
            for part in (f"{name}.fan", f"{name}.propeller", name):
                values = self.values(part)
                if values is not None:
                    yield values


def _mean_chord(stations: tuple[Station, ...]) -> float:
    """Area over span (not the aerodynamic mean), m."""
    area = sum((b.out - a.out) * (a.chord + b.chord) / 2 for a, b in pairwise(stations))
    reach = stations[-1].out - stations[0].out
    return area / reach if reach > 0 else stations[0].chord


def _between(at: float, low: float, high: float) -> float:
    return (at - low) / (high - low) if high > low else 0.0


def _cut(body: Body, x: float) -> BodyStation | None:
    for front, rear in pairwise(body.stations):
        if front.x <= x <= rear.x:
            f = _between(x, front.x, rear.x)
            width = front.width + f * (rear.width - front.width)
            height = front.height + f * (rear.height - front.height)
            return BodyStation(x, width, height, front.z + f * (rear.z - front.z))
    return None


def _meet(one: Body, main: Body) -> bool:
    """True if the cross-sections of a body beside the fuselage and of the fuselage share a place."""
    for x in {station.x for station in (*one.stations, *main.stations)}:
        a, b = _cut(one, x), _cut(main, x)
        if a is None or b is None:
            continue
        beside = abs(one.y) - a.width / 2 >= b.width / 2
        above = abs(a.z - b.z) >= (a.height + b.height) / 2
        if not (beside or above):
            return True
    return False


def _through(wheel: Wheel, surface: Surface) -> bool:
    """True if the wheel's disc, seen from the side, holds a point of the chord line of the wing there."""
    for inner, outer in pairwise(surface.stations):
        if not inner.out <= wheel.y <= outer.out:
            continue
        f = _between(wheel.y, inner.out, outer.out)
        lead = surface.x + inner.back + f * (outer.back - inner.back)
        chord = inner.chord + f * (outer.chord - inner.chord)
        height = surface.z + inner.up + f * (outer.up - inner.up)
        middle, radius = wheel.z + wheel.diameter / 2, wheel.diameter / 2
        near = min(max(wheel.x, lead), lead + chord)
        drop = height - (near - lead) * math.sin(surface.incidence)
        return math.hypot(near - wheel.x, drop - middle) < radius
    return False
