"""What bends the wing: lift along the span less the wing's own weight, seen from any station outboard.

One half wing, from its middle outward. SI; a moment is positive when it bends the tip up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import SpanLoad, WingMasses

Array = npt.NDArray[np.float64]
GRAVITY = 9.80665


@dataclass(frozen=True)
class Along:
    """Shear and bending moment at stations ``y`` (s,) outboard of which the load acts; both (s,)."""

    y: Array
    shear: Array
    moment: Array


def strips(at: Array, y: Array, width: Array, load: Array) -> Along:
    """Shear and moment at ``at`` (s,) from strips of even load: middles ``y``, ``width``, total ``load`` each (n,)."""
    inner, outer = y - width / 2, y + width / 2
    near = np.clip(at[:, None], inner, outer)
    per = load / width
    arm = at[:, None]
    moment = per * ((outer - arm) ** 2 - (near - arm) ** 2) / 2
    return Along(at, (per * (outer - near)).sum(1), moment.sum(1))


def points(at: Array, y: Array, load: Array) -> Along:
    """Shear and moment at ``at`` (s,) from point loads (n,) at ``y``."""
    arm = np.maximum(y - at[:, None], 0.0)
    return Along(at, (load * (arm > 0)).sum(1), (load * arm).sum(1))


def lift_per_weight(at: Array, span_load: SpanLoad) -> Along:
    """Shear and moment per newton of lift of the whole wing (both halves)."""
    return strips(at, span_load.y, span_load.width, span_load.share)


def own_weight(at: Array, masses: WingMasses) -> Along:
    """Shear and moment of one half wing's own weight at 1 g: its structure and all that hangs on it, N and N m."""
    spread = strips(at, masses.y, masses.width, GRAVITY * masses.strip)
    places = np.array(list(masses.points.values()), dtype=np.float64).reshape(-1, 2)
    hung = points(at, places[:, 0], GRAVITY * places[:, 1])
    return Along(at, spread.shear + hung.shear, spread.moment + hung.moment)


def elliptic_span_load(half_span: float, count: int = 120) -> SpanLoad:
    """Elliptic lift along a half wing of ``half_span`` in ``count`` strips: the usual sand load of a bend test.

    Strips narrow toward the tip; each carries its exact share. Root moment of a half load F: 4/(3 pi) F L.
    """
    edge = half_span * np.sin(np.linspace(0, np.pi / 2, count + 1))
    t = edge / half_span
    inside = (t * np.sqrt(np.maximum(1 - t * t, 0)) + np.arcsin(t)) / np.pi
    return SpanLoad((edge[1:] + edge[:-1]) / 2, np.diff(edge), np.diff(inside))


def even_span_load(half_span: float, count: int = 60) -> SpanLoad:
    """Even load along a half wing."""
    edge = np.linspace(0, half_span, count + 1)
    return SpanLoad((edge[1:] + edge[:-1]) / 2, np.diff(edge), np.full(count, 0.5 / count))


def tip_lift(at: Array, half_span: float, mass: float, masses: WingMasses) -> Along:
    """The whole aeroplane lifted at both tips: half the weight at each tip less the wing's own weight outboard.

    ``mass`` kg of the whole aeroplane. Common practice as a proof; over-tests whatever lies far outboard.
    """
    own = own_weight(at, masses)
    pull = mass * GRAVITY / 2
    return Along(at, pull - own.shear, pull * (half_span - at) - own.moment)
