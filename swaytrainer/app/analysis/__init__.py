"""What ``analyse`` is made of: which files, their trials, the measures, and how they are told."""
