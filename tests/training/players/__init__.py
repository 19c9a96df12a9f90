"""Simulated players, one module a game: how well they play is told by their skill, 0 to 1.

Each module has ``LEVEL``, ``CHEATS`` and ``play(skill, seed, cheat) -> mark``; a trial that does
not count is worth 0. They are no people: they show that a mark rises with what it should mark.
"""
