"""What is odd in a case, for whoever never sees its files: things by their names, without file, line and key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from genplan.case import Case
from genplan.findings import Finding
from genplan.language import speech
from genplan.language.catalogues import Words
from genplan.language.sentences import capital
from genplan.report.names_and_words import Names


def said_in_page(findings: Iterable[Finding], case: Case | None) -> tuple[str, ...]:
    """In the words of the trade with the place in the file, which whoever keeps files by hand looks for."""
    plain = case is not None and speech().words is Words.PLAIN
    return tuple(_plainly(f, case) if plain and case else f.sentence() for f in findings)


def _plainly(finding: Finding, case: Case) -> str:
    section, _, rest = finding.key.partition(".")
    id_ = rest.partition(".")[0]
    names = _names(case)
    name = names[section].get(id_) if section in names else None
    if name is None:
        return finding.sentence()
    text = finding.words
    for known in (names["targets"], names["material_sets"], names["locations"], names["adults"]):
        for other, called in known.items():
            text = text.replace(f"'{other}'", f"'{called}'")
    return f"{name}: {capital(text)}"


def _names(case: Case) -> Mapping[str, Mapping[str, str]]:
    names = Names(case)

    def of(ids: Iterable[str], called: Callable[[str], str]) -> Mapping[str, str]:
        return {i: called(i) for i in ids}

    return {
        "targets": of(case.targets, names.target),
        "material_sets": of(case.material_sets, names.material_set),
        "locations": of(case.locations, names.location),
        "adults": of(case.adults, names.adult),
        "learners": of(case.learners, names.learner),
    }
