"""The commands about pages: opening the local page, and sheets as a PDF. Their words, help pages and calls."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.cli import argument_types, output
from genplan.cli.common import add_now, command, command_of_case
from genplan.cli.pages import Page
from genplan.errors import UsageError
from genplan.language import N_, _

if TYPE_CHECKING:
    from genplan.web.serve import ForPhones

OPEN = Page(
    "open",
    N_("do all of this in a browser"),
    "genplan open CASE [--port N] [--no-browser] [--phones [ADDRESS]] [--certificate FILE --certificate-key FILE]\n"
    "             [--now MOMENT]",
    N_("""\
Starts a small server on this machine alone and opens the browser: see the
week, write down results, change the case in forms, plan, compare and keep.
It does what the other commands do, by the same rules. A folder that does not
exist yet begins with some questions.

The page works with the files of the case, and fetches nothing. Nobody else
can reach it. Ctrl+C ends it.

With --phones a second, smaller page is open besides: phones in the home's own network can write results down until
this is closed, each let in by a code that the page shows. Use that at home
only, never in the network of a café, a school or guests.
"""),
    N_("""\
examples:
  genplan open my-case
  genplan open my-case --port 8123 --no-browser
  genplan open my-case --phones
"""),
)


SHEETS = Page(
    "sheets",
    N_("make a PDF of the sheets"),
    "genplan sheets OUT [--pdf FILE]",
    N_("""\
Prints the sheets that 'genplan plan --out OUT' wrote, as one PDF for A4 or
Letter paper, by a Chromium, Chrome or Edge that is installed on this machine.
Without one, open sheets.html in any browser and print it from there.
"""),
    N_("""\
examples:
  genplan sheets my-week
  genplan sheets my-week --pdf for-pop.pdf
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, OPEN, open_page, _("the case folder, or one to be made"))
    parser.add_argument(
        "--port", metavar="N", type=argument_types.port, help=_("the port to use; default: a free one")
    )
    parser.add_argument("--no-browser", action="store_true", help=_("only print the address and its key"))
    parser.add_argument(
        "--phones",
        metavar="ADDRESS",
        nargs="?",
        const="",
        help=_(
            "let phones in this home's network write down; this machine's address there is found, or named"
        ),
    )
    parser.add_argument(
        "--certificate",
        metavar="FILE",
        type=Path,
        help=_("what phones send is encrypted: a certificate for the address, in PEM form"),
    )
    parser.add_argument(
        "--certificate-key", metavar="FILE", type=Path, help=_("the certificate's key, without a password")
    )
    add_now(parser)
    parser = command(listed, SHEETS, sheets)
    parser.add_argument("out", metavar="OUT", type=Path, help=_("the folder that 'genplan plan --out' wrote"))
    parser.add_argument(
        "--pdf", metavar="FILE", type=Path, help=_("the file to write; default: OUT/sheets.pdf")
    )


def open_page(words: Namespace) -> int:
    from genplan.web.serve import serve

    serve(
        words.folder, words.port, not words.no_browser, words.now, output.tell, _phones(words), words.language
    )
    return 0


def _phones(words: Namespace) -> ForPhones | None:
    from genplan.web.serve import ForPhones

    file, key = words.certificate, words.certificate_key
    if (file is None) != (key is None):
        raise UsageError(_("--certificate and --certificate-key go together: name both files, or neither."))
    if words.phones is None:
        if file is not None:
            raise UsageError(_("--certificate is for phones: write --phones as well, or leave it out."))
        return None
    return ForPhones(words.phones, (file, key) if file else None)


def sheets(words: Namespace) -> int:
    from genplan.report.pdf import print_to_pdf

    pdf = words.pdf or words.out / "sheets.pdf"
    print_to_pdf(words.out / "sheets.html", pdf)
    output.show(_("Wrote {pdf}.", pdf=pdf))
    return 0
