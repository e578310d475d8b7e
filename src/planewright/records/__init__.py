"""Records of trials as taken: read and checked, never rewritten, never interpreted."""

from planewright.records.model import TRIAL_KINDS, Remark, Said, Table, Trial
from planewright.records.numbers import dimension_of_head, numbers
from planewright.records.reading import changed_raw, raw_digests, read_trial, read_trials

__all__ = [
    "TRIAL_KINDS",
    "Remark",
    "Said",
    "Table",
    "Trial",
    "changed_raw",
    "dimension_of_head",
    "numbers",
    "raw_digests",
    "read_trial",
    "read_trials",
]
