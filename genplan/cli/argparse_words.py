"""The words that argparse says of its own, looked up in our catalogue as the rest."""

from __future__ import annotations

import argparse

from genplan.language import N_, _, said

WORDS = (
    N_("usage: "),
    N_("positional arguments"),
    N_("options"),
    N_("show this help message and exit"),
    N_("show program's version number and exit"),
    N_("argument %(argument_name)s: %(message)s"),
    N_("expected one argument"),
    N_("expected at most one argument"),
    N_("expected at least one argument"),
    N_("expected %s argument"),
    N_("expected %s arguments"),
    N_("the following arguments are required: %s"),
    N_("one of the arguments %s is required"),
    N_("not allowed with argument %s"),
    N_("ignored explicit argument %r"),
    N_("unrecognized arguments: %s"),
    N_("invalid %(type)s value: %(value)r"),
)
"""Those that a user can come upon; `error` of our parser makes sentences of them."""


def speak_for_argparse() -> None:
    """argparse looks its words up by two functions of the module `gettext`: from now on by ours."""
    vars(argparse).update(_=_, ngettext=_of_a_number)


def _of_a_number(one: str, many: str, number: int) -> str:
    """argparse fills the number in itself."""
    return said(one) if number == 1 else said(many)


def is_excluded(message: str) -> bool:
    """Whether argparse says that two options do not stand beside each other."""
    return _("not allowed with argument %s").partition("%s")[0] in message


def misses_its_value(message: str, option: str) -> bool:
    """Whether argparse says that nothing stands behind the option."""
    parts = {"argument_name": option, "message": _("expected one argument")}
    return message == _("argument %(argument_name)s: %(message)s") % parts
