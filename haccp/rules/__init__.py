"""The rules, a module per step of the work, each with a list of its checks.

`CHECKS` take a :class:`haccp.case.Case` (one bag), `BATCH_CHECKS` a batch and a ruleset.
A check returns findings; it never raises for a missed limit and holds no number of law.
"""
