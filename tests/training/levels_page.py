"""The part of LEVELS.md that follows from the code: each game's measures and numbers.

``python -m tests.training.levels_page`` writes it anew after a game has come or changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from swaytrainer.training.tasks.catalogue import KINDS, markable

PAGE = Path(__file__).parents[2] / "swaytrainer/training/LEVELS.md"
BEGIN, END = "## The games\n", "## The ladder\n"


def games() -> str:
    """A section for each game: what it can mark, and the numbers of its ``[task]`` table."""
    return BEGIN + "\n" + "\n".join(line for name in KINDS for line in _game(name)) + "\n"


def _game(name: str) -> Iterator[str]:
    yield f"### `{name}`\n"
    yield "| measure | unit | earns more when |\n|---|---|---|"
    for key, measure in markable(name).items():
        better = "larger" if measure.more_is_better else "smaller"
        yield f"| `{key}` | {measure.unit or '–'} | {better} |"
    fields = KINDS[name].fields
    if fields:
        yield "\n| number in `[task]` | sense | range | as usual |\n|---|---|---|---|"
        for key, field in fields.items():
            unit = f" {field.unit}" if field.unit else ""
            yield (
                f"| `{key}` | {field.meaning} | {field.low:g} to {field.high:g}{unit} |"
                f" {field.usual:g}{unit} |"
            )
    else:
        yield "\nIt has no numbers of its own: leave `[task]` out."
    yield ""


def renewed(page: str) -> str:
    """The page with that part as it should be."""
    before, rest = page.split(BEGIN)
    return before + games() + END + rest.split(END)[1]


if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
