"""What is trained: vaulters, levels, the hands-free trial and its mark. No I/O but text files."""
