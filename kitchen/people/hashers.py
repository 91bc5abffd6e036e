"""Argon2 at a cost that a kitchen's small server can pay for every cook code.

A four-digit code has ten thousand values, so no hash alone protects it against who steals
the table; `sign_in` limits the tries, and the code works on enrolled tablets only.
"""

from django.contrib.auth.hashers import Argon2PasswordHasher


class KitchenArgon2(Argon2PasswordHasher):
    """Argon2id, 19 MiB, two passes, one lane: the least that OWASP's cheat sheet lists (from memory)."""

    algorithm = "argon2kitchen"
    time_cost = 2
    memory_cost = 19 * 1024
    parallelism = 1
