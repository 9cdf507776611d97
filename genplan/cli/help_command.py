"""The command that answers from the reference: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import output
from genplan.cli.common import command
from genplan.cli.pages import Page
from genplan.errors import UsageError
from genplan.language import N_, _

HELP = Page(
    "help",
    N_("tell what a key, a column, a status, an option or a word means"),
    """\
genplan help [WORD ...]
       genplan help page NAME""",
    N_("""\
Tells what the reference says of a word: a key of the case, a column of a file,
a status, an option, a command or a word of the trade. Words before it say
where. Without a word it lists the pages of the reference, and 'genplan help
page NAME' prints one of them.
"""),
    N_("""\
examples:
  genplan help
  genplan help rest_minutes
  genplan help not met
  genplan help record --corrects
  genplan help page rules
"""),
)


def add_commands(listed: Any) -> None:
    parser = command(listed, HELP, tell, takes_any_option=True)
    parser.add_argument("asked", metavar="WORD", nargs="*", help=_("what to look up, as it is written"))
    parser.set_defaults(any_option="asked")


def tell(words: Namespace) -> int:
    from genplan.help.plain_text import list_lines

    match words.asked:
        case []:
            output.show_lines(list_lines())
        case ["page", *named]:
            _tell_page(" ".join(named))
        case asked:
            _tell_answer(asked)
    return 0


def _tell_page(name: str) -> None:
    from genplan.findings import nearest
    from genplan.help.pages import ORDER, pages
    from genplan.help.plain_text import page_lines

    page = next((p for p in pages() if p.name == name.removesuffix(".md")), None)
    if page is None:
        hint = nearest(name, ORDER) or _("the pages are {pages}", pages=", ".join(ORDER))
        end = "" if hint.endswith("?") else "."
        raise UsageError(_("There is no page '{name}': {hint}{end}", name=name, hint=hint, end=end))
    output.show_lines(page_lines(page, output.width()))


def _tell_answer(asked: list[str]) -> None:
    from genplan.help.lookup import look_up
    from genplan.help.plain_text import answer_lines

    answer = look_up(asked)
    lines = list(answer_lines(answer, output.width()))
    if not lines:
        near = _(" Near it are: {near}.", near=", ".join(answer.near)) if answer.near else ""
        raise UsageError(
            _(
                "The reference says nothing of '{asked}'.{near} 'genplan help' lists its pages.",
                asked=" ".join(asked),
                near=near,
            )
        )
    output.show_lines(lines)
