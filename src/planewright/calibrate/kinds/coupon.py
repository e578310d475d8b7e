"""Small pieces bent, crushed and pulled: what one's own board, stick and glue can do.

Board on two supports, loaded in the middle, at two spans or more: one span alone cannot tell bending from shear.

    middle per newton = L^3/(48 D b) + L/(4 S b) + settling

D = Ef tf (c + tf)^2/2 and S = Gc (c + tf)^2/c per width (sandwich of thin faces: H. G. Allen, Analysis and Design of
Structural Sandwich Panels, 1969, from memory), settling of the supports an unknown of form; a rigid bar laid across
once (note "rigid") measures it. A stick bent tells its modulus, pieces crushed on end (column crush_g) its
compression; laps pulled apart (column pull_g, with length_mm and width_mm) tell a glue line.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength.materials import MPA, board_of, tables, wood_of
from planewright.calibrate.common import GRAVITY, Sheet, lacking
from planewright.calibrate.kinds.stock import STICK, batch_of, instrument, is_sheet, stock_named
from planewright.calibrate.lines import pair_slope
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.errors import Fault, InputError
from planewright.knowledge import Points
from planewright.plane.model import Stock
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

SETTLING = (math.log(2e-5), 0.7)
"""ln of m per N at one support pair, and its deviation (judgement)."""
GAUGE, SPECIMEN, STICK_SPECIMEN, LAP_SPECIMEN = 0.01, 0.08, 0.08, 0.15
ENDS, PEEL = 0.05, 0.08
"""Unknowns of form, ln: ends of crushed pieces that are not square, laps that peel before they shear (judgement)."""
SAME_PAPER = 0.20
"""How closely the paper in a wing's skin is as stiff as in a bent coupon, ln (judgement)."""
WIDTH, SPANS = 0.05, (0.40, 0.15)
LAP = (0.0048, 0.05)
PIECES = 5
GLUES = ("hot melt", "polyurethane", "white glue")


@dataclass(frozen=True)
class Bar:
    """A bar on two supports: stiffness in bending ``d`` (N m2) and shear ``s`` (N) of the whole width."""

    d: float
    s: float

    def per_newton(self, span: Array | float, bend: Array | float = 1.0, shear: Array | float = 1.0) -> Array:
        """Sinking of the middle, m/N, with factors on both stiffnesses."""
        return np.asarray(span**3 / (48.0 * self.d * bend) + span / (4.0 * self.s * shear))


def bar_of(stock: Stock, width: float) -> Bar:
    """Nominal bar of a board ``width`` m wide (faces and foam) or of a stick laid flat (shear left out)."""
    if is_sheet(stock):
        board = board_of(stock)
        between = board.core + board.face
        d = board.face_modulus * board.face * between**2 / 2
        return Bar(d * width, board.core_shear_modulus * between**2 / board.core * width)
    thin, wide = sorted(stock.section or (0.005, 0.010))
    return Bar(wood_of(stock).modulus * wide * thin**3 / 12, 1e9)


