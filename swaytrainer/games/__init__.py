"""What the vaulter sees. The only room that draws with pygame."""
