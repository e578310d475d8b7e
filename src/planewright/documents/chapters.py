"""Chapters of the book that show one analysis each: weights, strength, lift and drag, power."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from planewright.documents.content import image, weight_rows
from planewright.documents.engines import engine_notes, engine_tables
from planewright.documents.strength import strength_chapter
from planewright.draw.charts import chart_scene
from planewright.study import Study
from planewright.study.chart import Chart
from planewright.study.model import Document
from planewright.study.strength_sheet import strength_charts
from planewright.study.words import band_text, value_text
from planewright.units.showing import System, show

CHART_WIDTH, CHART_HEIGHT = 165.0, 82.0


def picture(chart: Chart) -> dict[str, Any]:
    """A chart as a titled picture."""
    made = image(chart_scene(chart, CHART_WIDTH, CHART_HEIGHT), chart.title)
    assert made is not None
    return made


def named_pictures(charts: Iterable[Chart], *names: str) -> list[dict[str, Any]]:
    """The charts of these ids, in this order, as far as they exist."""
    by_id = {one.id: one for one in charts}
    return [picture(by_id[name]) for name in names if name in by_id]


def sentence(document: Document, name: str, system: System) -> str:
    """One figure as a sentence: name, middle, band."""
    figure = document.figures.get(name)
    if figure is None:
        return ""
    return f"{figure.name}: {value_text(name, figure, system)} ({band_text(name, figure, system)})."


def sentences(document: Document, names: Iterable[str], system: System) -> str:
    """Some figures as sentences, absent ones left out."""
    return " ".join(filter(None, (sentence(document, name, system) for name in names)))


def weights(study: Study, document: Document, charts: Iterable[Chart], system: System) -> dict[str, Any]:
    """The chapter of weights."""
    done, whole = study.models.mass.built_weighed
    asked = [one.text().replace("\n    ", " ") for one in study.questions]
    struck = [
        f"weighings.csv line {one.line}: {one.part} {one.written} is struck through, a later line counts."
        for one in study.ledger.weighings
        if one.struck
    ]
    unit = "ounces and inches" if system == "imperial" else "grams and millimetres"
    return {
        "line": f"{done} of {whole} built parts are weighed; a part not weighed keeps its drawn mass, with an "
        f"allowance that shrinks as parts are weighed. In {unit}. "
        + sentences(document, ("mass", "cg_x", "static_margin"), system),
        "rows": weight_rows(document, system),
        "pictures": named_pictures(charts, "weight_along", "battery_places"),
        "notes": [*asked, *struck],
    }


def strength(
    study: Study, document: Document, charts: Iterable[Chart], system: System
) -> dict[str, Any] | None:
    """The chapter of strength, with its own pictures beside the bending."""
    names = (
        "load_factor_at_failure", "load_factor_at_stall", "gust_load_factor", "root_moment", "tip_deflection",
        "aileron_kept",
    )  # fmt: skip
    own = [picture(one) for one in (strength_charts(study) if study.models.strength else ())]
    pictures = [*own, *named_pictures(charts, "bending")]
    return strength_chapter(study, sentences(document, names, system), pictures, system)


def lift_and_drag(
    study: Study, document: Document, charts: Iterable[Chart], system: System
) -> dict[str, Any] | None:
    """The chapter of lift and drag: stall, level flight, drag by parts."""
    flown = study.outer[1]
    if flown is None:
        return None
    rows = [
        [name, f"{float(np.median(part)):.4f}", f"{float(np.median(part / flown.drag.coefficient)):.0%}"]
        for name, part in flown.drag.parts.items()
    ]
    return {
        "title": "Lift and drag",
        "line": sentences(
            document,
            ("stall_speed", "maximum_lift_coefficient", "level_speed", "drag", "lift_to_drag"),
            system,
        ),
        "pictures": named_pictures(charts, "lift_against_speed"),
        "tables": [
            {
                "title": "Drag at the planned speed, by part",
                "head": ["Part", "Drag figure", "Share"],
                "rows": rows,
            }
        ],
        "notes": [
            "The slowest speed rests on the first strip that reaches its section's greatest lift; the chapter on how "
            "it flies follows the stall along the span and through it."
        ],
    }


def power(study: Study, document: Document, charts: Iterable[Chart], system: System) -> dict[str, Any] | None:
    """The chapter of power: push by engine, currents, minutes."""
    model = study.models.power
    if model is None:
        return None
    rows = []
    for words, speed, charge in (("standing, full pack", 0.0, 1.0), ("standing, 30 % left", 0.0, 0.3)):
        found = model.thrust(study.draws, speed, charge)
        for name, push in found.engine.items():
            low, middle, high = np.percentile(push, [2.5, 50.0, 97.5])
            rows.append([f"{name}, {words}", show(float(middle), "N", system), f"{low:.1f} to {high:.1f} N"])
    return {
        "title": "Power",
        "line": sentences(
            document,
            ("thrust_static", "thrust_to_weight", "climb_gradient", "current_full", "endurance"),
            system,
        ),
        "pictures": named_pictures(charts, "thrust_against_speed"),
        "tables": [
            {"title": "Push of each engine", "head": ["Engine", "Middle", "95 in 100"], "rows": rows},
            *engine_tables(study, model, system),
        ],
        "notes": [
            *engine_notes(study, model),
            *(f"{name}: nominal from {basis}." for name, basis in model.basis.items()),
            *(
                f"Seller's claim for {one.name}, kept apart until it is measured: {one.claim.text}."
                for one in study.plane.engines
                if one.claim is not None and one.claim.text
            ),
            "Spinning blades, hot packs and loud fans hurt people: the usual cautions stand on the trial cards.",
        ],
    }
