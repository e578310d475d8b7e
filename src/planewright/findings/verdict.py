"""One table for page, book, terminal and JSON. Never a probability, a score or a permission."""

from __future__ import annotations

from collections.abc import Sequence

from planewright.findings.model import Finding, VerdictId

WORDS: dict[VerdictId, str] = {
    "not_ready": "No",
    "needs_evidence": "Not yet",
    "pilot_decides": "The pilot decides",
}
ORDER = {"short": 0, "conflict": 1, "missing": 2, "crosses": 3, "clear": 4}
STANDS = {
    "short": "is short",
    "conflict": "is in conflict",
    "missing": "has not been shown",
    "crosses": "lies across the fence",
    "clear": "is clear",
}
LAW = "Law, landowner, insurer and pilot decide; this sheet permits nothing."


def ranked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings as they are shown: short, conflict, missing, crosses, clear; blocks first; within these by danger."""
    return tuple(sorted(findings, key=lambda one: (ORDER[one.state], one.kind, one.danger, one.id)))


def verdict_of(findings: Sequence[Finding]) -> VerdictId:
    """``not_ready`` when a blocking row is short; else ``needs_evidence`` when a blocking row crosses, is
    missing or in conflict; else ``pilot_decides``. Watch rows never count."""
    states = {one.state for one in findings if one.kind == "block"}
    if "short" in states:
        return "not_ready"
    return "needs_evidence" if states & {"crosses", "missing", "conflict"} else "pilot_decides"


def first_reason(findings: Sequence[Finding]) -> str:
    """How many blocking rows are open, and the first of them in words."""
    rows = [one for one in ranked(findings) if one.kind == "block" and one.state != "clear"]
    if not rows:
        return f"Nothing that blocks is open. {LAW}"
    count = "One blocking row is" if len(rows) == 1 else f"{len(rows)} blocking rows are"
    return f"{count} open. First: “{rows[0].sentence}” {STANDS[rows[0].state]}."
