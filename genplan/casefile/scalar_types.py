"""What the value of a key may be. A `Kind` reads a node and notes what is wrong; nothing here knows a key's
name."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from genplan.case import PassMark
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.invisible_characters import HIDDEN, cut, same_form
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest
from genplan.language import N_, _, or_list, said
from genplan.language.marked import Sayable, say

if TYPE_CHECKING:
    from genplan.casefile.record_types import Shape

MISSING: Any = object()
"""What a reader returns for a value that it could not read, after noting why."""

LONGEST_ID = 60
ID_TEXT = f"[a-z0-9][a-z0-9-]{{0,{LONGEST_ID - 1}}}"
ID = re.compile(ID_TEXT)
AN_ID = N_("an id of small letters a-z, digits and hyphens, such as grandads-flat")

NOTHING_THERE = N_("write it behind the colon, in quotation marks if it begins with #, or take the line out")

Reader = Callable[[Node, Path, Diagnostics], Any]
Schema = Mapping[str, Any]

WORD = ["string", "number", "boolean"]
"""What an editor may take a single value for that is a text here: `no`, `8` and `1e3` need no quotation marks."""


def texts(pattern: str = "", **more: Any) -> Schema:
    """The schema of a text, as an editor reads one."""
    # `null` is a word like another in a text of any kind
    held = {"type": WORD, "pattern": f"^(?:{pattern})$"} if pattern else {"type": [*WORD, "null"]}
    return {**held, **more}


def either(*schemas: Schema) -> Schema:
    return {"anyOf": list(schemas)}


NOTHING: Schema = {"type": "null"}
ID_SCHEMA = texts(ID_TEXT)


@dataclass(frozen=True)
class FieldType:
    """`expects` is what a user reads after 'expected', and in the table of keys. `schema` says the same in JSON
    Schema, and never refuses what `read` takes. `keys` are those of a group, of each item of a list of groups, or of
    each thing of a section. `many_ids`: a list of ids, in which a group's name may stand."""

    says: Sayable
    read: Reader
    schema: Schema
    keys: Shape | None = None
    many_ids: bool = False

    @property
    def expects(self) -> str:
        return say(self.says)


def shown(node: Node) -> str:
    """A node in a finding's words, cut so that a line stays a line."""
    if isinstance(node, dict):
        return _("a group of keys")
    if isinstance(node, list):
        return _("a list")
    if node.is_empty:
        return _("no value")
    text = cut(" ".join(node.text.split()))
    return f"'{text}'" if node.plain else _("the text '{text}'", text=text)


def scalar(expects: Sayable, parse: Callable[[Leaf], Any], schema: Schema) -> FieldType:
    """A single value; `parse` raises `Unclear`."""

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if not isinstance(node, Leaf) or node.is_empty:
            hint = said(NOTHING_THERE) if isinstance(node, Leaf) else ""
            notes.error(path, shown(node), say(expects), hint)
            return MISSING
        try:
            return parse(node)
        except InvalidValue as problem:
            notes.unclear(path, problem, say(expects))
            return MISSING

    return FieldType(expects, read, schema)


def then(inner: FieldType, make: Callable[[Any], Any], expects: Sayable = "") -> FieldType:
    """What `make` makes of a value that `inner` could read; it may raise `Unclear`."""
    expects = expects or inner.says

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        found = inner.read(node, path, notes)
        try:
            return found if found is MISSING else make(found)
        except InvalidValue as problem:
            notes.unclear(path, problem, say(expects))
            return MISSING

    return FieldType(expects, read, inner.schema)


def clean(leaf: Leaf, most: int) -> str:
    """The text on one line and in one form. Raises Unclear for an empty one, control characters, marks that turn
    the direction, and what nobody sees."""
    text = same_form(" ".join(leaf.text.split()))
    if not text:
        raise InvalidValue(_("an empty text"))
    for sign in text if not (text.isascii() and text.isprintable()) else ():
        if unicodedata.category(sign) in ("Cc", "Cs") or HIDDEN.match(sign):
            raise InvalidValue(
                _("an invisible character (U+{code:04X})", code=ord(sign)), "", _("type the text again")
            )
    if len(text) > most:
        raise InvalidValue(
            _("a text of {number} characters", number=len(text)), _("at most {most} characters", most=most)
        )
    return text


