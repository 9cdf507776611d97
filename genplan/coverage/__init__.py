"""Which combinations are possible, which tuples they hold, what was shown of them and what is still open."""
