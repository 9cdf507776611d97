"""Kinds of probes and rows, statuses of combinations and dates: how a person reads what files hold as a word."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from genplan.language import N_, said

_WORDS: Mapping[str, str] = {
    # kinds of a probe in a plan, and of a row
    "new": N_("new"),
    "retest": N_("retest"),
    "maintenance": N_("maintenance"),
    "teaching": N_("teaching"),
    "baseline": N_("baseline"),
    "probe": N_("probe"),
    "not run": N_("not run"),
    # statuses of a combination
    "untested": N_("untested"),
    "taught": N_("taught"),
    "met": N_("met"),
    "not met": N_("not met"),
    "not possible": N_("not possible"),
    # phases and points of a picture of everything that was run
    "first probe": N_("first probe"),
    "probe again": N_("probe again"),
    "mastered": N_("mastered"),
    "after teaching": N_("after teaching"),
    # what became of a date of maintenance
    "lapsed": N_("lapsed"),
    "missed": N_("missed"),
    "due": N_("due"),
    "ahead": N_("ahead"),
}


def value_word(value: StrEnum | str) -> str:
    """`not run`, in the language of now."""
    return said(_WORDS[str(value)])
