"""Signs, limits and conservation of the power model; easy mistakes, one line each."""

from __future__ import annotations

import dataclasses

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.analysis.power import power_model
from planewright.analysis.power.ideal import (
    duct_power,
    duct_thrust_in_flight,
    exit_speed,
    exit_speed_in_flight,
)
from planewright.analysis.power.motor import pack_amps
from planewright.analysis.power.pack import Pack
from planewright.analysis.power.propeller import coefficients
from planewright.analysis.power.units import SPEEDS, PropellerUnit
from planewright.errors import InputError, OutOfRange
from planewright.plane.model import Battery, Claim, Engine, Fan, Motor, Plane, Propeller

Array = npt.NDArray[np.float64]
MEDIANS = {
    "eng.make": 1.0,
    "eng.serial": 1.0,
    "eng.current": 1.0,
    "eng.lapse": 1.0,
    "pack.R": 1.3,
    "pack.Q": 0.92,
}


class States:
    """Factors at medians, with changes by base or by (base, owner)."""

    def __init__(self, count: int = 1, **change: float | Array) -> None:
        self.count, self.change = count, change

    def factor(self, base: str, owner: str = "") -> Array:
        plain = base.replace(".", "_")
        value = self.change.get(f"{plain}_{owner}", self.change.get(plain, MEDIANS[base]))
        return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (self.count,)))

    def shift(self, base: str, owner: str = "") -> Array:
        return np.zeros(self.count)


def propeller_engine(name: str, y: float, size: tuple[float, float] = (0.3048, 0.1524)) -> Engine:
    motor = Motor(0.146, 440 * np.pi / 30, 0.080, 0.7)
    return Engine(name, "propeller", 0.29, y, 0.12, name[7:] or "1", "m", motor, Propeller(*size))


def fan_engine(name: str, serial: str, amps: float) -> Engine:
    fan = Fan(0.080, 0.036, 0.100, 0.066, 12, 0.262)
    return Engine(name, "fan", 0.56, 0.44, 0.0, serial, serial, fan=fan, claim=Claim(20.0, 24.0, amps))


FOUR = Battery(4, 18000.0, 0.498, 0.018, 0.15, serial="pack")
SIX = Battery(6, 14400.0, 0.588, 0.016, 0.71, count=2, serial="pack")
TWIN = Plane(
    "twin",
    "A",
    engines=tuple(propeller_engine(f"engine.{s}", y) for s, y in (("left", -1), ("right", 1))),
    battery=FOUR,
)
FANS = Plane(
    "fans",
    "A",
    engines=(fan_engine("engine.left", "L", 48.0), fan_engine("engine.right", "R", 45.0)),
    battery=SIX,
)
BOTH = pytest.mark.parametrize("plane", [TWIN, FANS], ids=["propellers", "fans"])
RHO = 1.225


@BOTH
def test_thrust_falls_with_speed_and_with_charge(plane: Plane) -> None:
    model, states = power_model(plane, RHO), States(20)
    speed = np.linspace(0.0, 25.0, 20)
    assert np.all(np.diff(model.thrust(states, speed, 0.9).total) < 0)
    assert np.all(np.diff(model.thrust(states, 10.0, np.linspace(0.05, 1.0, 20)).total) > 0)


@BOTH
def test_more_volts_more_thrust_and_more_current(plane: Plane) -> None:
    model = power_model(plane, RHO)
    thrust, amps = model.static(States(30), "engine.left", np.linspace(1.0, model.most_volts, 30))
    assert np.all(np.diff(thrust) > 0) and np.all(np.diff(amps) > 0)


@BOTH
def test_two_engines_sag_the_pack_more_than_one(plane: Plane) -> None:
    """The survivor gains a few percent: 3.6 to 4 % at climbing speed in a trial of our own."""
    model, states = power_model(plane, RHO), States()
    two = model.thrust(states, 10.1, 0.9)
    one = model.one_stopped(states, "engine.left", 10.1, 0.9)
    assert one.volts[0] > two.volts[0]
    gain = one.engine["engine.right"][0] / two.engine["engine.right"][0]
    assert 1.02 < gain < 1.06
    assert one.engine["engine.left"][0] < 0
    assert one.total[0] == pytest.approx(sum(part[0] for part in one.engine.values()))


