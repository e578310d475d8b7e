"""A thousand damaged raw files: a clear message or a stated reading, never a traceback, never a changed file.

The damage is what happens to logs on their way home: cut off, a byte gone wrong, another separator, decimal commas,
a row of units under the heads, heads twice or missing, quotation marks that never close, another text coding, blank
rows, two logs in one file, cells of words. Whatever can be read as a table goes on through its reduction and a fit.
"""

import csv
import hashlib
import io
import random
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from fixtures import home
from fixtures.worlds import EXAMPLES
from planewright.calibrate.engine import fit
from planewright.calibrate.kinds import reduce_trial
from planewright.calibrate.problem import assemble
from planewright.errors import InputError, NotConverged
from planewright.plane.parts import nameable
from planewright.records.reading import read_trial

NAMES, STOCK = nameable(home.PLANE), tuple(home.PLANE.stock)
Damage = Callable[[str, random.Random], bytes]


def cells_of(text: str) -> list[list[str]]:
    return [line.split(",") for line in text.splitlines()]


def joined(rows: list[list[str]], separator: str = ",") -> bytes:
    return ("\n".join(separator.join(row) for row in rows) + "\n").encode()


def cut_off(text: str, rng: random.Random) -> bytes:
    return text.encode()[: rng.randrange(len(text))]


def bytes_wrong(text: str, rng: random.Random) -> bytes:
    data = bytearray(text.encode())
    for _ in range(rng.randint(1, 12)):
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data)


def semicolons_and_commas(text: str, rng: random.Random) -> bytes:
    rows = [[cell.replace(".", ",") for cell in row] for row in cells_of(text)]
    return joined(rows, rng.choice([";", "\t"]))


def commas_in_commas(text: str, rng: random.Random) -> bytes:
    return text.replace(".", ",").encode()


def unit_row(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    return joined([rows[0], [f"({head.rpartition('_')[2]})" for head in rows[0]], *rows[1:]])


def heads_spoiled(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    place = rng.randrange(len(rows[0]))
    rows[0][place] = rng.choice(["", rows[0][0], "what_xx", rows[0][place].upper(), f" {rows[0][place]} "])
    return joined(rows)


def column_gone(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    place = rng.randrange(len(rows[0]))
    return joined([[cell for i, cell in enumerate(row) if i != place] for row in rows])


def quotes(text: str, rng: random.Random) -> bytes:
    place = rng.randrange(len(text))
    return (text[:place] + '"' + text[place:]).encode()


def other_coding(text: str, rng: random.Random) -> bytes:
    return ("\ufeff" + text if rng.random() < 0.5 else text.replace("\n", "\r\n")).encode(
        rng.choice(["utf-8", "utf-16"])
    )


def ragged(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    for _ in range(rng.randint(1, 5)):
        row = rng.choice(rows)
        if rng.random() < 0.5:
            row.append("9")
        elif row:
            row.pop()
    return joined(rows)


def words(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    for _ in range(rng.randint(1, 20)):
        row = rng.choice(rows[1:])
        row[rng.randrange(len(row))] = rng.choice(
            ["n/a", "-", "err", "1e999", "--", "12..5", "0x1F", "nan", "∞", "1_0"]
        )
    return joined(rows)


def twice(text: str, rng: random.Random) -> bytes:
    lines = text.splitlines(keepends=True)
    return "".join([*lines, *(lines if rng.random() < 0.5 else lines[1:])]).encode()


def dropouts(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    share = rng.random()
    return joined([rows[0], *([("" if rng.random() < share else cell) for cell in row] for row in rows[1:])])


def absurd(text: str, rng: random.Random) -> bytes:
    rows = cells_of(text)
    for _ in range(rng.randint(1, 30)):
        row = rng.choice(rows[1:])
        row[rng.randrange(len(row))] = rng.choice(["1e12", "-1e9", "0", "-0.0", "1e-300", "99999"])
    return joined(rows)


def shuffled(text: str, rng: random.Random) -> bytes:
    lines = text.splitlines(keepends=True)
    body = lines[1:]
    rng.shuffle(body)
    return "".join([lines[0], *body]).encode()


DAMAGES: list[Damage] = [
    cut_off, bytes_wrong, semicolons_and_commas, commas_in_commas, unit_row, heads_spoiled, column_gone, quotes,
    other_coding, ragged, words, twice, dropouts, absurd, shuffled,
]  # fmt: skip


def of_world(name: str) -> tuple[str, dict[str, str]]:
    """trial.toml and raw texts of a home trial."""
    trial = home.WORLDS[name](1).trial
    tables = {"readings.csv": trial.readings, "calibration.csv": trial.calibration}
    files = {}
    for file, table in tables.items():
        if table is not None:
            out = io.StringIO()
            csv.writer(out, lineterminator="\n").writerows(
                [list(table.columns), *zip(*table.columns.values(), strict=True)]
            )
            files[file] = out.getvalue()
    second = 'calibration = "calibration.csv"\n' if "calibration.csv" in files else ""
    sheet = f'kind = "{trial.kind}"\ndate = 2026-05-30\nof = "{trial.of}"\nconfiguration = "B"\n'
    return sheet + f'[readings]\nfile = "readings.csv"\n{second}', files


def of_example(name: str) -> tuple[str, dict[str, str]]:
    """trial.toml without remarks and raw texts of a trial of the first example."""
    place = EXAMPLES / "plover" / "trials" / name
    sheet = (place / "trial.toml").read_text(encoding="utf-8").split("[[remark]]")[0]
    return sheet, {path.name: path.read_text(encoding="utf-8") for path in place.glob("*.csv")}


SOURCES = [(of_world, name) for name in sorted(home.WORLDS)] + [
    (of_example, name)
    for name in ("2026-04-11-vehicle", "2026-04-18-bend", "2026-05-02-thrust-left", "2026-05-20-balance")
]


def tried(folder: Path, case: int) -> str:
    """One damaged file read, reduced and fitted; how it ended. Fails when anything but advice comes out."""
    rng = random.Random(case)
    make, name = SOURCES[case % len(SOURCES)]
    sheet, files = make(name)
    hurt = rng.choice(sorted(files))
    damage = DAMAGES[(case // len(SOURCES)) % len(DAMAGES)]
    place = folder / f"2026-05-30-case-{case}"
    place.mkdir()
    (place / "trial.toml").write_text(sheet, encoding="utf-8")
    for file, text in files.items():
        (place / file).write_bytes(damage(text, rng) if file == hurt else text.encode())
    before = {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in place.iterdir()}
    trial, faults = read_trial(place, NAMES, STOCK)
    assert all(one.text() for one in faults)
    ended = "message"
    if trial is None:
        assert faults
    else:
        try:
            found = fit(assemble(home.BENCH.prior, (reduce_trial(home.BENCH, trial),)))
        except InputError as error:
            assert all(one.file and (one.expected or one.advice) for one in error.faults), error.faults
        except NotConverged as error:
            assert str(error)
        else:
            assert np.all(np.isfinite(found.theta)) and np.all(np.isfinite(found.covariance))
            ended = "reading"
    assert before == {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in place.iterdir()}
    return ended


def test_sixty_damaged_files(tmp_path: Path) -> None:
    ended = [tried(tmp_path, case) for case in range(0, 1000, 17)]
    assert {"message", "reading"} == set(ended)


@pytest.mark.slow
def test_a_thousand_damaged_files(tmp_path: Path) -> None:
    ended = [tried(tmp_path, case) for case in range(1000)]
    assert ended.count("reading") > 200 and ended.count("message") > 200
