"""Iterating many points at once: a converged point gives up its place to its successor, so the stack stays full."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.closures import Constants
from planewright.analysis.section.newton import (
    allowed,
    local,
    moved,
    newton_step,
    relative,
    retransitioned,
)
from planewright.analysis.section.stack import Stack

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

TIGHT = 1e-3
"""Root mean square of the relative changes of a whole step at which a point has converged: what is left after it is
of the order of the square."""
FIRST, DAMPED = 18, 60
"""Most iterations of a point, and of one that is damped in a rescue."""
WIDEST = 40
"""Most points iterated at once: more would only spill the processor's cache."""


@dataclass(frozen=True)
class Iterated:
    """A stack after one iteration: ``change`` (P,) root mean square of the relative changes, ``factor`` (P,) taken."""

    stack: Stack
    change: Array
    factor: Array


def most(iteration: Index, damped: bool) -> Array:
    """Largest factor allowed: 1, or falling in a damped rescue against cycles past a burst bubble."""
    if not damped:
        return np.ones(len(iteration))
    found = np.where(iteration >= 18, 0.35, 1.0)
    found = np.where(iteration >= 36, 0.6, found)
    return np.where(iteration >= 44, 0.2, found)


def iterate(stack: Stack, iteration: Index, last: Array, constants: Constants, damped: bool) -> Iterated:
    """One Newton iteration; transition is decided anew where the last factor was above .15."""
    fresh = retransitioned(stack, iteration, constants)
    free = (last > 0.15)[:, None]
    stack = dataclasses.replace(
        stack,
        turbulent=np.where(free, fresh.turbulent, stack.turbulent),
        s=np.where(free, fresh.s, stack.s),
    )
    step = newton_step(stack, local(stack, constants))
    changes = relative(stack, step, constants)
    change = np.sqrt(np.mean(np.stack(changes) ** 2, axis=(0, 2)))
    factor = allowed(changes, most(iteration, damped))
    return Iterated(moved(stack, step, factor), change, factor)


class Walker(Protocol):
    """Something that wants points solved one after another."""

    def start(self) -> Stack | None:
        """Its next start, a stack of one point; None when it has nothing more to ask."""

    def settle(self, point: Stack | None) -> Iterable[Walker]:
        """Take the answer (None: did not converge); returns walkers that can start now."""


def run(
    walkers: Iterable[Walker],
    constants: Constants,
    damped: bool = False,
    watch: Callable[[], None] = lambda: None,
) -> None:
    """Serve walkers until none wants more.

    Arguments: damped: as in a rescue (90 iterations at most, small factors late). watch: called every iteration; may
        raise to stop the work.
    """
    waiting, active = list(walkers), []  # type: list[Walker], list[Walker]
    stack: Stack | None = None
    iteration, last = np.zeros(0, dtype=np.intp), np.zeros(0)
    limit = DAMPED if damped else FIRST
    while waiting or active:
        stack, iteration, last = _filled(waiting, active, stack, iteration, last)
        if stack is None:
            return
        watch()
        with np.errstate(all="ignore"):
            done = _iterate_safely(stack, iteration, last, constants, damped)
        iteration, last = iteration + 1, done.factor
        sound = np.isfinite(done.change)
        good = sound & (iteration > 2) & (done.change < np.where(done.factor > 0.99, TIGHT, TIGHT / 10))
        over = good | ~sound | (iteration >= limit)
        for slot in np.flatnonzero(over):
            waiting += active[slot].settle(done.stack.take(np.array([slot])) if good[slot] else None)
            waiting.append(active[slot])
        keep = ~over
        active = [one for one, stays in zip(active, keep, strict=True) if stays]
        stack, iteration, last = done.stack.take(keep), iteration[keep], last[keep]


def _filled(
    waiting: list[Walker], active: list[Walker], stack: Stack | None, iteration: Index, last: Array
) -> tuple[Stack | None, Index, Array]:
    """Fill free places with starts of waiting walkers; those with nothing to ask leave."""
    starts = []
    while waiting and len(active) < WIDEST:
        walker = waiting.pop(0)
        one = walker.start()
        if one is not None:
            starts.append(one)
            active.append(walker)
    for one in starts:
        stack = one if stack is None or stack.count == 0 else stack.joined(one)
    fresh = len(starts)
    if not active:
        return None, iteration, last
    return (
        stack,
        np.append(iteration, np.zeros(fresh, dtype=np.intp)),
        np.append(last, np.ones(fresh)),
    )


def _iterate_safely(
    stack: Stack, iteration: Index, last: Array, constants: Constants, damped: bool
) -> Iterated:
    """One iteration; when a matrix is singular, points are done one by one and the culprit is said not to converge."""
    try:
        return iterate(stack, iteration, last, constants, damped)
    except np.linalg.LinAlgError:
        if stack.count == 1:
            return Iterated(stack, np.array([np.nan]), np.array([0.0]))
    parts = [
        _iterate_safely(stack.take(np.array([k])), iteration[k : k + 1], last[k : k + 1], constants, damped)
        for k in range(stack.count)
    ]
    whole = parts[0].stack
    for one in parts[1:]:
        whole = whole.joined(one.stack)
    return Iterated(
        whole, np.concatenate([one.change for one in parts]), np.concatenate([one.factor for one in parts])
    )
