"""Planewright: one record of one home-built aeroplane, from its file to a verdict and a printed build book."""

__version__ = "0.1.0"
