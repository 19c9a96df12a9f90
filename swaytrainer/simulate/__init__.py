"""A simulated vaulter on a simulated board that speaks the real wire."""
