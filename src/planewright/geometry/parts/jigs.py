"""Jigs: cradles that hold incidence and washout, templates to check a section, the balance stand, the slot test strip.

Cradles stand on a flat bench at the ends of each panel; their upper edge is the underside of the section at its
built-in angle, so a panel laid on them has its washout and dihedral.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
from shapely import Polygon, box

from planewright.geometry.parts.draft import Draft, rectangle, thickness_of
from planewright.geometry.parts.frame import Frame
from planewright.geometry.parts.inside import rings_of
from planewright.geometry.parts.loft import Loft, largest
from planewright.geometry.parts.model import MM, Array, Mark, Ring
from planewright.plane.model import Stock

FOOT = 40.0
"""Least height of a cradle, mm (assumed)."""
PLAY = 0.3
TRIES = (-0.2, 0.0, 0.2, 0.4)
"""Slots of the test strip, wider or narrower than the measured thickness, mm (common practice, no source)."""


def jigs(frame: Frame) -> Iterator[Draft]:
    """Cradles and templates of a wing with skins."""
    surface = frame.surface
    board = str(surface.build.skin)
    if surface.kind != "wing" or surface.build.way not in ("folded", "ribs") or board not in frame.stock:
        return
    lowest = min(float(loft.rows[:, :, 2].min()) for loft in frame.lofts)
    for k, loft in enumerate(frame.lofts):
        for which, out in (("inner", float(loft.outs[0])), ("outer", float(loft.outs[-1]))):
            if which == "inner" and k > 0 and frame.joint_at(out) is None:
                continue
            yield _cradle(frame, loft, (k, which, out), lowest)
    for k, loft in enumerate(frame.lofts):
        yield _template(frame, loft, k)


def _below(loft: Loft, out: float) -> Array:
    """Underside of the section at ``out`` from nose to tail, (n, 2): (aft, up)."""
    flat = loft.plane(loft.ring(out))[: loft.nose + 1][::-1]
    return flat[np.argsort(flat[:, 0], kind="stable")]


def _cradle(frame: Frame, loft: Loft, at: tuple[int, str, float], lowest: float) -> Draft:
    k, which, out = at
    under = _below(loft, out)
    front, back = float(under[0, 0]) + 8.0, float(under[-1, 0]) - 8.0
    bench = lowest - FOOT
    xs = np.linspace(front, back, 41)
    top = np.interp(xs, under[:, 0], under[:, 1]) - PLAY
    shape = Polygon([(front, bench), (back, bench), *np.column_stack((xs, top))[::-1]]).simplify(0.02)
    angle = np.degrees(np.arctan2(under[0, 1] - under[-1, 1], under[-1, 0] - under[0, 0]))
    return _draft(
        frame.surface.build.skin,
        f"cradle at {out:.0f} mm",
        rings_of(largest(shape)),
        frame.pair,
        f"stands on the bench; underside {angle:.1f} deg nose up here: washout and dihedral are in it",
        f"jig/{frame.surface.name}/{k + 1}/cradle {which}",
        ("NOSE", "BACK"),
    )


def _template(frame: Frame, loft: Loft, k: int) -> Draft:
    """The outside of the top skin cut out of a board: laid on the wing it must touch everywhere."""
    out = (float(loft.outs[0]) + float(loft.outs[-1])) / 2
    top = loft.plane(loft.ring(out))[loft.nose :]
    order = np.argsort(top[:, 0], kind="stable")
    low, high = float(top[:, 1].min()), float(top[:, 1].max())
    block = box(float(top[:, 0].min()), low, float(top[:, 0].max()), high + 30.0)
    wing = Polygon([*top[order], (float(top[order][-1, 0]), low - 5.0), (float(top[order][0, 0]), low - 5.0)])
    shape = largest(block.difference(wing.buffer(PLAY, join_style="mitre"))).simplify(0.02)
    return _draft(
        frame.surface.build.skin,
        f"checking template, top at {out:.0f} mm",
        rings_of(largest(shape)),
        1,
        "lay it on the top skin: no light may show anywhere",
        f"jig/{frame.surface.name}/{k + 1}/template",
        ("NOSE", "BACK"),
    )


def _draft(
    stock: str | None,
    name: str,
    rings: tuple[Ring, ...],
    copies: int,
    note: str,
    key: str,
    ends: tuple[str, str],
) -> Draft:
    return Draft(
        word="JIG",
        name=name,
        hand="none",
        copies=copies,
        stock=str(stock),
        rings=rings,
        ends=ends,
        note=note,
        key=key,
        group="jig",
        ready=True,
    )


def balance_stand(wing: Frame, t: float) -> Iterator[Draft]:
    """Two posts with a rounded top and a base with slots for them: the wing rests on the posts at the balance point."""
    board = str(wing.surface.build.skin)
    if board not in wing.stock:
        return
    turn = np.linspace(0.0, np.pi, 13)
    post = [(0.0, -t), (60.0, -t), (60.0, 180.0)]
    post += [(30.0 + 30.0 * np.cos(a), 180.0 + 30.0 * np.sin(a)) for a in turn[1:-1]]
    post += [(0.0, 180.0)]
    yield _draft(
        board,
        "post of the balance stand",
        (tuple(post),),
        2,
        "one under each wing",
        "jig/stand post",
        ("", ""),
    )
    slots = tuple(
        ((x, 60.0), (x + t + 0.2, 60.0), (x + t + 0.2, 121.0), (x, 121.0)) for x in (20.0, 280.0 - t - 0.2)
    )
    note = "posts stand in the slots; mark the balance point on both wings first"
    yield _draft(
        board,
        "base of the balance stand",
        (rectangle(300.0, 180.0), *slots),
        1,
        note,
        "jig/stand base",
        ("", ""),
    )


def slot_strips(stock: Mapping[str, Stock]) -> Iterator[Draft]:
    """A strip with slots of four widths for each board: the one that holds a piece of that board is the slot to use."""
    for name, one in stock.items():
        if one.kind not in ("foam board", "plywood", "cardboard") or one.sheet is None:
            continue
        t = thickness_of(one) * MM
        widths = [t + off for off in TRIES if t + off > 0.3]
        slots = tuple(
            ((x, 10.0), (x + width, 10.0), (x + width, 40.0), (x, 40.0))
            for x, width in ((20.0 + 30.0 * k, width) for k, width in enumerate(widths))
        )
        said = ", ".join(f"{width:.1f}" for width in widths)
        tops = [(slot[0][0], slot[1][0]) for slot in slots]
        marks = tuple(
            Mark("joint", ((a, 44.0), (b, 44.0)), f"{w:.1f}") for (a, b), w in zip(tops, widths, strict=True)
        )
        outline = rectangle(30.0 + 30.0 * len(widths), 50.0)
        note = f"slots of {said}: push a piece of the same board in and tell which one holds it"
        title = f"slot test strip, {name}"
        draft = _draft(name, title, (outline, *slots), 1, note, f"jig/test strip {name}", ("", ""))
        yield replace(draft, marks=marks)
