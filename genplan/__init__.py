"""Plans a week of generalisation probes from a case folder. See the README for the job, DEVELOPERS.md for the rooms."""

__version__ = "0.1.0"
