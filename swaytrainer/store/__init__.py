"""The record: files of logged inputs, and the folder they live in."""
