"""Paths that a case names: relative ones, inside the case folder, and nothing else."""

from __future__ import annotations

from pathlib import Path, PureWindowsPath

from genplan.casefile.diagnostics import InvalidValue


def inside(folder: Path, text: str, example: str = "busy/grandad.ics") -> Path:
    """The existing file that `text` names from `folder`. Raises Unclear if it is absolute, leads out of the
    folder (by a link, too), or is not there."""
    expected = f"the path of a file in the case folder, such as {example}"
    windows = PureWindowsPath(text)
    if "\\" in text:
        raise InvalidValue(f"'{text}'", expected, "write / between folder and file, on every machine")
    if Path(text).is_absolute() or windows.drive or windows.root or text.startswith("~"):
        hint = "copy the file into the case folder and name it from there"
        raise InvalidValue(f"the absolute path '{text}'", expected, hint)
    try:
        file = (folder / text).resolve()
        leads_out = not file.is_relative_to(folder.resolve())
        there = file.is_file()
    except (OSError, ValueError, RuntimeError):
        raise InvalidValue(f"'{text}', which is no path", expected) from None
    if leads_out or ".." in Path(text).parts:
        hint = "copy the file into the case folder and name it from there"
        raise InvalidValue(f"'{text}', which leads out of the case folder", expected, hint)
    if not there:
        raise InvalidValue(f"'{text}', which is not there", expected, "check the name, or take the key out")
    return folder / text
