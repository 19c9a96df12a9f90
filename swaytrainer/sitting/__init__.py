"""The one path from a logged input to what a screen may show. Pure: time and bytes come in."""
