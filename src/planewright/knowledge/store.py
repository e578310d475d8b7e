"""The knowledge file: written whole, keys sorted, values to six figures; read back to the same Knowledge.

Only quantities that a trial read are written; all others stand in the prior table of the release, whose
hash the file carries. A file made from another prior table, or for quantities that are no longer there, is
read as stale.
"""

from __future__ import annotations

import hashlib
import json
import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from planewright.errors import Fault, InputError
from planewright.files import read_text
from planewright.knowledge.model import Knowledge, Quantity, TrialInForce

Array = npt.NDArray[np.float64]

METHOD = "t4+scatter+ep/1"
SCHEMA = 1
FIGURES = 6


def evidence_hash(trials: Iterable[tuple[str, str, str]], seen: Iterable[str] = ()) -> str:
    """Hash over trials that were run: (id, digest of its files, reason it was set aside or ""), and over what was
    ``seen`` besides, one line each (weighings and proofs in force, as the ledger says them).

    Order does not matter; a trial set aside counts as such, so that setting one aside makes a file stale.
    """
    lines = sorted(f"{name}\t{digest}\t{'no' if aside else 'yes'}\n" for name, digest, aside in trials)
    lines += sorted(f"{one}\n" for one in seen)
    return "sha256:" + hashlib.sha256("".join(lines).encode()).hexdigest()


def six(value: float) -> float:
    """A value to six significant figures, as the file holds it."""
    return float(f"{value:.{FIGURES}g}")


def rounded(knowledge: Knowledge) -> Knowledge:
    """The knowledge exactly as it reads back from its file."""
    quantities = {
        name: _rounded(one) if name in knowledge.order else one for name, one in knowledge.quantities.items()
    }
    covariance = _sound(tuple(tuple(six(v) for v in row) for row in knowledge.covariance))
    trials = tuple(
        replace(
            one,
            scatter=six(one.scatter),
            p_conflict=six(one.p_conflict),
            held=None if one.held is None else six(one.held),
        )
        for one in knowledge.trials
    )
    return replace(knowledge, quantities=quantities, covariance=covariance, trials=trials)


def _rounded(one: Quantity) -> Quantity:
    moved = tuple((trial, six(share)) for trial, share in one.moved_by)
    return replace(one, mean=_state(one, six(_median(one))), sd=six(one.sd), moved_by=moved)


