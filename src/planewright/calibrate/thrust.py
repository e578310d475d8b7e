"""A static run on a hinged arm: calibration, zero, lag and friction, thrust at a voltage, damage, pack
resistance.

1. Calibration: cell = gain x mass + zero + hysteresis x direction, robust; masses more than 6 sigma off are
listed. 2. Zero: a straight line through the quiet rows at least 3 s after a run.
3. Lag: lag += (f - lag)(1 - exp(-dt/tau)), tau 0.7 s, f = k(lever) (U/Ur)^b. Friction acts against the
motion of the
   arm, so its sign is that of f - lag: during a long hold the voltage sags, the arm sinks, and the cell
   reads high. The voltage is smoothed first (a line for each plateau), else its noise decides the sign.
4. ln T = ln k(lever) + b ln(U/Ur) + ln(1 - friction x sign), robust, rows at least 3 s old; the same for
current. 5. Damage is a break of the relation between thrust and voltage, never a low thrust: sag alone is
not flagged. 6. Resistance of the pack: U = V0 - s (charge taken) - R I.

The method and its limits were tried on invented runs with known truth (trial of our own). A bench with
vibration needs its own scatter: it is taken from the run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import CALIBRATION, GRAVITY, READINGS, Sheet, lacking, sheet, steady
from planewright.calibrate.lines import LinearFit, likely_slip, line_fit, linear_fit, pair_slope, robust_fit
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

TAU = 0.7
SETTLED = 3.0
CELL_FLOOR = 0.003
IDLE_NOISE = 1.0
"""A meter without current may read a little below nought: rows are kept down to this many amperes below."""
MISTYPED = 6.0
NOISE_KG = 0.009
VOLT_NOISE, AMP_NOISE = 0.02, 0.25
EXPONENT = {"fan": (1.9, 0.08), "propeller": (1.75, 0.15)}
CURRENT_EXPONENT = (1.7, 0.3)
FRICTION = (0.0, 0.03)
FULL = 0.95
STEP_FLOOR = 0.004
LEAST_ROWS = 10
ROWS_ADVICE = "Add the rows as they were logged, or set the trial aside."
HANG_ADVICE = "Hang known masses up and down, five each way, from nothing to more than the thrust."
STEP_Z, STEP_LOSS = -4.0, 0.02
FEW_ROWS = 1.5


@dataclass(frozen=True)
class CellScale:
    """Calibration of the cell: reading (kg) per kg hung, with its relative deviation, and sentences about
    masses that do not fit (their 1-based rows in ``odd``)."""

    gain: float
    sd: float
    odd: tuple[int, ...]
    said: tuple[str, ...]


@dataclass(frozen=True)
class Bench:
    """One run, arrays (n,): ``time`` s, ``lever`` 0 to 1, ``push`` kg at the engine after gain and zero
    (nan: no reading), ``volts`` smoothed, ``raw_volts``, ``amps``; ``age`` s at this lever; ``plateau``
    number; ``drift`` kg of the zero over the run."""

    trial: Trial
    row: npt.NDArray[np.int64]
    time: Array
    lever: Array
    push: Array
    volts: Array
    raw_volts: Array
    amps: Array
    age: Array
    plateau: npt.NDArray[np.int64]
    drift: float


@dataclass(frozen=True)
class Damage:
    """A break in thrust against voltage: at which row and second, the steps (relative), their z, and
    whether current and scatter say the same."""

    row: int
    second: float
    step: float
    z: float
    current: float
    current_z: float
    scatter: float

    @property
    def found(self) -> bool:
        """True when the thrust fell by more than 2 % and four deviations."""
        return self.z < STEP_Z and self.step < -STEP_LOSS


@dataclass(frozen=True)
class Push:
    """Result of a run at full lever: ``thrust`` N and ``amps`` A at ``volts`` with relative deviations,
    exponents, friction, and the rows that hardly counted."""

    volts: float
    thrust: float
    thrust_sd: float
    amps: float
    amps_sd: float
    exponent: float
    friction: float
    odd: tuple[int, ...]


def calibrate_cell(trial: Trial) -> CellScale:
    """Gain of the cell from hung masses, robust. Without a calibration table the gain is that of the stated
    arm, or 1, with 2 %."""
    arm = trial.rig.get("arm")
    ratio = (
        float(arm["engine"]) / float(arm["cell"])
        if isinstance(arm, dict) and {"engine", "cell"} <= set(arm)
        else 1.0
    )
    if trial.calibration is None:
        return CellScale(
            ratio, 0.02, (), ("no calibration of the cell: its gain is taken from the arm, within 2 %",)
        )
    log = sheet(trial, trial.calibration, CALIBRATION)
    hung, cell = log.column("hung_g"), log.column("cell_g")
    use = np.isfinite(hung) & np.isfinite(cell) & log.keep
    if use.sum() < 4 or np.ptp(hung[use]) == 0:
        raise lacking(trial, CALIBRATION, "At least four hung masses.", HANG_ADVICE)
    way = np.array([1.0 if word.strip() == "up" else -1.0 for word in log.words("direction")])
    way = way if np.ptp(way[use]) > 0 else np.zeros(len(way))
    start = pair_slope(hung[use], cell[use])
    columns = [np.ones(use.sum()), hung[use], *([way[use]] if np.any(way) else [])]
    design = np.column_stack(columns)
    first = np.array([float(np.median(cell[use] - start * hung[use])), start, 0.0])[: len(columns)]
    fit = robust_fit(design, cell[use], CELL_FLOOR, first)
    off = np.abs(fit.residual) > MISTYPED * fit.s
    if (~off).sum() < 4 or np.ptp(hung[use][~off]) == 0 or not fit.value[1] > 0:
        raise lacking(trial, CALIBRATION, "Readings that grow with the masses hung.", HANG_ADVICE)
    clean = linear_fit(design[~off], cell[use][~off])
    odd = log.rows[use][off]
    said = tuple(_mistyped(log, int(row), clean) for row in odd)
    sd = max(float(clean.sd[1] / clean.value[1]), 0.001)
    return CellScale(float(clean.value[1]), sd, tuple(map(int, odd)), log.struck() + said)


def _mistyped(log: Sheet, row: int, fit: LinearFit) -> str:
    hung, cell = log.words("hung_g")[row - 1], log.words("cell_g")[row - 1]
    wanted = 1000.0 * (log.column("cell_g")[row - 1] - fit.value[0]) / fit.value[1]
    meant = likely_slip(hung, float(wanted), 0.03 * abs(float(wanted)) + 10.0)
    hint = f"; perhaps {meant} was meant" if meant else ""
    return f"calibration row {row}: {hung} g hung, but the cell says {cell} g{hint}; not used"


def bench(trial: Trial, scale: CellScale) -> tuple[Bench, tuple[str, ...]]:
    """Rows of a run with zero, gain and smoothed voltage, and sentences about what is missing or drifted."""
    log = sheet(trial, trial.readings)
    time, lever = log.column("second"), log.column("throttle_pct")
    cell = np.where(log.keep, log.column("cell_g"), np.nan)
    volts, amps = log.column("volts"), log.column("amps")
    if not np.all(np.diff(time) > 0):
        raise lacking(trial, READINGS, "A run in order of time with cell, volts and amps.", ROWS_ADVICE)
    empty = log.rows[~np.isfinite(log.column("cell_g")) & log.keep]
    many = len(cell)
    first, (time, lever, cell, volts, amps) = steady(time, lever, (time, lever, cell, volts, amps))
    good = np.isfinite(cell) & (volts > 0) & (amps > -IDLE_NOISE) & (lever >= 0)
    if good.sum() < LEAST_ROWS or not np.all(np.diff(time) > 0) or not np.any(good & (lever > 0)):
        raise lacking(trial, READINGS, "A run in order of time with cell, volts and amps.", ROWS_ADVICE)
    cell = np.where(good, cell, np.nan)
    plateau = np.concatenate([[0], np.cumsum(np.diff(lever) != 0)])
    age = time - time[np.searchsorted(plateau, plateau)]
    zero, drift = _zero_line(trial, time, lever, cell, age, plateau)
    push = (cell - zero) / scale.gain
    said = log.struck()
    if len(empty):
        said += (f"{len(empty)} of {many} rows: the cell did not answer, not used",)
    full = float(np.nanmax(push, initial=0.0))
    if full <= 0:
        raise lacking(trial, READINGS, "A cell that reads more with the lever open.", ROWS_ADVICE)
    if abs(drift) > 0.01 * full:
        said += (
            f"the zero drifted by {1000 * drift:.0f} g, {100 * abs(drift) / full:.1f} % of full reading; taken out",
        )
    smooth = _smoothed(time, volts, plateau)
    return Bench(trial, log.rows[first], time, lever, push, smooth, volts, amps, age, plateau, drift), said


def _zero_line(
    trial: Trial, time: Array, lever: Array, cell: Array, age: Array, plateau: npt.NDArray[np.int64]
) -> tuple[Array, float]:
    quiet = (lever == 0) & np.isfinite(cell) & ((age >= SETTLED) | (plateau == 0))
    if quiet.sum() < 2 or np.ptp(time[quiet]) == 0:
        raise lacking(
            trial,
            "readings",
            "Five seconds of zero before and after the run.",
            "Log them with the lever shut.",
        )
    apart = np.ptp(time[quiet]) > 0.5 * np.ptp(time)
    line = line_fit(time[quiet], cell[quiet]) if quiet.sum() > 2 and apart else None
    if line is None:
        return np.full(len(time), float(np.mean(cell[quiet]))), 0.0
    return line.value[0] + line.value[1] * time, float(line.value[1] * np.ptp(time))


def _smoothed(time: Array, volts: Array, plateau: npt.NDArray[np.int64]) -> Array:
    out = np.array(volts)
    for one in np.unique(plateau):
        own = (plateau == one) & np.isfinite(volts)
        if own.sum() > 2:
            out[plateau == one] = _line(time[own], volts[own], time[plateau == one])
    return out


def _line(x: Array, y: Array, at: Array) -> Array:
    slope, middle = pair_slope(x, y), float(np.median(x))
    return np.asarray(float(np.median(y - slope * (x - middle))) + slope * (at - middle))


def lagged(time: Array, force: Array, tau: float = TAU) -> Array:
    """What a cell behind a first-order lag shows of ``force``, shape (n,), from rest."""
    out, now, before = np.zeros(len(force)), 0.0, float(time[0]) - 1.0
    for i, (t, f) in enumerate(zip(time, force, strict=True)):
        now += (f - now) * (1 - math.exp(-(t - before) / tau))
        out[i], before = now, float(t)
    return out


@dataclass(frozen=True)
class _Law:
    """ln y = level of each lever + exponent ln(U/Ur) - friction sign, fitted."""

    levers: Array
    level: Array
    exponent: float
    friction: float
    residual: Array
    weight: Array
    sd: float

    def at(self, lever: Array, volts: Array, middle: float) -> Array:
        found = np.array([self.level[np.argmin(np.abs(self.levers - one))] for one in lever])
        return np.where(lever > 0, np.exp(found + self.exponent * np.log(volts / middle)), 0.0)


def fit_law(
    run: Bench, y: Array, use: Mask, noise: float, middle: float, exponent: tuple[float, float], rubs: bool
) -> _Law:
    """Fit the law of step 4 to thrust (``rubs``: lag and friction taken in) or to current."""
    levers = np.unique(run.lever[use])
    one_hot = (run.lever[use][:, None] == levers).astype(float)
    volts = np.log(run.volts[use] / middle)
    error = np.hypot(noise / np.maximum(y[use], noise), 0.002)
    law = _start_law(levers, one_hot, y[use], volts, exponent[0])
    signs = np.zeros(0)
    for _ in range(30 if rubs else 2):
        ratio, sign = _motion(run, law, middle, use) if rubs else (np.zeros(use.sum()), np.zeros(use.sum()))
        design = np.column_stack([one_hot, volts, -sign]) / error[:, None]
        prior = np.zeros((2, design.shape[1]))
        prior[0, -2], prior[1, -1] = 1 / exponent[1], 1 / FRICTION[1]
        target = np.concatenate([(np.log(y[use]) - ratio) / error, [exponent[0] / exponent[1], 0.0]])
        found = robust_fit(
            np.vstack([design, prior]), target, 1.0, np.array([*law.level, law.exponent, law.friction])
        )
        n = len(levers)
        spread = math.sqrt(float(found.covariance[n - 1, n - 1]))
        law = _Law(
            levers, found.value[:n], float(found.value[n]), float(found.value[n + 1]),
            found.residual[:-2], found.weight[:-2], spread,
        )  # fmt: skip
        if np.array_equal(sign, signs):
            break
        signs = sign
    return law


def _start_law(levers: Array, one_hot: Array, y: Array, volts: Array, exponent: float) -> _Law:
    level = np.array([float(np.median((np.log(y) - exponent * volts)[col > 0])) for col in one_hot.T])
    return _Law(levers, level, exponent, 0.0, np.zeros(0), np.zeros(0), 0.0)


def _motion(run: Bench, law: _Law, middle: float, use: Mask) -> tuple[Array, Array]:
    """ln(lag/force) and the sign of the friction, for the rows used."""
    force = law.at(run.lever, run.volts, middle)
    lag = lagged(run.time, force)
    ratio = np.log(np.maximum(lag[use], 1e-9) / force[use])
    return ratio, np.sign(force - lag)[use]


def full_hold(run: Bench) -> Mask:
    """Rows of the longest hold at full lever."""
    full = run.lever >= FULL
    if not np.any(full):
        return full
    longest = max(np.unique(run.plateau[full]), key=lambda one: int(np.sum(run.plateau == one)))
    return np.asarray(run.plateau == longest)


def find_damage(run: Bench, kind: str) -> Damage | None:
    """The best break of the hold against the law fitted to the staircase alone; None without a hold of 10
    rows."""
    hold, stairs = full_hold(run) & _usable(run), _usable(run) & ~full_hold(run)
    if min(hold.sum(), stairs.sum()) < LEAST_ROWS or not np.any(run.lever[stairs] >= FULL):
        return None
    middle = float(np.median(run.volts[hold]))
    push = fit_law(run, run.push, stairs, NOISE_KG, middle, EXPONENT[kind], True)
    current = fit_law(run, run.amps, stairs, AMP_NOISE, middle, CURRENT_EXPONENT, False)
    ratio, sign = _motion(run, push, middle, hold)
    y = (
        np.log(run.push[hold])
        - np.log(push.at(run.lever[hold], run.volts[hold], middle))
        - ratio
        + push.friction * sign
    )
    x = np.log(np.maximum(run.amps[hold], 0.1)) - np.log(current.at(run.lever[hold], run.volts[hold], middle))
    split, step, z = best_split(y)
    rise, rise_z = _step_at(x, split)
    spread = _spread(y[split:]) / max(_spread(y[:split]), 1e-9)
    place = np.flatnonzero(hold)[split]
    return Damage(int(run.row[place]), float(run.time[place]), step, z, rise, rise_z, spread)


def best_split(y: Array) -> tuple[int, float, float]:
    """Where medians before and after differ most: index, relative step, z. Shape (n,), n >= 10.

    z is taken back where one side has few rows: the median of four rows wanders by itself.
    """
    n = len(y)
    steps = []
    for i in range(4, n - 3):
        step, z = _step_at(y, i)
        steps.append((i, step, z * (1.0 - FEW_ROWS / min(i, n - i))))
    return min(steps, key=lambda one: one[2])


def _step_at(y: Array, split: int) -> tuple[float, float]:
    noise = max(_spread(y), STEP_FLOOR)
    step = float(np.median(y[split:]) - np.median(y[:split]))
    return math.expm1(step), step / (noise * math.sqrt(1 / split + 1 / (len(y) - split)))


def _spread(y: Array) -> float:
    """Scatter from first differences, so that a step or a slow change does not count."""
    return 1.4826 * float(np.median(np.abs(np.diff(y)))) / math.sqrt(2) if len(y) > 2 else 0.0


def _usable(run: Bench) -> Mask:
    return np.asarray(
        (run.push > 0) & (run.volts > 0) & (run.amps > 0) & (run.lever > 0) & (run.age >= SETTLED)
    )


def reduce_run(run: Bench, scale: CellScale, kind: str, before: int | None = None) -> Push:
    """Thrust and current at full lever and the middle voltage of the full rows.

    ``before``: 1-based row at which damage was found; only rows above it are used.
    """
    use = _usable(run)
    if before is not None:
        use &= run.row < before
    if use.sum() < LEAST_ROWS:
        raise lacking(
            run.trial, READINGS, f"{LEAST_ROWS} rows at least 3 s after a change of lever.", ROWS_ADVICE
        )
    full = use & (run.lever >= np.max(run.lever[use]) - 1e-9)
    middle = round(float(np.median(run.volts[full])), 1)
    law = fit_law(run, run.push, use, NOISE_KG, middle, EXPONENT[kind], True)
    flow = fit_law(run, run.amps, use, AMP_NOISE, middle, CURRENT_EXPONENT, False)
    odd = tuple(int(row) for row, weight in zip(run.row[use], law.weight, strict=True) if weight < 0.5)
    newton = math.exp(float(law.level[-1])) * GRAVITY
    sd = math.sqrt(law.sd**2 + scale.sd**2)
    return Push(middle, newton, sd, math.exp(float(flow.level[-1])), flow.sd, law.exponent, law.friction, odd)


def pack_resistance(run: Bench) -> tuple[float, float]:
    """Resistance of the pack under load, ohm, and its deviation: U = V0 - s (charge taken) - R I, robust."""
    use = (run.raw_volts > 0) & (run.amps >= 0)
    if use.sum() < LEAST_ROWS or np.ptp(run.amps[use]) < 1.0:
        return math.nan, math.inf
    step = np.diff(run.time, prepend=run.time[0])
    taken = np.cumsum(np.where(np.isfinite(run.amps), run.amps, 0.0) * step) / 3600.0
    design = np.column_stack([np.ones(use.sum()), -taken[use], -run.amps[use]])
    fit = robust_fit(design, run.raw_volts[use], VOLT_NOISE)
    return float(fit.value[2]), float(fit.sd[2])
