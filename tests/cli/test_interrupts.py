"""Ctrl-C at any moment, while the program still loads among them, is a sentence and never a traceback."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.fixtures.places import ROOT

SENTENCE = "Stopped before it was finished. No half-written file was left behind.\n"
FAMILY = str(ROOT / "examples" / "family")

AT_IMPORT = """
import runpy, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
number, sys.argv[1:] = int(sys.argv[1]), sys.argv[2:]

class Struck:
    seen, done = 0, False
    def find_spec(self, name, path=None, target=None):
        Struck.seen += name == "genplan.cli" or Struck.seen > 0
        if Struck.seen == number and not Struck.done:
            Struck.done = True
            signal.raise_signal(signal.SIGINT)

sys.meta_path.insert(0, Struck())
runpy.run_module("genplan", run_name="__main__", alter_sys=True)
"""

IN_A_FINALISER = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
from genplan import cli
from genplan.cli import exit_codes

class Passed:
    def __del__(self):
        signal.raise_signal(signal.SIGINT)

def run(argv):
    Passed()
    for _ in range(10**8):
        pass
    return 0

exit_codes.run = run
raise SystemExit(cli.main([]))
"""


def ended(code: str, *words: str) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, text=True, cwd=ROOT, check=False
    )
    return done.returncode, done.stderr


@pytest.mark.skipif(os.name != "posix", reason="an interrupt is a signal there")
@pytest.mark.parametrize("command", ["check", "matrix"])
@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 8, 20, 60, 120])
def test_an_interrupt_while_the_program_loads_is_no_traceback(command: str, number: int) -> None:
    code, said = ended(AT_IMPORT, str(number), command, FAMILY)
    assert code == 130
    assert "Traceback" not in said
    # while not even our first module is whole, nothing can be said
    assert said == (SENTENCE if number > 2 else "")


def test_until_a_command_begins_hardly_anything_is_loaded() -> None:
    """An interrupt before that cannot be told in a sentence, so the moment has to be short: `typing` alone took as long
    as all the rest."""
    code = """
import sys
before = set(sys.modules)
import genplan.cli
print(*sorted(set(sys.modules) - before), file=sys.stderr)
"""
    done, loaded = ended(code)
    assert done == 0
    assert set(loaded.split()) <= {"genplan", "genplan.cli", "__future__", "gc"}


@pytest.mark.skipif(os.name != "posix", reason="an interrupt is a signal there")
def test_an_interrupt_that_python_passes_over_comes_again() -> None:
    code, said = ended(IN_A_FINALISER)
    assert code == 130
    assert "Traceback" not in said
