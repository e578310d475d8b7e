"""Will it fit the field? Run and climb over what stands ahead at several weights, and the weight above which it no
longer does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from planewright.analysis.air import air_model
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.field import take_off
from planewright.analysis.field.runway import straight_ahead
from planewright.analysis.model import MassState
from planewright.errors import NotConverged, OutOfRange
from planewright.findings.model import Record
from planewright.geometry import derive
from planewright.knowledge.draws import Draws, at_medians
from planewright.plane.model import Plane
from planewright.site.model import Site
from planewright.study.models import Models
from planewright.study.numbers import EARLY, Flown, Numbers, ground_run, level_flight
from planewright.study.study import Study

FACTOR = 1.3
"""Kept between the distance needed and the distance there is (common practice, no source)."""
SHARES = (0.85, 1.0, 1.15)
LIGHTEST, HEAVIEST, HALVINGS = 0.4, 2.5, 14
CLIMB_OVER_STALL = 1.25
"""Slowest speed of the climb over the stall speed (common practice, no source)."""
FORMULA = "1.3 x (run + height over the trees / climb gradient) <= distance from the start of the run"
TENTH = 0.1


class WeightRow(Record):
    """At one weight: ``mass`` kg, ``stall`` m/s, ``run`` m, climb ``gradient``, ``needed`` m with the factor, ``spare``
    m (None without trees ahead: the strip alone), ``fits``."""

    mass: float
    stall: float
    run: float
    gradient: float
    needed: float
    spare: float
    fits: bool


class ChangeRow(Record):
    """What one change does to the distance needed, m (negative: shorter), at the weight as it is."""

    words: str
    needed: float


class FitRow(Record):
    """The field against the aeroplane. ``strip`` m ahead of the start, ``obstacle`` what stands ahead, ``available`` m
    to it (the strip itself without one), ``height`` m to gain, ``limit`` kg above which it no longer fits (None: not
    below 2.5 times its weight; 0: at no weight looked at)."""

    strip: float
    obstacle: str
    available: float
    height: float
    factor: float
    formula: str
    rows: tuple[WeightRow, ...]
    limit: float | None
    changes: tuple[ChangeRow, ...]
    says: tuple[str, ...]


def fit_row(study: Study) -> FitRow | None:
    """The fit of a study at medians, still air, a 90 % pack; None without a runway, wheels, power or air."""
    site, models = study.site, study.models
    if (
        site is None
        or site.runway is None
        or not study.plane.wheels
        or models.power is None
        or models.air is None
    ):
        return None
    states = at_medians(study.knowledge)
    ahead = ahead_of(site)
    rows = [weighed(study, models, states, share, ahead) for share in SHARES]
    known = tuple(one for one in rows if one is not None)
    if len(known) < len(rows):
        return None
    limit = heaviest(study, states, ahead)
    changes = tuple(sorted(helped(study, states, ahead), key=lambda one: one.needed))
    name, available, height = ahead
    return FitRow(
        strip=take_off(site).length,
        obstacle=name,
        available=available,
        height=height,
        factor=FACTOR,
        formula=FORMULA,
        rows=known,
        limit=limit,
        changes=changes,
        says=tuple(sentences(known, limit, ahead, changes)),
    )


def ahead_of(site: Site) -> tuple[str, float, float]:
    """(name, distance from the start of the run m, height to gain m) of the trees ahead that ask most per metre; the
    strip's own length and no height when nothing stands ahead."""
    heights = {one.name: one.height + site.margins.over_trees for one in site.trees}
    found = straight_ahead(site, 0.0)
    if not found:
        return "", take_off(site).length, 0.0
    name = max(found, key=lambda one: heights[one] / max(found[one], 1.0))
    return name, found[name], heights[name]


