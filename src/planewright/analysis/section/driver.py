"""From outlines to polars: seeds, chains in angle, rescues and bridges, every point accounted for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.closures import Constants
from planewright.analysis.section.newton import transition_points
from planewright.analysis.section.panels import forces
from planewright.analysis.section.pool import Walker, run
from planewright.analysis.section.stack import FREE, Bodies, Stack, crude

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

SEED = np.deg2rad(2.0)
OTHER_SEEDS = tuple(np.deg2rad((1.0, 3.0, 0.0, 4.0)))
LEAST_STEP = np.deg2rad(0.5)
RESCUES = 16

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Solved:
    """Points of S sections, R Reynolds numbers and A angles. ``lift``, ``drag``, ``moment`` (S, R, A), not a number
    where ``solved`` is false; ``transition`` (S, R, A, 2) chordwise places, upper and lower; ``first`` number of
    points solved before any rescue."""

    alpha: Array
    reynolds: Array
    lift: Array
    drag: Array
    moment: Array
    transition: Array
    solved: Flags
    first: int


@dataclass
class Board:
    """Where walkers read what is asked and write what is found. ``kept`` holds the layers of solved points."""

    bodies: Bodies
    alpha: Array
    reynolds: Array
    trip: tuple[float, float]
    constants: Constants
    progress: Progress
    kept: dict[tuple[int, int, int], Stack] = field(default_factory=dict)

    def start(self, body: int, row: int, alpha: float) -> Stack:
        """A crude start."""
        one = np.array([body]), np.array([alpha]), self.reynolds[[row]], np.array([self.trip])
        return crude(self.bodies, *one, self.constants)

    def keep(self, place: tuple[int, int, int], point: Stack) -> None:
        """Note a solved point."""
        self.kept[place] = point
        self.progress(len(self.kept), len(self.bodies.each) * self.reynolds.size * self.alpha.size)

    @property
    def places(self) -> list[tuple[int, int, int]]:
        """All places asked: section, row of Reynolds number, column of angle."""
        return [
            (b, r, a)
            for b in range(len(self.bodies.each))
            for r in range(self.reynolds.size)
            for a in range(self.alpha.size)
        ]

    @property
    def missing(self) -> list[tuple[int, int, int]]:
        """Places not yet solved."""
        return [place for place in self.places if place not in self.kept]

    @property
    def middle(self) -> int:
        """Column from which chains go up and down."""
        return int(np.argmin(np.abs(self.alpha - SEED)))


def _near(point: Stack, alpha: float) -> Stack:
    return point.at_angle(np.array([alpha]))


@dataclass
class Chain:
    """Walks the angles of one Reynolds number in one direction from a solved point.

    A failed point is tried again from the last good one with half the step, down to a quarter of a degree; then it is
    left for the rescue and the next angle is tried.
    """

    board: Board
    body: int
    row: int
    columns: list[int]
    good: Stack
    aim: float = np.nan
    step: float = np.inf

    def start(self) -> Stack | None:
        """The next point of the way to the next angle."""
        if not self.columns:
            return None
        here = float(self.good.alpha[0])
        target = float(self.board.alpha[self.columns[0]])
        self.aim = (
            target if abs(target - here) <= self.step * 1.001 else here + np.sign(target - here) * self.step
        )
        return _near(self.good, self.aim)

    def settle(self, point: Stack | None) -> Iterable[Walker]:
        """Go on, or halve the step."""
        target = float(self.board.alpha[self.columns[0]])
        if point is not None:
            self.good = point
            if abs(self.aim - target) < 1e-9:
                self.board.keep((self.body, self.row, self.columns.pop(0)), point)
                self.step = np.inf
            return ()
        here = float(self.good.alpha[0])
        tried = abs(self.aim - here)
        if tried / 2 >= LEAST_STEP * 0.999 and tried < np.deg2rad(1.6):
            self.step = tried / 2
        else:
            self.columns.pop(0)
            self.step = np.inf
        return ()


@dataclass
class Seed:
    """Finds a first point of one Reynolds number: at 2 degrees from nothing, else at others and walked there."""

    board: Board
    body: int
    row: int
    others: list[float]
    good: Stack | None = None
    aim: float = np.nan
    over: bool = False

    def start(self) -> Stack | None:
        """The next try."""
        if self.over:
            return None
        target = float(self.board.alpha[self.board.middle])
        if self.good is None:
            if not self.others:
                return None
            self.aim = self.others.pop(0)
            return self.board.start(self.body, self.row, self.aim)
        here = float(self.good.alpha[0])
        self.aim = here + float(np.clip(target - here, -np.deg2rad(0.5), np.deg2rad(0.5)))
        return _near(self.good, self.aim)

    def settle(self, point: Stack | None) -> Iterable[Walker]:
        """Start both chains when the middle column is reached."""
        if point is None:
            self.good = None
            return ()
        self.good = point
        if abs(float(point.alpha[0]) - self.board.alpha[self.board.middle]) > 1e-9:
            return ()
        self.over = True
        self.board.keep((self.body, self.row, self.board.middle), point)
        return _chains(self.board, self.body, self.row, point)


def _chains(board: Board, body: int, row: int, point: Stack) -> list[Walker]:
    middle = board.middle
    up, down = list(range(middle + 1, board.alpha.size)), list(range(middle - 1, -1, -1))
    return [Chain(board, body, row, up, point), Chain(board, body, row, down, point)]


@dataclass
class Try:
    """One start for one missing place; a seed among them starts its chains."""

    board: Board
    place: tuple[int, int, int]
    begin: Stack | None

    def start(self) -> Stack | None:
        """Its only start."""
        found, self.begin = self.begin, None
        return found

    def settle(self, point: Stack | None) -> Iterable[Walker]:
        """Keep it when it converged."""
        if point is not None:
            self.board.keep(self.place, point)
        return ()


def _neighbour(board: Board, place: tuple[int, int, int], row: int, column: int) -> Stack | None:
    """Layers of a solved neighbour brought to a place."""
    b, r, a = place
    found = board.kept.get((b, r + row, a + column))
    if found is None:
        return None
    if row:
        found = found.at_reynolds(board.reynolds[[r]])
    return _near(found, float(board.alpha[a])) if column else found


_WAYS = ((1, 0), (0, -1), (-1, 0), (0, 1), (0, -2), (0, 2))


def rescue(board: Board, watch: Callable[[], None]) -> None:
    """Try missing points again: from nothing, then from solved neighbours in Reynolds number and angle, damped in every
    second pass. A solved point serves its neighbours in the next pass; no start is tried twice in the same way."""
    tries: list[Walker] = [
        Try(board, p, board.start(p[0], p[1], float(board.alpha[p[2]]))) for p in board.missing
    ]
    run(tries, board.constants, watch=watch)
    tried: set[tuple[int, ...]] = set()
    idle = 0
    for turn in range(RESCUES):
        before = len(board.kept)
        damped = turn % 2 == 1
        tries = []
        for place in board.missing:
            for row, column in _WAYS:
                mark = (*place, row, column, int(damped))
                found = None if mark in tried else _neighbour(board, place, row, column)
                if found is not None:
                    tried.add(mark)
                    tries.append(Try(board, place, found))
                    break
        run(tries, board.constants, damped=damped, watch=watch)
        idle = 0 if len(board.kept) > before else idle + 1
        if idle == len(_WAYS):
            return


def _seeded_from_neighbours(board: Board, watch: Callable[[], None]) -> None:
    """Rows without a seed start from the row beside them."""
    for _ in range(board.reynolds.size):
        rows = [
            (b, r)
            for b in range(len(board.bodies.each))
            for r in range(board.reynolds.size)
            if (b, r, board.middle) not in board.kept
        ]
        walkers: list[Walker] = []
        for b, r in rows:
            for way in (1, -1):
                found = _neighbour(board, (b, r, board.middle), way, 0)
                if found is not None:
                    walkers.append(Try(board, (b, r, board.middle), found))
        if not walkers:
            return
        run(walkers, board.constants, watch=watch)
        fresh = [(b, r) for b, r in rows if (b, r, board.middle) in board.kept]
        if not fresh:
            return
        chains = [_chains(board, b, r, board.kept[b, r, board.middle]) for b, r in fresh]
        run([one for pair in chains for one in pair], board.constants, watch=watch)


def nothing(*_: object) -> None:
    """Say nothing."""


def solve(
    bodies: Bodies,
    reynolds: Sequence[float] | Array,
    alpha: Sequence[float] | Array,
    constants: Constants = Constants(),  # noqa: B008
    trip: tuple[float, float] = (FREE, FREE),
    progress: Progress = nothing,
    watch: Callable[[], None] = nothing,
) -> Solved:
    """Solve every section at every Reynolds number and angle.

    Arguments:
        bodies: sections with one number of nodes. reynolds: rising. alpha: rad, rising, 2 degrees within.
        trip: chordwise places of forced transition on upper and lower side (2: none).
        progress: told (points solved, points asked). watch: called every iteration; may raise to stop the work.
    """
    board = Board(bodies, np.asarray(alpha, float), np.asarray(reynolds, float), trip, constants, progress)
    seeds: list[Walker] = [
        Seed(board, b, r, [float(board.alpha[board.middle]), *OTHER_SEEDS])
        for b in range(len(bodies.each))
        for r in range(board.reynolds.size)
    ]
    run(seeds, constants, watch=watch)
    _seeded_from_neighbours(board, watch)
    first = len(board.kept)
    rescue(board, watch)
    return collected(board, first)


def collected(board: Board, first: int) -> Solved:
    """Forces of all solved points."""
    shape = (len(board.bodies.each), board.reynolds.size, board.alpha.size)
    lift, drag, moment = (np.full(shape, np.nan) for _ in range(3))
    transition = np.full((*shape, 2), np.nan)
    size = board.bodies.surface
    for (b, r, a), point in board.kept.items():
        signed = point.speed[:, :size] * point.sign[:, :size]
        cl, cm = forces(board.bodies.each[b], signed, point.alpha)
        lift[b, r, a], moment[b, r, a] = cl[0], cm[0]
        h = point.displacement[0, -1] / point.theta[0, -1]
        drag[b, r, a] = 2 * point.theta[0, -1] * point.speed[0, -1] ** ((h + 5) / 2)
        transition[b, r, a] = transition_points(point, board.constants)[0]
    return Solved(board.alpha, board.reynolds, lift, drag, moment, transition, np.isfinite(lift), first)
