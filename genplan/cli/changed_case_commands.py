"""The commands by which a thing is called otherwise, and the case is what it was: their words, help pages and calls."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import argument_types, output
from genplan.cli.common import add_now, command_of_case
from genplan.cli.pages import Page
from genplan.errors import FileError, UsageError
from genplan.language import N_, _

RENAME = Page(
    "rename",
    N_("call a person, a place, a thing or a skill otherwise, everywhere at once"),
    """\
genplan rename CASE ID [NAME] [--id NEW] [--kind KIND] [--cautions-too] [--now MOMENT]""",
    N_("""\
Gives what has the id ID another name, and the id that comes of the name:
everywhere in the files of the case, in results.csv, and in the kept weeks. With
--id it gets that id; without NAME its name stays.

What somebody looked for in a thing and did not find belongs to its name. Where
the new name speaks against that, or the old one says something that the new one
does not, as marbles do of small parts, it is refused: --cautions-too lets it go,
once you have looked.

All files are changed or none, and the change can be undone with 'genplan
earlier'. Pages, sheets and calendars that people have stay as they are until
the week is kept again.
"""),
    N_("""\
examples:
  genplan rename my-case gran "Nana Rosa"
  genplan rename my-case wren --id child-1
"""),
)

EARLIER = Page(
    "earlier",
    N_("list what was changed in the case, or go back to before a change"),
    """\
genplan earlier CASE [--back NUMBER [--cautions-too]] [--now MOMENT]""",
    N_("""\
Lists the changes that the program made to the case, the latest first, each with
its number. With --back the case is made what it was before that change, so all
that came after it goes too. Rows of results.csv always stay. That is a change
like another, and can be undone as well.

It is refused, with the reason, where results or a kept week need what came
since. So it is where an allergy, an age, a small part or another caution would
go: --cautions-too lets it go. Changes made in a text editor are not known here.
The last forty are kept.
"""),
    N_("""\
examples:
  genplan earlier my-case
  genplan earlier my-case --back 12
"""),
)

KINDS = {
    "learner": "learners",
    "adult": "adults",
    "location": "locations",
    "material-set": "material_sets",
    "target": "targets",
}


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, RENAME, rename)
    parser.add_argument("old", metavar="ID", help=_("the id that it has now"))
    parser.add_argument("name", metavar="NAME", nargs="?", help=_("what it is called from now on"))
    parser.add_argument(
        "--id", dest="new", metavar="NEW", help=_("the id that it gets; default: made of NAME")
    )
    parser.add_argument(
        "--kind", choices=tuple(KINDS), help=_("what it is, where several things have that id")
    )
    parser.add_argument(
        "--cautions-too",
        action="store_true",
        help=_("let what the old name says, or what was said under it, go; without it that is refused"),
    )
    add_now(parser)
    parser = command_of_case(listed, EARLIER, earlier)
    parser.add_argument(
        "--back",
        metavar="NUMBER",
        type=argument_types.count,
        help=_("make the case what it was before the change with this number"),
    )
    parser.add_argument(
        "--cautions-too",
        action="store_true",
        help=_("let an allergy or another caution that came since go, too; without it that is refused"),
    )
    add_now(parser)


def rename(words: Namespace) -> int:
    from genplan import workflow

    section = KINDS.get(words.kind or "") or workflow.section_of(words.folder, words.old)
    try:
        done = workflow.rename(
            words.folder,
            section,
            words.old,
            words.name,
            words.now,
            words.new,
            may_go=lambda lost: words.cautions_too,
        )
    except workflow.CautionsWouldGo as refused:
        raise UsageError(_("{refused} If all of it is to go, add --cautions-too.", refused=refused)) from None
    files = ", ".join(done.files)
    if not files:
        output.show(_("It is called that already. Nothing was changed."))
    elif done.id == words.old:
        output.show(
            _("It has that name now, and its id is still {id}. Changed: {files}.", id=done.id, files=files)
        )
    else:
        output.show(_("Its id is {id} now. Changed: {files}.", id=done.id, files=files))
    for sentence in done.sentences:
        output.show(sentence)
    return 0


def earlier(words: Namespace) -> int:
    from genplan import workflow

    states = workflow.earlier_states(words.folder)
    if not states and not any(words.folder.glob("*.yaml")):
        raise FileError(_("{folder} holds no case. 'genplan new' makes a first one.", folder=words.folder))
    if words.back is None:
        for state in states:
            output.show(f"{state.number}: {state.when:%Y-%m-%d %H:%M}, {state.words}")
        if not states:
            output.show(_("Nothing was changed by the program yet, as far as is still known."))
        return 0
    try:
        done = workflow.go_back(words.folder, words.back, words.now, cautions_too=words.cautions_too)
    except workflow.CautionsWouldGo as refused:
        raise UsageError(_("{refused} If all of it is to go, add --cautions-too.", refused=refused)) from None
    output.show(
        _(
            "The case is what it was before change {number}: {words}.",
            number=words.back,
            words=done.state.words,
        )
    )
    for sentence in done.sentences:
        output.show(sentence)
    return 0
