"""Which files are meant by the names, folders and patterns of a command line."""

from __future__ import annotations

import glob
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from swaytrainer.errors import SwaytrainerError

#: The endings that are looked for in a folder; a file named outright may have any.
ENDINGS: Final = (".csv", ".csv.gz", ".c3d", ".sway")


def files_meant(names: Sequence[str]) -> list[Path]:
    """The files in the order of the names, each once; those of a folder or pattern sorted.

    A folder means the files in it and below that end in one of ``ENDINGS``. A pattern is for
    shells that don't expand it; a file whose own name looks like a pattern is that file.

    Raises:
        SwaytrainerError: a pattern without a match, or a folder without such a file.
    """
    found: dict[Path, Path] = {}
    for name in names:
        path = Path(name)
        if path.is_dir():
            meant = _in_folder(path)
            if not meant:
                raise SwaytrainerError(
                    f"The folder {path} has no file that ends in {', '.join(ENDINGS)}.",
                    "Name the files themselves, or another folder.",
                )
        elif not path.exists() and glob.has_magic(name):
            # Not Path.glob, which knows no pattern from the root of a disk.
            matches = sorted(glob.glob(name, recursive=True))  # noqa: PTH207
            meant = [path for path in map(Path, matches) if path.is_file()]
            if not meant:
                raise SwaytrainerError(f"No file matches {name}.", "Check the pattern.")
        else:
            meant = [path]
        for file in meant:
            found.setdefault(file.resolve(), file)
    return list(found.values())


def _in_folder(folder: Path) -> list[Path]:
    inside = (p for p in folder.rglob("*") if not p.name.startswith(".") and p.is_file())
    return sorted(p for p in inside if p.name.lower().endswith(ENDINGS))
