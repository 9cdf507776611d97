"""In which language the command line speaks: as `--language` asks, else as the case says, else English."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

from genplan.errors import GenplanError
from genplan.language import LANGUAGES, Speech

OPTION = "--language"


def asked_for(typed: Sequence[str]) -> Speech:
    """Before the words are read, since help pages and what is wrong with the words are said too, and days are read as
    the language writes them. A language that is not known is told of by whoever reads them."""
    values = [word.partition("=")[2] for word in typed if word.startswith(f"{OPTION}=")]
    values += [after for word, after in pairwise(typed) if word == OPTION]
    return Speech(next((v for v in values if v in LANGUAGES), "") or _of_a_case_among(typed))


def _of_a_case_among(typed: Sequence[str]) -> str:
    """The language of the case whose folder was typed. Which word names it is known only once they are read; what
    stands in the way of reading its files is told then."""
    for word in typed:
        with suppress(GenplanError, OSError, ValueError):
            if not Path(word).is_dir():
                continue
            from genplan.casefile.speech import speech_of

            if (found := speech_of(Path(word)).language) != LANGUAGES[0]:
                return found
    return LANGUAGES[0]


def as_the_case_says(words: Namespace) -> Speech:
    """Once it is known which case is meant, if any."""
    folder = getattr(words, "folder", None)
    if not isinstance(folder, Path):
        return Speech(words.language or LANGUAGES[0])
    from genplan.casefile.speech import speech_of

    return speech_of(folder, words.language)
