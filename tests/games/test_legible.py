"""Legible at three metres: size, contrast, nothing cut, nothing overlapping, nothing that flashes.

Each screen is drawn at three sizes and in every language there is; what lies behind each text is
taken from the picture right before the text is set.
"""

from __future__ import annotations

import gettext
import math
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray
from pygame import Rect

from swaytrainer import words
from swaytrainer.games import help_pages
from swaytrainer.games.canvas import MAIN_SHARE, Canvas, TextBox
from swaytrainer.games.catalogue import GAMES
from swaytrainer.games.choosing import draw_choosing
from swaytrainer.games.entry import Entry, draw_entry
from swaytrainer.games.guide import GuideState, Task, draw_guide
from swaytrainer.games.gym import GymState, Row
from swaytrainer.games.help import PAGE_S, draw_help
from swaytrainer.games.help_pages import Help
from swaytrainer.games.palette import ORANGE, PAPER, SKY, Colour
from swaytrainer.games.scoreboard import LEAST, BoardState, Last, Page, draw_scoreboard
from swaytrainer.games.scoreboard import Row as BoardRow
from swaytrainer.games.soles import on_the_marks
from swaytrainer.games.stage import Stage, draw_gym
from swaytrainer.sitting.view import Event, Happening, Phase, View, Where
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.choosing import HINTS, STILL_HINT, Move
from swaytrainer.training.desk import Asking, Desk, Known
from swaytrainer.training.feedback import feedback_for
from swaytrainer.training.gesture import GestureWatch, Readiness
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.tasks.task import Ground
from swaytrainer.training.vaulter import Vaulter
from tests.catalogue import has_words
from tests.games import scenes
from tests.games.scenes import NO_MARK, SIZES, WREN

Pixels = NDArray[np.float64]
FEET = on_the_marks(WREN)
LEVELS = {level.game: level for level in reversed(shipped_levels())}
LEVEL = next(level for level in shipped_levels() if level.id == scenes.LEVEL.id)
#: As a sitting makes it: the sentence remembers how it was made.
OUTCOME = replace(
    scenes.OUTCOME,
    reason=words.say(
        "Too much weight on the toes for {seconds:.0f} of {planned:.0f} s: −{cost:.1f}.",
        seconds=6.0,
        planned=30.0,
        cost=0.8,
    ),
)
CAUTION = "Old sprain of the left ankle: a spotter on that side, and no landings."
LONGEST = f"{CAUTION} {'Hilfestellung' * 9}".ljust(200, "!")
#: A reason why a trial has no mark.
LOST = "The board's signal was lost: no mark."
WARNING = "The board rocks or a cell binds: check its feet and the floor."


def luminances(surface: pygame.Surface) -> Pixels:
    """Relative luminance of each pixel (WCAG 2.2, definitions)."""
    data = np.frombuffer(pygame.image.tobytes(surface, "RGB"), dtype=np.uint8)
    share = np.arange(256) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    rows = linear[data].reshape(surface.get_height(), surface.get_width(), 3)
    seen: Pixels = rows @ np.array([0.2126, 0.7152, 0.0722])
    return seen


def contrast_on(ground: Pixels, colour: Colour) -> float:
    """The least contrast of a text's colour with what lies behind it.

    But for the tenth that is worst: a line's leading may touch its panel's edge.
    """
    own = pygame.Surface((1, 1))
    own.fill(colour)
    text = float(luminances(own)[0, 0])
    ratio = (np.maximum(ground, text) + 0.05) / (np.minimum(ground, text) + 0.05)
    return float(np.quantile(ratio, 0.1))


class Watcher:
    """Sees every text on its way to a canvas, what is behind it, and what panels cover later."""

    def __init__(self) -> None:
        self.boxes: list[tuple[TextBox, float]] = []
        self.untranslated: list[str] = []
        self.cut_aside: list[str] = []
        self.surface: pygame.Surface | None = None

    def clear(self, surface: pygame.Surface) -> None:
        """Watch this surface from now on; pictures made aside are watched when they are laid."""
        self.surface = surface
        self.boxes.clear()
        self.untranslated.clear()
        self.cut_aside.clear()


