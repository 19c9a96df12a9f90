"""The board: its wire, its clock, its calibration, and the link that reads it."""
