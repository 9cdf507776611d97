"""The plan of a term: in which weeks the probes of dated wishes lie, so that as many dates as can be are kept.

`wanted` says what the dates ask for, `meetings` who could meet for it in which weeks, `capacities` what people, places,
sets and limits have room for; the model is `planning.solver.term`; `compose` makes the plan of its answer, `shortages`
what stands in the way of a date that is not kept.
"""
