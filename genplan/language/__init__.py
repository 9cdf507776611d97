"""The language in which things are said, and whether in plain words or in those of the trade.

Every sentence stands in the code in English and in the words of the trade, and is looked up where it is said: plain
English is a catalogue like that of another language. A front says once in which language it speaks (`speaking`);
whatever is said below it follows.
"""

from genplan.language.catalogues import LANGUAGES, Speech, Words
from genplan.language.saying import _, locale_of, ngettext, npgettext, pgettext, speaking, speech

__all__ = [
    "LANGUAGES",
    "Speech",
    "Words",
    "_",
    "locale_of",
    "ngettext",
    "npgettext",
    "pgettext",
    "speaking",
    "speech",
]
