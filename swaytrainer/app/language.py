"""Which language to show and to speak."""

from __future__ import annotations

import locale

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.prompts.phrases import PHRASES
from swaytrainer.words import languages, use_language


def choose_language(wanted: str | None) -> None:
    """Use this language, or the system's if none is wanted and we know it.

    Raises:
        SwaytrainerError: there is neither a catalogue nor a voice for it.
    """
    if wanted is None:
        try:
            name = locale.getlocale()[0]
        except ValueError:  # a locale that Python can't take apart
            name = None
        use_language(of_locale(name))
        return
    known = sorted({*languages(), *PHRASES})
    if wanted not in known:
        raise SwaytrainerError(
            f"There is no language “{wanted}” here.", f"Give --language {' or '.join(known)}."
        )
    use_language(wanted)


def of_locale(name: str | None) -> str:
    """A language's code from a locale's name; English where it can't be told.

    >>> of_locale("de_AT"), of_locale("German_Germany"), of_locale("C"), of_locale(None)
    ('de', 'de', 'en', 'en')
    """
    spoken = (name or "").partition("_")[0].casefold()
    by_name = {"german": "de", "english": "en"}  # what Windows calls them
    code = by_name.get(spoken, spoken)
    return code if len(code) in (2, 3) else "en"
