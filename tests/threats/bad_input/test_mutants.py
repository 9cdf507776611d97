"""Texts of the examples and the corpus, changed at random in bytes, lines and words: every reader gives findings or a
value, never anything but a sentence, and what can be read can be planned for."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from genplan.findings import Finding
from tests.fixtures.corpus import BASES, base
from tests.fixtures.file_readers import SENTENCES, Readers
from tests.fixtures.nightly import tries
from tests.fixtures.places import EXAMPLES
from tests.fixtures.telling import whole_case

FURTHER = {
    "case": [EXAMPLES / "family" / "case.yaml"],
    "calendar": sorted((EXAMPLES / "caseload" / "busy").glob("*.ics")),
}
WORDS = (
    *(
        "",
        " ",
        ",",
        ";",
        ":",
        "::",
        "-",
        "- ",
        "#",
        "'",
        '"',
        "[",
        "]",
        "{",
        "}",
        "&a",
        "*a",
        "!!x",
        "?",
        "|",
        ">",
    ),
    *(
        "\t",
        "\r",
        "\n",
        "\r\n",
        "\x00",
        "\x1b",
        "\x85",
        "\u2028",
        "\ufeff",
        "\u202e",
        "\u200b",
        "\ud7ff",
        "é",
        "e\u0301",
    ),
    *(
        "0",
        "-1",
        "1e999",
        "99999999999999999999",
        "0x10",
        "16:30",
        "24:00",
        "25:61",
        "2026-02-30",
        "0001-01-01",
    ),
    *(
        "9999-12-31",
        "2026-W54",
        "no",
        "null",
        "~",
        "all",
        "yes",
        ".nan",
        "true",
        "4/5",
        "5/4",
        "../x",
        "=1+1",
    ),
    *("FREQ=DAILY", "UNTIL=20261301", "COUNT=0", "TZID=Nowhere", "P1Y", "BEGIN:VEVENT", "END:VEVENT", "DATE"),
)
REPLACED = ("utf-8", "utf-8-sig", "utf-16", "utf-32", "latin-1")


@st.composite
def mutants(draw: st.DrawFn, reads: str) -> bytes:
    """One of the texts with up to six changes; a change is one of bytes, of lines or of words."""
    texts = [base(reads), *(p.read_text(encoding="utf-8") for p in FURTHER.get(reads, ()))]
    text = draw(st.sampled_from(texts))
    for change in draw(st.lists(st.sampled_from((_line, _word, _word, _cut)), min_size=1, max_size=6)):
        text = change(draw, text)
    data = (
        text.encode(draw(st.sampled_from(REPLACED)), "replace")
        if draw(st.integers(0, 9)) == 0
        else text.encode()
    )
    for _ in range(draw(st.sampled_from((0, 0, 0, 1, 3)))):
        at = draw(st.integers(0, max(0, len(data) - 1)))
        data = data[:at] + draw(st.binary(max_size=3)) + data[at + draw(st.integers(0, 3)) :]
    return data


def _line(draw: st.DrawFn, text: str) -> str:
    """A line gone, twice, moved or in another place's indentation."""
    lines = text.splitlines(keepends=True) or [""]
    at, to = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    kind = draw(st.sampled_from(("drop", "twice", "move", "indent")))
    line = lines.pop(at)
    if kind == "twice":
        lines[at:at] = [line, line]
    elif kind == "move":
        lines.insert(to, line)
    elif kind == "indent":
        lines.insert(at, draw(st.sampled_from(("", " ", "      ", "\t", "- "))) + line.lstrip())
    return "".join(lines)


def _word(draw: st.DrawFn, text: str) -> str:
    """Another word in the place of a few characters."""
    at = draw(st.integers(0, len(text)))
    return text[:at] + draw(st.sampled_from(WORDS)) + text[at + draw(st.integers(0, 12)) :]


def _cut(draw: st.DrawFn, text: str) -> str:
    """A part of the text at the end of it, or the text broken off."""
    at, to = sorted(draw(st.integers(0, len(text))) for _ in range(2))
    return draw(st.sampled_from((text[:to], text + text[at:to], text[:at] + text[to:])))


BUDGET = {"case": 350, "results": 350, "filled": 250, "kept": 350, "calendar": 150}


@pytest.fixture(scope="module")
def readers(tmp_path_factory: pytest.TempPathFactory) -> Readers:
    folder = tmp_path_factory.mktemp("mutants")
    return Readers(folder, whole_case(folder))


@pytest.mark.parametrize("reads", sorted(BUDGET))
def test_a_changed_text_is_told_of_or_read(readers: Readers, reads: str) -> None:
    assert BUDGET.keys() <= BASES.keys()
    read = readers.all()[reads]

    @settings(
        max_examples=tries(BUDGET[reads], by_day=BUDGET[reads] // 5),
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(mutants(reads))
    def run(data: bytes) -> None:
        _check(read, data)

    run()


def _check(read: Callable[[bytes], tuple[Finding, ...]], data: bytes) -> None:
    try:
        findings = read(data)
    except SENTENCES as error:
        said = str(error)
        assert said.endswith((".", "?")), said
        return
    for finding in findings:
        sentence = finding.sentence()
        assert sentence.isprintable(), sentence
        assert finding.line <= len(data.splitlines()) + 1, sentence
