"""`python -m inspect_tui` and the `inspect-tui` command."""

from __future__ import annotations

import sys

from inspect_tui.cli import main as run


def main() -> None:
    """Run the command line and leave with its status."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
