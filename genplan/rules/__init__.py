"""What stands between sittings, each rule once, on plain values: sittings in minutes of a week.

A rule is a function that says what keeps a sitting from being held beside others, as a `Limit`, or nothing. `table.py`
names for each rule the solver's encoding and the auditor's check of it.
"""
