"""Is it better, or just another day: pure statistics of repeated trials."""