@BOTH
def test_the_pack_balances(plane: Plane) -> None:
    """Terminal voltage = open-circuit voltage - resistance times current, and the currents add up."""
    model, states = power_model(plane, RHO), States(eng_current=1.1)
    for throttle in (1.0, 0.5):
        found = model.thrust(states, 9.0, 0.7, throttle)
        ohms = model.pack.resistance(states)
        assert found.volts == pytest.approx(model.pack.open_volts(0.7) - ohms * found.amps, rel=1e-9)
        volts = throttle * found.volts
        motors = sum(1.1 * model.units[one.name].amps(volts, np.array([9.0])) for one in plane.engines)
        assert found.amps == pytest.approx(pack_amps(motors, throttle) + 0.3, rel=1e-6)


@BOTH
def test_level_gives_the_thrust_that_was_asked(plane: Plane) -> None:
    model, states = power_model(plane, RHO), States(5, eng_make=np.linspace(0.9, 1.1, 5), eng_lapse=1.2)
    level = model.level_state(states, 12.5, 5.0, 0.6)
    assert level.available.all()
    check = model.thrust(states, 12.5, 0.6, level.duty)
    assert check.total == pytest.approx(np.full(5, 5.0), abs=2e-3)
    assert check.amps == pytest.approx(level.amps, rel=2e-3)
    assert np.all(np.diff(model.level(states, 12.5, np.linspace(2.0, 9.0, 5), 0.6)) > 0)


@BOTH
def test_what_cannot_be_had_is_nan_and_counts_no_time(plane: Plane) -> None:
    model, states = power_model(plane, RHO), States(2)
    needed = np.array([5.0, 500.0])
    level = model.level_state(states, 12.5, needed, 0.6)
    assert level.available.tolist() == [True, False]
    assert np.isfinite(level.amps[0]) and np.isnan(level.amps[1])
    assert model.endurance(states, 12.5, needed)[1] == 0.0


@BOTH
def test_endurance_is_charge_over_current(plane: Plane) -> None:
    model, states = power_model(plane, RHO), States()
    time = model.endurance(states, 12.5, 5.0)
    currents = [model.level(states, 12.5, 5.0, charge)[0] for charge in (0.3, 1.0)]
    usable = 0.92 * plane.battery.charge * plane.battery.count * 0.7  # type: ignore[union-attr]
    assert usable / 1.25 / max(currents) < time[0] < usable / 1.25 / min(currents)
    assert model.endurance(states, 12.5, 5.5)[0] < time[0]
    assert model.endurance(States(pack_Q=0.8), 12.5, 5.0)[0] == pytest.approx(time[0] * 0.8 / 0.92)
    assert model.endurance(States(pack_R=2.6), 12.5, 5.0)[0] < time[0]


@BOTH
def test_factors_multiply_what_they_should(plane: Plane) -> None:
    model = power_model(plane, RHO)
    base = model.static(States(), "engine.left", 15.0)
    more = model.static(
        States(eng_make=1.1, eng_serial=1.02, eng_current=1.2, eng_lapse=3.0), "engine.left", 15.0
    )
    assert more[0] / base[0] == pytest.approx(1.1 * 1.02)
    assert more[1] / base[1] == pytest.approx(1.2)
    still, fast = (model.thrust(States(), speed, 0.9).total[0] for speed in (0.0, 12.0))
    lapsed = model.thrust(States(eng_lapse=1.5), 12.0, 0.9)
    assert lapsed.amps[0] == model.thrust(States(), 12.0, 0.9).amps[0]
    assert lapsed.total[0] < fast < still


@BOTH
def test_thinner_air_gives_less_thrust_and_current(plane: Plane) -> None:
    """At a fixed voltage T goes by rho^0.91 (propeller): between the powers 0.3 and 1."""
    thick, thin = (power_model(plane, rho).static(States(), "engine.left", 15.0) for rho in (1.225, 1.1))
    power = np.log(thick[0] / thin[0]) / np.log(1.225 / 1.1)
    assert 0.3 < power[0] <= 1.0
    assert thick[1] >= thin[1]


