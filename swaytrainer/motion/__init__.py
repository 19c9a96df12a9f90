"""What a body does besides standing: pure measures over force, COP and acceleration."""
