"""The charts of a study, as data: the same on page and paper."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.mass.window import static_margin
from planewright.study.chart import Axis, Chart, Mark, Series, Stick
from planewright.study.numbers import EARLY, TIRED
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

SPEEDS = 15
LOW, HIGH = 2.5, 97.5


def band_of(draws: Array) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Median, low and high of draws (points, N), draws that are not numbers left out."""
    low, middle, high = np.nanpercentile(draws, [LOW, 50.0, HIGH], axis=1)
    return tuple(map(float, middle)), tuple(map(float, low)), tuple(map(float, high))


def line(words: str, x: Array, draws: Array, look: str = "line") -> Series:
    """A line with its band from draws (points, N) at ``x`` (points,)."""
    middle, low, high = band_of(draws)
    return Series.model_validate(
        {"words": words, "x": tuple(map(float, x)), "y": middle, "low": low, "high": high, "look": look}
    )


def stick_of(study: Study, name: str, factor: float = 1.0) -> Stick | None:
    """The stick of a figure, in units of ``factor`` SI."""
    figure = study.figures.get(name)
    if figure is None or figure.low is None or figure.high is None:
        return None
    whole = (figure.value, figure.value)
    middle, core = figure.measured_published or whole, figure.measured_only or whole
    return Stick(
        middle=figure.value / factor,
        all=(figure.low / factor, figure.high / factor),
        measured_published=(middle[0] / factor, middle[1] / factor),
        measured=(core[0] / factor, core[1] / factor),
    )


def speeds(study: Study) -> Array:
    """Speeds, m/s, from standing to well above the planned one."""
    top = float(np.nanmedian(study.outer[0]["level_speed"])) * 1.5
    return np.linspace(0.0, top, SPEEDS)


def lift_against_speed(study: Study) -> Chart:
    """Greatest lift against speed, the weight, and the speed at which they meet."""
    found, wing = study.outer[0], study.models.geometry.wing
    assert wing is not None
    x = np.linspace(0.0, 1.4 * float(np.nanmedian(found["stall_speed"])), SPEEDS)
    pressure = 0.5 * study.models.density * x**2 * wing.area
    lift = pressure[:, None] * found["maximum_lift_coefficient"]
    weight = np.broadcast_to(found["mass"] * GRAVITY, (len(x), len(found["mass"])))
    return Chart(
        id="lift_against_speed",
        title="Lift at the largest angle, against speed",
        x=Axis(words="speed", unit="m/s", low=0.0, zero=True),
        y=Axis(words="force", unit="N", low=0.0, zero=True),
        series=(line("most lift", x, lift), line("weight", x, weight)),
        stick=stick_of(study, "stall_speed"),
        notes=("Where lift meets weight it flies; the stick on the axis is that speed.",),
    )


def thrust_against_speed(study: Study) -> Chart:
    """Thrust on a full and a used pack, and drag, against speed."""
    power, air, draws = study.models.power, study.models.air, study.draws
    assert power is not None and air is not None
    x = speeds(study)
    full = np.array([power.thrust(draws, float(one), EARLY).total for one in x])
    tired = np.array([power.thrust(draws, float(one), TIRED).total for one in x])
    mass = study.models.mass.evaluate(draws)
    slow = float(np.nanmedian(study.outer[0]["stall_speed"])) * 1.05
    flying = np.linspace(slow, float(x[-1]), SPEEDS)
    drag = np.array(
        [air.drag(draws, air.trim(draws, mass, float(one), study.models.density)).force for one in flying]
    )
    return Chart(
        id="thrust_against_speed",
        title="Push and drag against speed",
        x=Axis(words="speed", unit="m/s", low=0.0, zero=True),
        y=Axis(words="force", unit="N", low=0.0, zero=True),
        series=(
            line("push, pack 90 %", x, full),
            line("push, pack 30 %", x, tired, "dashed"),
            line("drag", flying, drag),
        ),
        marks=(Mark(words="planned speed", x=float(np.nanmedian(study.outer[0]["level_speed"]))),),
        notes=("Push above drag is climb. Full power.",),
    )


def bending(study: Study) -> Chart:
    """Bending along the half wing at 1 g and at the limit load."""
    strength = study.models.strength
    assert strength is not None
    case = strength.case(study.outer[0]["mass"], study.draws)
    most = strength.limit * float(np.nanmedian(case.moment[0]))
    return Chart(
        id="bending",
        title="Bending along the half wing, lift less own weight",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="moment", unit="N m", low=-0.12 * most, zero=True),
        series=(
            line("level flight", strength.half.y, case.moment),
            line(f"{strength.limit:g} times", strength.half.y, strength.limit * case.moment, "dashed"),
        ),
        marks=tuple(Mark(words=f"joint {one.name}", x=one.out) for one in strength.joints),
    )


def weight_along(study: Study) -> Chart:
    """Where the weight sits along the body."""
    rows = study.weights
    return Chart(
        id="weight_along",
        title="Where the weight sits, from the nose",
        x=Axis(words="behind the nose", unit="mm", low=0.0, zero=True),
        y=Axis(words="mass", unit="g", low=0.0, zero=True),
        series=(
            Series(
                words="parts",
                x=tuple(row.x * 1e3 for row in rows),
                y=tuple(row.used * 1e3 for row in rows),
                look="dots",
                notes=tuple(row.part for row in rows),
            ),
        ),
        stick=stick_of(study, "cg_x", 1e-3),
        notes=("The stick on the axis is the balance point.",),
    )


def battery_places(study: Study) -> Chart:
    """Static margin against the place of the battery."""
    pack, wing, air = study.plane.battery, study.models.geometry.wing, study.models.air
    assert pack is not None and wing is not None and air is not None
    front, rear = pack.slide or (pack.x - 0.1, pack.x + 0.1)
    x = np.linspace(front, rear, SPEEDS)
    draws = study.draws
    base, effect = study.models.mass.evaluate(draws).cg[0], study.models.mass.battery_effect(draws)
    neutral = air.neutral_point_x(draws)
    margin = np.array(
        [static_margin(base + effect * (place - pack.x), neutral, wing.mean_chord) for place in x]
    )
    return Chart(
        id="battery_places",
        title="Balance margin against the place of the battery",
        x=Axis(words="middle of the battery, behind the nose", unit="mm"),
        y=Axis(words="balance margin", unit="%"),
        series=(line("balance margin", x * 1e3, margin * 100.0),),
        marks=(Mark(words="battery now", x=pack.x * 1e3),),
        notes=("10 % is wished for a first flight, 5 % is the least.",),
    )


def charts(study: Study) -> tuple[Chart, ...]:
    """All charts that this aeroplane allows."""
    return tuple(_charts(study))


def _charts(study: Study) -> Iterator[Chart]:
    yield weight_along(study)
    if study.models.air is None:
        return
    if study.plane.battery is not None:
        yield battery_places(study)
    yield lift_against_speed(study)
    if study.models.strength is not None:
        yield bending(study)
    if study.models.power is not None:
        yield thrust_against_speed(study)