def test_duct_gives_nothing_when_the_jet_is_as_fast_as_the_flight() -> None:
    """Drag of the air taken in is inside: T(Ve = V) = 0."""
    assert duct_thrust_in_flight(0.0, 0.0034, RHO, 20.0) == pytest.approx(0.0, abs=1e-9)
    assert exit_speed_in_flight(0.0, 20.0) == pytest.approx(20.0)


@settings(max_examples=40, deadline=None)
@given(thrust=st.floats(1.0, 40.0), speed=st.floats(0.0, 40.0))
def test_constant_jet_power(thrust: float, speed: float) -> None:
    """1/2 rho Ae Ve (Ve^2 - V^2) in flight is that of the bench."""
    nozzle = 0.0034
    exit_ = exit_speed_in_flight(exit_speed(thrust, nozzle, RHO), speed)
    jet = 0.5 * RHO * nozzle * exit_ * (exit_**2 - speed**2)
    assert jet == pytest.approx(duct_power(thrust, nozzle, RHO), rel=1e-9)
    assert duct_thrust_in_flight(thrust, nozzle, RHO, speed) <= thrust * (1 + 1e-12)


def test_lapse_of_a_jet_of_62_metres_a_second() -> None:
    """Trial of our own with the closed form: .924 .856 .812 .760 .688 at 5, 10, 13.5, 18, 25 m/s."""
    nozzle = np.pi / 4 * 0.066**2
    thrust = RHO * nozzle * 62.5**2
    speeds = np.array([5.0, 10.0, 13.5, 18.0, 25.0])
    ratio = duct_thrust_in_flight(thrust, nozzle, RHO, speeds) / thrust
    assert ratio == pytest.approx([0.924, 0.856, 0.812, 0.760, 0.688], abs=0.0015)


def test_part_throttle_current() -> None:
    """Pack current is not motor current: at duty 1/2 their ratio is 0.51, and no energy is made."""
    assert pack_amps(10.0, 0.5) == pytest.approx(5.1)
    assert pack_amps(10.0, 1.0) == pytest.approx(10.0)
    duty = np.linspace(0.01, 1.0, 50)
    assert np.all(16.0 * pack_amps(8.0, duty) >= duty * 16.0 * 8.0)


def test_packs_in_parallel_halve_the_resistance() -> None:
    one, two = (Pack(dataclasses.replace(SIX, count=n)) for n in (1, 2))
    assert two.printed_resistance == pytest.approx(one.printed_resistance / 2)
    assert two.charge(States())[0] == pytest.approx(2 * one.charge(States())[0])
    volts = power_model(FANS, RHO).thrust(States(eng_make=0.75, eng_current=1.08), 0.0, 1.0).volts[0]
    assert volts == pytest.approx(24.1, abs=0.3)


def test_pack_voltage_rises_with_charge_and_range_is_kept() -> None:
    pack = Pack(FOUR)
    assert np.all(np.diff(pack.open_volts(np.linspace(0.0, 1.0, 101))) > 0)
    assert pack.open_volts(1.0) == pytest.approx(4 * 4.18)
    with pytest.raises(OutOfRange):
        pack.open_volts(1.2)
    with pytest.raises(OutOfRange):
        pack.open_volts(-0.1)


def test_windmill_is_drag_without_current() -> None:
    unit = power_model(TWIN, RHO).units["engine.left"]
    assert isinstance(unit, PropellerUnit)
    fast = np.array([18.0])
    off = np.zeros(1)
    one = np.ones(1)
    assert unit.amps(off, fast)[0] == 0.0
    assert unit.thrust(off, fast, one, one)[0] < 0.0
    assert unit.dead(fast)[0] > 0.0
    assert 1.0 < unit.dead(fast)[0] < 3.0  # a trial of our own with blade elements gave 1.9 N
    assert unit.dead(np.array([0.0]))[0] == pytest.approx(0.0, abs=1e-9)


