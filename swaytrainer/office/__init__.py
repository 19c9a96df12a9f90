"""The coach's desk: a window with buttons for what the commands do, for whoever has no terminal."""
