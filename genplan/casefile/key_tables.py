"""The tables of keys of the reference, each from the keys themselves."""

from __future__ import annotations

import re

from genplan.casefile.keys import WHOLE  # noqa: F401  (its import enters every group of keys in KNOWN)
from genplan.casefile.record_types import KNOWN
from genplan.language import _

HEAD = "| key | what you may write | if left out | what it is for |\n| --- | --- | --- | --- |\n"


def key_table(of: str) -> str:
    """The keys of one kind of thing. Raises KeyError for what is none."""
    rows = [
        (f"`{name}`", _code(key.kind.expects), _("must be given") if key.required else key.default, key.words)
        for name, key in KNOWN[of].items()
    ]
    return HEAD + "".join(f"| {' | '.join(row)} |\n" for row in rows)


def _code(expects: str) -> str:
    """What stands in brackets is to be typed as it is."""
    return re.sub(r"\{.*\}|\[.*\]", r"`\g<0>`", expects)
