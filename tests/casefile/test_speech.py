"""In which language and words a case is spoken of: before it is read, and the same as once it is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.casefile.speech import speech_of
from genplan.casefile.tree import read_tree
from genplan.language import Speech, Words
from tests.fixtures.places import EXAMPLES
from tests.fixtures.small_case import TEXT

OWN_POLICY = "policy: {like: none, days: mon-fri, probes_per_target_per_week: 5}\n"
PLAIN, TRADE = Words.PLAIN, Words.TRADE


def case_with(folder: Path, more: str) -> Path:
    (folder / "case.yaml").write_text(TEXT.replace(OWN_POLICY, "") + more, "utf-8")
    return folder


@pytest.mark.parametrize(
    ("text", "speech"),
    [
        ("", Speech("en", TRADE)),
        ("language: de\n", Speech("de", TRADE)),
        ("words: plain # as we speak\n", Speech("en", PLAIN)),
        ("policy: family\n", Speech("en", PLAIN)),
        ("policy: caseload\n", Speech("en", TRADE)),
        ("policy: family\nwords: trade\n", Speech("en", TRADE)),
        ("policy:\n\n  # ours\n  words: plain\n\n", Speech("en", PLAIN)),
        ("policy: {words: plain}\nlanguage: 'de'\n", Speech("de", PLAIN)),
        ("policy: ours.yaml\n", Speech("en", PLAIN)),
        ("policy: {like: family, rest_minutes: 30}\n", Speech("en", PLAIN)),
        ("policy: {like: family, words: trade}\n", Speech("en", TRADE)),
        ("policy: {like: ours.yaml}\n", Speech("en", PLAIN)),
        ("policy: like-family.yaml\n", Speech("en", PLAIN)),
    ],
)
def test_it_is_found_before_the_case_is_read_and_is_the_same_after(
    text: str, speech: Speech, tmp_path: Path
) -> None:
    if "ours.yaml" in text:
        (tmp_path / "ours.yaml").write_text("words: plain\n")
    if "like-family" in text:
        (tmp_path / "like-family.yaml").write_text("like: family\n")
    folder = case_with(tmp_path, text)
    assert speech_of(folder) == speech
    case = load(folder).case
    assert case is not None
    assert (case.language, case.words) == (speech.language, speech.words)


@pytest.mark.parametrize(
    ("text", "speech"),
    [
        ("words: loud\nlanguage: xx\n", Speech()),
        ("language: [\n", Speech()),
        ("policy: ../out.yaml\n", Speech()),
        ("policy: none-of-ours\n", Speech()),
        ('{"language": "de", "words": "plain"}', Speech("de", PLAIN)),
        ("learners:\n  words: plain\n  - broken\nlanguage: de\n", Speech("de", TRADE)),
        ("note: |\n  language: de\n", Speech()),
    ],
)
def test_it_is_found_in_a_case_that_cannot_be_read(text: str, speech: Speech, tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text(text)
    assert speech_of(tmp_path) == speech


@pytest.mark.parametrize(
    "laid_out",
    [
        lambda text: text.replace("\n", "\r"),
        lambda text: text.replace("\n", "\r\n"),
        lambda text: "".join(f"  {line}\n" for line in text.splitlines()),
        lambda text: "---\n# ours\n" + text,
        lambda text: text.replace("language: de", "? language\n: de").replace(
            "words: plain", "? words\n: plain"
        ),
        lambda text: text.replace("language: de", '"langu\\u0061ge": de'),
        lambda text: text.replace("timezone: ", "timezone: &zone ").replace(
            "language: de", "language: !!str de"
        ),
        lambda text: "note: &tongue de\n" + text.replace("language: de", "language: *tongue"),
    ],
)
def test_it_is_found_in_each_layout_that_is_read(laid_out: Callable[[str], str], tmp_path: Path) -> None:
    text = laid_out(TEXT.replace(OWN_POLICY, "") + "language: de\nwords: plain\n")
    (tmp_path / "case.yaml").write_bytes(text.encode())
    tree = read_tree("case.yaml", text.encode())
    assert not tree.unread
    assert speech_of(tmp_path) == Speech("de", PLAIN)


def test_what_was_asked_for_goes_before_the_case(tmp_path: Path) -> None:
    folder = case_with(tmp_path, "language: de\nwords: plain\n")
    assert speech_of(folder, "en") == Speech("en", PLAIN)
    assert speech_of(tmp_path / "not-there", "de") == Speech("de", TRADE)


@pytest.mark.parametrize(
    ("name", "words"), [("family", PLAIN), ("caseload", TRADE), ("school-transfer", TRADE)]
)
def test_the_examples(name: str, words: Words) -> None:
    assert speech_of(EXAMPLES / name) == Speech("en", words)
