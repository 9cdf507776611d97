"""The only room that knows the solver: variables, rules, objectives, stages. Plain values go in and come out."""
