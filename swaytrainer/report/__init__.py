"""Sheets of paper: a vaulter's page, a squad's, a contest's results, as HTML and as PDF."""
