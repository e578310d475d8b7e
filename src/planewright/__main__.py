"""Start of the command line. Asking for version or help loads nothing else."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line and leave with its exit code: 0 done, 2 wrong input, 130 cancelled."""
    if sys.argv[1:] in (["--version"], ["-V"]):
        from planewright import __version__

        print(f"planewright {__version__}")
        return
    if sys.argv[1:] in ([], ["--help"], ["-h"]):
        from planewright.cli.help import page

        print(page())
        return
    try:
        from planewright.cli.main import run

        code = run(sys.argv[1:])
    except KeyboardInterrupt:
        print("Stopped. Nothing half-written is left.", file=sys.stderr)
        code = 130
    sys.exit(code)


if __name__ == "__main__":
    main()
