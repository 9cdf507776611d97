"""The README's tables of keys. `python -m genplan.casefile.readme README.md` writes each anew, below its remark
`<!-- keys of a learner -->`."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from genplan.casefile.keys import WHOLE  # noqa: F401  (its import enters every group of keys in KNOWN)
from genplan.casefile.record_types import KNOWN

HEAD = "| key | what you may write | if left out | what it is for |\n| --- | --- | --- | --- |\n"
MARKED = re.compile(r"(<!-- keys of (.+) -->\n\n)(?:\|.*\n)*")


def key_table(of: str) -> str:
    """The keys of one kind of thing. Raises KeyError for what is none."""
    rows = [
        (f"`{name}`", _code(key.kind.expects), "must be given" if key.required else key.default, key.words)
        for name, key in KNOWN[of].items()
    ]
    return HEAD + "".join(f"| {' | '.join(row)} |\n" for row in rows)


def _code(expects: str) -> str:
    """What stands in brackets is to be typed as it is."""
    return re.sub(r"\{.*\}|\[.*\]", r"`\g<0>`", expects)


def with_tables(text: str) -> str:
    return MARKED.sub(lambda found: found[1] + key_table(found[2]), text)


if __name__ == "__main__":
    file = Path(sys.argv[1])
    file.write_text(with_tables(file.read_text("utf-8")), "utf-8")
