"""The guided start: its questions as data, the answers as one value, and the case that is made of them.

The page and the terminal ask the same: both are made from `questions.SCREENS`, both hand what was typed to `reading`,
and both end with `case_text.case_text`.
"""
