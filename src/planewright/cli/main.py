"""The commands and how they end: 0 when done whatever the verdict, 2 for wrong input, 130 when cancelled."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import App, CycloptsError, Parameter
from cyclopts.exceptions import UnusedCliTokensError

from planewright import __version__
from planewright.errors import Cancelled, Fault, InputError, PlanewrightError

DONE, WRONG, CANCELLED = 0, 2, 130

Folder = Annotated[Path, Parameter(help="The project folder of one aeroplane.")]
Json = Annotated[
    bool, Parameter(name="--json", negative="", help="Print one JSON document and nothing else.")
]
Units = Annotated[
    Literal["metric", "imperial"] | None, Parameter(help="Units to show; else those the file asks for.")
]
Paper = Annotated[
    Literal["A4", "A3", "Letter", "Tabloid"] | None,
    Parameter(help="One paper for drawings, tiles and book; else all four (the book on A4)."),
]
Example = Annotated[
    Literal["starter", "plover", "gannet"],
    Parameter(name="--from", help="What to start from: a small starter, or one of two invented examples."),
]

app = App(
    name="planewright",
    help="One record of one home-built aeroplane: what was drawn, weighed and tested, up to flight day.",
    version=__version__,
    version_flags=["--version", "-V"],
)


@app.command
def new(folder: Folder, /, *, start: Example = "starter", json_: Json = False) -> int:
    """Start a project in a new or empty folder."""
    from planewright.cli.commands import new_command

    return new_command(folder, start, json_)


@app.command
def check(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Read everything and report all faults, or all findings and the verdict."""
    from planewright.cli.commands import check_command

    return check_command(folder, units, json_)


