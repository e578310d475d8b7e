"""From trials to knowledge: which trials count, who informs whom, what is compared."""

import datetime as dt
from dataclasses import replace

import pytest

from fixtures.planes import plover
from fixtures.stand_ins import table
from planewright.calibrate import calibrate, compare
from planewright.calibrate.agreement import Agreement
from planewright.calibrate.kinds import reduce_trial
from planewright.calibrate.predictions import engine_of, joint_capacity, proved
from planewright.calibrate.protocol import Bench
from planewright.calibrate.update import widened
from planewright.errors import InputError
from planewright.geometry import derive
from planewright.knowledge import Knowledge, points, prior_knowledge, write_knowledge
from planewright.ledger.model import Check, Ledger
from planewright.plane.model import Plane
from planewright.records.model import Trial

PLANE = plover()
GEOMETRY = derive(PLANE)
PRIOR = prior_knowledge(PLANE, "mown grass")


def balance(name: str = "b", **changes: object) -> Trial:
    rows = [[i, 499, 1803, 1765, 0.0] for i in (1, 2, 3)]
    readings = table(["repeat", "nose_g", "right_g", "left_g", "pitch_deg"], rows)
    made = Trial(
        name, "balance", dt.date(2026, 5, 20), "aeroplane", PLANE.configuration, readings=readings, digest="1"
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def known(*trials: Trial, ledger: Ledger | None = None) -> Knowledge:
    return calibrate(PRIOR, GEOMETRY, ledger or Ledger(), trials)


def test_no_trials_leave_every_quantity_at_its_prior() -> None:
    found = known()
    assert dict(found.quantities) == dict(PRIOR.quantities) and found.order == () and found.trials == ()
    assert compare(PRIOR, found) == ()


def test_planned_and_set_aside_trials_do_not_count() -> None:
    planned = balance(planned=True, readings=None)
    aside = balance("c", in_force="a wheel stood on the tape")
    assert known(planned).quantities == known().quantities and known(planned).evidence == known().evidence
    assert known(aside).quantities == known().quantities and known(aside).evidence != known().evidence


def test_balance_settles_the_unmodelled_centre_of_gravity() -> None:
    found = known(balance())
    assert found.quantities["cg.unmodelled"].kind == "measured"
    assert found.quantities["cg.unmodelled"].moved_by[0][0] == "b"
    rows = {one.id: one for one in compare(PRIOR, found)}
    assert rows["cg.unmodelled"].narrowed < 0.3 and rows["cg.unmodelled"].moved_by == ("b",)
    assert found.trials[0].rows == 6 and found.trials[0].configuration == PLANE.configuration


def test_another_letter_leaves_the_centre_of_gravity() -> None:
    found = known(balance(configuration="Q"))
    assert found.quantities["cg.unmodelled"].kind == "assumed"
    assert any("another configuration letter" in words for words in found.trials[0].findings)


def test_kinds_that_come_later_say_so_and_move_nothing() -> None:
    found = known(balance(kind="flight"))
    assert found.order == () and "moves nothing yet" in found.trials[0].findings[0]


def test_every_unusable_trial_is_reported_at_once() -> None:
    empty = table(["repeat", "nose_g", "right_g", "left_g"], [[1, "", "", ""]])
    with pytest.raises(InputError) as caught:
        known(balance("one", readings=empty), balance("two", readings=empty))
    assert [fault.file for fault in caught.value.faults] == ["trials/one/trial.toml", "trials/two/trial.toml"]


def run_of(name: str, serial: str) -> Trial:
    return Trial("t", "thrust", dt.date(2026, 5, 2), name, serial=serial)


def test_engine_of_a_run() -> None:
    left, right = PLANE.engines
    assert engine_of(PLANE, run_of("engine.left", ""))[0] is left
    assert engine_of(PLANE, run_of("engine.left", right.serial))[0] is right
    other, swap, said = engine_of(PLANE, run_of("engine.left", "old"))
    assert other is left and swap == f"eng.serial[{left.serial}]" and "not fitted any more" in said[0]
    mixed = replace(PLANE, engines=(left, replace(right, make="other")))
    gone, swap, said = engine_of(mixed, run_of("engine.left", "old"))
    assert gone is None and swap == "" and "moves nothing" in said[0]


def test_a_plane_without_engine_or_wing_takes_trials_without_stumbling() -> None:
    bare = Plane("bare", "A")
    bench = Bench(prior_knowledge(bare), derive(bare), Ledger())
    for kind in ("thrust", "bend", "vehicle", "proof"):
        assert "n" in reduce_trial(bench, Trial("x", kind, dt.date(2026, 1, 1), "wing")).findings[0]


def test_plug_in_joint_has_a_capacity_and_a_hinge_none() -> None:
    found = joint_capacity(PLANE, "outer")
    assert found is not None and 5 < float(found(points(PRIOR))[0]) < 60
    assert joint_capacity(PLANE, "tip") is None


def proof_line(**changes: object) -> Ledger:
    note = "lifted at both tips 60 s and no set"
    line = Check(5, "proof wing.joint.outer", True, dt.date(2026, 5, 16), "B", "wing-1", "two adults", note)
    return Ledger(checks=(replace(line, **changes),))  # type: ignore[arg-type]


def test_lift_at_both_tips_bounds_the_joint() -> None:
    found = known(ledger=proof_line())
    joint = found.quantities["joint.factor"]
    assert joint.mean > PRIOR.quantities["joint.factor"].mean and joint.sd < joint.prior_sd
    assert joint.moved_by[0][0] == "checks.csv line 5"
    for other in (
        proof_line(passed=False),
        proof_line(serial="wing-0"),
        proof_line(note="looked at"),
        Ledger(),
    ):
        assert not proved(Bench(PRIOR, GEOMETRY, other))


def test_widening_is_half_the_deviate_and_never_narrows() -> None:
    assert Agreement(0.5).widening == 1.0 and Agreement(0.011).widening == 1.0
    assert Agreement(0.0027).widening == pytest.approx(1.5, abs=0.001)
    wide = widened(PRIOR, {"sec.clmax": 1.5})
    assert wide.quantities["sec.clmax"].prior_sd == pytest.approx(0.18)


def test_same_trials_same_bytes() -> None:
    trials = (balance("a"), balance("b", digest="2"))
    assert write_knowledge(known(*trials)) == write_knowledge(known(*trials[::-1]))
