"""What each game asks and measures: pure rules, one module a game, no pictures."""
