"""The edges joined: commands, loops, windows."""
