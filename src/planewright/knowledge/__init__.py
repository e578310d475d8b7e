"""Knowledge: factors and shifts on predictions, their prior table, their draws and their file."""

from planewright.knowledge.draws import Draws, at_medians, normal_stream, scoped
from planewright.knowledge.model import Kind, Knowledge, Quantity, TrialInForce
from planewright.knowledge.priors import (
    FLYING_WING,
    article_quantities,
    engine_quantities,
    prior_hash,
    prior_knowledge,
)
from planewright.knowledge.states import Points, perturbed, points
from planewright.knowledge.store import band, evidence_hash, read_knowledge, rounded, write_knowledge

__all__ = [
    "FLYING_WING",
    "Draws",
    "Kind",
    "Knowledge",
    "Points",
    "Quantity",
    "TrialInForce",
    "article_quantities",
    "at_medians",
    "band",
    "engine_quantities",
    "evidence_hash",
    "normal_stream",
    "perturbed",
    "points",
    "prior_hash",
    "prior_knowledge",
    "read_knowledge",
    "rounded",
    "scoped",
    "write_knowledge",
]