def text(most: int = 200) -> FieldType:
    return scalar(N_("a text"), lambda leaf: clean(leaf, most), texts())


def lines_as_written(most: int) -> FieldType:
    """A text that keeps its lines; empty ones are left out."""

    def parse(leaf: Leaf) -> str:
        clean(leaf, most)
        return "\n".join(same_form(" ".join(line.split())) for line in leaf.text.splitlines() if line.strip())

    return scalar(N_("a text"), parse, texts())


def _bare(leaf: Leaf, hint: str = N_("write the number without quotation marks")) -> str:
    """The text of a leaf. Raises Unclear for one in quotation marks, which is a text and nothing else."""
    if not leaf.plain:
        raise InvalidValue(shown(leaf), "", said(hint))
    return leaf.text


def _decimals(text: str, otherwise: str = "") -> str:
    return _("write the decimals after a point") if re.fullmatch(r"[0-9]+,[0-9]+", text) else otherwise


def integer(least: int, most: int, outside: str = "") -> FieldType:
    """A whole number in decimal digits, without quotation marks; `outside` is the hint for one out of
    range."""

    def parse(leaf: Leaf) -> int:
        text = _bare(leaf)
        if not re.fullmatch(r"-?(0|[1-9][0-9]{0,8})", text):
            hint = _("write digits alone") if re.search("[0-9]", text) else ""
            hint = _("write it without the leading 0") if re.fullmatch(r"0[0-9]+", text) else hint
            raise InvalidValue(shown(leaf), "", hint)
        if not least <= int(text) <= most:
            raise InvalidValue(text, "", said(outside))
        return int(text)

    return scalar(
        lambda: _("a whole number from {least} to {most}", least=least, most=most),
        parse,
        {"type": "integer", "minimum": least, "maximum": most},
    )


def fraction(example: str) -> FieldType:
    """A part of a whole, 0 to 1."""

    def parse(leaf: Leaf) -> float:
        text = _bare(leaf)
        percent = re.fullmatch(r"([1-9][0-9]?|100) ?%?", text)
        if percent and text != "1":
            raise InvalidValue(
                shown(leaf),
                "",
                _("write {part:g} for {percent} %", part=int(percent[1]) / 100, percent=percent[1]),
            )
        if not re.fullmatch(r"0|1|1\.0{1,6}|0\.[0-9]{1,6}", text):
            raise InvalidValue(shown(leaf), "", _decimals(text))
        return float(text)

    return scalar(
        lambda: _("a number from 0 to 1, such as {example}", example=example),
        parse,
        {"type": "number", "minimum": 0, "maximum": 1},
    )


def decimal(over: float, most: float, example: str) -> FieldType:
    def parse(leaf: Leaf) -> float:
        text = _bare(leaf)
        if not re.fullmatch(r"-?(0|[1-9][0-9]{0,8})(\.[0-9]{1,6})?", text):
            hint = _("write digits alone") if re.search("[0-9]", text) else ""
            raise InvalidValue(shown(leaf), "", _decimals(text, hint))
        if not over < float(text) <= most:
            raise InvalidValue(text)
        return float(text)

    return scalar(
        lambda: _(
            "a number over {over:g} and at most {most:g}, such as {example}",
            over=over,
            most=most,
            example=example,
        ),
        parse,
        {"type": "number", "exclusiveMinimum": over, "maximum": most},
    )


YES_NO = "^(?:[Yy][Ee][Ss]|[Nn][Oo]|[Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])$"


def yes_no() -> FieldType:
    words = {"true": True, "yes": True, "false": False, "no": False}

    def parse(leaf: Leaf) -> bool:
        word = _bare(leaf, N_("write it without quotation marks")).lower()
        if word not in words:
            meant = {"on": "yes", "y": "yes", "1": "yes", "off": "no", "n": "no", "0": "no"}.get(word)
            raise InvalidValue(shown(leaf), "", _("write {meant}", meant=meant) if meant else "")
        return words[word]

    return scalar(N_("yes or no"), parse, either({"type": "boolean"}, {"type": "string", "pattern": YES_NO}))


