"""The kitchen: one Django app whose rooms are subjects of the work.

Imports go down one list only (DEVELOPERS.md has the map): base, ledger, people and
equipment, larder, methods, batches, the steps, review, papers, feeds and offline.
"""
