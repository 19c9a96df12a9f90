"""The one object an app draws with: whole frames from views, told of events."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pygame import Surface

from swaytrainer.games.canvas import Canvas, canvas_of
from swaytrainer.games.catalogue import GAMES, SHOW_NO_SWAY, Game, MakeGame
from swaytrainer.games.frame import (
    draw_foot,
    draw_ground,
    draw_head,
    draw_lost,
    draw_warning,
    signal_words,
)
from swaytrainer.games.gym import GymState
from swaytrainer.games.gym_screen import draw_gym_screen
from swaytrainer.games.result import Comparison, draw_result
from swaytrainer.games.screens import (
    ANOTHER_GO,
    draw_countdown,
    draw_finished,
    draw_lesson,
    draw_off,
    draw_resting,
    draw_settling,
    draw_time_left,
    draw_unseen,
    draw_waiting,
)
from swaytrainer.games.soles import on_the_marks
from swaytrainer.sitting.view import Event, Happening, Phase, View, Where
from swaytrainer.sway.feet import Feet

#: The signal's figures change with every sample; on the screen they change this often.
FOOT_EVERY_S = 0.5
_IN_GAME = (Phase.LESSON, Phase.RUNNING, Phase.OFF)


class Stage:
    """Draws whatever a sitting shows.

    Args:
        surface: the window's surface, or any other; all sizes follow its height.
        seed: for the game's own choices; equal seeds and views give equal frames.
        feet: where the vaulter's feet stand on the board; None for feet on the marks. May be set
            between frames as ``feet``.
        games: the games by their names in levels.
        farewell: asked what stands above the marks at the end; empty for an invitation to another
            go.
        advises: a mark has advice beside it; else the farewell stands there.
    """

    def __init__(
        self,
        surface: Surface,
        seed: int,
        feet: Feet | None = None,
        games: Mapping[str, MakeGame] = GAMES,
        farewell: Callable[[], str] = lambda: "",
        advises: bool = True,
    ) -> None:
        self.canvas = Canvas(surface)
        self._seed = seed
        self.feet = feet
        self._games = games
        self._farewell = farewell
        self._advises = advises
        self._game: Game | None = None
        self._before: float | None = None
        self._before_trial: int | None = None
        self._lost = False
        self._waiting_since_s: float | None = None
        self._waiting_for = 0
        self._foot = ""
        self._foot_s: float | None = None
        self.arrived = 0

    def notice(self, event: Event) -> None:
        """Hear of something that a view does not show."""
        if event.happening is Happening.SIGNAL_LOST:
            self._lost = True
        elif event.happening is Happening.SIGNAL_BACK:
            self._lost = False

    def draw(self, view: View, now_s: float) -> None:
        """Draw a whole frame.

        Args:
            view: the sitting's snapshot.
            now_s: a time that never runs backwards, for what moves by itself; not the board's.

        Afterwards ``arrived`` says how many guests this frame brought, so that a speaker can
        greet them.
        """
        canvas = self.canvas
        canvas.begin()
        self.arrived = 0
        feet = self.feet or on_the_marks(view.vaulter)
        if view.phase in (Phase.WAITING, Phase.SETTLING, Phase.COUNTDOWN, Phase.RUNNING):
            # The best from before this trial: by the result the view may know the new one.
            self._before, self._before_trial = view.best_mark, view.trial
        match view.phase:
            case Phase.WAITING:
                draw_waiting(canvas, view, feet, self._waited_s(view, now_s))
            case Phase.SETTLING:
                # Made while nothing is at stake, not in the first second.
                self._game_for(view, feet)
                draw_settling(canvas, view, feet)
            case Phase.COUNTDOWN:
                self._game_for(view, feet)
                draw_countdown(canvas, view)
            case Phase.LESSON:
                self._game_for(view, feet).draw(view, now_s)
                draw_lesson(canvas, view)
            case Phase.RUNNING:
                self._draw_running(view, feet, now_s)
            case Phase.OFF:
                self._game_for(view, feet).draw_still()
                draw_off(canvas, view)
            case Phase.RESULT:
                self._draw_result(view, feet)
            case Phase.RESTING:
                draw_resting(canvas, view)
            case Phase.FINISHED:
                draw_finished(canvas, view, self._farewell() or ANOTHER_GO)
        if self._lost or (view.phase is Phase.RUNNING and not view.signal.connected):
            draw_lost(canvas)
        else:
            draw_warning(canvas, view.warnings, view.phase in _IN_GAME)
        self._draw_foot(view, now_s)

    def _draw_running(self, view: View, feet: Feet, now_s: float) -> None:
        shown = view.feedback
        if not shown.picture and view.level.game not in SHOW_NO_SWAY:
            draw_unseen(self.canvas, view)
        elif shown.outside_only and view.where is Where.INSIDE:
            # All is well: the scene rests, and only its time goes on.
            self._game_for(view, feet).draw_still()
            draw_time_left(self.canvas, view)
        else:
            self.arrived = self._game_for(view, feet).draw(view, now_s)

    def _waited_s(self, view: View, now_s: float) -> float:
        """Since this waiting was first drawn: so its cautions begin with the first of them."""
        if self._waiting_since_s is None or self._waiting_for != view.trial:
            self._waiting_since_s, self._waiting_for = now_s, view.trial
        return now_s - self._waiting_since_s

    def _game_for(self, view: View, feet: Feet) -> Game:
        game = self._game
        if game is None or game.level != view.level or game.feet != feet:
            make = self._games[view.level.game]
            game = self._game = make(self.canvas, view.level, feet, self._seed)
        return game

    def _draw_result(self, view: View, feet: Feet) -> None:
        outcome = view.outcome
        if outcome is None:
            draw_ground(self.canvas)
            draw_head(self.canvas, view)
            self.canvas.text("No result", self.canvas.area(0.1, 0.3, 0.9, 0.6), size=0.15)
            return
        known = self._before_trial == outcome.number
        comparison = Comparison(self._before if known else view.best_mark)
        instead = "" if self._advises else self._farewell() or ANOTHER_GO
        draw_result(self.canvas, view, outcome, comparison, feet, view.path_mm, instead)

    def _draw_foot(self, view: View, now_s: float) -> None:
        due = self._foot_s is None or now_s - self._foot_s >= FOOT_EVERY_S
        if due or now_s < (self._foot_s or 0.0):
            self._foot, self._foot_s = signal_words(view.signal), now_s
        healthy = view.signal.connected and not self._lost
        draw_foot(self.canvas, self._foot, healthy)


def draw_gym(surface: Surface, state: GymState) -> None:
    """Draw the opening screen."""
    draw_gym_screen(canvas_of(surface), state)
