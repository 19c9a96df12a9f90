"""The index: an SQL database of all recordings, made from them and thrown away at will."""
