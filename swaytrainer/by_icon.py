"""The program as an icon starts it: what goes wrong is shown on a window."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program; its exit status."""
    from swaytrainer.cli import parsed, run

    options = parsed(arguments)
    try:
        return run(options)
    except Exception as error:  # whatever it is, somebody stands before an empty screen
        from swaytrainer.app.apology import apologize
        from swaytrainer.store.home import Home

        folder: Path = options.home or Home.usual().path
        apologize(error, folder)
        return 1


if __name__ == "__main__":
    sys.exit(main())