def lookalike_hint(text: str) -> str:
    """A hint at a letter of another script among letters a-z, or the empty text."""
    odd = next((c for c in text if not c.isascii() and c.isalpha()), "")
    if not odd or not any(c.isascii() and c.isalpha() for c in text):
        return ""
    return _(
        "'{odd}' (U+{code:04X}) is no letter a-z, even if it looks like one: type it again",
        odd=odd,
        code=ord(odd),
    )


def choice(words: Iterable[str], also: dict[str, str] | None = None) -> FieldType:
    """One of some words; `also` maps other spellings to them."""
    known = tuple(words)
    spellings = {w: w for w in known} | (also or {})
    spelt = [*spellings, *(int(word) for word in spellings if word.isdecimal())]

    def parse(leaf: Leaf) -> str:
        if leaf.text not in spellings:
            raise InvalidValue(shown(leaf), "", nearest(leaf.text.lower(), known))
        return spellings[leaf.text]

    return scalar(lambda: or_list(known), parse, {"enum": spelt})


def parsed(expects: Sayable, parse: Callable[[str], Any], pattern: str) -> FieldType:
    """`pattern` is a regular expression for the whole text, blanks around it left out."""
    return scalar(expects, lambda leaf: parse(leaf.text), texts(rf"\s*(?:{pattern})\s*"))


ANY = "any"
"""Instead of a mark: none has to be reached."""


def pass_mark(in_words: str = "", *, or_any: bool = False) -> FieldType:
    """`a/b` with 1 <= a <= b, or `any` -> None. `in_words` is the hint for one that is told in words."""
    expects = N_("the correct of the trials, such as 4/5")
    if or_any:
        expects = N_("the correct of the trials, such as 4/5, or any")

    def parse(leaf: Leaf) -> PassMark | None:
        if or_any and leaf.text.strip() == ANY:
            return None
        match = re.fullmatch(r"\s*([0-9]{1,4})\s*/\s*([0-9]{1,4})\s*", leaf.text)
        if not match:
            share = "%" in leaf.text or re.fullmatch(r"[0-9]*[.,][0-9]+", leaf.text)
            hint = _("write a percentage as a fraction of the trials") if share else ""
            raise InvalidValue(
                shown(leaf), "", hint or (said(in_words) if re.search("[a-z]", leaf.text) else "")
            )
        correct, trials = int(match[1]), int(match[2])
        if not 1 <= correct <= trials:
            raise InvalidValue(shown(leaf), _("at least 1 correct, and no more correct than trials"))
        return PassMark(correct, trials)

    word = rf"|\s*{ANY}\s*" if or_any else ""
    return scalar(expects, parse, texts(rf"\s*[0-9]{{1,4}}\s*/\s*[0-9]{{1,4}}\s*{word}"))


def an_id() -> FieldType:
    def parse(leaf: Leaf) -> str:
        if not ID.fullmatch(leaf.text):
            name = " ".join(leaf.text.split()) if leaf.plain and len(leaf.text) <= LONGEST_ID else ""
            raise InvalidValue(shown(leaf), "", id_hint(leaf.text), name=name)
        return leaf.text

    return scalar(AN_ID, parse, ID_SCHEMA)


def as_id(text: str) -> str:
    """The id that a name may stand for, or the empty text: accents and other signs are taken out."""
    bare = "".join(
        c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c) not in ("Mn", "Cf")
    )
    slug = re.sub("[^a-z0-9]+", "-", bare.lower().replace("'", "")).strip("-")
    return slug if bare.isascii() and ID.fullmatch(slug) else ""


def id_hint(text: str, *, names: bool = False) -> str:
    """What to write instead; `names`: the thing may have a name beside its id."""
    if len(text) > LONGEST_ID:
        return _("it has {number} characters, and at most {most} are read", number=len(text), most=LONGEST_ID)
    if slug := as_id(text):
        return _("write '{slug}'", slug=slug)
    if hint := lookalike_hint(text):
        return hint
    return _("choose letters a-z; how it is really written goes under 'name'") if names else ""
