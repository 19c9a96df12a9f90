"""The games there are, by the name that a level's ``game`` gives."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from swaytrainer.training.tasks.echo import ECHO
from swaytrainer.training.tasks.four_strides import FOUR_STRIDES
from swaytrainer.training.tasks.grooming import GROOMING
from swaytrainer.training.tasks.millpond import MILLPOND
from swaytrainer.training.tasks.picnic import PICNIC
from swaytrainer.training.tasks.ribbon import RIBBON
from swaytrainer.training.tasks.roost import ROOST
from swaytrainer.training.tasks.task import COMMON, Markable, TaskKind
from swaytrainer.training.tasks.tray import TRAY
from swaytrainer.training.tasks.well import WELL

KINDS: Final[dict[str, TaskKind]] = {
    kind.name: kind
    for kind in (
        MILLPOND,
        PICNIC,
        GROOMING,
        WELL,
        ROOST,
        ECHO,
        TRAY,
        RIBBON,
        FOUR_STRIDES,
    )
}


def markable(game: str) -> Mapping[str, Markable]:
    """The measures that a level of this game may mark."""
    return {**COMMON, **KINDS[game].measures}
