"""The study: one record of one aeroplane that every door shows."""

from planewright.study.model import Document, Figure, TrialRow
from planewright.study.models import lattice_matrix
from planewright.study.study import STALE, Study, evaluate
from planewright.study.trials import trial_rows

__all__ = ["STALE", "Document", "Figure", "Study", "TrialRow", "evaluate", "lattice_matrix", "trial_rows"]