@app.command
def figures(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Print the sheet of numbers, each with its band and how it is known."""
    from planewright.cli.commands import figures_command

    return figures_command(folder, units, json_)


@app.command
def calibrate(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Take the trials in: write knowledge.toml and show before and after."""
    from planewright.cli.commands import calibrate_command

    return calibrate_command(folder, units, json_)


@app.command(name="next")
def next_(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """What to test next: share of doubt removed per hour, chance that it settles a row, chance that it breaks."""
    from planewright.cli.trials import next_command

    return next_command(folder, units, json_)


@app.command
def plan(
    folder: Folder,
    kind: Annotated[str, Parameter(help="Kind of trial: weighing, coupon, bend, proof, thrust and so on.")],
    /,
    *,
    of: Annotated[str, Parameter(help="The part or stock; the likeliest when left out.")] = "",
    date: Annotated[str, Parameter(help="Its day, year first; today when left out.")] = "",
    units: Units = None,
    json_: Json = False,
) -> int:
    """Plan a trial: its folder with the prediction written down, and a card to print in out/."""
    from planewright.cli.trials import plan_command

    return plan_command(folder, kind, of, date, units, json_)


@app.command
def engine(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Show map, match, minutes and bench of each engine; write its pictures into the folder's out/."""
    from planewright.cli.engine import engine_command

    return engine_command(folder, units, json_)


@app.command
def handling(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Show air and handling: stall, trim, limits of balance, motions, hinge moments; write pictures into out/."""
    from planewright.cli.handling import handling_command

    return handling_command(folder, units, json_)


@app.command
def strength(folder: Folder, /, *, units: Units = None, json_: Json = False) -> int:
    """Show what gives first, load cases, joints, twist and materials; write its pictures into the folder's out/."""
    from planewright.cli.strength import strength_command

    return strength_command(folder, units, json_)


@app.command
def scale(
    folder: Folder,
    full: Annotated[
        Path, Parameter(help="The full size in the same language: its aeroplane.toml or folder.")
    ],
    /,
    *,
    mass: Annotated[str | None, Parameter(help='Mass of the full size, such as "9000 kg".')] = None,
    speed: Annotated[str | None, Parameter(help='A speed of the full size, such as "70 m/s".')] = None,
    units: Units = None,
    json_: Json = False,
) -> int:
    """Set ours beside a full-size aeroplane: scale table, what is not scale, tails, speed to look scale."""
    from planewright.cli.scale import scale_command

    return scale_command(folder, full, mass, speed, units, json_)


@app.command
def book(folder: Folder, /, *, paper: Paper = None, units: Units = None, json_: Json = False) -> int:
    """Make the build book, drawings, tiles, cut list and study into the folder's out/."""
    from planewright.cli.book import book_command

    return book_command(folder, paper, units, json_)


@app.command
def sheets(
    folder: Folder,
    /,
    *,
    paper: Paper = None,
    printed: Annotated[
        str, Parameter(help="Boards now printed, such as 'board 1, board 2': they are frozen.")
    ] = "",
    cut: Annotated[str, Parameter(help="Boards now cut: they are frozen.")] = "",
    free: Annotated[str, Parameter(help="Boards printed or cut that are free again.")] = "",
    tidy: Annotated[str, Parameter(help="Materials to lay anew from nothing; frozen boards stay.")] = "",
    shuffles: Annotated[int, Parameter(help="Orders tried after the four fixed ones.")] = 2,
    seed: Annotated[int, Parameter(help="Seed of the shuffling: the same seed gives the same layout.")] = 1,
    gap: Annotated[float, Parameter(help="Between parts, mm.")] = 3.0,
    border: Annotated[float, Parameter(help="Kept free along the edge of a board, mm.")] = 5.0,
    printer: Annotated[
        str, Parameter(help="Which printer: the one measured now, or one measured before.")
    ] = "",
    read_across: Annotated[float, Parameter(help="What a ruler shows on the bar across, mm.")] = 0.0,
    read_up: Annotated[float, Parameter(help="What a ruler shows on the bar up the page, mm.")] = 0.0,
    files: Annotated[bool, Parameter(help="Make the files; else only lay, keep and say.")] = True,
    json_: Json = False,
) -> int:
    """Lay the parts on the boards you own, say what changed, make patterns, cut list and bill into out/."""
    from planewright.cli.sheets import Words, sheets_command

    words = Words(paper, printed, cut, free, tidy, shuffles, seed, gap, border, printer, read_across, read_up)
    return sheets_command(folder, words, json_, files)


@app.command
def section(
    what: Annotated[str, Parameter(help="A file of two columns, or a name: Clark Y, E387, NACA 2415, flat.")],
    /,
    *,
    re: Annotated[
        str, Parameter(help="Reynolds numbers, such as '60k, 100k, 200k'.")
    ] = "60k, 100k, 200k, 400k",
    alpha: Annotated[
        str,
        Parameter(help="Angles in degrees, such as '-4 to 12 by 1' or '0, 2, 4'.", allow_leading_hyphen=True),
    ] = "-6 to 16",
    thickness: Annotated[
        str, Parameter(help="Thickness over chord, such as '2 %', where it is not its own.")
    ] = "",
    flap: Annotated[str, Parameter(help="Chord part and degrees down of a flap, such as '25 %, 10'.")] = "",
    trip: Annotated[str, Parameter(help="Place of forced transition on both sides, such as '10 %'.")] = "",
    picture: Annotated[Path | None, Parameter(help="Write a picture (SVG) there.")] = None,
    json_: Json = False,
) -> int:
    """Work out lift, drag and moment of a wing section over angle and Reynolds number; no project is needed."""
    from planewright.cli.section import Words, section_command

    return section_command(what, Words(re, alpha, thickness, flap, trip, picture), json_)


@app.command(name="open")
def open_(
    folder: Folder,
    /,
    *,
    port: Annotated[int, Parameter(help="Port on this machine; 0 takes a free one.")] = 0,
    browser: Annotated[bool, Parameter(help="Open the browser too.")] = True,
) -> int:
    """Open the project as a page in the browser, served on this machine only."""
    from planewright.cli.serving import open_command

    return open_command(folder, port, browser)


@app.command
def demo(folder: Folder, /, *, paper: Paper = None) -> int:
    """Do the whole job on the invented example Plover, before and after its trials."""
    from planewright.cli.demo import demo_command

    return demo_command(folder, paper)


def run(words: Sequence[str]) -> int:
    """Run one command line. Every planned failure ends in one clear message and an exit code."""
    as_json = "--json" in words
    try:
        result = app(list(words), exit_on_error=False, print_error=False, result_action="return_value")
    except InputError as error:
        return refuse(error.faults, as_json)
    except (CycloptsError, PlanewrightError) as error:
        return cancelled(as_json) if isinstance(error, Cancelled) else refuse((spoken(error),), as_json)
    except KeyboardInterrupt:
        return cancelled(as_json)
    except SystemExit as stop:
        return cancelled(as_json) if stop.code == CANCELLED else WRONG
    except OSError as error:
        return refuse((from_system(error),), as_json)
    return result if isinstance(result, int) else DONE


def spoken(error: Exception) -> Fault:
    """A fault of the command line itself."""
    said = str(error).strip()
    if isinstance(error, UnusedCliTokensError):
        said = f"nothing here is called {' '.join(error.unused_tokens or ())}."
    return Fault("command line", 0, "", said, "", "planewright --help lists the commands.")


def from_system(error: OSError) -> Fault:
    """What the operating system refused, in one sentence; nothing was half-written."""
    name = Path(error.filename).name if isinstance(error.filename, str) else "a file"
    said = error.strerror or str(error)
    return Fault(
        name, 0, "", f"the system says: {said}.", "", "Nothing was changed. Free it, and run this again."
    )


def refuse(faults: Sequence[Fault], as_json: bool) -> int:
    """Say all faults, to stderr as text or to stdout as one JSON document; exit code 2."""
    if as_json:
        document: dict[str, object] = {
            "schema": "planewright/study/1",
            "version": __version__,
            "project": "",
            "faults": [fault.as_dict() for fault in faults],
            "figures": {},
            "findings": [],
            "verdict": None,
            "inputs_hash": "",
            "absent": [],
        }
        print(json.dumps(document, indent=1, ensure_ascii=False))
    else:
        for fault in faults:
            print(fault.text(), file=sys.stderr)
    return WRONG


def cancelled(as_json: bool) -> int:
    """Say that the work was stopped; exit code 130."""
    if as_json:
        fault = Fault("command line", 0, "", "stopped by hand.", "", "Nothing half-written is left.")
        refuse((fault,), True)
    else:
        print("Stopped. Nothing half-written is left.", file=sys.stderr)
    return CANCELLED
