"""Benchmarks: figures anybody can measure again. Not tests: nothing here passes or fails."""