def weighed(
    study: Study,
    models: Models,
    states: Draws,
    share: float,
    ahead: tuple[str, float, float],
    thrust: float = 1.0,
    added: float = 0.0,
) -> WeightRow | None:
    """Run and climb with all weights times ``share`` and ``added`` kg; ``thrust`` factor on the push. None where no
    state of flight is found."""
    power = models.power
    assert power is not None and models.air is not None
    old = models.mass.evaluate(states)
    grown = share * (1.0 + added / old.mass[0])
    mass = MassState(old.mass * grown, old.cg, old.inertia * grown)
    found = Numbers(states.count)
    try:
        flown = level_flight(models, states, mass, found)
        speed = np.maximum(flown.speed, CLIMB_OVER_STALL * flown.stall.speed)
        drag = models.air.drag(states, models.air.trim(states, mass, speed, models.density)).force
        push = thrust * power.thrust(states, speed, EARLY).total
        run = float(pushed_run(study, models, states, flown, thrust))
    except (NotConverged, OutOfRange):
        return None
    gradient = float((push - drag)[0] / (mass.mass[0] * GRAVITY))
    _, available, height = ahead
    climb = height / gradient if gradient > 0.0 else (np.inf if height > 0 else 0.0)
    needed = float(min(FACTOR * (run + climb), 1e4))
    return WeightRow(
        mass=float(mass.mass[0]),
        stall=float(flown.stall.speed[0]),
        run=run,
        gradient=gradient,
        needed=needed,
        spare=available - needed,
        fits=needed <= available,
    )


def pushed_run(study: Study, models: Models, states: Draws, flown: Flown, thrust: float) -> float:
    """Run to lift-off, m; a stronger push counts as a lighter aeroplane pulled by the same one, lift unchanged, so the
    run goes with weight over push."""
    assert models.power is not None
    return float(ground_run(models.power, models, states, flown, EARLY)[0]) / thrust


def heaviest(study: Study, states: Draws, ahead: tuple[str, float, float]) -> float | None:
    """Weight, kg, above which it no longer fits: halving between 0.4 and 2.5 times the present weight."""

    def fits(share: float) -> bool:
        row = weighed(study, study.models, states, share, ahead)
        return row is not None and row.fits

    mass = float(study.models.mass.evaluate(states).mass[0])
    if fits(HEAVIEST):
        return None
    if not fits(LIGHTEST):
        return 0.0
    low, high = LIGHTEST, HEAVIEST
    for _ in range(HALVINGS):
        half = (low + high) / 2.0
        low, high = (half, high) if fits(half) else (low, half)
    return low * mass


def helped(study: Study, states: Draws, ahead: tuple[str, float, float]) -> Iterator[ChangeRow]:
    """A tenth off the weight, on the push, on the wing's chords: what each does to the distance needed."""
    models = study.models
    now = weighed(study, models, states, 1.0, ahead)
    if now is None:
        return
    wing = models.plane.wing
    larger = wider(models.plane)
    tries = {
        "a tenth lighter": weighed(study, models, states, 1.0 - TENTH, ahead),
        "a tenth more push": weighed(study, models, states, 1.0, ahead, thrust=1.0 + TENTH),
    }
    if wing is not None:
        own = sum(row.used for row in study.weights if row.part.split(".")[0] == wing.name)
        geometry = derive(larger)
        other = replace(models, plane=larger, geometry=geometry, air=air_model(geometry))
        tries["a tenth more wing chord"] = weighed(study, other, states, 1.0, ahead, added=TENTH * own)
    for words, row in tries.items():
        if row is not None:
            yield ChangeRow(words=words, needed=row.needed - now.needed)


def wider(plane: Plane) -> Plane:
    """The plane with every chord of its reference wing a tenth longer."""
    wing = plane.wing
    assert wing is not None
    stations = tuple(replace(one, chord=one.chord * (1.0 + TENTH)) for one in wing.stations)
    made = replace(wing, stations=stations)
    return replace(plane, surfaces=tuple(made if one is wing else one for one in plane.surfaces))


def sentences(
    rows: tuple[WeightRow, ...],
    limit: float | None,
    ahead: tuple[str, float, float],
    changes: tuple[ChangeRow, ...],
) -> Iterator[str]:
    """The answer, the rule and the most helpful change."""
    name, available, height = ahead
    what = f"the {name}, {height:.0f} m to gain, {available:.0f} m from the start of the run" if name else (
        f"the end of the strip, {available:.0f} m from the start of the run"
    )  # fmt: skip
    if limit is None:
        yield f"It fits at every weight up to {HEAVIEST:g} times its own, against {what}."
    elif limit == 0.0:
        yield f"NO at any weight looked at, against {what}."
    else:
        yield f"NO above {limit:.1f} kg, against {what}."
    yield f"Rule: {FORMULA} (factor and still air: common practice, no source)."
    now = rows[1]
    yield (
        f"At {now.mass:.2f} kg: run {now.run:.0f} m, climb {100 * now.gradient:.0f} %, with the factor "
        f"{now.needed:.0f} m of {available:.0f} m."
    )
    if changes and changes[0].needed < 0:
        yield f"Most helpful change: {changes[0].words}, {-changes[0].needed:.0f} m less."
