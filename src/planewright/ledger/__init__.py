"""Weighings, checks and proofs as they stand: what needs no inference."""

from planewright.ledger.model import Check, Ledger, Weighing
from planewright.ledger.reading import CHECK_NAMES, read_ledger

__all__ = ["CHECK_NAMES", "Check", "Ledger", "Weighing", "read_ledger"]
