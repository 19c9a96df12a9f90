"""Sentences that can be said in another language later than they are made.

A sentence is made where it is true (a mark's reason, a board's warning), and shown where nothing is
known of it. ``say`` makes a string that is the English sentence, compares and is stored as such,
and still knows its template and values: ``tr`` puts it into the language in use.
"""

from __future__ import annotations

import gettext
import string
from collections.abc import Iterable
from importlib import resources
from typing import Any, Final

DOMAIN: Final = "swaytrainer"
#: The language of the sentences in the code.
SOURCE: Final = "en"
#: Languages that write 7.5 with a comma.
_COMMA: Final = {"cs", "da", "de", "es", "fi", "fr", "it", "nb", "nl", "pl", "pt", "sv"}


class Said(str):
    """An English sentence that remembers how it was made."""

    __slots__ = ("template", "values")

    template: str
    values: dict[str, Any]

    def __new__(cls, template: str, values: dict[str, Any]) -> Said:
        """The template with its values filled in, as ``str.format`` does."""
        made = super().__new__(cls, template.format(**values))
        made.template = template
        made.values = values
        return made

    def __getnewargs__(self) -> tuple[str, dict[str, Any]]:  # type: ignore[override]
        """So that it can be copied."""
        return self.template, self.values


def say(template: str, **values: object) -> Said:
    """A sentence with values.

    Args:
        template: English, with ``{name}`` or ``{name:.1f}`` for each value.
        values: by name; those that are sentences themselves are translated too, a ``Name`` never.

    >>> say("Even for {inside:.0f} of {planned:.0f} s.", inside=21.6, planned=30.0)
    'Even for 22 of 30 s.'
    """
    return Said(template, values)


def listed(sentences: Iterable[str], between: str = ", ") -> str:
    """Sentences or words in a row, each of which is translated by itself later.

    >>> listed(["base", say("rate ({hz:g} Hz)", hz=80.0)])
    'base, rate (80 Hz)'
    """
    made: str = Name()
    for n, each in enumerate(sentences):
        row = {"before": made, "between": Name(between), "last": each}
        made = say("{before}{between}{last}", **row) if n else each
    return made


class Name(str):
    """What somebody is called: it stands in a sentence as it is, whatever the language."""

    __slots__ = ()


def translated(template: str, **values: object) -> str:
    """A sentence with values, in the language in use: where it is said as soon as it is made.

    >>> translated("{n} s", n=3)
    '3 s'
    """
    return tr(say(template, **values))


def number(value: float, how: str = "") -> Name:
    """A number as it is written in the language in use.

    Args:
        value: it.
        how: as ``format`` takes it.

    >>> number(7.5, ".2f")
    '7.50'
    """
    return Name(_Filling().format_field(value, how))


def short(text: str, most: int) -> str:
    """A text, cut where it is longer than its place.

    >>> short("Wren", 5), short("W" * 300, 5)
    ('Wren', 'WWWW…')
    """
    return text if len(text) <= most else text[: most - 1] + "…"


class _Language:
    """The catalogue in use; English needs none."""

    code = SOURCE
    catalogue: gettext.NullTranslations = gettext.NullTranslations()


class _Filling(string.Formatter):
    """Fills values in as ``str.format`` does, but for the decimal sign of the language in use."""

    def format_field(self, value: Any, format_spec: str) -> str:
        """One value."""
        written = str(super().format_field(value, format_spec))
        if isinstance(value, float) and _Language.code in _COMMA:
            return written.replace(".", ",")
        return written


def languages() -> list[str]:
    """The languages there are, English first: one for each catalogue in ``locale``."""
    folder = resources.files("swaytrainer") / "locale"
    if not folder.is_dir():
        return [SOURCE]
    found = (f.name for f in folder.iterdir() if (f / "LC_MESSAGES").is_dir())
    return [SOURCE, *sorted(found)]


def use_language(code: str) -> None:
    """Speak this language from now on; English where it has no catalogue."""
    path = resources.files("swaytrainer") / "locale" / code / "LC_MESSAGES" / f"{DOMAIN}.mo"
    _Language.code = SOURCE
    _Language.catalogue = gettext.NullTranslations()
    if code != SOURCE and path.is_file():
        with path.open("rb") as file:
            _Language.catalogue = gettext.GNUTranslations(file)
        _Language.code = code


def language() -> str:
    """The language in use."""
    return _Language.code


def tr(sentence: str) -> str:
    """A sentence in the language in use; as it is where there is no translation.

    >>> tr(say("{n} s", n=3))
    '3 s'
    """
    if not sentence or _Language.code == SOURCE or isinstance(sentence, Name):
        return sentence
    if isinstance(sentence, Said):
        values = {k: tr(v) if isinstance(v, str) else v for k, v in sentence.values.items()}
        return _Filling().vformat(_Language.catalogue.gettext(sentence.template), (), values)
    return _Language.catalogue.gettext(sentence)
