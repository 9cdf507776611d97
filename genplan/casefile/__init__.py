"""What a user wrote -> the case: YAML text -> marked tree -> shapes -> Case, with all problems at once."""

from genplan.casefile.diagnostics import SourceLocation
from genplan.casefile.loading import Loaded, load

__all__ = ["Loaded", "SourceLocation", "load"]
