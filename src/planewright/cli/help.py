"""The help page of the program itself, printed without loading any library."""

from __future__ import annotations

COMMANDS = (
    ("new", "Start a project in a new or empty folder."),
    ("check", "Read everything and report all faults, or all findings and the verdict."),
    ("figures", "Print the sheet of numbers, each with its band and how it is known."),
    ("calibrate", "Take the trials in: write knowledge.toml and show before and after."),
    (
        "next",
        "What to test next: share of doubt removed per hour, chance that it settles a row, chance that it breaks.",
    ),
    ("plan", "Plan a trial: its folder with the prediction written down, and a card to print in out/."),
    (
        "engine",
        "Show map, match, minutes and bench of each engine; write its pictures into the folder's out/.",
    ),
    (
        "handling",
        "Show air and handling: stall, trim, limits of balance, motions, hinge moments; write pictures into out/.",
    ),
    (
        "strength",
        "Show what gives first, load cases, joints, twist and materials; write its pictures into the folder's out/.",
    ),
    (
        "scale",
        "Set ours beside a full-size aeroplane: scale table, what is not scale, tails, speed to look scale.",
    ),
    ("book", "Make the build book, drawings, tiles, cut list and study into the folder's out/."),
    (
        "sheets",
        "Lay the parts on the boards you own, say what changed, make patterns, cut list and bill into out/.",
    ),
    (
        "section",
        "Work out lift, drag and moment of a wing section over angle and Reynolds number; no project is needed.",
    ),
    ("open", "Open the project as a page in the browser, served on this machine only."),
    ("demo", "Do the whole job on the invented example Plover, before and after its trials."),
)
"""Each command with the first line of its own help; a test keeps the two alike."""


def page() -> str:
    """The help page."""
    lines = [
        "planewright COMMAND",
        "",
        "One record of one home-built aeroplane: what was drawn, weighed and tested, up to flight day.",
        "",
        *(f"  {name:<10} {says}" for name, says in COMMANDS),
        "",
        "planewright COMMAND --help tells what a command takes. --json prints one JSON document and nothing else.",
        "Exit code: 0 when done whatever the verdict, 2 for wrong input, 130 when cancelled.",
    ]
    return "\n".join(lines)
