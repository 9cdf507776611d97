"""Exceptions that carry the sentence a user reads and the exit code of the program. Nothing else reaches a user."""

import errno
from collections.abc import Mapping, Sequence
from pathlib import Path

from genplan.findings import Finding
from genplan.language import N_, _, said

_REASONS: Mapping[int, str] = {
    errno.ENOENT: N_("it is not there"),
    errno.EACCES: N_("it is not allowed"),
    errno.EPERM: N_("it is not allowed"),
    errno.EROFS: N_("nothing can be written there"),
    errno.ENOSPC: N_("no room is left on the disk"),
    getattr(errno, "EDQUOT", errno.ENOSPC): N_("no room is left on the disk"),
    errno.EISDIR: N_("it is a folder"),
    errno.ENOTDIR: N_("a file stands where a folder has to be"),
}
"""Why the system could not do something; what is not among them is told in the system's words."""


def reason_of(error: OSError) -> str:
    """Without a full stop."""
    known = _REASONS.get(error.errno or 0, "")
    return said(known) if known else error.strerror or str(error)


def file_and_reason(error: OSError) -> str:
    return f"{reason_of(error)}: '{error.filename}'" if error.filename else reason_of(error)


class GenplanError(Exception):
    """The base: `str(error)` is a whole sentence for the user. `genplan help exit codes` says what each code means."""

    exit_code = 1


class CaseError(GenplanError):
    """The case folder has errors; `findings` holds all of them. `warnings` are told below them, so that nobody waits
    for what speaks of an allergy until the last error is mended."""

    exit_code = 1

    def __init__(self, findings: Sequence[Finding], warnings: Sequence[Finding] = ()) -> None:
        self.findings, self.warnings = tuple(findings), tuple(warnings)
        warned = (_("Warning: {sentence}", sentence=f.sentence()) for f in self.warnings)
        super().__init__("\n".join((*(f.sentence() for f in self.findings), *warned)))


class UsageError(GenplanError):
    """The words typed make no sense together: a week that is over, an unknown id, a missing answer."""

    exit_code = 2


class FileError(GenplanError):
    """A file or folder could not be read or written. Nothing half-written was left behind."""

    exit_code = 3


def unreadable(path: Path | str, error: OSError) -> FileError:
    """What is said wherever something of the user's is there and cannot be read."""
    return FileError(
        _(
            "{path} could not be read: {problem}. Nothing was changed. Check that you may open it, and try again.",
            path=path,
            problem=reason_of(error),
        )
    )


class SolverError(GenplanError):
    """The solver's process crashed, was killed, or gave a status that is not known. No plan was written."""

    exit_code = 4


class AuditError(GenplanError):
    """The auditor disagreed with the plan; `complaints` say where. No plan was written."""

    exit_code = 5

    def __init__(self, complaints: Sequence[str]) -> None:
        self.complaints = tuple(complaints)
        super().__init__(
            _(
                "The plan broke its own rules, so it was not written. This "
                "is a fault of the program, not of the case:\n"
            )
            + "\n".join(self.complaints)
        )
