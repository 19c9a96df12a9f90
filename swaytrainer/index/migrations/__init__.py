"""Steps from one schema of the index to the next."""
