"""What a user wrote -> the case: YAML text -> marked tree -> shapes -> Case, with all problems at once."""

from genplan.casefile.loading import Loaded, load
from genplan.casefile.notes import Mark

__all__ = ["Loaded", "Mark", "load"]
