"""What there is instead of what was asked for: all of it where it is little, else the nearest."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final

from swaytrainer.training.vaulter import plain_name
from swaytrainer.words import Name, say

#: So many are read at a glance.
_FEW: Final = 6
_NEAREST: Final = 3
#: Less than the usual 0.6: a wrong guess costs nothing here.
_ALIKE: Final = 0.45


def nearest(wanted: str, there: Collection[str]) -> list[str]:
    """Those that are written most like it, the nearest first; empty if none is like it.

    >>> nearest("millpond-read", ["well-calm", "millpond-shore", "millpond-reeds"])[0]
    'millpond-reeds'
    """
    from difflib import get_close_matches

    plain = {plain_name(each): each for each in there}
    return [plain[each] for each in get_close_matches(plain_name(wanted), plain, _NEAREST, _ALIKE)]


def instead(wanted: str, there: Sequence[str]) -> str:
    """Half a sentence, to stand behind "There is no …;".

    >>> instead("Nelle", ["Nele", "Wren"])
    'there are Nele, Wren'
    >>> instead("xyz", [f"level-{n}" for n in range(61)])
    'there are 61 others'
    """
    if not there:
        return say("there is none at all")
    if len(there) <= _FEW:
        return say("there are {names}", names=Name(", ".join(there)))
    like = nearest(wanted, there)
    if like:
        return say("most like it: {names}", names=Name(", ".join(like)))
    return say("there are {n} others", n=len(there))
