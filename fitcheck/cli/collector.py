"""Nothing is collected while the program is loaded, as all that is loaded stays; later seldom.

The collector looked through thousands of classes and functions again and again meanwhile, for a
twentieth of a short command's time, and at work through parts and patterns that stay as well.
"""

from __future__ import annotations

import gc

USUAL = gc.get_threshold()
SELDOM = (50_000, 20, 20)
"""After so many more things made than let go of it looks at the young, the older and the rest."""


def hold_collector() -> None:
    """Collect nothing until work begins."""
    gc.disable()


def collect_again() -> None:
    """Collect what work leaves behind, and look no more through what was loaded before it."""
    if not gc.isenabled():
        gc.freeze()
        gc.set_threshold(*SELDOM)
        gc.enable()


def collect_as_usual() -> None:
    """For whoever called the program from within another."""
    gc.enable()
    gc.set_threshold(*USUAL)
