"""Neutral point by the sum of lifts: a check on the lattice, and a form for the hand."""

from __future__ import annotations


def lift_sum_neutral_point(
    wing_slope: float,
    wing_centre: float,
    tail_slope: float,
    tail_area: float,
    tail_arm: float,
    wash: float,
    tail_flow: float = 1.0,
    body: float = 0.0,
) -> float:
    """Neutral point in chords behind the leading edge of the mean chord.

    Arguments:
        wing_slope, tail_slope: lift slopes of wing (with body) and tail on their own areas, per rad (or both per deg).
        wing_centre: aerodynamic centre of the wing (with body) in chords. tail_area: over the wing's.
        tail_arm: from that centre to the tail's, chords. wash: d(epsilon)/d(alpha), 0 to 1.
        tail_flow: dynamic pressure at the tail over the free one. body: its own moment slope, nose up positive.
    Source: sum of lifts, exact for given slopes; text of any course on stability (for instance Anderson,
    Introduction to Flight, chapter 7, whose shorter form divides by the wing's slope alone).
    """
    tail = tail_slope * tail_area * tail_flow * (1 - wash)
    return wing_centre + (tail_arm * tail - body) / (wing_slope + tail)
