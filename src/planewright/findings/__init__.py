"""Findings: a figure against a limit, or evidence that is missing; and the verdict over all of them."""

from planewright.findings.judge import Row, judge, judge_evidence, judge_number
from planewright.findings.limits import Limit, load_limits
from planewright.findings.model import Finding, Record
from planewright.findings.verdict import verdict_of

__all__ = [
    "Finding",
    "Limit",
    "Record",
    "Row",
    "judge",
    "judge_evidence",
    "judge_number",
    "load_limits",
    "verdict_of",
]
