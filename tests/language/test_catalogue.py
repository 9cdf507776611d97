"""The catalogues: all that the code says, in each language, with the same values; what gettext reads is what is written."""  # noqa: E501

from __future__ import annotations

import gettext
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from babel.messages import Catalog, Message
from babel.messages.pofile import read_po

from genplan.language import catalogue
from genplan.language.extraction import Found, NoLiteral, all_found, in_python, in_template

RENEW = "run `python -m genplan.language.catalogue`"


@lru_cache
def found() -> tuple[Found, ...]:
    return tuple(all_found())


@lru_cache
def written(folder: str) -> Catalog:
    with catalogue.path_of(folder).open("rb") as file:
        return read_po(file)


def messages(folder: str) -> Iterator[Message]:
    return (m for m in written(folder) if m.id)


def key(message: Message) -> tuple[str, object]:
    return message.context or "", message.id


def placeholders(sentence: str) -> set[str]:
    """Braces around anything but a name are those of YAML, in sentences that are given no values."""
    return set(re.findall(r"\{(\w*)(?:[!:][^{}\s][^{}]*)?\}", sentence))


def test_what_is_filled_in_is_what_the_sentence_has_places_for() -> None:
    wrong = [
        f"{f.file}:{f.line}: {f.one!r} is given {sorted(f.values)}"
        for f in found()
        if f.values is not None and (f.values or f.many)
        for asked in [placeholders(f.one) | placeholders(f.many)]
        if asked - f.values or f.values - {"n"} - asked
    ]
    assert wrong == []


@pytest.mark.parametrize("folder", catalogue.folders())
def test_a_catalogue_has_what_the_code_says(folder: str) -> None:
    said = {(f.context, (f.one, f.many) if f.many else f.one) for f in found()}
    has = {key(m) for m in messages(folder)}
    assert has - said == set(), RENEW
    if not catalogue.is_plain(folder):
        assert said - has == set(), RENEW


@pytest.mark.parametrize("folder", catalogue.folders())
def test_every_sentence_is_translated(folder: str) -> None:
    assert [m.id for m in messages(folder) if not catalogue.is_said(m.string)] == []


@pytest.mark.parametrize("folder", catalogue.folders())
def test_a_translation_has_the_places_of_its_sentence(folder: str) -> None:
    """A plural may say its number in words where it is one, and plain words may leave a figure out."""
    wrong = []
    for m in messages(folder):
        ids, strings = ((m.id,), (m.string,)) if isinstance(m.id, str) else (m.id, m.string)
        asked = set().union(*map(placeholders, ids))
        for text in strings:
            has = placeholders(text) - {"n"}
            if has - asked or (asked - has - {"n"} and not catalogue.is_plain(folder)):
                wrong.append((m.id, text))
    assert wrong == []


@pytest.mark.parametrize("folder", catalogue.folders())
def test_what_gettext_reads_is_what_is_written(folder: str) -> None:
    path = catalogue.path_of(folder).with_suffix(".mo")
    with path.open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    for m in messages(folder):
        if isinstance(m.id, str):
            got: object = compiled.pgettext(m.context, m.id) if m.context else compiled.gettext(m.id)
        else:
            said = (lambda n, m=m: compiled.npgettext(m.context, *m.id, n)) if m.context else None
            got = tuple((said or (lambda n, m=m: compiled.ngettext(*m.id, n)))(n) for n in (1, 2))
        assert got == m.string, RENEW
    assert len(compiled._catalog) - 1 == sum(  # type: ignore[attr-defined]
        1 if isinstance(m.id, str) else 2 for m in messages(folder)
    ), RENEW


def test_a_run_that_changes_nothing_writes_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, nightly: bool
) -> None:
    """By day that of one language and that of its plain words."""
    monkeypatch.setattr(catalogue, "all_found", found)
    tried = catalogue.folders() if nightly else catalogue.folders()[:2]
    before = {folder: catalogue.path_of(folder).read_bytes() for folder in tried}
    template = catalogue.said_by_the_code()
    brought = {folder: catalogue.up_to_date(folder, template) for folder in before}
    monkeypatch.setattr(catalogue, "LOCALES", tmp_path)
    for folder, text in before.items():
        catalogue.write(folder, brought[folder])
        lines = [
            [x for x in t.splitlines() if b"Generated-By" not in x]
            for t in (text, catalogue.path_of(folder).read_bytes())
        ]
        assert lines[0] == lines[1], RENEW


def test_a_sentence_that_is_put_together_is_refused() -> None:
    for source in ("_(f'{x} is away')", "_(x)", "ngettext('one', x, 2)", "_('a' + b)"):
        with pytest.raises(NoLiteral, match=r"a\.py:1"):
            list(in_python(source, "a.py"))
    with pytest.raises(NoLiteral, match=r"a\.html:2"):
        list(in_template("\n{{ _(x) }}", "a.html"))


def test_sentences_inside_each_other_are_found() -> None:
    source = "_('{what} is away', what=ngettext('{n} aunt', '{n} aunts', 2))"
    for found in (in_python(source, ""), in_template("{{ " + source + " }}", "")):
        assert {(f.one, f.many, f.values) for f in found} == {
            ("{what} is away", "", frozenset({"what"})),
            ("{n} aunt", "{n} aunts", frozenset({"n"})),
        }


def test_what_one_catalogue_is_told_is_told_to_it_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(catalogue, "all_found", lambda: found()[:50])
    template = catalogue.said_by_the_code()
    template.add("said nowhere else")
    one, other = (catalogue.up_to_date(folder, template) for folder in ("de", "en@plain"))
    one["said nowhere else"].string = "nirgends sonst"
    assert not other["said nowhere else"].string


@pytest.mark.parametrize(("folder", "found_none"), [("en@plain", "was found"), ("de@plain", "gefunden")])
def test_plain_words_of_what_was_not_found_do_not_say_that_it_cannot_be(folder: str, found_none: str) -> None:
    """What would help is looked for with each child alone, beside what the others have: more may be had together."""
    asked = "No week that shows more was found with any of the changes that were tried."
    (told,) = (str(m.string) for m in messages(folder) if m.id == asked)
    assert found_none in told
