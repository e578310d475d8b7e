"""Numbers of the field: where the planned figure runs, what the strip and the trees ask, and the word on the day."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis import field
from planewright.analysis.flight import climb
from planewright.analysis.model import States
from planewright.site.model import Site
from planewright.study.numbers import FARTHEST, Flown, Numbers

Array = npt.NDArray[np.float64]

FIELD_FIGURES = ("climb_out_needed", "climb_out_tired", "path_outline", "path_spectators", "path_pilot")
PATH_FIGURES = ("path_outline", "path_spectators", "path_helpers", "path_pilot")


def one_if_alike(values: Array) -> Array:
    """A single value when all draws are alike (a typed radius), else all of them: plane geometry is then done once."""
    return values[:1] if float(np.ptp(values)) <= 1e-9 * abs(float(values[0])) else values


def ground(states: States, flown: Flown, site: Site | None, found: Numbers) -> None:
    """Figure, run and climb-out on this site."""
    if site is None:
        found.skip("there is no site.toml", *PATH_FIGURES, "path_above_trees", "climb_out_needed")
        return
    if site.pattern is None:
        found.skip("site.toml plans no figure", *PATH_FIGURES, "path_above_trees")
    else:
        figure_on_field(site, found)
    if site.runway is None:
        found.skip("site.toml has no runway", "climb_out_needed")
    elif "takeoff_run_tired" in found:
        strip(states, site, found)


def figure_on_field(site: Site, found: Numbers) -> None:
    """Least distances of the planned figure."""
    fit = field.fit_pattern(site, one_if_alike(found["turn_radius"]))
    distances: dict[str, list[Array]] = {}
    for margin in fit.margins:
        kind = {"outline": "outline", "spectators": "spectators", "pilot": "pilot"}.get(
            margin.what, "helpers"
        )
        if margin.what == "safety":
            kind = "pilot"
        distances.setdefault(kind, []).append(margin.distance)
    for kind, values in distances.items():
        found.put(**{f"path_{kind}": np.min(values, axis=0)})
    crossed = [fit.height_spare[name] for name, clear in fit.trees.items() if float(np.min(clear)) <= 0.0]
    if crossed:
        found.put(path_above_trees=min(crossed) + site.margins.over_trees)


def strip(states: States, site: Site, found: Numbers) -> None:
    """The part of the strip that a run may use, and the climb straight out over what stands there.

    The climb begins at cone B. The blocking row takes the pack as it starts; a used pack is watched beside it.
    """
    plan = field.take_off(site)
    far = [distance_to_strip(site, one.at) for one in site.stands if one.name == "spectators"]
    if far:
        found.put(strip_spectators=min(far))
    found.limits["run_allowed"] = site.margins.run_share * plan.length
    gates = field.cones(site, found["takeoff_run"], found["lift_off_speed"], states.factor("wheel.mu"))
    ahead = [one for one in field.over_trees(site, found["climb_gradient"], gates.last) if one.ahead]
    if not ahead:
        found.skip("nothing stands straight ahead", "climb_out_needed", "climb_out_tired")
        return
    worst = min(ahead, key=lambda one: float(np.median(one.spare)))
    found.limits["climb_out_available"] = worst.available
    found.put(
        climb_out_needed=np.minimum(worst.needed, FARTHEST),
        climb_out_tired=np.minimum(
            climb.distance_to_clear(worst.height, found["climb_gradient_tired"]), FARTHEST
        ),
    )


def distance_to_strip(site: Site, at: tuple[float, float]) -> float:
    """Distance of a place to the middle line of the runway, m."""
    assert site.runway is not None
    start, end, place = (np.array(one) for one in (site.runway.start, site.runway.end, at))
    along = end - start
    part = float(np.clip((place - start) @ along / (along @ along), 0.0, 1.0))
    return float(np.linalg.norm(place - start - part * along))


def today(site: Site | None, found: Numbers) -> str:
    """The word on the planned day: "Not today" with every limit that is passed, by medians; "" when nothing is
    planned or no limit is passed."""
    if site is None or "turn_radius" not in found:
        return ""
    radius = float(np.median(found["turn_radius"]))
    passed = [
        one.reason
        for one in field.day_limits(site, float(np.median(found["stall_speed"])), radius)
        if one.exceeded
    ]
    return f"Not today. {' '.join(passed)}" if passed else ""


def field_words(site: Site | None, found: Numbers) -> tuple[str, ...]:
    """What the site itself says about wind, lee, sun and cones, in sentences."""
    if site is None or "turn_radius" not in found:
        return ()
    radius = float(np.median(found["turn_radius"]))
    words = [one.reason for one in field.day_limits(site, float(np.median(found["stall_speed"])), radius)]
    if site.pattern is not None and site.day.wind is not None:
        time = field.path_length(site.pattern, radius) / float(np.median(found["level_speed"]))
        away = float(np.max(field.drift(site.day.wind, time)))
        words.append(
            f"Uncorrected, the planned wind carries one round {away:.0f} m: the pilot corrects from the first turn."
        )
    tall = max(site.trees, key=lambda one: one.height, default=None)
    if tall is not None:
        words.append(
            f"With wind from the side of the {tall.name} keep {10 * tall.height:.0f} m from them: ten tree heights "
            "of lee (common practice, no source)."
        )
    words += [
        f"{one.name.replace('_', ' ').capitalize()} {one.looks or 'looks at the field'}; {one.on or 'on a tripod'}."
        for one in site.stands
        if one.camera
    ]
    return tuple(words)


def gates(states: States, site: Site, found: Numbers) -> field.Cones | None:
    """The two cones, or None without a runway or a run."""
    if site.runway is None or "takeoff_run" not in found:
        return None
    return field.cones(site, found["takeoff_run"], found["lift_off_speed"], states.factor("wheel.mu"))


def plan_of(states: States, site: Site, found: Numbers) -> field.FieldPlan:
    """Geometry of the field plan: figure with its band, cones, run."""
    radii: tuple[float, ...] = ()
    if "turn_radius" in found and site.pattern is not None:
        low, middle, high = (float(one) for one in np.percentile(found["turn_radius"], [2.5, 50.0, 97.5]))
        radii = (middle,) if high - low < 0.05 else (middle, low, high)
    run = float(np.median(found["takeoff_run"])) if "takeoff_run" in found and site.runway else None
    return field.field_plan(site, radii, gates(states, site, found), run)