def _sound(lower: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """Off-diagonals drawn in by parts of a million until the rounded triangle has a root again."""
    pull = 1.0
    for _ in range(40):
        trial = tuple((*(six(v * pull) for v in row[:-1]), row[-1]) for row in lower)
        if _positive(trial):
            return trial
        pull *= 1 - 1e-6 * 2
    return tuple((*(0.0 for _ in row[:-1]), row[-1]) for row in lower)


def _positive(lower: tuple[tuple[float, ...], ...]) -> bool:
    if not lower:
        return True
    full = np.zeros((len(lower), len(lower)))
    for i, row in enumerate(lower):
        full[i, : i + 1] = row
        full[: i + 1, i] = row
    scale = np.sqrt(np.diag(full))
    if not np.all(scale > 0):
        return False
    return bool(np.linalg.eigvalsh(full / np.outer(scale, scale))[0] > 1e-9)


def _median(one: Quantity) -> float:
    return math.exp(one.mean) if one.form == "ln" else one.mean


def _state(one: Quantity, median: float) -> float:
    return math.log(median) if one.form == "ln" else median


def band(one: Quantity) -> tuple[float, float]:
    """95 % band of a factor (or shift), low and high."""
    ends = (one.mean - 1.96 * one.sd, one.mean + 1.96 * one.sd)
    return (math.exp(ends[0]), math.exp(ends[1])) if one.form == "ln" else ends


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        number = f"{value:.{FIGURES}g}"
        return number if any(c in number for c in ".en") else number + ".0"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return "[" + ", ".join(_text(one) for one in value) + "]"


def _lines(entries: Mapping[str, Any]) -> list[str]:
    return [f"{key} = {_text(entries[key])}" for key in sorted(entries)]


def _quantity_lines(one: Quantity) -> list[str]:
    prior = _median(replace(one, mean=one.prior_mean))
    entries = {
        "band95": [six(v) for v in band(one)],
        "conflict": one.conflict,
        "form": one.form,
        "kind": one.kind,
        "median": _median(one),
        "moved_by": [list(pair) for pair in one.moved_by],
        "owner": one.owner,
        "prior": [six(prior), six(one.prior_sd)],
        "sd": one.sd,
        "shape": "gauss",
        "source": one.source,
        "unit": one.unit,
    }
    return ["", f"[quantity.{json.dumps(one.id, ensure_ascii=False)}]", *_lines(entries)]


def _trial_lines(one: TrialInForce) -> list[str]:
    entries: dict[str, Any] = {
        "configuration": one.configuration,
        "date": one.date,
        "downweighted": list(one.downweighted),
        "events": one.events,
        "findings": list(one.findings),
        "id": one.id,
        "kind": one.kind,
        "of": one.of,
        "p_conflict": one.p_conflict,
        "rows": one.rows,
        "scatter": one.scatter,
        "serial": one.serial,
        "sha256": one.digest,
        "withdrawn": one.withdrawn,
    }
    if one.held is not None:
        entries["held"] = one.held
    if one.passed is not None:
        entries["passed"] = one.passed
    return ["", "[[trial]]", *_lines(entries)]


def write_knowledge(knowledge: Knowledge) -> str:
    """The knowledge file as text: TOML, keys sorted, values to six figures. The same knowledge, the same
    bytes."""
    head = {
        "conflicts": list(knowledge.conflicts),
        "evidence": knowledge.evidence,
        "method": METHOD,
        "prior": knowledge.prior_hash,
        "schema": SCHEMA,
    }
    lines = ["# written by calibration; take a trial out and calibrate again to go back", *_lines(head)]
    for name in sorted(knowledge.order):
        lines += _quantity_lines(knowledge.quantities[name])
    for trial in sorted(knowledge.trials, key=lambda one: one.id):
        lines += _trial_lines(trial)
    lines += ["", "[covariance]", f"order = {_text(list(knowledge.order))}", "lower = ["]
    lines += [f"  {_text(list(map(float, row)))}," for row in knowledge.covariance]
    return "\n".join([*lines, "]", ""])


def read_knowledge(path: Path, prior: Knowledge) -> tuple[Knowledge, tuple[Fault, ...]]:
    """Read a knowledge file over the prior knowledge of the same aeroplane.

    A missing file gives the prior itself. A file that cannot be understood gives the prior and one fault; a
    file made from another prior table, or naming quantities that this aeroplane lacks, is used as far as it
    goes and marked stale. Calibrating again always mends it.
    """
    if not path.exists():
        return prior, ()
    try:
        return _overlay(tomllib.loads(read_text(path)), prior, path.name)
    except InputError as error:
        return replace(prior, stale=True), error.faults
    except (KeyError, TypeError, ValueError, RecursionError, AttributeError, IndexError) as error:
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        return replace(prior, stale=True), (_unreadable(path.name, reason),)


def _unreadable(name: str, reason: str) -> Fault:
    advice = (
        "Only the calibrate command writes it: run that again, or delete the file to go back to the prior."
    )
    return Fault(name, 0, "", f"cannot be read ({reason}).", "A knowledge file was expected.", advice)


def _overlay(data: Mapping[str, Any], prior: Knowledge, name: str) -> tuple[Knowledge, tuple[Fault, ...]]:
    if data["schema"] != SCHEMA:
        raise ValueError(f"schema {data['schema']} is not {SCHEMA}")
    table: Mapping[str, Any] = data.get("quantity", {})
    known = {one: entry for one, entry in table.items() if one in prior.quantities}
    quantities = {
        **prior.quantities,
        **{one: _read_quantity(prior.quantities[one], e) for one, e in known.items()},
    }
    order, lower = _read_covariance(data["covariance"], known)
    lost = sorted(set(table) - set(known))
    moved = [one for one, entry in known.items() if not _same_prior(prior.quantities[one], entry["prior"])]
    stale = bool(lost or moved) or data["prior"] != prior.prior_hash
    found = replace(
        prior,
        quantities=quantities,
        order=order,
        covariance=lower,
        trials=tuple(_read_trial(one) for one in data.get("trial", ())),
        evidence=str(data["evidence"]),
        stale=stale,
        conflicts=tuple(map(str, data.get("conflicts", ()))),
    )
    return found, _notes(name, lost, moved)


def _notes(name: str, lost: list[str], moved: list[str]) -> tuple[Fault, ...]:
    if not lost and not moved:
        return ()
    what = ", ".join([*lost, *moved][:4])
    return (
        Fault(
            name,
            0,
            "",
            f"was made for another description ({what}).",
            "The aeroplane's materials or engines have changed since.",
            "Calibrate again.",
            "note",
        ),
    )


def _same_prior(one: Quantity, stored: list[float]) -> bool:
    median = _median(replace(one, mean=one.prior_mean))
    return math.isclose(six(median), float(stored[0]), rel_tol=1e-5, abs_tol=1e-9) and math.isclose(
        six(one.prior_sd), float(stored[1]), rel_tol=1e-5
    )


def _finite(value: Any) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value} is not a finite number")
    return number


def _read_quantity(one: Quantity, entry: Mapping[str, Any]) -> Quantity:
    if entry["kind"] not in ("assumed", "published", "measured"):
        raise ValueError(f"kind {entry['kind']!r} is not known")
    moved = tuple((str(trial), _finite(share)) for trial, share in entry["moved_by"])
    return replace(
        one,
        mean=_state(one, _finite(entry["median"])),
        sd=_finite(entry["sd"]),
        kind=entry["kind"],
        source=str(entry["source"]),
        moved_by=moved,
        conflict=str(entry["conflict"]),
    )


def _read_covariance(
    entry: Mapping[str, Any], known: Mapping[str, Any]
) -> tuple[tuple[str, ...], tuple[tuple[float, ...], ...]]:
    order = [str(one) for one in entry["order"]]
    rows = [[_finite(v) for v in row] for row in entry["lower"]]
    if [len(row) for row in rows] != list(range(1, len(order) + 1)):
        raise ValueError("the triangle of the covariance does not fit its order")
    kept = [i for i, name in enumerate(order) if name in known]
    lower = tuple(tuple(rows[i][j] for j in kept if j <= i) for i in kept)
    if not _positive(lower):
        raise ValueError("the covariance is not positive")
    return tuple(order[i] for i in kept), lower


def _read_trial(entry: Mapping[str, Any]) -> TrialInForce:
    held = entry.get("held")
    return TrialInForce(
        id=str(entry["id"]),
        kind=str(entry["kind"]),
        of=str(entry["of"]),
        date=str(entry["date"]),
        configuration=str(entry["configuration"]),
        serial=str(entry["serial"]),
        digest=str(entry["sha256"]),
        rows=int(entry["rows"]),
        events=int(entry["events"]),
        scatter=_finite(entry["scatter"]),
        p_conflict=_finite(entry["p_conflict"]),
        downweighted=tuple(int(one) for one in entry["downweighted"]),
        findings=tuple(map(str, entry["findings"])),
        held=None if held is None else _finite(held),
        withdrawn=bool(entry.get("withdrawn", False)),
        passed=None if entry.get("passed") is None else bool(entry["passed"]),
    )