def test_a_standing_propeller_drags_by_the_square_of_speed() -> None:
    """T ~ V^2 as the shaft stops; no motor voltage and no wind: nothing at all."""
    shape, _ = coefficients(Propeller(0.3048, 0.1524))
    advance = np.array([200.0, 400.0])
    thrust, _ = shape.at(advance, np.array([50.0, 50.0]))
    assert thrust[1] / thrust[0] == pytest.approx(4.0, rel=0.05)


def test_grid_of_the_motor_balances_torque() -> None:
    """Looked up between grid points: electrical power covers the shaft and the copper loss."""
    model = power_model(TWIN, RHO)
    unit = model.units["engine.left"]
    assert isinstance(unit, PropellerUnit)
    volts, speed = np.array([15.87, 11.03]), np.array([7.77, 12.31])
    motor = TWIN.engines[0].motor
    assert motor is not None
    amps, turns = unit.amps(volts, speed), unit.shaft_speed(volts, speed)
    assert amps == pytest.approx((volts - turns / motor.speed_constant) / motor.resistance, abs=0.02)
    assert len(SPEEDS) == unit.force.values.shape[0]


@settings(max_examples=25, deadline=None)
@given(
    diameter=st.floats(0.15, 0.45),
    ratio=st.floats(0.35, 0.9),
    blades=st.integers(2, 4),
    constant=st.floats(200.0, 1200.0),
    speed=st.floats(0.0, 30.0),
)
def test_any_propeller_matches(
    diameter: float, ratio: float, blades: int, constant: float, speed: float
) -> None:
    motor = Motor(0.1, constant * np.pi / 30, 0.06, 0.8)
    propeller = Propeller(diameter, ratio * diameter, blades)
    plane = Plane(
        "one",
        "A",
        engines=(Engine("engine", "propeller", 0, 0, 0, "1", "m", motor, propeller),),
        battery=FOUR,
    )
    found = power_model(plane, RHO).thrust(States(), speed, 0.8)
    assert np.isfinite(found.total).all() and 0 < found.volts[0] <= 4 * 4.18
    assert found.amps[0] >= 0.3 - 1e-9


def test_own_table_is_used_alone() -> None:
    rows = ((0.0, 0.10, 0.04), (0.3, 0.07, 0.036), (0.6, 0.02, 0.02))
    plane = dataclasses.replace(
        TWIN, engines=tuple(dataclasses.replace(one, table=rows) for one in TWIN.engines)
    )
    model = power_model(plane, RHO)
    assert model.basis["engine.left"] == "the builder's own table"
    assert (
        model.static(States(), "engine.left", 15.0)[0]
        != power_model(TWIN, RHO).static(States(), "engine.left", 15.0)[0]
    )


def test_every_missing_thing_is_named_at_once() -> None:
    bare = (
        Engine("engine.left", "fan", 0, 0, 0, "1", "m", fan=Fan(0.08, 0.036, 0.1, 0.066, 12, 0.2)),
        Engine("engine.right", "propeller", 0, 0, 0, "2", "n"),
    )
    with pytest.raises(InputError) as caught:
        power_model(Plane("bare", "A", engines=bare), RHO)
    assert {fault.path for fault in caught.value.faults} == {"battery", "engine.left", "engine.right"}


def test_wrong_questions() -> None:
    model = power_model(TWIN, RHO)
    with pytest.raises(KeyError, match=r"engine\.middle"):
        model.static(States(), "engine.middle", 15.0)
    with pytest.raises(OutOfRange):
        model.thrust(States(), 60.0, 0.9)
    with pytest.raises(OutOfRange):
        model.static(States(), "engine.left", 25.0)


