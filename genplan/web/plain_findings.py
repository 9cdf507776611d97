"""What is odd in a case, for whoever looks at a screen and not at its files: things by their names, fields by what a
form calls them, without file, line and key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from genplan.case import Case
from genplan.findings import Finding
from genplan.language.sentences import capital
from genplan.report.names_and_words import Names
from genplan.web.forms import GENERAL


def said_in_page(findings: Iterable[Finding], case: Case | None) -> tuple[str, ...]:
    """A sentence for each. What stands in no form, as in a calendar or a table of results, keeps its place in the file;
    the screen that checks the case names file and line of all."""
    return tuple(_plainly(f, case) if case else f.sentence() for f in findings)


def _plainly(finding: Finding, case: Case) -> str:
    section, _, rest = finding.key.partition(".")
    id_ = rest.partition(".")[0]
    names = _names(case)
    name = names[section].get(id_) if section in names else _of_the_case(finding.key)
    if name is None:
        return finding.sentence()
    text = finding.words
    for known in (names["targets"], names["material_sets"], names["locations"], names["adults"]):
        for other, called in known.items():
            text = text.replace(f"'{other}'", f"'{called}'")
    return f"{name}: {capital(text)}"


def _of_the_case(key: str) -> str | None:
    """What the form of the case itself calls the field that a key is in, or is."""
    inside = (f for f in GENERAL.fields if f"{key}.".startswith(f"{f.name}."))
    field = max(inside, key=lambda f: len(f.key), default=None)
    return field.label if field else None


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
