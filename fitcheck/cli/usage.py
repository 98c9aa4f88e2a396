"""Options and arguments that a command line cannot be read with, each as one line."""

from __future__ import annotations

import re
from typing import Any

from fitcheck.plain import lowered

_ONE_OF = re.compile(r"(?P<read>'.*?') is not one of (?P<every>.+)$")
_END = re.compile(r"[.?]$")
_CHOICES = re.compile(r"Choose from:(?P<every>.+)$")


def usage_line(error: Exception) -> str | None:
    """What is wrong with a command line, what is allowed and what to do; None for other errors.

    The library that reads command lines has had its errors in several places: they are known by
    what they can do.
    """
    if not callable(getattr(error, "format_message", None)):
        return None
    found: Any = error
    said = " ".join(found.format_message().split())
    context, param = getattr(found, "ctx", None), getattr(found, "param", None)
    command = context.command_path.split()[1:] if context else []
    help_ = f"`{' '.join(['fitcheck', *command])} --help` says more"
    if param is None:
        return f"{'; '.join(map(lowered, _END.sub('', said).split('. ')))}; {help_}"
    an_option = param.opts[0].startswith("-")
    name = " / ".join(param.opts) if an_option else (param.metavar or param.name.upper())
    if "Missing" in type(found).__name__:
        every = _CHOICES.search(said)
        allowed = f"; allowed: {_listed(every['every'])}" if every else ""
        return f"{name}: missing; read nothing{allowed}; add it, {help_}"
    own = _END.sub("", " ".join(found.message.split())).removeprefix("Value error, ")
    chosen = _ONE_OF.match(own)
    if chosen:
        return f"{name}: read {chosen['read']}; allowed: {_listed(chosen['every'])}; choose one"
    return f"{name}: {own}; {help_}"


def _listed(every: str) -> str:
    return ", ".join(word.strip(" '\"") for word in every.split(","))