def read(trial: Trial) -> Sheet:
    """Columns span_mm, load_g, middle_mm (and piece, width_mm, note); or crush_g; or pull_g with the lap's sides."""
    log = read_columns(trial)
    if not {"crush_g", "pull_g"} & set(log.table.columns):
        for name in ("span_mm", "load_g", "middle_mm"):
            log.column(name)
    return log


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Two spans of five pieces: what each sinks under a kilogram. Raises InputError for an unknown stock."""
    stock = stock_named(bench, of)
    if stock is None:
        raise InputError([Fault("aeroplane.toml", 0, f"stock.{of}", "is not there.", "A stock.", "")])
    if stock.kind in GLUES:
        area = LAP[0] * LAP[1]
        draws = tables()["glue_line"]["strength"] * MPA * area / GRAVITY * states.factor("glue.line")
        laps = (Point("lap lets go", "kg", draws, LAP_SPECIMEN / math.sqrt(2 * PIECES)),)
        return Plan("coupon", of, laps, 90.0, 1, GAUGE, "piece", 1.0)
    if stock.kind == STICK:
        return _stick_plan(of, stock, states)
    if not is_sheet(stock):
        raise InputError(
            [Fault("aeroplane.toml", 0, f"stock.{of}", "is a tape.", "A sheet, stick or glue.", "")]
        )
    bar = bar_of(stock, WIDTH)
    bend, shear = states.factor("board.D", stock.name), states.factor("board.S", stock.name)
    noise = SPECIMEN / math.sqrt(PIECES)
    points = tuple(
        Point(f"middle at {1000 * span:.0f} mm", "m/N", bar.per_newton(span, bend, shear), noise)
        for span in SPANS
    )
    return Plan(
        "coupon", of, points, 120.0, 1, GAUGE, "piece", 0.0, "as much as sinks a twentieth of the span"
    )


def _stick_plan(of: str, stock: Stock, states: States) -> Plan:
    bar, (thin, wide) = bar_of(stock, 1.0), sorted(stock.section or (0.005, 0.010))
    stiff = bar.per_newton(SPANS[0], states.factor("stick.modulus", stock.name))
    crush = wood_of(stock).compression * thin * wide / GRAVITY
    strong = crush * states.factor("stick.compression", stock.name) * states.factor("stick.grade", stock.name)
    noise = STICK_SPECIMEN / math.sqrt(2 * PIECES)
    points = (
        Point(f"middle at {1000 * SPANS[0]:.0f} mm", "m/N", stiff, noise),
        Point("crushes at", "kg", strong, noise),
    )
    return Plan("coupon", of, points, 90.0, 1, GAUGE, "piece", 1.0)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of a coupon trial. Raises InputError when no piece can be used."""
    log, stock = read(trial), batch_of(bench, trial)
    if "pull_g" in log.table.columns:
        return _laps(trial, log, stock)
    if "crush_g" in log.table.columns:
        return _crushed(trial, log, stock)
    return _bent(trial, log, stock)


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "crushes_at", "lets_go_at" (kg) and "sinks" (m per kg)."""
    return compared(
        trial,
        found,
        {"crushes_at": ("crushes_kg", "kg"), "lets_go_at": ("lets_go_kg", "kg"), "sinks": ("sinks_m", "m")},
    )


@dataclass(frozen=True)
class _Pieces:
    """Slopes of all pieces: first ``rows``, ``span`` and ``width`` m, ``per_newton`` m/N, whether a ``rigid`` bar."""

    rows: tuple[int, ...]
    span: Array
    width: Array
    per_newton: Array
    rigid: Mask


def _pieces(trial: Trial, log: Sheet, stock: Stock) -> _Pieces:
    span, load, middle = (log.column(name) for name in ("span_mm", "load_g", "middle_mm"))
    width = log.optional("width_mm")
    width = np.full(len(span), WIDTH) if width is None else np.where(np.isfinite(width), width, WIDTH)
    use = np.isfinite(span) & np.isfinite(load) & np.isfinite(middle) & (span > 0) & (width > 0) & log.keep
    names = log.words("piece") if "piece" in log.table.columns else ("",) * len(span)
    notes = log.words("note")
    keys = [
        (names[i], round(float(span[i]), 6), float(width[i]), "rigid" in notes[i].lower())
        for i in range(len(span))
        if use[i]
    ]
    found = []
    places = np.flatnonzero(use)
    for key in dict.fromkeys(keys):
        own = places[[one == key for one in keys]]
        if len(own) >= 2 and np.ptp(load[own]) > 0:
            slope = pair_slope(load[own] * GRAVITY, middle[own])
            if slope > 0:
                found.append((int(log.rows[own[0]]), key[1], key[2], slope, key[3]))
    if not found:
        advice = "Read the middle at no load and at one load at least, for each piece and span."
        raise lacking(trial, "middle_mm", "Pieces that sink under load.", advice)
    rows, spans, widths, slopes, rigid = (list(one) for one in zip(*found, strict=True))
    return _Pieces(
        tuple(map(int, rows)),
        np.array(spans),
        np.array(widths),
        np.array(slopes),
        np.array(rigid, dtype=bool),
    )


def _bent(trial: Trial, log: Sheet, stock: Stock) -> Reduction:
    board = is_sheet(stock)
    if not board and stock.kind != STICK:
        raise lacking(
            trial, "batch", "A board or a stick: others are not bent.", "Pull laps of glue apart instead."
        )
    found = _pieces(trial, log, stock)
    own = {"settling": f"{trial.id}:settling", "gauge": instrument(trial, "gauge", "ruler") + ".gain"}
    bars = [bar_of(stock, float(one)) for one in found.width]
    d, s = np.array([one.d for one in bars])[:, None], np.array([one.s for one in bars])[:, None]
    span = found.span[:, None]

    def predict(at: Points) -> Array:
        settling, gauge = np.exp(at.state(own["settling"])), at.state(own["gauge"])
        if board:
            bend, shear = at.factor("board.D", stock.name), at.factor("board.S", stock.name)
            sinks = span**3 / (48.0 * d * bend) + span / (4.0 * s * shear)
        else:
            sinks = span**3 / (48.0 * d * at.factor("stick.modulus", stock.name))
        alone = np.broadcast_to(settling, (len(span), at.count))
        return np.asarray(np.log(np.where(found.rigid[:, None], alone, sinks + settling)) + gauge)

    y = np.log(found.per_newton)
    sigma = np.where(found.rigid, 0.10, SPECIMEN if board else STICK_SPECIMEN)
    blocks = [Block(trial.id, "sinking", found.rows, y, sigma, predict)]
    words = log.struck()
    if board:
        blocks.append(
            Block(trial.id, "paper", (0,), np.zeros(1), np.array([SAME_PAPER]), _same_paper(stock.name))
        )
        if len(np.unique(found.span[~found.rigid])) < 2:
            words += ("one span only: bending and shear cannot be told apart; take a short span as well",)
        if not np.any(found.rigid):
            words += ("no rigid bar laid across: settling of the supports looks like shear",)
    facts = (
        {"sinks_m": float(np.median(found.per_newton[~found.rigid])) * GRAVITY}
        if np.any(~found.rigid)
        else {}
    )
    return Reduction(
        trial.id,
        tuple(blocks),
        locals={own["settling"]: SETTLING, own["gauge"]: (0.0, GAUGE)},
        findings=words,
        facts=facts,
        used=int(log.keep.sum()),
    )


def _same_paper(stock: str) -> Callable[[Points], Array]:
    def predict(at: Points) -> Array:
        return np.asarray(at.state("paper.stiffness", stock) - at.state("board.D", stock))[None, :]

    return predict


def _crushed(trial: Trial, log: Sheet, stock: Stock) -> Reduction:
    if stock.kind != STICK:
        raise lacking(trial, "batch", "Sticks are crushed on end.", "Write batch = the name of the stick.")
    thin, wide = sorted(stock.section or (0.005, 0.010))
    load = log.column("crush_g")
    use = (load > 0) & log.keep
    nominal = wood_of(stock).compression * thin * wide / GRAVITY
    y = _ratios(trial, "crush_g", load[use], nominal)
    gauge = instrument(trial, "scale", "load scale") + ".gain"

    ends = f"{trial.id}:ends"

    def predict(at: Points) -> Array:
        z = at.state("stick.compression", stock.name) + at.state("stick.grade", stock.name)
        z = z + at.state(gauge) + at.state(ends)
        return np.repeat(z[None, :], len(y), axis=0)

    rows, sigma = tuple(map(int, log.rows[use])), np.full(len(y), 0.12)
    block = Block(trial.id, "crushing", rows, y, _few(sigma), predict)
    facts = {"crushes_kg": float(np.median(load[use]))}
    return Reduction(
        trial.id,
        (block,),
        locals={gauge: (0.0, 0.02), ends: (0.0, ENDS)},
        findings=log.struck() + _few_words(y),
        facts=facts,
    )


def _laps(trial: Trial, log: Sheet, stock: Stock) -> Reduction:
    if stock.kind not in GLUES:
        raise lacking(
            trial, "batch", "Laps of a glue are pulled apart.", "Write batch = the name of the glue."
        )
    load = log.column("pull_g")
    sides = [log.optional(name) for name in ("length_mm", "width_mm")]
    area = np.full(len(load), LAP[0] * LAP[1])
    if sides[0] is not None and sides[1] is not None:
        area = np.where(sides[0] * sides[1] > 0, sides[0] * sides[1], area)
    use = (load > 0) & log.keep
    y = _ratios(trial, "pull_g", load[use], tables()["glue_line"]["strength"] * MPA * area[use] / GRAVITY)
    gauge = instrument(trial, "scale", "hook scale") + ".gain"

    peel = f"{trial.id}:peel"

    def predict(at: Points) -> Array:
        return np.repeat((at.state("glue.line") + at.state(gauge) + at.state(peel))[None, :], len(y), axis=0)

    rows = tuple(map(int, log.rows[use]))
    block = Block(trial.id, "lap", rows, y, _few(np.full(len(y), LAP_SPECIMEN)), predict)
    facts = {"lets_go_kg": float(np.median(load[use]))}
    return Reduction(
        trial.id,
        (block,),
        locals={gauge: (0.0, 0.02), peel: (0.0, PEEL)},
        findings=log.struck() + _few_words(y),
        facts=facts,
    )


def _ratios(trial: Trial, column: str, load: Array, nominal: Array | float) -> Array:
    if not len(load):
        raise lacking(trial, column, "Loads at which pieces gave.", "Write one piece to a row.")
    return np.asarray(np.log(load / nominal))


def _few(sigma: Array) -> Array:
    return sigma * (2.0 if len(sigma) < 3 else 1.0)


def _few_words(y: Array) -> tuple[str, ...]:
    if len(y) >= 3:
        return ()
    return (f"{len(y)} piece(s) only: three are needed to tell an odd one; taken with twice the doubt",)
