"""The lessons' sentences as prompts: so a game is learned with the screen covered, too.

Their words are the games' own (``training/tasks``), in another language the catalogue's.
"""

from __future__ import annotations

from typing import Final

from swaytrainer.training.tasks.catalogue import KINDS

#: By game and sentence: the prompt that says it.
LESSONS: Final[dict[tuple[str, str], str]] = {
    (kind.name, sentence): f"lesson {kind.name.replace('-', ' ')} {n}"
    for kind in KINDS.values()
    for n, (_, sentence) in enumerate(kind.lesson, start=1)
}


def lesson_phrases() -> dict[str, str]:
    """What each of these prompts says, in the language in use."""
    from swaytrainer.words import tr

    return {prompt: tr(sentence) for (_, sentence), prompt in LESSONS.items()}
