"""``swaytrainer`` alone: the gym screen, from which a vaulter trains without touching anything."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Final

import pygame

from swaytrainer.app.choices import Choices
from swaytrainer.app.coaching import Coaching
from swaytrainer.app.gym_board import GymBoard
from swaytrainer.app.gym_evening import GymEvening
from swaytrainer.app.gym_line import Line
from swaytrainer.app.play import play
from swaytrainer.app.sitting_over import RELOAD_S, SittingOver
from swaytrainer.app.window import Window
from swaytrainer.games.choosing import KEYS as DESK_KEYS
from swaytrainer.games.choosing import draw_choosing
from swaytrainer.games.choosing import hit as desk_hit
from swaytrainer.games.frame import draw_lost
from swaytrainer.games.gym import (
    KEYS,
    Action,
    Decision,
    GymState,
    choose_level,
    handle,
    hit,
    with_levels,
    with_vaulters,
)
from swaytrainer.games.help_pages import CAUTIONS, DESK, GYM
from swaytrainer.games.stage import draw_gym
from swaytrainer.sitting.view import Phase
from swaytrainer.sound.player import Player
from swaytrainer.sound.prompter import STAND_STILL, STEP_OFF
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CopSample
from swaytrainer.training.choosing import Move
from swaytrainer.training.desk import Asking, Desk, Go, Is, Known, Missed, Verdict
from swaytrainer.training.gesture import GestureWatch
from swaytrainer.training.ladder import Step
from swaytrainer.training.level import Level
from swaytrainer.training.risk import Risk, needs_spotter, risk_of
from swaytrainer.words import Name, say

_PAD: Final = {
    Move.BEFORE: Action.LEFT,
    Move.AFTER: Action.RIGHT,
    Move.TAKE: Action.GO,
    Move.BACK: Action.QUIT,
}
#: A trial has its mark.
_MARKED: Final = (Phase.RESULT, Phase.FINISHED)
#: While these last, somebody belongs on the board.
_ON_BOARD: Final = (
    Phase.WAITING, Phase.SETTLING, Phase.COUNTDOWN, Phase.LESSON, Phase.RUNNING, Phase.OFF,
)  # fmt: skip


class Gym:
    """The screen, the board, and one sitting after the other.

    Args:
        home: the data folder.
        port: where the board is; None to look everywhere.
        there: who and what there is to choose from.
        window, player: the edges; they stay open.
        now: the wall clock.
        station: this board's name, where there are several.
        on_look: told with each frame whether the screen wants somebody on the board.
        line: who calls; None for the evening's plan.

    Attributes:
        closed: the window was closed: the whole program is to end.
    """

    def __init__(
        self,
        home: Home,
        port: str | None,
        there: Choices,
        window: Window,
        player: Player,
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
        station: str = "",
        on_look: Callable[[bool], None] = lambda _: None,
        line: Line | None = None,
    ) -> None:
        self._home = home
        self._on_look = on_look
        self.closed = False
        self._window = window
        self._player = player
        self._now = now
        self._roster = there.roster
        self._shelf = there.shelf
        self._coaching = Coaching(home, now)
        self._board = GymBoard(home, port, now)
        self._desk: Desk | None = None
        self._just_read: Risk | None = None
        self._seed = 0
        self._looked_s = self._changed_s = time.monotonic()
        self._was_occupied = False
        self._state = GymState(
            board_line="Looking for the board …",
            board_ok=False,
            what_to_do="Plug it in and leave it empty for a moment.",
            vaulters=there.vaulters,
            levels=there.levels,
            chosen_vaulter=there.vaulter,
            chosen_level=there.level,
            every_level=self._shelf.levels,
            spotter=there.spotter,
        )
        self._evening = line or GymEvening(
            home.path,
            there.roster.names,
            [level.id for level in self._shelf.levels],
            station,
            now,
        )
        self._state = replace(self._state, title=self._evening.title)
        self._called: str | None = None
        self._note_files()
        self._level_given = there.level_given
        self._look_back(choose=not there.level_given)
        if not there.level_given:
            self._call()

    def close(self) -> None:
        """Let the board go, and whoever is called to it."""
        self._evening.free(self._called)
        self._board.close()

    @property
    def state(self) -> GymState:
        """What the screen shows."""
        return self._state

    def run(self) -> bool:
        """Until somebody leaves; True if it is for the first steps."""
        while True:
            self._window.wait()
            heard = self._window.events()
            for happened in heard:
                self._heed(happened)
            for move in self._window.moves(heard):
                self._move(move)
            if self._state.decision in (Decision.QUIT, Decision.GUIDE):
                return self._state.decision is Decision.GUIDE
            if self._state.decision is Decision.MISSED:
                self._missed()
            self._reload()
            stepped_on = self._listen()
            if stepped_on:
                self._window.close_help()
            self._draw()
            self._window.show()
            go = self._state.decision is Decision.GO
            self._state = replace(self._state, decision=Decision.NONE)
            if go:
                if self._may_begin(go) and self._train():
                    self.closed = True
                    return False
            elif stepped_on and self._desk is None and self._may_begin(go):
                self._open_desk(Asking.READY)

    def _draw(self) -> None:
        self._player.speak(time.monotonic())
        # Who reads the cautions on the board is sent off; who reads them beside it may come.
        self._on_look(self._state.can_go and not (self._state.reading and self._state.on_board))
        surface = self._window.surface
        self._window.help = DESK if self._desk else CAUTIONS if self._state.reading else GYM
        if self._desk is not None:
            canvas = draw_choosing(surface, self._desk.view())
            if not self._state.board_ok:
                draw_lost(canvas)
            return
        shown_s = time.monotonic() - self._changed_s
        draw_gym(surface, replace(self._state, shown_s=shown_s))

    # Keys, pointer, gamepad ---------------------------------------------------------------------

    def _heed(self, happened: pygame.event.Event) -> None:
        if happened.type == pygame.QUIT:
            self.closed = True
            self._state = replace(self._state, decision=Decision.QUIT)
        elif happened.type == pygame.VIDEORESIZE:
            self._window.surface = pygame.display.get_surface() or self._window.surface
        elif self._desk is not None:
            self._heed_at_desk(self._desk, happened)
        elif happened.type == pygame.KEYDOWN:
            self._act(KEYS.get(happened.key))
        elif happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
            # While the cautions are read there is nothing else to hit.
            action = hit(self._window.surface.get_size(), happened.pos)
            self._act(Action.GO if self._state.reading else action)

    def _heed_at_desk(self, desk: Desk, happened: pygame.event.Event) -> None:
        spot: Move | int | None = None
        if happened.type == pygame.KEYDOWN:
            spot = DESK_KEYS.get(happened.key)
        elif happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
            spot = desk_hit(self._window.surface.get_size(), happened.pos, desk.view())
        if isinstance(spot, Move):
            self._settle(desk.hand(spot))
        elif spot is not None:
            self._settle(desk.pick(spot))

    def _move(self, move: Move) -> None:
        if self._desk is not None:
            self._settle(self._desk.hand(move))
        elif move is not Move.BACK or self._state.reading:
            self._act(_PAD[move])

    def _act(self, action: Action | None) -> None:
        if action is not None:
            before = self._state
            self._state = handle(before, action)
            self._follow(before)

    def _follow(self, before: GymState) -> None:
        """Where another vaulter or level was chosen, tell what belongs to it."""
        after = self._state
        if after.reading != before.reading:
            self._changed_s = time.monotonic()
            if after.reading and after.on_board:
                self._player.ask(STEP_OFF, self._changed_s)
        other = after.vaulter != before.vaulter
        if other or after.spotter != before.spotter:
            self._look_back(choose=other)
        elif after.level != before.level:
            self._suggest()
        if other or self._state.level != before.level:
            self._changed_s = time.monotonic()

    # Without hands ------------------------------------------------------------------------------

    def _open_desk(self, asking: Asking) -> None:
        """Ask whoever has stepped on."""
        session, known = self._board.session, self._known()
        if session is None or known is None:
            return
        desk = self._desk = Desk(
            GestureWatch(session.sitting.feet, session.sitting.setup.board.rate_hz), known, asking
        )

        def hear(sample: CopSample) -> None:
            if self._window.helping:
                return  # nothing is understood that isn't seen
            verdict, choices = desk.feed(sample)
            for choice in choices:
                self._player.understood(choice.move is Move.TAKE)
            self._settle(verdict)

        session.sitting.on_cop = hear
        if asking is Asking.READY:
            # With the screen covered: standing still begins what is expected.
            self._player.ask(STAND_STILL, time.monotonic())

    def _close_desk(self) -> None:
        self._desk = self._just_read = None
        self._changed_s = time.monotonic()
        if self._board.session is not None:
            self._board.session.sitting.on_cop = lambda _: None

    def _known(self) -> Known | None:
        state = self._state
        if state.vaulter is None or state.level is None:
            return None
        told = state.suggestion
        planned = self._planned()
        others = self._coaching.next_of_each_game(state.every_level, state.levels, state.spotter)
        others = [] if self._evening.fixed else others
        onward = None if told is None or told.step is Step.DOWN else told.level
        if self._evening.planned(state.vaulter.name) is not None:
            onward = planned[0] if planned else onward
        following = next(iter(state.calls), None)
        return Known(
            vaulters=state.vaulters,
            vaulter=state.vaulter,
            level=state.level,
            levels=tuple(dict.fromkeys((*planned, *others))),
            planned=tuple(level.id for level in planned),
            called=following if state.called else None,
            following=following if following != state.vaulter.name else None,
            onward=onward,
        )

    def _settle(self, verdict: Verdict | None) -> None:
        """Do what was said at the desk."""
        if verdict is None or self._desk is None:
            return
        if isinstance(verdict, Go):
            self._close_desk()
            before = self._state
            self._state = choose_level(before, verdict.level)
            self._follow(before)
            if self._may_begin(go=False):
                self._state = replace(self._state, decision=Decision.GO)
        elif isinstance(verdict, Is):
            before = self._state
            names = [v.name for v in before.vaulters]
            self._state = replace(before, chosen_vaulter=names.index(verdict.name))
            self._follow(before)
            self._read_too()
            known = self._known()
            if known is not None:
                self._desk.ask(known)
        elif isinstance(verdict, Missed):
            self._missed()
            self._read_too()
            known = self._known()
            if known is not None:
                self._desk.ask(known)
        else:
            self._close_desk()
            self._called = None

    def _read_too(self) -> None:
        """Whoever says who they are has stood before the cautions that were just read.

        But not before the coach's note on them, if there is one: it is shown yet.
        """
        vaulter, level = self._state.vaulter, self._state.level
        if vaulter is None or level is None or vaulter.caution:
            return
        if risk_of(level) == self._just_read:
            self._coaching.cautions_read(vaulter, level)
            self._state = replace(self._state, due=False)

    # The evening's plan -------------------------------------------------------------------------

    def _call(self) -> None:
        """Whose turn it is by tonight's plan: chosen whenever it becomes another's."""
        calls = self._evening.called()
        self._state = replace(self._state, calls=calls)
        if not calls or calls[0] == self._called:
            return
        self._take_over_vaulters()
        before = self._state
        names = [v.name for v in before.vaulters]
        if calls[0] not in names:
            return  # the list of vaulters can't be read, or has just lost her
        self._called = calls[0]
        self._state = replace(before, chosen_vaulter=names.index(calls[0]))
        self._look_back(choose=True)
        planned = self._planned()
        if planned:
            self._state = choose_level(self._state, planned[0])
            self._suggest()
        self._changed_s = time.monotonic()

    def _planned(self) -> list[Level]:
        """What the plan has left for the chosen vaulter, of what may be offered here."""
        vaulter = self._state.vaulter
        left = self._evening.planned(None if vaulter is None else vaulter.name)
        by_id = {level.id: level for level in self._state.levels}
        return [by_id[name] for name in left or () if name in by_id]

    def _missed(self) -> None:
        """Whoever is called isn't here."""
        if self._state.calls:
            self._evening.missed(self._state.calls[0])
            self._called = None
            self._call()

    # Levels, history, cautions ------------------------------------------------------------------

    def _reload(self) -> None:
        """Take over what was changed in files; a sitting under way keeps its level."""
        if self._state.reading or self._desk:
            return
        freed = self._was_occupied and not self._board.occupied
        self._was_occupied = self._board.occupied
        if not freed and time.monotonic() - self._looked_s < RELOAD_S:
            return
        self._looked_s = time.monotonic()
        self._refresh_line()
        if not self._board.occupied:
            self._take_over_vaulters()
            self._call()
        self._note_files()
        if self._shelf.refresh():
            self._take_over_levels()

    def _refresh_line(self) -> None:
        """Who comes late is in the list, and may be called."""
        self._roster.refresh()
        self._evening.refresh(self._roster.names)

    def _take_over_vaulters(self) -> None:
        """Who is in the list now; whoever is chosen stays so, if listed still."""
        before = self._state
        if self._roster.vaulters != before.vaulters:
            self._state = with_vaulters(before, self._roster.vaulters)
            self._look_back(choose=self._state.vaulter != before.vaulter)

    def _take_over_levels(self) -> None:
        self._state = with_levels(self._state, self._shelf.levels, self._state.spotter)
        self._note_files()
        self._suggest()

    def _note_files(self) -> None:
        listed = () if self._roster.trouble is None else (self._roster.trouble,)
        notes = (*listed, *self._evening.notes, *self._shelf.troubles, *self._shelf.notes)
        self._state = replace(self._state, notes=notes)

    def _look_back(self, choose: bool) -> None:
        """Read what the chosen vaulter has done; choose the level that comes next."""
        vaulter = self._state.vaulter
        if vaulter is None:
            return
        last = self._coaching.look_back(vaulter)
        if choose:
            # On the ladder of the game that was played last. A newcomer begins the first one, not
            # the game of whoever was here before; but for a level that the coach started with.
            first = None if self._level_given else next(iter(self._state.levels), None)
            self._state = choose_level(self._state, last or first)
        self._suggest()
        told = self._state.suggestion
        if choose and told is not None and told.step is not Step.DOWN:
            self._state = choose_level(self._state, told.level)
            self._suggest()

        self._tell_dose()

    def _tell_dose(self) -> None:
        if self._state.vaulter is not None:
            dose, stop = self._coaching.dose_and_stop(self._state.vaulter, self._state.level)
            told = self._evening.told(self._state.vaulter.name)
            again = say("Once more: {why}", why=told.again) if told.again else ""
            self._state = replace(self._state, dose=told.turn or dose, stop=stop or again)

    def _suggest(self) -> None:
        state = self._state
        told = None
        if not self._evening.fixed:
            told = self._coaching.suggestion(state.every_level, state.level, state.spotter)
        due = self._coaching.cautions_due(state.vaulter, state.level)
        self._state = replace(state, suggestion=told, due=due)

    def _may_begin(self, go: bool) -> bool:
        """Whether the trial may begin; else the cautions are shown first.

        They were read when somebody said so, or has stepped on again. On what can throw somebody
        only a key counts: it is the spotter who presses it.
        """
        vaulter, level = self._state.vaulter, self._state.level
        if vaulter is None or level is None or not self._coaching.cautions_due(vaulter, level):
            return True
        before = self._state
        if not before.reading:
            self._state = replace(before, reading=True, on_board=self._board.occupied)
            self._follow(before)
            return False
        if not go and needs_spotter(level):
            return False
        self._coaching.cautions_read(vaulter, level)
        self._just_read = risk_of(level)
        self._state = replace(before, reading=False, due=False)
        self._changed_s = time.monotonic()
        return True

    # The board ----------------------------------------------------------------------------------

    def _listen(self) -> bool:
        """Hear the board; True when somebody has stepped on it."""
        vaulter, level = self._state.vaulter, self._state.level
        stepped_on = False
        if vaulter is not None and level is not None:
            stepped_on = self._board.listen(vaulter, level)
        self._tell_dose()
        ok, line, to_do = self._board.told(level, self._coaching.trouble)
        self._state = replace(
            self._state, board_ok=ok, board_line=line, what_to_do=to_do,
            on_board=self._board.occupied,
        )  # fmt: skip
        return stepped_on

    def _train(self, begin: bool = True) -> bool:
        """One sitting; True if the whole program is to end.

        Args:
            begin: whoever stands on the board begins; else they step off and on first.
        """
        vaulter, level = self._state.vaulter, self._state.level
        if vaulter is None or level is None or not self._state.board_ok:
            return False
        lesson = not self._coaching.has_tried(level.game)
        occasion = self._evening.told(vaulter.name).brief
        session = self._board.begin(vaulter, level, lesson, self._coaching.usual_n, begin)
        link = self._board.link
        if session is None or link is None:
            return False
        self._seed += 1
        self._evening.trains(vaulter.name, level)
        after = SittingOver(session, self._shelf, self._following(vaulter.name) is not None)
        played = play(
            session,
            link,
            self._window,
            self._player,
            self._seed,
            time.monotonic,
            until=after,
            on_frame=lambda _, view: self._watch(view.phase),
            farewell=lambda: self._farewell(vaulter.name),
            advises=not self._evening.fixed,
            occasion=occasion,
        )
        trials = session.sitting.outcomes
        if trials:
            self._coaching.sitting_ended(vaulter)
            self._called = None  # whose turn it is is found anew
            self._evening.has_trained(vaulter.name, level, trials)
        elif vaulter.name != self._called:
            self._evening.free(vaulter.name)
        self._board.end(session)
        self._was_occupied = True  # as soon as the board is free the next one is called
        self._refresh_line()
        if after.level is not None:
            # What was done counts on the old terms; it goes on at once on the new ones.
            self._take_over_levels()
            self._state = choose_level(self._state, after.level)
            self._look_back(choose=False)
            return played.quit or self._train(begin=False)
        # After a sitting the level stays: what comes next is offered, not taken.
        self._look_back(choose=False)
        self._state = replace(self._state, calls=self._evening.calls())
        self._changed_s = time.monotonic()
        if after.came_back and not played.quit:
            self._ask_who_stands_there()
        return played.quit

    def _following(self, name: str) -> str | None:
        """Who is called after this one; None for nobody."""
        return next((call for call in self._state.calls if call != name), None)

    def _watch(self, phase: Phase) -> None:
        """A frame of a sitting was drawn."""
        self._on_look(phase in _ON_BOARD)
        # A trial, or a judge's word on it, may make it another's turn.
        if phase not in _MARKED:
            self._looked_s = -math.inf
        elif self._evening.fixed and time.monotonic() - self._looked_s >= RELOAD_S:
            self._looked_s = time.monotonic()
            self._refresh_line()
            self._state = replace(self._state, calls=self._evening.calls())

    def _farewell(self, name: str) -> str:
        """What stands above the marks: who is next, where somebody is."""
        looked = self._looked_s > -math.inf  # since the trial: before it the turn was hers anyway
        if self._evening.fixed and looked and self._state.calls[:1] == (name,):
            return "Step off – then once more you"
        following = self._following(name)
        if following is None:
            return "Well done – step off" if self._evening.fixed else ""
        return say("Well done – now {name}", name=Name(following))

    def _ask_who_stands_there(self) -> None:
        """Somebody stepped on after a sitting: the same one, or whoever is next."""
        if not self._evening.fixed:
            self._open_desk(Asking.AFTER)
            return
        self._call()
        if self._may_begin(go=False):
            self._open_desk(Asking.READY)
