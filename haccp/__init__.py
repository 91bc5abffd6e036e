"""Bathbook's computing core: heat, lethality, cooling, limits and rules.

Pure: it knows no database, no request, no clock and no file but its own data.
`assess(record, ruleset)` is the one door for a batch; the modules below it can
each be used on their own.
"""
