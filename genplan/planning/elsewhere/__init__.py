"""Searches on other machines: what of a job goes there, and who does what with it."""
