"""The squad: groups, the plan of an evening, and whose turn it is; pure."""
