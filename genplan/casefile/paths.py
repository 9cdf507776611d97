"""Paths that a case names: relative ones, inside the case folder, and nothing else."""

from __future__ import annotations

from pathlib import Path, PureWindowsPath

from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import unreadable
from genplan.language import _


def inside(folder: Path, text: str, example: str = "busy/grandad.ics") -> Path:
    """The existing file that `text` names from `folder`. Raises Unclear if it is absolute, leads out of the
    folder (by a link, too), or is not there."""
    expected = _("the path of a file in the case folder, such as {example}", example=example)
    windows = PureWindowsPath(text)
    if "\\" in text:
        raise InvalidValue(f"'{text}'", expected, _("write / between folder and file, on every machine"))
    if Path(text).is_absolute() or windows.drive or windows.root or text.startswith("~"):
        hint = _("copy the file into the case folder and name it from there")
        raise InvalidValue(_("the absolute path '{text}'", text=text), expected, hint)
    try:
        file = (folder / text).resolve()
        leads_out = not file.is_relative_to(folder.resolve())
        there = file.is_file()
    except PermissionError as problem:
        raise unreadable(folder / text, problem) from problem
    except (OSError, ValueError, RuntimeError):
        raise InvalidValue(_("'{text}', which is no path", text=text), expected) from None
    if leads_out or ".." in Path(text).parts:
        hint = _("copy the file into the case folder and name it from there")
        raise InvalidValue(_("'{text}', which leads out of the case folder", text=text), expected, hint)
    if not there:
        raise InvalidValue(
            _("'{text}', which is not there", text=text), expected, _("check the name, or take the key out")
        )
    return folder / text
