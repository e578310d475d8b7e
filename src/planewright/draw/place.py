"""Words set where there is room: of several places offered, the first that is free."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from planewright.draw.scene import Point, Scene, Text, boxes_meet

Array = npt.NDArray[np.float64]


def placed(
    scene: Scene, wanted: Iterable[Sequence[Text]], obstacles: Sequence[Array] = ()
) -> tuple[Text, ...]:
    """For each list of places the first that meets no text, no obstacle and no earlier choice, and stays on the sheet.

    Arguments:
        scene: what stands already; its margin is kept.
        wanted: for each word the places it may take, best first; a word with no free place is left out.
        obstacles: boxes (4, 2) mm that words keep clear of.
    """
    taken = [np.array(one.points()) for one in scene.texts()] + list(obstacles)
    kept: list[Text] = []
    for places in wanted:
        text = next((one for one in places if is_free(one, taken, scene)), None)
        if text is not None:
            kept.append(text)
            taken.append(np.array(text.points()))
    return tuple(kept)


def is_free(text: Text, taken: Sequence[Array], scene: Scene) -> bool:
    """True when the text stays on the sheet and meets none of the boxes."""
    box, room = np.array(text.points()), np.array([scene.width, scene.height]) - scene.margin
    inside = bool(box.min() >= scene.margin and np.all(box.max(axis=0) <= room))
    return inside and not any(boxes_meet(box, other, 0.0) for other in taken)


def around(at: Point, words: str, size: float, far: float = 2.5, bold: bool = False) -> list[Text]:
    """Places for a word beside a point: right, left, above, below, then the same further off."""
    x, y = at
    found = []
    for reach in (far, far + 3.0, far + 7.0):
        found += [
            Text((x + reach, y), words, size, level="middle", bold=bold, halo=0.4),
            Text((x - reach, y), words, size, "end", "middle", bold=bold, halo=0.4),
            Text((x, y + reach + 1.6), words, size, "middle", "middle", bold=bold, halo=0.4),
            Text((x, y - reach - 1.6), words, size, "middle", "middle", bold=bold, halo=0.4),
        ]
    return found
