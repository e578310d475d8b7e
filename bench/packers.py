"""Three general packers on one set of pieces, for bench/sheets.py; run by an interpreter that has them installed.

Rings are grown by half the gap on the outside by growing the board and each box by the gap. Boxes are those of the
outline as it lies on its part.
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

asked = json.loads(Path(sys.argv[1]).read_text())
room, gap = asked["room"], asked["gap"]
boxes = []
for ring in asked["rings"]:
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    boxes.append((max(xs) - min(xs) + gap, max(ys) - min(ys) + gap))
MOST = 40


def by_rectpack() -> int:
    from rectpack import PackingMode, newPacker

    packer = newPacker(mode=PackingMode.Offline, rotation=True)
    for wide, tall in boxes:
        packer.add_rect(math.ceil(10 * wide), math.ceil(10 * tall))
    for _ in range(MOST):
        packer.add_bin(int(10 * room[0]), int(10 * room[1]))
    packer.pack()
    return len(packer)


def by_rpack() -> int:
    import rpack

    rest, boards = sorted(boxes, key=lambda one: -one[0] * one[1]), 0
    while rest and boards < MOST:
        boards += 1
        chosen: list[tuple[float, float]] = []
        for one in list(rest):
            sizes = [(math.ceil(w), math.ceil(h)) for w, h in (*chosen, one)]
            try:
                rpack.pack(sizes, max_width=int(room[0]), max_height=int(room[1]))
            except rpack.PackingImpossibleError:
                continue
            chosen.append(one)
            rest.remove(one)
    return boards


def by_spyrrow() -> int:
    import spyrrow

    rest = sorted(range(len(boxes)), key=lambda k: -boxes[k][0] * boxes[k][1])
    boards = 0
    while rest and boards < MOST:
        boards += 1
        low, high = 1, len(rest)
        fits = 0
        while low <= high:
            middle = (low + high) // 2
            if fits_strip(spyrrow, rest[:middle]):
                fits, low = middle, middle + 1
            else:
                high = middle - 1
        rest = rest[max(fits, 1) :]
    return boards


def fits_strip(spyrrow, chosen) -> bool:  # type: ignore[no-untyped-def]
    items = [
        spyrrow.Item(
            str(k), [tuple(p) for p in asked["rings"][k]], demand=1, allowed_orientations=[0, 90, 180, 270]
        )
        for k in chosen
    ]
    instance = spyrrow.StripPackingInstance("board", strip_height=room[1] - gap, items=items)
    config = spyrrow.StripPackingConfig(early_termination=True, total_computation_time=2, num_workers=1, seed=1,
                                        min_items_separation=gap)  # fmt: skip
    return bool(instance.solve(config).width <= room[0] - gap)


for work in (by_rectpack, by_rpack, by_spyrrow):
    try:
        print(work(), end="  ")
    except BaseException as error:  # one of them raises what is no Exception
        print(f"stopped ({type(error).__name__})", end="  ")
