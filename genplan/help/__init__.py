"""The reference: pages to read (`*.md` beside this file), and what they say of a word. Tables of keys and of options in
them are written by `python -m genplan.cli.help_tables`."""
