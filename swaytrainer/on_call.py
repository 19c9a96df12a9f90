"""A process on call: it has loaded what the tables need, and runs the one command it is then told.

The desk keeps one. Loading takes longer than answering; so a table opens as soon as it is asked
for, and each command still has a process of its own. It reads one line from its standard input, a
JSON list of arguments; at the end of the input without one it ends.
"""

from __future__ import annotations

import contextlib
import json
import sys


def main() -> int:
    """Load, wait, run; the command's exit status."""
    from swaytrainer.cli import main as command

    _load()
    line = sys.stdin.readline()
    if not line.strip():
        return 0
    return command(json.loads(line))


def _load() -> None:
    """What the tables take longest to load; what is missing is told by the command itself."""
    with contextlib.suppress(ImportError):
        import scipy.special  # noqa: F401
        import sqlalchemy.dialects.sqlite  # noqa: F401

        from swaytrainer.app import index, ladder, progress, squad, squad_table  # noqa: F401
        from swaytrainer.index import building, database, kept, memos, past, queries  # noqa: F401


if __name__ == "__main__":
    sys.exit(main())
