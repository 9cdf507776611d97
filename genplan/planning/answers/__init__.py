"""Answers that were found before, kept on this machine: the same question twice costs no search."""