@pytest.fixture
def watcher(monkeypatch: pytest.MonkeyPatch) -> Iterator[Watcher]:
    seen = Watcher()
    set_text, lay_panel = Canvas.text, Canvas.panel

    def text(canvas: Canvas, said: str, area: Rect, **how: object) -> Rect:
        number = len(canvas.boxes)
        inside = area.clip(canvas.surface.get_rect())
        before = canvas.surface.subsurface(inside).copy() if said and inside.size > (0, 0) else None
        drawn: Rect = set_text(canvas, said, area, **how)  # type: ignore[arg-type]
        if len(canvas.boxes) > number:
            assert before is not None, f"{said}: off the screen"
            box = canvas.boxes[-1]
            behind = before.subsurface(box.rect.move(-inside.x, -inside.y).clip(before.get_rect()))
            if canvas.surface is seen.surface:
                seen.boxes.append((box, contrast_on(luminances(behind), box.colour)))
            elif box.cut:
                seen.cut_aside.append(box.words)
        return drawn

    def panel(canvas: Canvas, area: Rect, *how: object, **named: object) -> None:
        if canvas.surface is seen.surface:
            seen.boxes = [(b, c) for b, c in seen.boxes if not area.colliderect(b.rect)]
        lay_panel(canvas, area, *how, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(Canvas, "text", text)
    monkeypatch.setattr(Canvas, "panel", panel)
    yield seen
    words.use_language("en")


def speak(language: str, seen: Watcher) -> None:
    words.use_language(language)
    if language != "en":
        words._Language.catalogue.add_fallback(_missing(seen))


def _missing(seen: Watcher) -> gettext.NullTranslations:
    class Missing(gettext.NullTranslations):
        def gettext(self, message: str) -> str:
            if has_words(message):
                seen.untranslated.append(message)
            return message

    return Missing()


def scene_of(level: Level, seconds: float) -> object | None:
    """What a game's rules see after some seconds of a lively stand."""
    *_, (scene, _) = scenes_of(level, seconds)
    return scene


def scenes_of(
    level: Level, seconds: float, rate_hz: float = 80.0
) -> Iterator[tuple[object | None, float]]:
    """The scenes of a rough trial: swaying far about the feet's middle at under a hertz."""
    kind = KINDS[level.game]
    body_n = 400.0
    ground = Ground(level, FEET, rate_hz, body_n, 7)
    task = None if kind.make is None else kind.make(ground)
    middle = 0.5 * (FEET.heel_y_mm + FEET.ball_y_mm)
    for k in range(round(seconds * rate_hz)):
        t = k / rate_hz
        x, y = 30.0 * math.sin(2.1 * t), middle + 35.0 * math.sin(1.7 * t)
        if task is not None:
            task.update(CopSample(t, body_n, x, y, 0.0), t, False)
        yield (None if task is None else task.scene), t


def view(phase: Phase, **changes: Any) -> View:
    """A plausible view whose every sentence is one of ours."""
    shown = {"outcome": OUTCOME} if phase is Phase.RESULT else {}
    return scenes.view(phase, **({"level": LEVEL} | shown | changes))


def running(
    level: Level, t: float, scene: object | None, phase: Phase = Phase.RUNNING, lesson: str = ""
) -> View:
    toes = 43.0 + 30.0 * math.sin(1.7 * t)
    inside = level.band_low_percent <= toes <= level.band_high_percent
    values: dict[str, object] = {
        "level": level, "scene": scene, "phase_s": t, "left_s": max(0.0, level.seconds - t),
        "toe_share_percent": toes, "stillness": 0.4 + 0.4 * math.sin(2.0 * t),
        "where": Where.INSIDE if inside else Where.TOES if toes > 50 else Where.HEELS,
        "x_mm": 30.0 * math.sin(2.1 * t), "y_mm": 35.0 * math.sin(1.7 * t),
    }  # fmt: skip
    return view(phase, lesson=lesson, **values)


Draw = Callable[[pygame.Surface], object]


def _staged(*views: View, lost: bool = False, feet: Feet | None = None) -> Draw:
    def draw(surface: pygame.Surface) -> None:
        stage = Stage(surface, 3, feet)
        if lost:
            stage.notice(Event(Happening.SIGNAL_LOST, 1.0))
        for n, one in enumerate(views):
            stage.draw(one, 0.1 * n)

    return draw


def _gym(**changes: object) -> Draw:
    values: dict[str, object] = {
        "board_line": words.say("Board ready · {rate:.0f} samples a second", rate=80.0),
        "board_ok": True,
        "what_to_do": LEVEL.cautions[0],
        "vaulters": (WREN,),
        "levels": shipped_levels(),
    }
    return lambda surface: draw_gym(surface, GymState(**(values | changes)))  # type: ignore[arg-type]


DESK = Known(
    (WREN, Vaulter("Tarn")), WREN, LEVEL, shipped_levels()[:3], (LEVEL.id,), WREN.name, "Tarn",
    shipped_levels()[4],
)  # fmt: skip
DESK_MOMENTS: tuple[tuple[str, float, dict[str, Any]], ...] = (
    ("empty", 0.0, {}),
    ("still", 0.5, {"state": Readiness.READY, "hint": STILL_HINT}),
    ("moving", 0.0, {"state": Readiness.MOVING, "hint": HINTS[Readiness.MOVING]}),
    ("ready", 0.0, {"state": Readiness.READY, "hint": HINTS[Readiness.READY]}),
    ("elsewhere", 0.0, {"state": Readiness.ELSEWHERE, "hint": HINTS[Readiness.ELSEWHERE]}),
)


def _desk(asking: Asking, **changes: Any) -> Draw:
    def draw(surface: pygame.Surface) -> None:
        desk = Desk(GestureWatch(FEET, 80.0), DESK, asking)
        desk.hand(Move.AFTER)
        draw_choosing(surface, replace(desk.view(), **changes))

    return draw


def _help(page: Help, shown_s: float) -> Draw:
    def draw(surface: pygame.Surface) -> None:
        draw_help(surface, page, shown_s)

    return draw


def _first_steps() -> dict[str, Draw]:
    found = words.say(
        "Board {board} at {port}",
        board=words.Name("0123456789ABCDEF"),
        port=words.Name("/dev/ttyACM0"),
    )
    taught = words.say("Taught on {day} · Enter does it again", day="2026-11-26")
    empty = GuideState("Plug it in, and leave it empty.")
    states = {
        "nothing": empty,
        "untaught": replace(empty, board=found, found=True, chosen=Task.NEWTONS),
        "all": replace(
            empty, board=found, found=True, taught=taught, vaulters=("Wren", "Tarn", "Mika"),
            chosen=Task.MARK,
        ),
        "trouble": replace(
            empty,
            trouble=words.say(
                "{what} {remedy}",
                what="The calibration was broken off: nothing was changed.",
                remedy="Start it again when there is time for all the marks.",
            ),
        ),
    }  # fmt: skip
    mass = Entry(
        "How heavy is your weight?",
        "Weigh something that can't roll or topple, 10 to 40 kg. Mind your back and your toes."
        " Nobody stands on the board now.",
        "20",
        "kg",
        0.5,
    )
    foot = Entry(
        "How long is the foot?",
        "From the heel to the longest toe, standing. Between heel and ball the toe share is"
        " reckoned; it can be measured better later.",
        "240",
        "mm",
        1.0,
        trouble=words.say(
            "{what} {remedy}",
            what="A foot is 120 to 330 mm long.",
            remedy="Give it in millimetres.",
        ),
    )
    name = Entry(
        "What is the vaulter called?", "A pseudonym suffices. It stays on this machine.", "Wren"
    )
    return {
        **{f"first steps, {n}": partial(draw_guide, state=state) for n, state in states.items()},
        **{
            f"entry, {e.title}": partial(draw_entry, entry=e, blink=True)
            for e in (mass, foot, name)
        },
    }


ROUND = words.say("Round {n} of {all}", n=2, all=3)
BOARD = BoardState(
    "Autumn cup",
    (
        Page(
            "Under 140 cm",
            ("mean", "best", "spread"),
            tuple(
                BoardRow(place, name, ("10.00", "10.0", "10.0"), place == "2", place == "3")
                for place, name in zip("123456", ("Wren", "Tarn", "Mika", "Romy", "Jale", "Ämy"),
                                       strict=True)
            ),
            1,
            2,
        ),
        Page("Teams", ("mark",), (BoardRow("1", "Otters", ("9.25",)),)),
    ),
    Last("Wren", ROUND, 10.0),
    (("Tarn", ROUND), ("Mika", ROUND)),
)  # fmt: skip


def _scoreboard() -> dict[str, Draw]:
    states = {
        "a class": (BOARD, 0),
        "teams": (BOARD, 1),
        "before": (replace(BOARD, last=None), 0),
        "no mark": (replace(BOARD, last=Last("Wren", "", None, LOST)), 0),
        "stand-off": (replace(BOARD, last=Last("Wren", "Stand-off", 9.9)), 0),
        "warm-up": (replace(BOARD, last=Last("Wren", "Warm-up", 9.9)), 0),
        "beyond": (replace(BOARD, last=Last("Wren", "Does not count", 9.9)), 0),
        "done": (replace(BOARD, coming=()), 0),
        "late": (replace(BOARD, note="It is not the contest's time"), 0),
        "wrong": (replace(BOARD, note="The contest's file is wrong"), 0),
    }
    return {
        f"scoreboard, {name}": partial(draw_scoreboard, state=state, at=page)
        for name, (state, page) in states.items()
    }


def screens() -> dict[str, Draw]:
    hear = replace(LEVEL, eyes="closed", spotter=True)
    found: dict[str, Draw] = {
        "waiting": _staged(view(Phase.WAITING)),
        "waiting again": _staged(view(Phase.WAITING, trial=2)),
        "settling": _staged(view(Phase.SETTLING)),
        "settling, eyes closed": _staged(view(Phase.SETTLING, level=hear)),
        "countdown": _staged(view(Phase.COUNTDOWN)),
        "countdown, eyes closed": _staged(view(Phase.COUNTDOWN, level=hear)),
        "unseen": _staged(view(Phase.RUNNING, feedback=feedback_for("none", (), 6.0))),
        "off": _staged(view(Phase.OFF)),
        "result": _staged(view(Phase.RESULT)),
        "result without a mark": _staged(view(Phase.RESULT, outcome=NO_MARK)),
        "result that does not count": _staged(
            view(Phase.RESULT, outcome=replace(OUTCOME, counts=False, step_offs=3))
        ),
        "first mark": _staged(view(Phase.RESULT, best_mark=None)),
        "resting": _staged(view(Phase.RESTING)),
        "finished": _staged(view(Phase.FINISHED)),
        "finished without a mark": _staged(view(Phase.FINISHED, marks=(None,))),
        "lost": _staged(view(Phase.RUNNING), lost=True),
        "warned": _staged(view(Phase.RESULT, warnings=(WARNING,))),
        "warned in the game": _staged(view(Phase.RUNNING, warnings=(WARNING,))),
        "gym": _gym(),
        "gym without a board": _gym(
            board_ok=False,
            board_line="No board is plugged in.",
            what_to_do="Plug it in and leave it empty. No board yet? G shows you all of it.",
        ),
        "gym on go": _gym(row=Row.GO, vaulters=()),
        **_first_steps(),
        **_scoreboard(),
        "gym in a contest": _gym(
            title="Autumn cup",
            calls=(WREN.name, "Tarn"),
            dose=words.say("Round {n} of {all} · {group}", n=2, all=3, group=words.Name("Juniors")),
            stop=words.say("Once more: {why}", why=LOST),
        ),
        **{
            f"help: {page.title}": _help(page, shown_s)
            for page in vars(help_pages).values()
            if isinstance(page, Help)
            for shown_s in (0.0, PAGE_S)
        },
        "gym in an evening": _gym(calls=(WREN.name, "Tarn")),
        "gym with a caution": _gym(vaulters=(replace(WREN, caution=CAUTION),)),
        **{
            f"cautions, {len(caution)} letters, at {seconds:g} s": _gym(
                vaulters=(replace(WREN, caution=caution),), reading=True, shown_s=seconds
            )
            for caution in (CAUTION, LONGEST)
            for seconds in (0.0, 5.0, 9.0)
        },
        **{
            f"desk, {asking.name}: {say}": _desk(asking, still=still, **moment)
            for asking in Asking
            for say, still, moment in DESK_MOMENTS
        },
    }
    for game in GAMES:
        level = LEVELS[game]
        found[f"{game}: gym"] = _gym(levels=(level,))
        found[f"{game}: countdown"] = _staged(view(Phase.COUNTDOWN, level=level))
        found[f"{game}: waiting"] = _staged(view(Phase.WAITING, level=level))
        for seconds in (1.0, 7.0):
            scene = scene_of(level, seconds)
            found[f"{game}: {seconds:g} s"] = _staged(running(level, seconds, scene))
        for _, said in KINDS[game].lesson:
            lesson = running(level, 1.0, scene_of(level, 1.0), Phase.LESSON, said)
            found[f"{game}: {said}"] = _staged(lesson)
    return found


SCREENS = screens()


@pytest.mark.parametrize("language", words.languages())
@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_every_text_is_large_whole_apart_and_clear(
    size: tuple[int, int], language: str, watcher: Watcher
) -> None:
    wrong: list[str] = []
    surface = pygame.Surface(size, 0, 32)
    for name, draw in SCREENS.items():
        watcher.clear(surface)
        speak(language, watcher)
        draw(surface)
        assert watcher.boxes, name
        wrong += [f"{name}: {fault}" for fault in faults(watcher, size)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("language", words.languages())
@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_the_scoreboard_is_read_from_the_last_row(
    size: tuple[int, int], language: str, watcher: Watcher
) -> None:
    surface = pygame.Surface(size, 0, 32)
    for draw in _scoreboard().values():
        watcher.clear(surface)
        speak(language, watcher)
        draw(surface)
        assert min(box.line_px for box, _ in watcher.boxes) >= LEAST * size[1]


def test_a_name_too_long_for_the_hall_is_cut_not_shrunk(watcher: Watcher) -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    watcher.clear(surface)
    page = Page("All", ("mean",), (BoardRow("1", "W" * 300, ("9.99",)),))
    draw_scoreboard(surface, replace(BOARD, pages=(page,)), 0)
    (long,) = (box for box, _ in watcher.boxes if box.words.startswith("WW"))
    assert long.cut
    assert long.line_px >= LEAST * 720
    assert Rect(0, 0, 1280, 720).contains(long.rect)


@pytest.mark.parametrize("language", words.languages())
def test_every_level_is_announced_whole_on_the_smallest_screen(
    language: str, watcher: Watcher
) -> None:
    wrong: list[str] = []
    surface = pygame.Surface(SIZES[0], 0, 32)
    for level in shipped_levels():
        for trial in (1, 10):
            watcher.clear(surface)
            speak(language, watcher)
            _staged(view(Phase.WAITING, level=level, trial=trial, trials=10))(surface)
            wrong += [f"{level.id}: {fault}" for fault in faults(watcher, SIZES[0])]
    assert not wrong, "\n".join(wrong)


def faults(watcher: Watcher, size: tuple[int, int]) -> Iterator[str]:
    """What is not as it must be."""
    boxes = watcher.boxes
    for n, (box, contrast) in enumerate(boxes):
        if box.main and box.line_px < MAIN_SHARE * size[1]:
            yield f"“{box.words}” is {box.line_px} px high"
        if box.cut:
            yield f"“{box.words}” is cut"
        if not Rect((0, 0), size).contains(box.rect):
            yield f"“{box.words}” leaves the screen"
        if contrast < 4.5:
            yield f"“{box.words}” has a contrast of {contrast:.1f}"
        for other, _ in boxes[:n]:
            shared = box.rect.clip(other.rect)
            # Lines' leading may touch; letters may not.
            if min(shared.size) > size[1] // 100 and other.words != box.words:
                yield f"“{box.words}” lies on “{other.words}”"
    yield from (f"“{text}” is cut in a picture" for text in watcher.cut_aside)
    yield from (f"“{text}” is not translated" for text in watcher.untranslated)


def test_the_watcher_sees_each_fault(watcher: Watcher) -> None:
    surface = pygame.Surface((320, 240), 0, 32)
    watcher.clear(surface)
    canvas = Canvas(surface)
    canvas.text("far too long for so small a place", Rect(0, 0, 60, 20))
    canvas.text("grey on black", Rect(0, 100, 300, 30), colour=(60, 60, 60))
    canvas.text("one", Rect(0, 180, 300, 40))
    canvas.text("two", Rect(0, 180, 300, 40))
    said = " ".join(faults(watcher, (320, 240)))
    assert "is cut" in said
    assert "“grey on black” has a contrast" in said
    assert "“two” lies on “one”" in said


#: Protan-, deuter- and tritanopia (severity 1.0) of Machado, Oliveira & Fernandes, IEEE TVCG 2009;
#: 15(6):1291-8, table 1, on linear RGB. Values from memory.
BLINDNESS = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
               (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
               (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602),
               (0.004733, 0.691367, 0.303900)),
}  # fmt: skip


def as_seen(colour: Colour, blindness: str) -> NDArray[np.float64]:
    """The colour in CIELAB (D65, 2°; CIE 15) as somebody with this blindness sees it."""
    share = np.array(colour) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    seen = np.clip(np.array(BLINDNESS[blindness]) @ linear, 0.0, 1.0)
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = to_xyz @ seen / (to_xyz @ np.ones(3))
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("blindness", BLINDNESS)
def test_the_states_colours_stay_apart_for_the_colour_blind(blindness: str) -> None:
    colours = [as_seen(colour, blindness) for colour in (PAPER, ORANGE, SKY)]
    for n, one in enumerate(colours):
        for other in colours[:n]:
            # 2.3 is just noticeable (Mahy et al. 1994); a glance from afar needs much more.
            assert float(np.linalg.norm(one - other)) > 20.0
    # Each matrix leaves grey as it is: its rows add up to one.
    assert np.allclose(np.array(BLINDNESS[blindness]).sum(axis=1), 1.0, atol=1e-4)


class Flashes:
    """Counts each pixel's opposing changes of a tenth of luminance (WCAG 2.2, general flash)."""

    def __init__(self) -> None:
        self._turn: Pixels | None = None
        self._way: NDArray[np.int8] | None = None
        self._last: deque[tuple[float, NDArray[np.bool_]]] = deque()
        #: The largest share of the screen that flashed more than three times within a second.
        self.worst_share = 0.0

    def update(self, seen: Pixels, t: float) -> None:
        if self._turn is None or self._way is None:
            self._turn, self._way = seen.copy(), np.zeros(seen.shape, dtype=np.int8)
            return
        change = seen - self._turn
        way = np.sign(change).astype(np.int8)
        turned = (np.abs(change) >= 0.1) & (np.minimum(seen, self._turn) < 0.8) & (way != self._way)
        going_on = (way == self._way) & (change != 0)
        self._turn = np.where(turned | going_on, seen, self._turn)
        self._way = np.where(turned, way, self._way)
        self._last.append((t, turned))
        while self._last[0][0] <= t - 1.0:
            self._last.popleft()
        changes = sum(one.astype(np.int16) for _, one in self._last)
        # A flash is a pair of opposing changes.
        self.worst_share = max(self.worst_share, float(np.mean(np.asarray(changes) > 6)))


@pytest.mark.parametrize("game", GAMES)
def test_nothing_large_flashes_in_a_rough_trial(game: str) -> None:
    surface = pygame.Surface((256, 192), 0, 32)
    stage = Stage(surface, 3, on_the_marks(WREN))
    flashes = Flashes()
    level = LEVELS[game]
    for k, (scene, t) in enumerate(scenes_of(level, 5.0)):
        if k % 4:
            continue  # twenty frames a second tell up to ten flashes
        stage.draw(running(level, t, scene), t)
        flashes.update(luminances(surface), t)
    assert flashes.worst_share <= 0.25


def test_the_counter_of_flashes_sees_four_in_a_second_and_passes_two() -> None:
    for hertz, expected in ((5.0, 1.0), (2.0, 0.0)):
        flashes = Flashes()
        for k in range(60):
            on = math.sin(math.tau * hertz * (k + 0.5) / 30.0) > 0
            flashes.update(np.full((4, 4), 0.5 if on else 0.1), k / 30.0)
        assert flashes.worst_share == expected
