"""The kept recordings of the invented club are what their script makes, and replay as shown."""

import importlib.util
from pathlib import Path

import pytest

from swaytrainer.store.recording import read_recording
from swaytrainer.store.trials import trials_of

FOLDER = Path(__file__).parents[1] / "sessions"
KEPT = sorted(FOLDER.glob("*.sway"))


def test_the_script_makes_the_kept_recordings(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("make_sessions", FOLDER / "make.py")
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    import sys

    sys.modules["make_sessions"] = script  # dataclasses look their module up
    try:
        spec.loader.exec_module(script)
        made = [script.record(story, tmp_path) for story in script.stories()]
    finally:
        del sys.modules["make_sessions"]
    assert [p.name for p in made] == [p.name for p in KEPT]
    for new, kept in zip(made, KEPT, strict=True):
        again, before = read_recording(new), read_recording(kept)
        assert again.inputs == before.inputs, kept.name
        assert again.setup == before.setup, kept.name


@pytest.mark.parametrize("path", KEPT, ids=lambda p: p.stem)
def test_a_kept_recording_replays_to_what_was_shown(path: Path) -> None:
    recording = read_recording(path)
    assert recording.damage == ()
    trials = trials_of(recording)
    assert len(trials) == len(recording.shown) > 0
    assert all(trial.same_as_shown for trial in trials)


def test_the_stories_are_what_their_names_say() -> None:
    outcomes = {p.stem: [t.outcome for t in trials_of(read_recording(p))] for p in KEPT}
    toes, even = outcomes["1-mika-toes-then-even"]
    assert toes.mark is not None
    assert even.mark is not None
    assert "toes" in toes.reason
    assert even.mark > toes.mark + 2
    [jale] = outcomes["3-jale-steps-off"]
    assert (jale.step_offs, jale.ended) == (1, "complete")
    [tjark] = outcomes["4-tjark-foam"]
    assert tjark.terms.base == "foam"