TABLE = [
    # two propellers 12 x 6 on four cells; then two fans on six cells with thrust and current of their bench runs
    ("static full", 24.4, 0.08, lambda twin, fans, s, g: twin.thrust(s, 0.0, 1.0).total),
    ("static 30 %", 20.1, 0.08, lambda twin, fans, s, g: twin.thrust(s, 0.0, 0.3).total),
    ("10 m/s", 15.9, 0.10, lambda twin, fans, s, g: twin.thrust(s, 10.0, 0.9).total),
    ("12.5 m/s", 13.4, 0.10, lambda twin, fans, s, g: twin.thrust(s, 12.5, 0.9).total),
    ("18 m/s", 6.9, 0.10, lambda twin, fans, s, g: twin.thrust(s, 18.0, 0.9).total),
    ("level current", 6.8, 0.20, lambda twin, fans, s, g: twin.level(s, 12.5, 5.0, 0.65)),
    ("full current", 19.0, 0.20, lambda twin, fans, s, g: twin.thrust(s, 0.0, 0.9).amps),
    ("minutes", 24.0, 0.20, lambda twin, fans, s, g: twin.endurance(s, 12.5, 5.0) / 60),
    ("fans static full", 32.2, 0.08, lambda twin, fans, s, g: fans.thrust(g, 0.0, 1.0).total),
    ("fans static 30 %", 26.7, 0.08, lambda twin, fans, s, g: fans.thrust(g, 0.0, 0.3).total),
    ("fans 10.9 m/s", 25.7, 0.10, lambda twin, fans, s, g: fans.thrust(g, 10.9, 0.9).total),
    ("fans 13.5 m/s", 24.4, 0.10, lambda twin, fans, s, g: fans.thrust(g, 13.5, 0.9).total),
    ("fans 18 m/s", 22.3, 0.10, lambda twin, fans, s, g: fans.thrust(g, 18.0, 0.9).total),
    ("fans full current", 79.0, 0.20, lambda twin, fans, s, g: fans.thrust(g, 0.0, 0.9).amps),
    ("fans level current", 16.0, 0.20, lambda twin, fans, s, g: fans.level(g, 13.5, 6.1, 0.65)),
    ("fans minutes", 15.0, 0.20, lambda twin, fans, s, g: fans.endurance(g, 13.5, 6.1) / 60),
    (
        "fans by claims",
        34.0,
        0.08,
        lambda twin, fans, s, g: fans.thrust(States(eng_make=0.75), 0.0, 1.0).total,
    ),
]


@pytest.mark.parametrize(("name", "value", "tolerance", "ours"), TABLE, ids=[row[0] for row in TABLE])
def test_invented_examples_close(name: str, value: float, tolerance: float, ours) -> None:  # type: ignore[no-untyped-def]
    """Middle values of the two invented examples, worked out beforehand by a trial of our own."""
    twin, fans = power_model(TWIN, RHO), power_model(FANS, RHO)
    plain = fans.static(States(), "engine.left", 23.4), fans.static(States(), "engine.right", 23.4)
    bench = States(
        eng_make_L=float(16.4 / plain[0][0][0]),
        eng_make_R=float(14.4 / plain[1][0][0]),
        eng_current_L=float(43.0 / plain[0][1][0]),
        eng_current_R=float(39.5 / plain[1][1][0]),
    )
    assert ours(twin, fans, States(), bench)[0] == pytest.approx(value, rel=tolerance)


def test_first_flight_takes_a_tenth_of_the_pack() -> None:
    """Three minutes of the invented propeller twin: 0.5 Ah of 5 (+-30 %)."""
    model, states = power_model(TWIN, RHO), States()
    level, full = model.level(states, 12.5, 5.0, 0.9), model.thrust(states, 12.5, 0.9).amps
    used = model.charge_used(states, level, full, 180.0) * model.pack.charge(states) / 3600
    assert used[0] == pytest.approx(0.5, rel=0.3)


def test_parts_of_the_draws_do_not_mix() -> None:
    """Draw by draw the answer is that of the draw alone."""
    model = power_model(TWIN, RHO)
    make, ohms = np.linspace(0.8, 1.2, 7), np.linspace(0.8, 2.0, 7)
    together = model.thrust(States(7, eng_make=make, pack_R=ohms), np.linspace(0, 18, 7), 0.7).total
    for i in range(7):
        alone = model.thrust(States(eng_make=make[i], pack_R=ohms[i]), np.linspace(0, 18, 7)[i], 0.7).total
        assert together[i] == pytest.approx(alone[0], rel=1e-9)
