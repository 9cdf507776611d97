"""Values as sentences: what the planner and the forecast found, in the language of now."""
