"""Bent and rolled card: wraps round a faceted pod, ducts inside it, rings of its lips."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planewright.geometry.parts import thickness
from planewright.geometry.parts.body_build import Build, placed
from planewright.geometry.parts.draft import Draft, ring, thickness_of
from planewright.geometry.parts.loft import Loft
from planewright.geometry.parts.model import MM, Array, Edge, Fold, flat_points
from planewright.geometry.parts.skins import Sheet, edge, facets, levelled
from planewright.geometry.strips import row_folds
from planewright.plane.model import Engine, Stock

TAB = 15.0
"""Overlap of a wrap of card, mm (assumed)."""
CHORDS = 96
"""Chords of a rolled circle: 0.07 mm short on 377 mm."""
RIM_OF_LIP = 12.0
"""Width of the ring round an inlet, mm (assumed)."""


def wraps(made: Build) -> Iterator[Draft]:
    """Bent card, one piece a bay, creased at each corner, with a tab to glue it shut along the middle of the floor."""
    rows = made.hull.rows
    under = (rows[:1] + rows[-1:]) / 2
    closed = np.concatenate((under, rows, under))
    for k in range(len(made.hull.xs) - 1):
        sheet = Sheet(Loft(closed[:, k : k + 2], made.hull.xs[k : k + 2], 0, made.hull.t), 0, len(closed) - 1)
        a, b = sheet.loft.outs
        crease = tuple(
            Fold(
                flat_points(sheet.flat[i]),
                float(angle[0]),
                "crease",
                (0.0, 0.0),
                f"{np.degrees(angle[0]):.0f} deg",
            )
            for i, angle in enumerate(row_folds(sheet.rows), 1)
            if angle[0] >= thickness.NO_FOLD
        )
        note = f"crease at each line; the tab of {TAB:.0f} goes under, in the middle of the floor"
        draft = Draft(
            word=made.word,
            name=f"wrap, {a:.0f} to {b:.0f} mm",
            hand="none",
            copies=made.pair,
            stock=str(made.body.build.skin),
            rings=(ring(_tabbed(sheet)),),
            seen_from="inside",
            note=note,
            key=f"{made.body.name}/wrap/{k}",
            group="wrap",
            folds=crease,
            facets=placed(made, facets(sheet)),
            edges=tuple(_edges(made, sheet, k)),
            ready=True,
        )
        yield levelled(draft, sheet.flat[:1, :].mean(axis=1), sheet.flat[-1:, :].mean(axis=1))


def _tabbed(sheet: Sheet) -> Array:
    """Outline of a wrap with a tab along its last edge."""
    flat = sheet.flat
    away = flat[-1] - flat[-2]
    tab = TAB * away / np.maximum(np.linalg.norm(away, axis=1, keepdims=True), 1e-6)
    ends = flat[-1] + tab
    return np.vstack((flat[0], flat[1:, -1], ends[-1:], ends[:1], flat[-1:, 0], flat[-2:0:-1, 0]))


def _edges(made: Build, sheet: Sheet, k: int) -> Iterator[Edge]:
    name, flat = made.body.name, sheet.flat
    for i, j in ((0, 1), (-1, -2)):
        yield edge(
            f"{name}/wrap {k}", sheet.rows[i] + made.shift, flat[i], sheet.loft.outs, flat[j] - flat[i]
        )
    for i, at in ((0, k), (-1, k + 1)):
        row, points = sheet.rows[:, i] + made.shift, flat[:, i]
        way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(row, axis=0), axis=1))))
        if way[-1] > 1.0:
            yield edge(f"{name}/ring {at}", row, points, way, flat[:, 1 if i == 0 else -2] - points)


def rolled(inlet: float, outlet: float, length: float, t: float) -> Array:
    """A rolled tube or cone laid flat, (2 CHORDS + 2, 2) mm, drawn at the middle of the card.

    Arguments:
        inlet, outlet: inner diameters, mm. ``length``: between them, mm. ``t``: thickness of the card, mm. The way
        round is that of the neutral line: pi (D + t).
    """
    turn = np.linspace(0.0, 2 * np.pi, CHORDS + 1)
    rows = []
    for diameter, x in ((inlet + t, 0.0), (outlet + t, length)):
        radius = diameter / 2 * (np.pi / CHORDS) / np.sin(np.pi / CHORDS)
        rows.append(np.column_stack((np.full_like(turn, x), radius * np.cos(turn), radius * np.sin(turn))))
    loft = Loft(np.stack(rows, axis=1), np.array([0.0, length]), 0, t)
    return Sheet(loft, 0, CHORDS).outline


def ducts(made: Build, engine: Engine, card: Stock) -> Iterator[Draft]:
    """Inner ducts of a fan: from the mouth to the fan, and from the fan to the nozzle, rolled of card with a tab."""
    fan = engine.fan
    if fan is None:
        return
    t, xs = thickness_of(card) * MM, made.hull.xs
    at = float(np.clip(engine.x * MM, xs[0], xs[-1]))
    runs = (
        ("inlet duct", fan.mouth * MM, fan.inside * MM, at - float(xs[0])),
        ("outlet duct", fan.inside * MM, fan.nozzle * MM, float(xs[-1]) - at),
    )
    for name, front, back, length in runs:
        if length < 10.0:
            continue
        yield Draft(
            word=made.word,
            name=name,
            hand="none",
            copies=made.pair,
            stock=card.name,
            rings=(ring(_with_tab(rolled(front, back, length, t))),),
            seen_from="inside",
            note=f"roll, inside {front:.0f} to {back:.0f}; the tab of {TAB:.0f} goes outside",
            key=f"{made.body.name}/{name}",
            group="duct",
            whole=True,
            ready=True,
        )


def _with_tab(outline: Array) -> Array:
    """An outline of a rolled piece with a tab beyond its last ruling."""
    half = len(outline) // 2
    first, last = outline[half], outline[half + 1]
    way = last - first
    off = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
    middle = outline.mean(axis=0)
    off = off if off @ (first - middle) > 0 else -off
    tab = np.array([first + TAB * off, last + TAB * off])
    return np.vstack((outline[: half + 1], tab, outline[half + 1 :]))


def lip(made: Build, engine: Engine, board: str) -> Iterator[Draft]:
    """The ring round the mouth of a duct, sanded round when it is on."""
    fan = engine.fan
    if fan is None:
        return
    turn = np.linspace(0.0, 2 * np.pi, 73)[:-1]
    circle = np.column_stack((np.cos(turn), np.sin(turn)))
    inner = fan.mouth * MM / 2
    yield Draft(
        word=made.word,
        name="lip of the inlet",
        hand="none",
        copies=made.pair,
        stock=board,
        rings=(ring(circle * (inner + RIM_OF_LIP)), ring(circle * inner)),
        note="glue on the front, then sand its edge round",
        key=f"{made.body.name}/lip",
        group="lip",
        whole=True,
        ready=True,
    )


def fan_parts(made: Build, engines: tuple[Engine, ...]) -> Iterator[Draft]:
    """Ducts and lip of a pod with a fan in it, where the stock has cardboard; nothing for other pods."""
    xs = made.hull.xs
    inside = (
        one
        for one in engines
        if one.fan is not None
        and xs[0] - 1 <= one.x * MM <= xs[-1] + 1
        and abs(abs(one.y) - made.body.y) < 0.02
    )
    engine = next(inside, None)
    cards = [one for one in made.stock.values() if one.kind == "cardboard"]
    boards = [one for one in made.stock.values() if one.kind == "foam board"]
    if engine is None or not cards:
        return
    yield from ducts(made, engine, min(cards, key=thickness_of))
    if boards:
        yield from lip(made, engine, max(boards, key=thickness_of).name)
