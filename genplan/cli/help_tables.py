"""What the pages of the reference have from elsewhere: tables of keys, each command with its options, the objectives.

`python -m genplan.cli.help_tables` writes them anew, each between two remarks: `<!-- keys of a learner -->`,
`<!-- command plan -->` or `<!-- objectives of a plan -->`, and `<!-- end -->`.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from genplan.casefile.key_tables import key_table
from genplan.cli.parser import build_parser
from genplan.help.pages import ORDER, page_text
from genplan.plan import ObjectiveName
from genplan.text.objectives import WORDS

OF_ALL = ("language",)
"""Options of every command: they stand once, above the first."""
HEAD = "| option | what it does |\n| --- | --- |\n"
GOALS = "| objective | what it counts |\n| --- | --- |\n"
MARKED = re.compile(r"<!-- (keys of|command|objectives of) (.+?) -->\n.*?<!-- end -->", re.DOTALL)


def commands() -> Mapping[str, argparse.ArgumentParser]:
    """Each command by its name; one of a command's own by both: 'tables read'."""
    return dict(_listed(build_parser(), ""))


def _listed(parser: argparse.ArgumentParser, before: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, inner in action.choices.items():
                yield f"{before}{name}", inner
                yield from _listed(inner, f"{before}{name} ")


def with_tables(text: str) -> str:
    """A page with what it has from elsewhere as it is now. Raises KeyError for a thing or a command that is none."""
    known = commands()
    return MARKED.sub(lambda found: _renewed(found[1], found[2], known), text)


def _renewed(kind: str, name: str, known: Mapping[str, argparse.ArgumentParser]) -> str:
    match kind:
        case "keys of":
            inner = key_table(name)
        case "command":
            inner = "\n".join(_command(known[name]))
        case _:
            inner = GOALS + "".join(
                f"| `{goal}` | {WORDS[goal]} |\n" for goal in ObjectiveName if goal in WORDS
            )
    return f"<!-- {kind} {name} -->\n\n{inner.strip()}\n\n<!-- end -->"


def _command(parser: argparse.ArgumentParser) -> Iterator[str]:
    """How it is typed, what it does, its words and options."""
    yield from ("```text", *_usage(parser.usage or ""), "```", "")
    for paragraph in (parser.description or "").strip().split("\n\n"):
        typed = paragraph.startswith("  ")
        yield from ("```text", paragraph, "```", "") if typed else (_in_backticks(paragraph), "")
    rows = [
        a
        for a in parser._actions
        if not isinstance(a, (argparse._HelpAction, argparse._SubParsersAction)) and a.dest not in OF_ALL
    ]
    if rows:
        yield HEAD + "".join(f"| {_cell(a)} | {_words(a)} |\n" for a in rows)


def _usage(usage: str) -> Iterator[str]:
    """In a help page further lines are moved in for the word 'usage:' before the first."""
    first, *others = usage.splitlines()
    yield first
    for line in others:
        yield line.strip() if line.strip().startswith("genplan ") else f"    {line.strip()}"


def _in_backticks(paragraph: str) -> str:
    """What a help page quotes as to be typed."""
    return re.sub(r"(?<!\w)'([^'\n]+)'(?!\w)", r"`\1`", " ".join(paragraph.split("\n")))


def _cell(action: argparse.Action) -> str:
    if not action.option_strings:
        return f"`{action.metavar} …`" if action.nargs in ("*", "+") else f"`{action.metavar}`"
    value = "" if action.nargs == 0 else f" {_value(action)}"
    return f"`{', '.join(action.option_strings)}{value}`"


def _value(action: argparse.Action) -> str:
    named: Any = action.metavar or action.dest.rstrip("_").upper()
    if isinstance(named, tuple):
        return " ".join(named)
    match action.nargs:
        case "?":
            return f"[{named}]"
        case "+":
            return f"{named} …"
        case int(count):
            return " ".join([named] * count)
        case _:
            return str(named)


def _words(action: argparse.Action) -> str:
    words = (action.help or "").replace("|", "\\|")
    named = [str(c) for c in action.choices or () if str(c) not in words]
    return f"{words}; one of {', '.join(map(str, action.choices or ()))}" if named else words


def main() -> None:
    folder = Path(__file__).parents[1] / "help"
    for name in ORDER:
        (folder / f"{name}.md").write_text(with_tables(page_text(name)), "utf-8")


if __name__ == "__main__":
    main()
