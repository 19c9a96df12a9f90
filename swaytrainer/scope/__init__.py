"""The coach's window: the running recording, or old ones, as curves, numbers and notes."""
