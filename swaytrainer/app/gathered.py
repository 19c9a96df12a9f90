"""What is known of every counted trial: from the index, else from the recordings themselves."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from swaytrainer.app.kept_values import (
    gather,
    lacking,
    left_out_words,
    of_one,
    values_of,
)
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.assess import Found
from swaytrainer.store.home import Home
from swaytrainer.store.recording import glance

if TYPE_CHECKING:
    from sqlalchemy import Engine


def gathered(
    home: Home, measures: tuple[str, ...], since: date | None = None
) -> tuple[list[Found], list[str]]:
    """``gather`` of all recordings, by the index: a thousandth of the files is opened.

    Args:
        home: the data folder.
        measures: keys of ``senses.SENSES``.
        since: older ones are passed over, with no word.

    Returns:
        The values, and sentences on what was left out; a recording that is there twice counts once.
    """
    try:
        return _by_index(Past(home).engine(), home, measures, since)
    except SwaytrainerError as error:
        found, notes = gather(home.recordings(), measures, since)
        return found, [*notes, f"{error} The recordings were read instead."]


def _by_index(
    engine: Engine, home: Home, measures: tuple[str, ...], since: date | None
) -> tuple[list[Found], list[str]]:
    from swaytrainer.index.database import begun
    from swaytrainer.index.kept import kept_sittings, left_out
    from swaytrainer.index.past import LevelsRead

    levels, found, out = LevelsRead(), [], dict[str, int]()
    with begun(engine, reads=True) as connection:
        notes = [f"Left out: {sentence}" for sentence in left_out(connection)]
        for sitting in kept_sittings(connection):
            path = home.path / "recordings" / sitting.path
            try:
                day = datetime.fromisoformat(sitting.made).date()
            except ValueError:
                notes.append(f"Left out: {path} does not tell its date.")
                continue
            if since is not None and day < since:
                continue
            level = levels.level(sitting.level_hash, sitting.level_text)
            if level is None or lacking(sitting.outcomes, measures):
                # Computed from the signals, at the cost of a replay.
                found += of_one(path, glance(path), day, measures, out)
            else:
                whose = (sitting.vaulter, sitting.board)
                found += values_of(whose, level, day, sitting.outcomes, {}, measures, out)
    return found, [*notes, *left_out_words(out)]
