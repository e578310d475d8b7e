"""Laying and drawing the parts of both examples, as ratios to one run of the typesetter alone on the same pages.

Processor time, one BLAS thread, best of three, everything in one run. The reference is typst setting the SVGs of
Plover's full-size boards and A4 patterns into PDF, nothing else. Goals: laying both examples within 10 s, drawing
everything for both within 15 s, on two idle cores. Growth: laying the same parts one, two and three times over.

With ``--packers PYTHON`` (an interpreter that has rectpack, rectangle-packer and spyrrow) the same parts go to these
three general packers too. They take boxes or one endless strip, turn by quarters or not at all, and know neither stiff
way, holes, spoilt corners nor boards of several sizes; the run says what each was allowed.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import planewright.project
from planewright.documents.cutting.drawings import drawing_pieces
from planewright.documents.cutting.files import cutting_pieces
from planewright.documents.cutting.plan import Plan, make_plan
from planewright.documents.cutting.record import cutting
from planewright.documents.opening import opened, study_of
from planewright.documents.order import Order
from planewright.draw.board_sheet import full_sheet
from planewright.draw.nest import Rules, boards_of, items_of, nest
from planewright.draw.nest.boards import to_buy
from planewright.draw.paper import Title
from planewright.draw.pdf import _SOURCE, typeset
from planewright.draw.svg import svg
from planewright.draw.templates import templates
from planewright.study import Study

EXAMPLES = Path(planewright.project.__file__).parent / "examples"
NAMES = ("plover", "gannet")


def best(work: Callable[[], object], times: int = 3) -> float:
    """Processor seconds of the fastest of some runs."""
    found = []
    for _ in range(times):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return min(found)


def reference(plan: Plan) -> Callable[[], object]:
    """typst alone on the pages of one example: their SVGs are ready."""
    strip = Title("bench", "boards", "3", "A", "1 May 2026")
    scenes = [full_sheet(one, strip) for one in plan.sheets] + list(templates(plan.parts, "A4", "bench"))
    pages = [{"w": one.width, "h": one.height, "svg": svg(one), "title": "page"} for one in scenes]
    text = json.dumps({"title": "bench", "pages": pages})
    return lambda: typeset(_SOURCE, {"d": text})


def everything(study: Study, plan: Plan) -> int:
    """Every file of one example on A4, kept nowhere; how many."""
    record = cutting(plan, study.plane.name, study.plane.configuration)
    order = Order(("A4",), "1 May 2026")
    pieces = [*cutting_pieces(plan, record, order), *drawing_pieces(study, plan, order)]
    return sum(len(one.make()) > 0 for one in pieces)


def main() -> None:
    studies = {name: study_of(opened(EXAMPLES / name)) for name in NAMES}
    plans = {name: make_plan(one.models.geometry) for name, one in studies.items()}
    unit = best(reference(plans["plover"]))
    lay = {name: best(lambda one=one: make_plan(one.models.geometry), 2) for name, one in studies.items()}
    draw = {name: best(lambda n=name: everything(studies[n], plans[n]), 1) for name in NAMES}
    print("laying and drawing, over typst alone on Plover's boards and A4 patterns")
    for name in NAMES:
        pieces = sum(len(one.placements) for one in plans[name].layouts)
        print(
            f"  {name:7s} lay {pieces:3d} pieces {lay[name] / unit:6.1f}   draw everything {draw[name] / unit:6.1f}"
        )
    for words, took, goal in (("lay", sum(lay.values()), 10), ("draw", sum(draw.values()), 15)):
        print(
            f"  both    {words:4s} {took / unit:6.1f}, {'within' if took <= goal else 'OVER'} the goal of {goal} s"
        )
    growth(studies["plover"], unit)
    quality(plans)
    if "--packers" in sys.argv:
        packers(studies, sys.argv[sys.argv.index("--packers") + 1])


def growth(study: Study, unit: float) -> None:
    """The parts of one material laid once, twice and three times over."""
    stock = study.plane.stock["board"]
    items = items_of(make_plan(study.models.geometry).parts)["board"]
    print("growth with the number of pieces (Plover's board, no shuffles)")
    for times in (1, 2, 3):
        more = [
            replace(one, title=f"{one.title} {k}", pair=f"{one.pair} {k}")
            for k in range(times)
            for one in items
        ]
        took = best(
            lambda m=more: nest(m, boards_of(stock), lambda k: to_buy(stock, k), Rules(shuffles=0)), 1
        )
        print(
            f"  {len(more):4d} pieces {took / unit:6.1f}, each {1000 * took / unit / len(more):5.1f} thousandths"
        )


def quality(plans: dict[str, Plan]) -> None:
    """Boards used, what no layout can do without, and what is thrown away beside the bound."""
    print("boards used / no layout with fewer than / thrown away / at the bound")
    for name, plan in plans.items():
        for one in cutting(plan, name, "A").materials:
            gap = 100 * (one.waste - one.bound_waste)
            print(f"  {name:7s}{one.material:7s}{one.used:3d} {one.bound:3d}   {100 * one.waste:3.0f} % "
                  f"{100 * one.bound_waste:3.0f} %   {gap:4.0f} points")  # fmt: skip


def packers(studies: dict[str, Study], python: str) -> None:
    """The same pieces by three general packers in a child process (one of them may stop its host)."""
    print("boards: ours / rectpack (boxes, quarter turns) / rectangle-packer (boxes, no turns)")
    print("        / spyrrow (outlines, quarter turns, a strip cut into boards one after the other)")
    for name, study in studies.items():
        for material, items in items_of(make_plan(study.models.geometry).parts).items():
            stock = study.plane.stock[material]
            ours = nest(items, boards_of(stock), lambda k, s=stock: to_buy(s, k))
            laid = {one.key for one in ours.placements}
            room = sorted((side * 1000.0 - 7.0 for side in stock.sheet or (0, 0)), reverse=True)
            asked = {"room": room, "gap": 3.0, "rings": [one.rings[0] for one in items if one.key in laid]}
            print(f"  {name:7s}{material:7s}{len(ours.used):3d}   {child(python, asked)}")


def child(python: str, asked: object) -> str:
    """What the packers say, each its number of boards or why not."""
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "asked.json"
        path.write_text(json.dumps(asked))
        script = Path(__file__).with_name("packers.py")
        done = subprocess.run([python, str(script), str(path)], capture_output=True, text=True, timeout=600)
    return done.stdout.strip() or done.stderr.strip()[-200:]


if __name__ == "__main__":
    main()
