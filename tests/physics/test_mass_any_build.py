"""Whatever a builder writes that the reader lets through has a finite, positive mass and a sensible balance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.planes import CLARK_Y, FLAT, gannet_stock, only, plover
from planewright.analysis.mass import DRAWN, mass_model
from planewright.geometry import derive, overall, tail_volumes
from planewright.knowledge import Draws, prior_knowledge
from planewright.plane.model import Body, BodyStation, Build, Joint, Plane, Section, Spar, Station, Surface

NAMES = st.sampled_from([None, "board", "thin", "card", "ply", "not there"])
STICKS = st.sampled_from([None, "cap", "strip", "not there"])
SECTIONS = st.sampled_from([FLAT, CLARK_Y, Section("naca", "NACA 0006"), Section("naca", "NACA 6321")])
BUILDS = st.builds(
    Build,
    way=st.sampled_from(["folded", "ribs", "sheet", "kinked"]),
    skin=NAMES,
    rib=NAMES,
    rib_pitch=st.one_of(st.none(), st.floats(0.01, 3.0)),
    edge=STICKS,
    kink=st.floats(0.1, 0.9),
    camber=st.floats(0.0, 0.1),
)
SPARS = st.builds(Spar, at=st.floats(0.02, 0.98), caps=STICKS, web=NAMES, to=st.floats(0.0, 3.0))
JOINTS = st.builds(
    Joint,
    name=st.just("tip"),
    out=st.floats(0.01, 2.0),
    joiner=NAMES,
    reach=st.one_of(st.none(), st.floats(0.01, 0.5)),
    hinge=st.sampled_from([None, "top", "bottom"]),
    mass=st.one_of(st.none(), st.floats(0.001, 0.2)),
)


@st.composite
def surfaces(draw: st.DrawFn, kind: str) -> Surface:
    stations, out = [Station(0.0, draw(st.floats(0.02, 1.0)), section=draw(SECTIONS))], 0.0
    for _ in range(draw(st.integers(1, 3))):
        out += draw(st.floats(0.01, 1.5))
        chord, back, up = draw(st.floats(0.02, 1.0)), draw(st.floats(-0.5, 1.0)), draw(st.floats(-0.5, 0.5))
        stations.append(Station(out, chord, back, up, draw(st.floats(-0.2, 0.2)), draw(SECTIONS)))
    spars, joints = draw(st.lists(SPARS, max_size=2)), draw(st.lists(JOINTS, max_size=1))
    place = draw(st.floats(-0.5, 2.0))
    build, paired = draw(BUILDS), kind != "fin" or draw(st.booleans())
    return Surface(
        kind,
        kind,
        place,
        0.1,
        tuple(stations),
        build,
        paired=paired,
        spars=tuple(spars),
        joints=tuple(joints),
    )


@st.composite
def bodies(draw: st.DrawFn) -> Body:
    size = st.floats(0.0, 0.4)
    rows, x = [], draw(st.floats(-0.5, 0.5))
    for _ in range(draw(st.integers(2, 4))):
        rows.append(BodyStation(x, draw(size), draw(size), draw(st.floats(-0.2, 0.2))))
        x += draw(st.floats(0.01, 1.0))
    build = Build(
        draw(st.sampled_from(["box", "shell"])),
        skin=draw(NAMES),
        corners=draw(STICKS),
        former=draw(NAMES),
        former_pitch=draw(st.one_of(st.none(), st.floats(0.02, 2.0))),
        floor=draw(NAMES),
        corner_radius=draw(st.floats(0.0, 0.3)),
        sides=draw(st.integers(3, 24)),
    )
    y = draw(st.sampled_from([0.0, 0.3]))
    return Body("body", tuple(rows), build, y=y, paired=y > 0)


@given(wing=surfaces("wing"), fin=surfaces("fin"), body=bodies(), stocked=st.booleans())
@settings(max_examples=60, deadline=None)
def test_any_build_has_a_mass(wing: Surface, fin: Surface, body: Body, stocked: bool) -> None:
    plane: Plane = replace(only(wing, fin, bodies=(body,)), stock=gannet_stock() if stocked else {})
    plane = replace(plane, equipment=plover().equipment, battery=plover().battery)
    geometry = derive(plane)
    model = mass_model(geometry)
    state = model.evaluate(Draws(prior_knowledge(plane), 20))
    assert np.all(np.isfinite(state.cg))
    assert np.all(np.isfinite(state.inertia))
    assert np.all(state.mass > 0)
    assert np.all(state.inertia[:3] > 0)
    carried = model.wing_masses(DRAWN)
    assert np.all(carried.strip >= 0)
    sizes = overall(derive(plane, folded=True))
    assert np.all(np.isfinite(sizes))
    assert np.all(np.isfinite(tail_volumes(geometry, 0.3)))
