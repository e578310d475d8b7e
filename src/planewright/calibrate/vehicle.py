"""A wing driven on a vehicle: lift and pitching moment from two cells, against the wing alone.

Each run: cells less their zero, q from the probe, angle as set. Upright, the roof turns the flow up; upside
down the same flow meets the wing from the other side, which is how up-wash and the wing's own zero-lift
angle part.

    lift   = +-q e^k S CL(a + alignment +- up-wash) e^g
    moment = +-q e^k S c (cm0 + CL offset) e^g        about the quarter of the mean chord

CL is a line of mean slope a between -2 and 8 degrees that bends a little, runs softly into the greatest
lift and falls after it. How much it bends, how soft the knee is and how it falls are unknowns of form:
without them a curve of another form than the model's biases the greatest lift with hardly a sign in the
residuals (trial of our own). Roof flow: 3 to 5 % in speed at the mast of a vehicle (Hanlon and Risk 2020),
hence 4 % in CL that nothing in the trial itself can show.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import READINGS, Sheet, lacking, missing, sheet
from planewright.calibrate.lines import likely_slip
from planewright.calibrate.problem import Block, Reduction, once
from planewright.knowledge import Points, points
from planewright.knowledge.model import Knowledge
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

MIDDLE = math.radians(3.0)
RATIO = 0.03
ZERO_N = 0.2
CELL_N = 0.12
WILD = 6.0
STEEP = math.radians(60.0)
STILL = 2.0
LEAST_RUNS = 6
ROWS_ADVICE = "Add the rows as they were logged, or set the trial aside."
CELLS_ADVICE = (
    'Write cells = { front = "60 mm ahead of the quarter chord", rear = "140 mm behind it" } under [rig].'
)
PROBE_PA = 2.0
WIND = 0.7
DENSITY = 1.225
OWN = {
    "upwash": (math.radians(1.0), math.radians(1.0)),
    "alignment": (0.0, math.radians(0.3)),
    "flow": (0.0, 0.04),
    "bend": (0.10, 0.12),
    "fall": (math.log(0.25), 0.8),
    "knee": (math.log(0.05), 0.5),
    "speed": (0.05, 0.07),
    "offset": (0.0, 0.02),
    "wind": (0.0, WIND),
}


@dataclass(frozen=True)
class WingAlone:
    """The specimen without the aeroplane. ``area`` m2, ``chord`` m (its mean chord); ``predict``: states ->
    slope per rad, zero-lift angle rad, greatest lift coefficient, moment coefficient at zero lift, each
    (K,), with the factors of knowledge taken in; ``offset``: how far its lift acts behind the quarter of
    the mean chord, chords."""

    area: float
    chord: float
    predict: Callable[[Points], tuple[Array, Array, Array, Array]]
    offset: float = 0.0


@dataclass(frozen=True)
class Runs:
    """Usable runs, arrays (n,): ``angle`` rad, ``side`` +1 upright and -1 upside down, ``q`` Pa (nan: by
    speed),
    ``speed`` m/s, ``way`` +1 out and -1 back, ``lift`` N up as the cells see it, ``moment`` N m nose up."""

    row: npt.NDArray[np.int64]
    angle: Array
    side: Array
    q: Array
    speed: Array
    way: Array
    lift: Array
    moment: Array


def runs(log: Sheet) -> tuple[Runs, tuple[str, ...]]:
    """Cells less zero, as lift and moment about the quarter chord, and sentences about rows without a
    reading."""
    ahead, behind = _arms(log.trial)
    front = log.column("front_N") - _zero(log, "front_zero_N")
    rear = log.column("rear_N") - _zero(log, "rear_zero_N")
    probe, speed = log.optional("pitot_Pa"), log.optional("speed_kmh")
    by_probe = probe is not None
    q = probe if probe is not None else np.full(len(front), np.nan)
    angle = log.column("angle_deg")
    there = np.isfinite(front) & np.isfinite(rear) & (np.abs(angle) < STEEP)
    said = missing("a cell", log.rows[~there & log.keep])
    if by_probe:
        there &= q > STILL
        said += missing("the air pressure probe", log.rows[~(q > STILL) & log.keep])
    elif speed is not None:
        there &= speed > 0
    use = there & log.keep
    if use.sum() < LEAST_RUNS:
        raise lacking(log.trial, READINGS, f"At least {LEAST_RUNS} runs with all readings.", ROWS_ADVICE)
    way = np.array([-1.0 if word.strip().lower() == "back" else 1.0 for word in log.words("heading")])
    turned = np.array(["upside" in note.lower() or "invert" in note.lower() for note in log.words("note")])
    found = Runs(
        log.rows[use],
        angle[use],
        np.where(turned, -1.0, 1.0)[use],
        q[use],
        (np.full(len(front), np.nan) if speed is None else np.where(speed > 0, speed, np.nan))[use],
        way[use],
        (front + rear)[use],
        (ahead * front - behind * rear)[use],
    )
    return found, said


def _arms(trial: Trial) -> tuple[float, float]:
    """How far the front cell stands ahead of the quarter chord and the rear one behind it, m."""
    cells = trial.rig.get("cells")
    if not isinstance(cells, Mapping) or "front" not in cells or "rear" not in cells:
        raise lacking(trial, "rig.cells", "Where the two cells stand.", CELLS_ADVICE)
    return -float(cells["front"]), float(cells["rear"])


def _zero(log: Sheet, column: str) -> Array:
    zero = log.optional(column)
    if zero is None or not np.any(np.isfinite(zero)):
        return np.zeros(len(log.table))
    return np.where(np.isfinite(zero), zero, np.nanmedian(zero))


def lift_curve(
    alpha: Array, slope: Array, zero: Array, top: Array, bend: Array, knee: Array, fall: Array
) -> Array:
    """Lift coefficient at ``alpha`` (rad), shapes broadcast together.

    Line of mean slope over -2..8 deg with relative bend (per rad) through ``zero``; soft knee of width
    ``knee``; past the knee it loses ``fall`` times what the line gains. Its greatest value is exactly
    ``top``.
    """
    middle = MIDDLE
    line = slope * ((alpha - zero) - 0.5 * bend * ((alpha - middle) ** 2 - (zero - middle) ** 2))
    edge = top + knee * (np.log1p(fall) + fall * np.log1p(1 / fall))
    under = knee * np.logaddexp(0.0, (edge - line) / knee)
    over = knee * np.logaddexp(0.0, (line - edge) / knee)
    return np.asarray(edge - under - fall * over)


class _Wing:
    """Predicted lift and moment of all runs at points of knowledge."""

    def __init__(self, found: Runs, wing: WingAlone, name: str, density: float, gain: str) -> None:
        self.runs, self.wing, self.name, self.density, self.gain = found, wing, name, density, gain
        self.top_speed = float(np.nanmax(found.speed)) if np.any(np.isfinite(found.speed)) else 1.0
        self.by_probe = bool(np.all(np.isfinite(found.q)))
        self.coefficient = once(self._coefficient)

    def own(self, at: Points, what: str) -> Array:
        return at.state(f"{self.name}:{what}")

    def pressure(self, at: Points) -> Array:
        """q at the wing, (n, K)."""
        flow = np.exp(self.own(at, "flow"))
        if self.by_probe:
            return np.asarray(self.runs.q[:, None] * flow)
        air = self.runs.speed[:, None] + self.runs.way[:, None] * self.own(at, "wind")
        return np.asarray(0.5 * self.density * air**2 * flow)

    def _coefficient(self, at: Points) -> tuple[Array, Array]:
        """CL of every run, (n, K), and cm0, (K,)."""
        slope, zero, top, cm0 = self.wing.predict(at)
        alpha = (
            self.runs.angle[:, None]
            + self.own(at, "alignment")
            + self.runs.side[:, None] * self.own(at, "upwash")
        )
        slower = np.nan_to_num(np.log(self.runs.speed / self.top_speed))[:, None]
        top = top * np.exp(self.own(at, "speed") * slower)
        knee, fall = np.exp(self.own(at, "knee")), np.exp(self.own(at, "fall"))
        return lift_curve(alpha, slope, zero, top, self.own(at, "bend"), knee, fall), cm0

    def lift(self, at: Points) -> Array:
        """(n, K), N."""
        cl, _ = self.coefficient(at)
        scale = self.runs.side[:, None] * self.pressure(at) * self.wing.area * np.exp(at.state(self.gain))
        return np.asarray(scale * cl)

    def moment(self, at: Points) -> Array:
        """(n, K), N m."""
        cl, cm0 = self.coefficient(at)
        size = self.wing.area * self.wing.chord * np.exp(at.state(self.gain))
        return np.asarray(
            self.runs.side[:, None] * self.pressure(at) * size * (cm0 + cl * self.own(at, "offset"))
        )


def reduce_vehicle(trial: Trial, wing: WingAlone, prior: Knowledge, density: float = DENSITY) -> Reduction:
    """Rows of lift and moment of a wing on a vehicle.

    Arguments:
        trial: kind "vehicle", with columns angle_deg, front_N, rear_N, and as far as logged front_zero_N,
            rear_zero_N, pitot_Pa, speed_kmh, heading ("out", "back"), note ("upside down").
        wing: the specimen alone.
        prior: knowledge before any trial, for the sigma of proportional errors.
        density: kg/m3, used only where no probe was carried.

    Moves sec.slope, sec.alpha0, sec.clmax and sec.cm0. Raises InputError for missing columns.
    """
    log = sheet(trial, trial.readings)
    found, said = runs(log)
    gain = (
        "instrument:" + next((one for one in trial.instruments if "cell" in one.lower()), "cells") + ".gain"
    )
    unknown = OWN | {"offset": (-wing.offset, OWN["offset"][1])}
    own = {f"{trial.id}:{name}": value for name, value in unknown.items()} | {gain: (0.0, 0.01)}
    model = _Wing(found, wing, trial.id, density, gain)
    lift, moment = _sigma(model, prior, own, trial)
    rows = tuple(map(int, found.row))
    blocks = (
        Block(trial.id, "lift", rows, found.lift, lift, model.lift),
        Block(trial.id, "moment", rows, found.moment, moment, model.moment),
    )
    said = log.struck() + said + _upright_only(found)
    return Reduction(trial.id, blocks, locals=own, findings=said, suspect=_Slip(log, found, lift).sentence)


def _upright_only(found: Runs) -> tuple[str, ...]:
    if np.any(found.side < 0):
        return ()
    return ("no run upside down: the zero-lift angle cannot be told from the flow over the roof",)


def _sigma(
    model: _Wing, prior: Knowledge, own: dict[str, tuple[float, float]], trial: Trial
) -> tuple[Array, Array]:
    values = {name: np.array([mean]) for name, (mean, _) in own.items()}
    at = points(prior, values)
    lift = np.abs(model.lift(at)[:, 0])
    ratio = float(trial.sigma.get("force", RATIO))
    probe = PROBE_PA / model.runs.q if model.by_probe else 2 * 0.25 / np.maximum(model.runs.speed, 1.0)
    relative = np.hypot(ratio, probe)
    arm = math.hypot(*_arms(trial))
    moment = np.hypot(relative * np.abs(model.moment(at)[:, 0]), CELL_N * arm)
    return np.hypot(relative * lift, ZERO_N), moment


@dataclass(frozen=True)
class _Slip:
    """Says whether a slip of the pen in one cell's reading would explain a row that does not fit."""

    log: Sheet
    found: Runs
    sigma: Array

    def sentence(self, channel: str, row: int, predicted: float) -> str:
        if channel != "lift":
            return ""
        place = int(np.flatnonzero(self.found.row == row)[0])
        off = predicted - float(self.found.lift[place])
        if abs(off) < WILD * float(self.sigma[place]):
            return ""
        for cell in ("front_N", "rear_N"):
            written = self.log.words(cell)[row - 1]
            meant = likely_slip(written, float(written) + off, 3 * float(self.sigma[place]))
            if meant:
                return f"{cell} {written}: perhaps {meant} was meant"
        return ""
