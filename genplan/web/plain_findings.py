"""What is odd in a case, for whoever looks at a screen and not at its files: things by their names, and what is on
their forms in the place of file, line and key."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from genplan.case import Case
from genplan.findings import Finding
from genplan.language import and_list, said
from genplan.language.sentences import capital
from genplan.report.names_and_words import Names
from genplan.text.obstacles import ALLERGEN_WORDS, HAZARD_WORDS, chosen_word
from genplan.web.forms import CALLED, FORMS, GENERAL
from genplan.web.rows_told import told
from genplan.web.widgets import Choice

QUOTED = re.compile(r"(?<=['„])(?P<key>[a-z_.-]+)(?:: (?P<value>[^'“]*))?(?=['“])")
"""`'free_of'`, `'state: paused'`."""


def said_in_page(findings: Iterable[Finding], case: Case | None, folder: Path) -> tuple[str, ...]:
    """A sentence for each. What stands in no form, as in a calendar, keeps its place in the file, and a row of
    results is told in words; the screen that checks the case names file and line of all to whoever reads words of the
    trade."""
    return tuple(sentence for sentence, _first in told_in_page(findings, case, folder))


def told_in_page(
    findings: Iterable[Finding], case: Case | None, folder: Path
) -> tuple[tuple[str, Finding], ...]:
    """Each sentence with what it tells; the same of several things is said once, with the first."""
    if case is None:
        return tuple((f.sentence(), f) for f in findings)
    names = _names(case)
    whose: dict[tuple[str, str], list[str]] = {}
    first: dict[tuple[str, str], Finding] = {}
    findings = tuple(findings)
    for finding, placed in zip(findings, told(folder, findings), strict=True):
        section, _dot, rest = finding.key.partition(".")
        name = names.get(section, {}).get(rest.partition(".")[0]) or _of_the_case(finding.key) or ""
        what = section, _plainly(finding, section, names) if name else placed
        first.setdefault(what, finding)
        if name not in (called := whose.setdefault(what, [])):
            called.append(name)
    return tuple(
        (f"{and_list(whose[what])}: {capital(what[1])}" if whose[what] != [""] else what[1], finding)
        for what, finding in first.items()
    )


def _plainly(finding: Finding, section: str, names: Mapping[str, Mapping[str, str]]) -> str:
    text = QUOTED.sub(lambda found: _on_the_form(section, found), finding.words)
    for of in ("targets", "material_sets", "locations", "adults"):
        for other, called in names[of].items():
            text = text.replace(f"'{other}'", f"'{called}'")
    return text


def _on_the_form(section: str, found: re.Match[str]) -> str:
    """What a key, with its value, or a word of a list is called there; what is none of them stays."""
    key, value = found["key"], found["value"]
    if value is None and key in (*HAZARD_WORDS, *ALLERGEN_WORDS):
        return chosen_word(key)
    field = next((field for field in FORMS.get(section, GENERAL).fields if field.name == key), None)
    if field is None:
        return said(CALLED[key][2]) if key in CALLED and value is None else found[0]
    label = field.label.rstrip("?")
    if value is None:
        return label
    choices = dict(field.widget.words) if isinstance(field.widget, Choice) else {}
    return f"{label}: {said(choices[value]) if value in choices else value}"


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
