"""The aeroplane as described: frozen, in SI units and radians, checked when it is read.

Axes are the drawing axes: x aft from the nose tip, y to the right, z up from the body line.
Half-surfaces are described once, from the centreline outward (a fin from its foot upward).
Nothing here is worked out: areas, masses and the like are derived in ``geometry`` and ``analysis``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

SurfaceKind = Literal["wing", "tailplane", "fin"]
BuildWay = Literal["folded", "ribs", "sheet", "kinked", "box", "shell"]
StockKind = Literal[
    "foam board",
    "cardboard",
    "plywood",
    "pine stick",
    "packing tape",
    "hot melt",
    "polyurethane",
    "white glue",
]
StiffWay = Literal["long", "short", "none"]
ControlKind = Literal["aileron", "elevator", "rudder", "flap"]


@dataclass(frozen=True)
class Default:
    """A value the file left out. ``path`` is where it would stand, ``value`` is how it would be written."""

    path: str
    value: str


@dataclass(frozen=True)
class Damage:
    """A spoilt corner of a sheet lying with its longer side across: which corner, and how much of it, m."""

    at: str
    size: tuple[float, float]


@dataclass(frozen=True)
class Pile:
    """Sheets of one stock that differ from the others: off-cuts, damaged or weighed ones. Lengths m, mass kg of one.

    ``sheet``: both sides, None: as the stock. ``stiff``: along which side, None: as the stock.
    """

    sheet: tuple[float, float] | None = None
    count: int | None = None
    mass: float | None = None
    stiff: StiffWay | None = None
    damaged: tuple[Damage, ...] = ()


@dataclass(frozen=True)
class Stock:
    """One material as bought and weighed.

    Lengths in m, masses in kg. ``mass`` is that of one sheet or one stick, ``line_mass`` of tape in kg/m.
    ``spread`` is the standard deviation of ``mass`` between pieces (0 when not stated).
    ``allowance`` of a glue is its mass as a fraction of the board mass it joins.
    ``stiff``: the side of a sheet along which it bends least, None when nobody tried. ``pile``: sheets that differ,
    besides the ``count`` equal ones.
    """

    name: str
    kind: StockKind
    sheet: tuple[float, float] | None = None
    section: tuple[float, float] | None = None
    length: float | None = None
    thickness: float | None = None
    width: float | None = None
    mass: float | None = None
    line_mass: float | None = None
    spread: float | None = None
    count: int | None = None
    allowance: float | None = None
    stiff: StiffWay | None = None
    pile: tuple[Pile, ...] = ()

    @property
    def areal_mass(self) -> float | None:
        """Mass per area of a sheet, kg/m2, from its own weighing; None when it was not weighed."""
        if self.mass is None or self.sheet is None:
            return None
        return self.mass / (self.sheet[0] * self.sheet[1])

    @property
    def density(self) -> float | None:
        """Density of a stick, kg/m3, from its own weighing; None when it was not weighed."""
        if self.mass is None or self.section is None or self.length is None:
            return None
        return self.mass / (self.section[0] * self.section[1] * self.length)


@dataclass(frozen=True)
class Section:
    """A wing section. ``kind`` "named" has coordinates shipped with the tool, "naca" is a four-digit formula,
    "flat" a plate (of its sheet's thickness), "file" carries its own ``points`` of shape (n, 2), chord 1,
    from the trailing edge over the top to the nose and back along the bottom. ``figures``: polars worked out for this
    section, handed in by the door that opened the project (None: none); two sections are the same without them."""

    kind: Literal["named", "naca", "flat", "file"]
    name: str
    points: tuple[tuple[float, float], ...] = ()
    figures: object | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Station:
    """One station of a surface. ``out``, ``back``, ``up``, ``chord`` in m, ``twist`` in rad (nose up positive).

    ``out`` is the distance from the centreline seen from above (for a fin the height above its foot),
    ``back`` and ``up`` place the leading edge relative to the surface's own ``x`` and ``z``.
    """

    out: float
    chord: float
    back: float = 0.0
    up: float = 0.0
    twist: float = 0.0
    section: Section = Section("flat", "flat")


@dataclass(frozen=True)
class Build:
    """How a surface or body is made. Stock names point into ``Plane.stock``; pitches in m."""

    way: BuildWay
    skin: str | None = None
    rib: str | None = None
    rib_pitch: float | None = None
    edge: str | None = None
    corners: str | None = None
    former: str | None = None
    former_pitch: float | None = None
    floor: str | None = None
    corner_radius: float = 0.0
    sides: int = 8
    kink: float = 0.25
    camber: float = 0.03
    folds: tuple[float, ...] = ()


@dataclass(frozen=True)
class Spar:
    """A spar ``at`` a fraction of the chord, with two cap sticks and a web, from the centreline ``to`` (m, out)."""

    at: float
    caps: str
    web: str
    to: float


@dataclass(frozen=True)
class Joint:
    """Where a wing comes apart (``joiner``, ``reach``) or folds (``hinge``, ``pin``, ``latch``, ``apart``). m, kg."""

    name: str
    out: float
    joiner: str | None = None
    reach: float | None = None
    hinge: str | None = None
    pin: str | None = None
    latch: str | None = None
    apart: float | None = None
    mass: float | None = None

    @property
    def folds(self) -> bool:
        """True for a hinged panel."""
        return self.hinge is not None


@dataclass(frozen=True)
class Surface:
    """A wing, tailplane or fin.

    ``x``, ``z``: leading edge of its first station's chord (m). ``y``: 0, or the offset of a fin or of a
    surface written with a ``y``. ``paired``: built on both sides of the centreline (a wing, a tailplane,
    twin fins with ``y`` > 0). ``incidence`` in rad. ``article``: mark of the one that is built and flies ("": the
    first); what was proved of another mark does not count for it.
    """

    name: str
    kind: SurfaceKind
    x: float
    z: float
    stations: tuple[Station, ...]
    build: Build
    y: float = 0.0
    paired: bool = True
    incidence: float = 0.0
    spars: tuple[Spar, ...] = ()
    joints: tuple[Joint, ...] = ()
    article: str = ""

    @property
    def half_span(self) -> float:
        """Distance from first to last station seen from above (height of a fin), m."""
        return self.stations[-1].out - self.stations[0].out


@dataclass(frozen=True)
class BodyStation:
    """A cross-section of a body: ``x`` behind the nose tip, ``width``, ``height``, ``z`` of its middle; m."""

    x: float
    width: float
    height: float
    z: float = 0.0


@dataclass(frozen=True)
class Body:
    """A fuselage (``y`` 0) or a nacelle (``y`` > 0: one each side when ``paired``)."""

    name: str
    stations: tuple[BodyStation, ...]
    build: Build
    y: float = 0.0
    paired: bool = False


@dataclass(frozen=True)
class Control:
    """A moving surface. ``start``, ``end``: out along its surface (m). ``chord``: fraction of the local chord.

    ``up``, ``down``: greatest travel in rad, both positive. ``servos``: how many servos move it on one side
    (a paired surface on a paired part has one a side; ``count`` in the file overrides the whole number).
    """

    name: str
    kind: ControlKind
    on: str
    start: float
    end: float
    chord: float
    up: float
    down: float
    hinge: str
    servo: str
    count: int


@dataclass(frozen=True)
class Servo:
    """A servo: ``mass`` kg, ``torque`` N m at ``voltage`` V; ``x``, ``z`` m where it is not in its surface."""

    name: str
    mass: float
    torque: float
    voltage: float
    x: float | None = None
    z: float | None = None


@dataclass(frozen=True)
class Wheel:
    """A leg of the undercarriage. ``z`` is where the tyre meets the ground; ``y`` > 0 is one each side."""

    name: Literal["nose", "main", "tail"]
    x: float
    y: float
    z: float
    diameter: float
    mass: float
    leg: str = ""
    steers: str = ""
    servo: str | None = None


@dataclass(frozen=True)
class Motor:
    """An electric motor: ``mass`` kg, ``speed_constant`` rad/s per V, ``resistance`` ohm, ``idle`` current A."""

    mass: float
    speed_constant: float
    resistance: float
    idle: float


@dataclass(frozen=True)
class Propeller:
    """A propeller: ``diameter``, ``pitch`` m; ``width`` is the blade width at three quarters of the radius, m."""

    diameter: float
    pitch: float
    blades: int = 2
    mass: float = 0.0
    turns: str = ""
    width: float | None = None


@dataclass(frozen=True)
class Claim:
    """A seller's figure, kept apart: thrust N at volts and amperes. Any may be None."""

    thrust: float | None = None
    volts: float | None = None
    amps: float | None = None
    text: str = ""


@dataclass(frozen=True)
class Fan:
    """A ducted fan: duct ``inside`` and ``hub`` diameters, ``mouth`` and ``nozzle`` diameters, m; ``mass`` kg."""

    inside: float
    hub: float
    mouth: float
    nozzle: float
    blades: int
    mass: float


@dataclass(frozen=True)
class Controller:
    """A motor controller: ``mass`` kg, current ``limit`` A, ``x`` m (None: with its engine)."""

    mass: float
    limit: float | None = None
    x: float | None = None


@dataclass(frozen=True)
class Engine:
    """One engine that is really there: ``name`` is "engine", or "engine.left" and "engine.right" of a pair.

    ``y`` carries its sign (left negative). ``table``: rows of a measured propeller or thrust table given by
    the builder, as (advance ratio, CT, CP) or empty. ``make`` is a key that is equal for engines of like
    hardware: they share the make's knowledge.
    """

    name: str
    kind: Literal["propeller", "fan"]
    x: float
    y: float
    z: float
    serial: str
    make: str
    motor: Motor | None = None
    propeller: Propeller | None = None
    fan: Fan | None = None
    controller: Controller | None = None
    claim: Claim | None = None
    table: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Battery:
    """The flight pack. ``charge`` C (A s) of one pack, ``mass`` kg and ``resistance`` ohm of one pack,
    ``count`` packs in parallel, ``x``, ``z`` of the middle, ``slide`` the range of ``x`` the tray allows; m."""

    cells: int
    charge: float
    mass: float
    resistance: float | None
    x: float
    z: float = 0.0
    count: int = 1
    slide: tuple[float, float] | None = None
    serial: str = ""


@dataclass(frozen=True)
class Equipment:
    """Anything else with a mass (kg) and a place (m)."""

    name: str
    mass: float
    x: float
    y: float = 0.0
    z: float = 0.0


@dataclass(frozen=True)
class FirstFlight:
    """The plan for the first flight: ``time`` s, ``bank`` rad, ``speed`` m/s. None where not written."""

    time: float | None = None
    bank: float | None = None
    speed: float | None = None


@dataclass(frozen=True)
class Limits:
    """The builder's limits: ``load`` limit load factor, ``placard`` speed m/s, wished ``static_margin`` (fraction)."""

    load: float = 3.0
    placard: float | None = None
    static_margin: float | None = None


@dataclass(frozen=True)
class Plane:
    """One aeroplane, whole. A file that holds only a wing gives a Plane with only a wing.

    ``defaults`` lists every value that silence gave; ``written`` keeps the text of each quantity by its path
    (``wing.stations.1.chord`` -> ``"360 mm"``), so that what was written is what is shown.
    """

    name: str
    configuration: str
    stock: Mapping[str, Stock] = field(default_factory=dict)
    surfaces: tuple[Surface, ...] = ()
    bodies: tuple[Body, ...] = ()
    controls: tuple[Control, ...] = ()
    servos: Mapping[str, Servo] = field(default_factory=dict)
    wheels: tuple[Wheel, ...] = ()
    engines: tuple[Engine, ...] = ()
    battery: Battery | None = None
    equipment: tuple[Equipment, ...] = ()
    limits: Limits = Limits()
    first_flight: FirstFlight = FirstFlight()
    mass_limit: float | None = None
    show: Literal["metric", "imperial"] = "metric"
    defaults: tuple[Default, ...] = ()
    written: Mapping[str, str] = field(default_factory=dict)

    def surface(self, name: str) -> Surface | None:
        """The surface of that name, or None."""
        return next((one for one in self.surfaces if one.name == name), None)

    def of_kind(self, kind: SurfaceKind) -> tuple[Surface, ...]:
        """All surfaces of one kind, in file order."""
        return tuple(one for one in self.surfaces if one.kind == kind)

    @property
    def wing(self) -> Surface | None:
        """The reference wing: the one of largest plan, i.e. the first of kind "wing" by drawn size."""
        wings = self.of_kind("wing")
        return max(wings, key=plan_area) if wings else None


def plan_area(surface: Surface) -> float:
    """Area of the surface as drawn flat (both halves of a pair), m2: sum of trapezia between stations."""
    pairs = zip(surface.stations[:-1], surface.stations[1:], strict=True)
    half = sum((b.out - a.out) * (a.chord + b.chord) / 2 for a, b in pairs)
    return half * (2 if surface.paired else 1)
