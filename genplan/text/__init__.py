"""Values in English: what the planner and the forecast found, as sentences."""
