"""One aeroplane evaluated for the page: first what answers within a blink, then the rest, given up when superseded.

The quick figures (mass, balance, lift, trim, speeds) come from the same functions, models and draws as the whole
study, so their values and outer bands are its numbers to the last bit. What each rests on, and after a change also the
parts of its band (measured, published), follow with the rest; until then those are the parts of before, and the view
names the figures in ``bands``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from planewright import __version__
from planewright.analysis.air import air_model
from planewright.analysis.mass import mass_model
from planewright.documents.cutting.plan import Plan
from planewright.errors import Cancelled, Fault, PlanewrightError
from planewright.geometry import derive
from planewright.knowledge import prior_knowledge
from planewright.knowledge.draws import COUNT, SEED, Draws, at_medians
from planewright.knowledge.model import Kind, Knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.project import Project
from planewright.study import Document, Study, evaluate, trial_rows
from planewright.study.chart import Chart
from planewright.study.charts import charts
from planewright.study.conditions import condition_of
from planewright.study.figures import (
    COVERAGE,
    Inputs,
    Label,
    Nested,
    computed,
    decimals_of,
    drawn,
    finite_median,
    interval,
    variance,
)
from planewright.study.labels import labels, worded
from planewright.study.model import Expected, Figure
from planewright.study.models import DENSITY, Models, attempt, spread_stall
from planewright.study.numbers import Numbers, balance, level_flight, turns, weights
from planewright.study.study import TYPED, exact_numbers
from planewright.units.showing import System
from planewright.web.api import Cuts, Engines, Flying, SiteRecord, TrialRecord
from planewright.web.fieldwork import described_now, site_record
from planewright.web.mesh import Mesh, make_mesh
from planewright.web.records import fault_records
from planewright.web.strengthwire import Strength
from planewright.web.trialview import full_record

Stopped = Callable[[], bool]
WANTED = "Draw a wing, a body and a battery: with something that weighs, the numbers begin."
INNER: tuple[tuple[Kind, ...], ...] = (("measured", "published"), ("measured",))
NO_INPUTS = Inputs.of((), np.empty((0, 0)))


class Watched(Draws):
    """Draws that look up whenever they are asked, and raise Cancelled once the answer is no longer wanted."""

    def __init__(
        self,
        knowledge: Knowledge,
        stopped: Stopped,
        kinds: frozenset[Kind] = frozenset(("assumed", "published", "measured")),
    ) -> None:
        super().__init__(knowledge, COUNT, SEED, kinds)
        self.stopped = stopped

    def only(self, *kinds: Kind) -> Watched:
        """The same draws with all quantities of other kinds set to their median."""
        return Watched(self.knowledge, self.stopped, frozenset(kinds))

    def state(self, base: str, owner: str = "") -> np.ndarray:
        """Draws of z; raises Cancelled when superseded."""
        if self.stopped():
            raise Cancelled("a newer change is being worked out")
        return super().state(base, owner)


@dataclass(frozen=True)
class View:
    """One revision as far as it is worked out.

    ``document`` mixes fresh figures with those of the view before, whose ids stand in ``working``; of those in
    ``bands`` value and outer band are fresh, the parts of the band are those of before. ``study`` is None where a
    fault stops the work.
    """

    revision: int
    project: Project
    study: Study | None = None
    document: Document | None = None
    charts: tuple[Chart, ...] = ()
    working: tuple[str, ...] = ()
    bands: tuple[str, ...] = ()
    expects: Mapping[str, tuple[Expected, ...]] = field(default_factory=dict)
    mesh: Mesh | None = None
    trials: tuple[TrialRecord, ...] = ()
    engines: Engines | None = None
    flying: Flying | None = None
    strength: Strength | None = None
    plan: Plan | None = None
    cuts: Cuts | None = None
    place: SiteRecord | None = None
    failures: tuple[Fault, ...] = ()
    quick_ms: float = 0.0
    study_ms: float = 0.0
    fresh: frozenset[str] = field(default_factory=frozenset)


def never() -> bool:
    """A question of nobody: the answer stays wanted."""
    return False


def quick_models(plane: Plane, ledger: Ledger, knowledge: Knowledge) -> Models:
    """Geometry, mass and air as every study makes them; neither strength nor power."""
    why: dict[str, str] = {}
    geometry = derive(plane)
    air = attempt("air", lambda: air_model(geometry), why) if geometry.wing is not None else None
    mass = mass_model(geometry, ledger)
    if air is not None and mass.items:
        air = spread_stall(air, mass, at_medians(knowledge), DENSITY)
    return Models(plane, ledger, geometry, mass, air, None, None, DENSITY, why)


def start_study(project: Project, stopped: Stopped = never) -> Study | None:
    """A study of a project for the quick figures; None when there is no aeroplane or a fault stops."""
    if project.plane is None or project.knowledge is None or project.stops:
        return None
    draws = Watched(project.knowledge, stopped)
    models = quick_models(project.plane, project.ledger, project.knowledge)
    return Study(project.plane, project.ledger, project.knowledge, project.site, models, draws)


def quick_numbers(models: Models, draws: Draws) -> Numbers:
    """Mass, balance, lift, trim and speeds: no engine, no strength, no field."""
    found = Numbers(draws.count)
    mass = models.mass.evaluate(draws)
    weights(models, draws, mass, found)
    if models.air is not None:
        balance(models, draws, mass, found)
        turns(models, level_flight(models, draws, mass, found), found)
    return found


def quick_figures(study: Study, known: Mapping[str, Figure] | None = None) -> dict[str, Figure]:
    """The figures that need neither engine nor strength; what they rest on is left open.

    ``known``: the figures before a change. Given, and holding all of them, only the outer draws are made, and the
    parts of each band are taken over (:func:`kept_parts`); else all three sets are.
    """
    exact = exact_numbers(study.models)
    outer = quick_numbers(study.models, study.draws)
    names = [name for name in labels() if name in exact or _worked_out(outer, name)]
    old = known or {}
    if all(name in exact or is_typed(name, outer) or _has_parts(old.get(name)) for name in names):
        inner = None
    else:
        inner = [quick_numbers(study.models, study.draws.only(*kinds)) for kinds in INNER]
    found: dict[str, Figure] = {}
    for name in names:
        label, condition = (
            worded(name, labels()[name], study.models),
            condition_of(name, study.plane, study.site),
        )
        if name in exact:
            found[name] = drawn(exact[name], label, condition)
        elif is_typed(name, outer):
            found[name] = drawn(float(outer[name][0]), label, condition)
        elif inner is None:
            found[name] = kept_parts(outer[name], label, condition, old[name])
        else:
            nested = Nested.about_median(outer[name], *(one[name] for one in inner))
            found[name] = computed(nested, label, NO_INPUTS, condition)
    return found


def _worked_out(numbers: Numbers, name: str) -> bool:
    return name in numbers and bool(np.isfinite(numbers[name]).any())


def is_typed(name: str, outer: Numbers) -> bool:
    """True for a figure that a file fixes: it has no band then."""
    return name in TYPED and math.sqrt(variance(outer[name])) <= 1e-9 * abs(float(outer[name][0]))


def _has_parts(figure: Figure | None) -> bool:
    return figure is not None and None not in (figure.measured_published, figure.measured_only, figure.shares)


def kept_parts(
    draws: npt.NDArray[np.float64], label: Label, condition: Mapping[str, float | str], old: Figure
) -> Figure:
    """A figure of its outer draws (N,), with the parts of the band of ``old`` moved along with its value and kept
    inside the new band: what is measured and published of it is worked out later."""
    value, outer = finite_median(draws), interval(draws)
    step = value - old.value
    middle = _moved_into(old.measured_published or outer, step, outer)
    return Figure(
        value=value,
        unit=label.unit,
        kind="computed",
        low=outer[0],
        high=outer[1],
        measured_published=middle,
        measured_only=_moved_into(old.measured_only or middle, step, middle),
        coverage=COVERAGE,
        shares=old.shares,
        decimals=decimals_of(math.sqrt(variance(draws))),
        condition=dict(condition),
        name=label.name,
        term=label.term,
        method=label.method,
        group=label.group,
    )


def _moved_into(band: tuple[float, float], step: float, outer: tuple[float, float]) -> tuple[float, float]:
    low, high = (min(max(end + step, outer[0]), outer[1]) for end in band)
    return low, high


def quick_view(revision: int, project: Project, study: Study, before: View | None) -> View:
    """The view with quick figures and shape fresh and all else as before, named in ``working``."""
    old = before.document if before else None
    known = old.figures if old else {}
    fresh = quick_figures(study, known)
    figures = {
        name: _kept_inputs(fresh[name], known.get(name)) if name in fresh else known[name]
        for name in labels()
        if name in fresh or name in known
    }
    slow = [name for name in labels() if name not in fresh and (name in known or old is None)]
    rows = old.findings if old else ()
    return View(
        revision,
        project,
        study,
        quick_document(project, study, figures, old),
        charts=before.charts if before else (),
        working=(*slow, *(one.id for one in rows), "verdict"),
        mesh=make_mesh(study),
        trials=before.trials if before else (),
        engines=before.engines if before else None,
        flying=before.flying if before else None,
        strength=before.strength if before else None,
        plan=before.plan if before else None,
        cuts=before.cuts if before else None,
        place=described_now(project.site, before.place if before else None) if project.site else None,
        expects=before.expects if before else {},
        bands=tuple(name for name, one in fresh.items() if name in known and one.kind == "computed"),
        fresh=frozenset(fresh),
    )


def quick_document(
    project: Project, study: Study, figures: dict[str, Figure], old: Document | None
) -> Document:
    """A document of fresh and kept figures; findings, verdict and tests are those of ``old``."""
    return Document.model_validate(
        {
            "schema": "planewright/study/1",
            "version": __version__,
            "project": study.plane.name,
            "faults": fault_records((*project.faults, *study.questions)),
            "figures": figures,
            "findings": old.findings if old else (),
            "verdict": old.verdict if old else None,
            "inputs_hash": project.inputs_hash,
            "absent": old.absent if old else (),
            "weights": study.weights,
            "trials": trial_rows(project.trials, study.knowledge),
            "tests": old.tests if old else (),
            "following": old.following if old else (),
            "defaults": tuple((one.path, one.value) for one in study.plane.defaults),
        }
    )


def bare_view(revision: int, project: Project, error: PlanewrightError) -> View:
    """The view of an aeroplane of which nothing can be worked out yet, with the reason."""
    plane = project.plane
    assert plane is not None and project.knowledge is not None
    why = Fault("aeroplane.toml", 0, "", f"cannot be worked out yet: {error}", "", WANTED, "note")
    document = Document.model_validate(
        {
            "schema": "planewright/study/1",
            "version": __version__,
            "project": plane.name,
            "faults": fault_records((*project.faults, why)),
            "inputs_hash": project.inputs_hash,
            "trials": trial_rows(project.trials, project.knowledge),
            "defaults": tuple((one.path, one.value) for one in plane.defaults),
        }
    )
    return View(revision, project, None, document, failures=(why,))


def _kept_inputs(fresh: Figure, old: Figure | None) -> Figure:
    """The fresh figure with the inputs of the one before, until its own are worked out."""
    return fresh.model_copy(update={"rests_on": old.rests_on}) if old is not None else fresh


def whole_study(project: Project, draws: Draws) -> Study:
    """The study as every other door makes it, on draws that may be given up."""
    assert project.plane is not None and project.knowledge is not None
    study = evaluate(project.plane, project.ledger, project.knowledge, project.site)
    return replace(study, draws=draws)


def whole_view(view: View, system: System = "metric") -> View:
    """The view with the whole document and field. Raises Cancelled when superseded meanwhile."""
    project = view.project
    assert view.study is not None
    study = whole_study(project, view.study.draws)
    expects = study.expectations((one.id, one.kind, one.of) for one in project.trials if one.planned)
    rows = trial_rows(project.trials, study.knowledge, system, expects)
    document = study.document(project.inputs_hash, project.faults, rows)
    field_plan = site_record(project.site, study) if project.site else None
    fresh = replace(view, study=study, document=document, expects=expects, place=field_plan)
    return replace(fresh, working=(), bands=())


def with_charts(view: View) -> View:
    """The view with the charts of its study. Raises Cancelled when superseded meanwhile."""
    assert view.study is not None
    return replace(view, charts=charts(view.study))


def with_trials(view: View, stopped: Stopped) -> View:
    """The view with the charts of its trials. Raises Cancelled when superseded meanwhile."""
    study, project = view.study, view.project
    assert study is not None
    prior = prior_knowledge(study.plane, study.site.surface if study.site else "")
    found = []
    for one in project.trials:
        if stopped():
            raise Cancelled("a newer change is being worked out")
        found.append(full_record(one, study, prior))
    return replace(view, trials=tuple(found))
