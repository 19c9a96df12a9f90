"""What the vaulter hears: pure synthesis, and one thin player."""
