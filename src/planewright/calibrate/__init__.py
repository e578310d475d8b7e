"""Calibration: records of trials to knowledge. The only room that imports both records and analyses."""

from planewright.calibrate.compare import Change, compare
from planewright.calibrate.update import calibrate

__all__ = ["Change", "calibrate", "compare"]
