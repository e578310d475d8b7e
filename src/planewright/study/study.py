"""The study of one aeroplane: everything that every door shows, from what was drawn, weighed and tested.

``evaluate`` opens no file and reads no clock. Pieces are worked out when first asked for and then kept.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planewright import __version__
from planewright.analysis.field import FieldPlan
from planewright.analysis.handling import transport
from planewright.analysis.mass.items import DRAWN
from planewright.analysis.strength import JointNeed
from planewright.calibrate.protocol import Bench
from planewright.errors import Fault, NotConverged, OutOfRange
from planewright.findings import (
    Finding,
    Limit,
    Row,
    judge,
    judge_evidence,
    judge_number,
    load_limits,
    verdict_of,
)
from planewright.findings.judge import bounds_of
from planewright.findings.verdict import LAW, WORDS, first_reason, ranked
from planewright.geometry import tail_volumes
from planewright.knowledge.draws import COUNT, SEED, Draws, at_medians
from planewright.knowledge.model import Knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.site.model import Site
from planewright.study.conditions import condition_of
from planewright.study.evidence import evidence_rows, field_row, taken_in_row
from planewright.study.figures import Inputs, Label, Nested, computed, drawn
from planewright.study.ground import FIELD_FIGURES, field_words, ground, plan_of, today
from planewright.study.handle import HANDLE_FIGURES, handle, stall_turn
from planewright.study.labels import labels, worded
from planewright.study.model import (
    Absent,
    Document,
    Expected,
    FaultRecord,
    Figure,
    MassRow,
    NextTest,
    TrialRow,
    Verdict,
)
from planewright.study.models import Models, make_models
from planewright.study.next import EVERY, Thinned, expected_of, next_tests
from planewright.study.numbers import Flown, Numbers, guarded, numbers
from planewright.study.settle import tests_for
from planewright.study.steer import HANDLING_FIGURES, steer, tip_lift_words, top_speed
from planewright.study.words import doubt_words

Array = npt.NDArray[np.float64]

STALE = "trials not taken in: run calibrate"
FIRST_MARGIN = 0.10
BAND_FIGURE = "stall_speed_band"


@dataclass(frozen=True)
class Study:
    """One aeroplane evaluated. Made by :func:`evaluate`; ``models`` are nominal, ``draws`` the seeded matrix."""

    plane: Plane
    ledger: Ledger
    knowledge: Knowledge
    site: Site | None
    models: Models
    draws: Draws

    @cached_property
    def outer(self) -> tuple[Numbers, Flown | None]:
        """All numbers with every input varying."""
        return all_numbers(self.models, self.draws, self.site)

    @cached_property
    def inner(self) -> tuple[Numbers, Numbers]:
        """All numbers with measured and published inputs varying, and with measured ones alone."""
        middle, core = self.draws.only("measured", "published"), self.draws.only("measured")
        return all_numbers(self.models, middle, self.site)[0], all_numbers(self.models, core, self.site)[0]

    def nested(self, name: str) -> Nested:
        """The three sets of draws of one figure."""
        middle, core = self.inner
        return Nested.about_median(self.outer[0][name], middle[name], core[name])

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """All figures in the order of the sheet."""
        inputs = Inputs.of(*self.draws.matrix())
        exact = self.exact
        found: dict[str, Figure] = {}
        for name, label in labels().items():
            if name in exact:
                found[name] = drawn(exact[name], label, self.condition(name))
            elif name in self.outer[0]:
                figure = self._computed(name, worded(name, label, self.models), inputs)
                if figure is not None:
                    found[name] = figure
            elif name == BAND_FIGURE and "stall_speed" in found:
                found[name] = width_figure(found["stall_speed"], label)
        return found

    def _computed(self, name: str, label: Label, inputs: Inputs) -> Figure | None:
        nested = self.nested(name)
        if not np.isfinite(nested.all).any():
            self.outer[0].miss("no draw gives a number", name)
            return None
        if name in TYPED and nested.spread <= 1e-9 * abs(float(nested.all[0])):
            return drawn(float(nested.all[0]), label, self.condition(name))
        return computed(nested, label, inputs, self.condition(name))

    @cached_property
    def exact(self) -> dict[str, float]:
        """Numbers that follow exactly from the drawing."""
        return exact_numbers(self.models)

    def condition(self, name: str) -> dict[str, float | str]:
        """Speed, pack and ground under which a figure holds, where they matter."""
        return condition_of(name, self.plane, self.site)

    @cached_property
    def bounds(self) -> dict[str, float]:
        """Limits that the aeroplane's and the site's own files give."""
        return own_bounds(self.plane, self.site, self.outer[0])

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, ranked."""
        return ranked((*self._numeric(), *self._evidence()))

    def _numeric(self) -> Iterable[Finding]:
        limits = load_limits()
        for limit in limits:
            bound = bounds_of(limits, self.bounds).get(limit.id)
            if limit.figure == BAND_FIGURE and BAND_FIGURE in self.figures:
                width = self.figures[BAND_FIGURE].value
                yield judge_number(limit, bound or width, width, "m/s", "the band itself")
                continue
            if limit.figure not in self.outer[0]:
                if (
                    limit.kind == "block"
                    and limit.figure in self.outer[0].absent.keys() - self.outer[0].not_asked
                ):
                    yield not_worked_out(limit, self.outer[0].absent[limit.figure])
                continue
            if bound is None:
                continue
            nested = self.nested(limit.figure)
            unit = labels()[limit.figure].unit
            figure = self.figures.get(limit.figure)
            words = doubt_words(figure.shares) if figure and figure.shares else "as drawn"
            if limit.id == "battery_stop" and "battery_window_aft" in self.outer[0]:
                words = f"{words}; {stop_words(float(np.nanmedian(self.outer[0]['battery_window_aft'])))}"
            row = Row(nested.all, nested.measured_published, nested.measured, unit, words)
            yield finite(judge(limit, bound, row))

    def _evidence(self) -> Iterable[Finding]:
        rows = evidence_rows(self.plane, self.ledger, self.knowledge, joint_moments(self.models))
        return (*rows, field_row(self.site), taken_in_row(self.knowledge))

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict over all blocking rows."""
        decided = verdict_of(self.findings)
        mass = self.figures.get("mass")
        sentence = first_reason(self.findings)
        if self.knowledge.stale:
            sentence = f"{STALE[:1].upper()}{STALE[1:]}. {sentence}"
        return Verdict(
            id=decided,
            says=WORDS[decided],
            sentence=sentence,
            configuration=self.plane.configuration,
            mass_range=(mass.low, mass.high)
            if mass and mass.low is not None and mass.high is not None
            else None,
            field=self.site.name if self.site else "",
            limits=self._limits_in_words(),
            today=today(self.site, self.outer[0]),
        )

    def _limits_in_words(self) -> tuple[str, ...]:
        found = [f"load factor {self.plane.limits.load:g}"]
        if self.plane.limits.placard is not None:
            found.append(f"placard {self.plane.limits.placard:g} m/s")
        for name, words in (("wind_limit_cross", "wind across"), ("wind_limit", "wind with gusts")):
            if name in self.figures:
                found.append(f"{words} {self.figures[name].value:.1f} m/s")
        if "mass" in self.outer[0]:
            found += tip_lift_words(self.models, float(np.nanmedian(self.outer[0]["mass"])))
        return (*found, *loosened(self.plane), LAW)

    @cached_property
    def weights(self) -> tuple[MassRow, ...]:
        """The table of weights, kg and m."""
        rows = []
        for row in self.models.mass.rows(self.draws):
            weighed = row.mass if row.how == "weighed" else None
            x, y, z = row.centre
            rows.append(
                MassRow(
                    part=row.part,
                    drawn=row.drawn,
                    weighed=weighed,
                    used=row.mass,
                    x=x,
                    y=y,
                    z=z,
                    state=row.how,
                )
            )
        return tuple(rows)

    @property
    def questions(self) -> tuple[Fault, ...]:
        """Weighings that are asked about and left out of the sum."""
        return self.models.mass.questions

    @property
    def field_words(self) -> tuple[str, ...]:
        """What speaks about this field on the planned day, in sentences."""
        return field_words(self.site, self.outer[0])

    @cached_property
    def plan(self) -> FieldPlan | None:
        """Geometry of the field plan; None without a site."""
        return plan_of(self.draws, self.site, self.outer[0]) if self.site is not None else None

    @cached_property
    def following(self) -> tuple[NextTest, ...]:
        """What to test next, best first, from every fourth of the draws."""
        bench = Bench(self.knowledge, self.models.geometry, self.ledger)
        wanted = {
            one.figure for one in self.findings if one.state == "crosses" and one.figure in self.outer[0]
        }
        figures = {name: self.outer[0][name][::EVERY] for name in sorted(wanted)}
        return next_tests(bench, Thinned(self.draws, EVERY), self.findings, figures)

    def expectations(self, planned: Iterable[tuple[str, str, str]]) -> dict[str, tuple[Expected, ...]]:
        """What planned trials, each (id, kind, part), should read by what is known now."""
        bench = Bench(self.knowledge, self.models.geometry, self.ledger)
        states = Thinned(self.draws, EVERY)
        return {name: expected_of(bench, kind, of, states) for name, kind, of in planned}

    def absent(self) -> tuple[Absent, ...]:
        """Figures that could not be worked out, with the reason, in order of the sheet."""
        missing = self.outer[0].absent
        return tuple(
            Absent(figure=name, why=missing[name])
            for name in labels()
            if name in missing and name not in self.figures
        )

    def document(
        self, inputs_hash: str = "", faults: Iterable[Fault] = (), trials: Iterable[TrialRow] = ()
    ) -> Document:
        """The one JSON document. ``faults``: what the reader asked about; ``trials``: rows of all records."""
        said = [FaultRecord.model_validate(one.as_dict()) for one in (*faults, *self.questions)]
        return Document.model_validate(
            {
                "schema": "planewright/study/1",
                "version": __version__,
                "project": self.plane.name,
                "faults": tuple(said),
                "figures": self.figures,
                "findings": self.findings,
                "verdict": self.verdict,
                "inputs_hash": inputs_hash,
                "absent": self.absent(),
                "weights": self.weights,
                "trials": tuple(trials),
                "tests": tests_for(self.findings, self.figures, self.knowledge, self.following),
                "following": self.following,
                "defaults": tuple((one.path, one.value) for one in self.plane.defaults),
            }
        )


def width_figure(whole: Figure, label: Label) -> Figure:
    """How wide the band of another figure is; it rests on what that one rests on, and has no band of its own."""
    width = (whole.high or whole.value) - (whole.low or whole.value)
    pair = (width, width)
    return whole.model_copy(
        update={
            "value": width,
            "low": width,
            "high": width,
            "measured_published": pair,
            "measured_only": pair,
            "name": label.name,
            "term": label.term,
            "method": label.method,
            "group": label.group,
            "condition": {},
        }
    )


def stop_words(aft: float) -> str:
    """Where a fixed stop for the battery belongs: the aft limit (m), rounded forward to whole 5 mm."""
    return f"a stop belongs at {math.floor(aft / 0.005 + 1e-9) * 5} mm behind the nose, or further forward"


TYPED = frozenset({"level_speed", "turn_radius", "path_outline", "path_spectators", "path_helpers", "path_pilot",
                   "path_above_trees", "strip_spectators"})  # fmt: skip


def not_worked_out(limit: Limit, why: str) -> Finding:
    """A blocking row whose figure could not be worked out: nothing that nobody knows passes as clear."""
    return judge_evidence(
        limit.id,
        limit.name,
        False,
        f"{limit.name}: worked out and held against its limit",
        f"not worked out: {why}",
        "write what is missing into the file",
        limit.danger,
        limit.source,
    )


def finite(finding: Finding) -> Finding:
    """The finding with sticks cut at a hundred times the scale, so that "never" can be drawn and written."""
    sticks = tuple(
        (max(-100.0, low), min(100.0, max(-100.0, middle)), min(100.0, high))
        for low, middle, high in finding.stick
    )
    value = finding.value if finding.value is not None and math.isfinite(finding.value) else None
    margin = finding.margin if finding.margin is not None and math.isfinite(finding.margin) else None
    return finding.model_copy(update={"stick": sticks, "value": value, "margin": margin})


def all_numbers(models: Models, states: Draws, site: Site | None) -> tuple[Numbers, Flown | None]:
    """Numbers of the aeroplane, of its handling and of the field."""
    found, flown = numbers(models, states)
    if flown is not None:
        guarded(found, HANDLING_FIGURES, lambda: steer(models, states, flown, found))
        guarded(found, HANDLE_FIGURES, lambda: handle(models, states, flown, found))
        guarded(found, FIELD_FIGURES, lambda: ground(states, flown, site, found))
    return found, flown


def exact_numbers(models: Models) -> dict[str, float]:
    """Shape figures of the drawing; tail volumes about the median balance point."""
    wing = models.geometry.wing
    if wing is None or not models.mass.items:
        return {}
    found = {
        "wing_area": wing.area,
        "wing_span": wing.span,
        "aspect_ratio": wing.aspect_ratio,
        "mean_aerodynamic_chord": wing.mean_chord,
        "mean_aerodynamic_chord_x": wing.mean_chord_x,
    }
    folded = transport(models.geometry)
    if folded is not None:
        found |= {
            "folded_span": folded.span,
            "folded_height": folded.height,
            "longest_piece": folded.longest.length,
        }
    balance = models.mass.evaluate(DRAWN).cg[0]
    tail, fin = tail_volumes(models.geometry, float(balance[0]))
    return found | ({"tail_volume": tail} if tail else {}) | ({"fin_volume": fin} if fin else {})


def joint_moments(models: Models) -> Mapping[str, tuple[float, float]]:
    """Moment (N m) that a weight hung on each joint must make at limit load and with all factors, by its part name;
    the panel hangs upside down, so its own weight helps the test."""
    strength = models.strength
    if strength is None:
        return {}
    needs: Mapping[str, JointNeed] = strength.joint_needs()
    return {
        f"{strength.wing}.joint.{name}": (need.hung_limit, need.hung_ultimate) for name, need in needs.items()
    }


def own_bounds(plane: Plane, site: Site | None, found: Numbers) -> dict[str, float]:
    """Limits by key from the files: load factor, mass, margins."""
    wish = plane.limits.static_margin
    bounds = {
        "ultimate_load_factor": 1.5 * plane.limits.load,
        "limit_load_factor": plane.limits.load,
        "wished_static_margin": FIRST_MARGIN if wish is None else wish,
    }
    if plane.mass_limit is not None:
        bounds["mass_limit"] = plane.mass_limit
    if site is not None:
        margins = site.margins
        bounds |= {
            "margin_outline": margins.outline,
            "margin_people": margins.people,
            "margin_helpers": margins.helpers,
            "margin_pilot": margins.pilot,
            "margin_over_trees": margins.over_trees,
        }
    return bounds | found.limits


def loosened(plane: Plane) -> tuple[str, ...]:
    """Limits that the file sets looser than this release's own; shown on every page."""
    found = []
    if plane.limits.load < 3.0:
        found.append(f"loosened by the file: load factor {plane.limits.load:g} instead of 3")
    wish = plane.limits.static_margin
    if wish is not None and wish < FIRST_MARGIN:
        found.append(f"loosened by the file: static margin {wish:.0%} instead of {FIRST_MARGIN:.0%}")
    return tuple(found)


def evaluate(
    plane: Plane,
    ledger: Ledger,
    knowledge: Knowledge,
    site: Site | None = None,
    count: int = COUNT,
    seed: int = SEED,
) -> Study:
    """Evaluate one aeroplane.

    Arguments:
        plane, ledger, site: as read. knowledge: of the same aeroplane, prior or calibrated.
        count: number of seeded draws; seed: of the draws (figures of two seeds differ by sampling only).
    Returns: Study; its pieces are worked out when asked for.
    """
    models = make_models(plane, ledger, knowledge)
    with contextlib.suppress(OutOfRange, NotConverged):
        models = replace(models, top_speed=top_speed(models, at_medians(knowledge)))
    with contextlib.suppress(OutOfRange, NotConverged):
        models = replace(models, stall_turn=stall_turn(models, at_medians(knowledge)))
    return Study(plane, ledger, knowledge, site, models, Draws(knowledge, count, seed))
