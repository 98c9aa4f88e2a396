"""The linear algebra library is held to one thread: on matrices as small as ours, more cost time.

It reads its number of threads when numpy is loaded, so `hold_to_one` has to come before that.
"""

from __future__ import annotations

from collections.abc import MutableMapping

FOR_ALL = "OMP_NUM_THREADS"
"""What a library goes by where its own variable is not set."""
OWN = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS", "BLIS_NUM_THREADS")


def hold_to_one(environment: MutableMapping[str, str]) -> None:
    """Ask for one thread, unless the user asked for any number by any of the variables.

    >>> chosen = {"OMP_NUM_THREADS": "4"}
    >>> hold_to_one(chosen)
    >>> chosen
    {'OMP_NUM_THREADS': '4'}
    """
    if not any(name in environment for name in (FOR_ALL, *OWN)):
        environment.update(dict.fromkeys(OWN, "1"))
