"""Printing a page to PDF by a browser that is installed already; the program brings none of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from genplan.errors import FileError
from genplan.folders import write_file
from genplan.language import N_, _, said

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
ELSEWHERE = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
)
SECONDS = 120
# No network, no first-run page, no profile of the user's own; the page itself can load nothing either.
QUIET = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)
NONE_HERE = N_(
    "No Chromium, Chrome or Edge was found on this machine, and one is needed to make a PDF. Open the page in any"
    " browser instead and print it from there."
)


def browsers() -> Iterator[str]:
    """Programs on this machine that can print a page, the likeliest first."""
    yield from (found for name in NAMES if (found := shutil.which(name)))
    yield from (path for path in ELSEWHERE if os.path.exists(path))


def print_to_pdf(page: Path, pdf: Path) -> None:
    """Writes `page`, one HTML file, as the PDF, whole or not at all. Its bytes hold the moment they were made.

    Raises FileError: no such page, no browser, or the browser failed."""
    if not page.is_file():
        raise FileError(_("There is no {page}. Name the folder that 'genplan plan --out' wrote.", page=page))
    program = next(browsers(), None)
    if program is None:
        raise FileError(said(NONE_HERE))
    with tempfile.TemporaryDirectory(prefix="genplan-pdf-") as scratch:
        made = Path(scratch) / "page.pdf"
        words = [
            program,
            *QUIET,
            *_as_root(),
            f"--user-data-dir={scratch}/profile",
            f"--print-to-pdf={made}",
        ]
        try:
            done = subprocess.run(
                [*words, page.resolve().as_uri()], capture_output=True, timeout=SECONDS, check=False
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise FileError(
                _(
                    "{program} could not print the page ({error}). No PDF was written.",
                    program=program,
                    error=error,
                )
            ) from error
        if done.returncode or not made.is_file():
            raise FileError(
                _(
                    "{program} could not print the page. Open it in a browser and print it from there.",
                    program=program,
                )
            )
        write_file(pdf, made.read_bytes())


def pdf_of(page: bytes, within: Path | None = None) -> bytes:
    """The PDF of a page that is no file yet; meanwhile it is one in a folder of its own, below `within` if that is
    given. Raises FileError as `print_to_pdf` does."""
    with tempfile.TemporaryDirectory(prefix="genplan-page-", dir=within) as scratch:
        written, made = Path(scratch) / "page.html", Path(scratch) / "page.pdf"
        written.write_bytes(page)
        print_to_pdf(written, made)
        return made.read_bytes()


def _as_root() -> tuple[str, ...]:
    """Chromium refuses to start for the superuser with its sandbox on."""
    return ("--no-sandbox",) if sys.platform != "win32" and os.geteuid() == 0 else ()
