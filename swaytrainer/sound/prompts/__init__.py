"""The spoken prompts: what is said in each language, and the small files that say it."""
