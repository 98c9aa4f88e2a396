"""Nothing is collected while the program is loaded, as all that is loaded stays.

The collector looked through thousands of classes and functions again and again meanwhile, for a
twentieth of a short command's time.
"""

from __future__ import annotations

import gc


def hold_collector() -> None:
    """Collect nothing until work begins."""
    gc.disable()


def collect_again() -> None:
    """Collect what work leaves behind, and look no more through what was loaded before it."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
