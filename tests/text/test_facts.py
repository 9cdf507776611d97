"""What came up, in words: whole days, hours of a day, and names in place of ids."""

from __future__ import annotations

from datetime import datetime

import pytest

from genplan.casefile.change_entries import ChangeEntry
from genplan.language import Speech, speaking
from genplan.text.facts import fact_text
from tests.fixtures.casefile_cases import SMALL, loaded


@pytest.mark.parametrize(
    ("what", "id_", "start", "end", "said"),
    [
        ("away", "mum", (3, 0), (4, 0), "Mum Ada is away, Thursday 3 December"),
        ("away", "wren", (3, 0), (5, 0), "W. is away, Thursday 3 December to Friday 4 December"),
        ("closed", "home", (3, 12), (4, 0), "Our home is closed, Thursday 3 December from 12:00"),
        (
            "missing",
            "jackets",
            (3, 12),
            (3, 14),
            "Two jackets is not there, Thursday 3 December, 12:00 to 14:00",
        ),
        (
            "extra",
            "mum",
            (3, 12),
            (3, 13),
            "Mum Ada is here an extra hour, Thursday 3 December, 12:00 to 13:00",
        ),
        (
            "away",
            "mum",
            (3, 12),
            (4, 10),
            "Mum Ada is away, Thursday 3 December from 12:00 to Friday 4 December, 10:00",
        ),
        ("away", "dad", (3, 0), (4, 0), "dad is away, Thursday 3 December"),
    ],
)
def test_a_fact_in_words(tmp_path, what, id_, start, end, said) -> None:  # type: ignore[no-untyped-def]
    text = SMALL.replace("name: Wren\n", "name: Wren\n    alias: W.\n").replace(
        "  mum:\n", "  mum:\n    name: Mum Ada\n"
    )
    text = text.replace("home: {open", "home: {name: Our home, open").replace(
        "  jackets:\n", "  jackets:\n    name: Two jackets\n"
    )
    case = loaded(tmp_path, text).case
    assert case is not None
    begin, until = (datetime(2026, 12, *at) for at in (start, end))
    assert fact_text(case, ChangeEntry(what=what, id=id_, start=begin, end=until)) == said
    with_note = ChangeEntry(what=what, id=id_, start=begin, end=until, note="a cold")
    assert fact_text(case, with_note) == f"{said} (a cold)"
    with speaking(Speech("de")):
        assert " is " not in fact_text(case, with_note)
