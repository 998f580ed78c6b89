"""What can go wrong with what people hand in, each as one clear sentence.

Every error names the input, the cause and the way out. The command line prints the message and
exits with 3; the library raises it.
"""

from __future__ import annotations


def printable(name: str) -> str:
    """A name by strangers on one line, each of its unprintable characters a question mark."""
    return "".join(letter if letter.isprintable() else "?" for letter in name)


class TurnabilityError(Exception):
    """Base of all errors that a caller may expect.

    `what` names the file or object, `cause` says what is wrong with it, `remedy` what to do.
    """

    def __init__(self, what: str, cause: str, remedy: str) -> None:
        super().__init__(what, cause, remedy)
        self.what = what
        self.cause = cause
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{printable(self.what)}: {self.cause}. {self.remedy}"


class PartUnreadable(TurnabilityError):
    """The part's file cannot be used: missing, not STEP, damaged, without a closed solid."""


class KernelDied(PartUnreadable):
    """The CAD kernel's process died, hung or ran out of memory on this file."""


class AnalysisDied(PartUnreadable):
    """The process that analysed the part, once read, died, hung or ran out of memory."""


class ShopUnusable(TurnabilityError):
    """The shop file has a wrong key, value or unit; the message names key and line."""


class IntentUnusable(TurnabilityError):
    """The intent file has a wrong key or value, or names a place that the part does not have."""


class BaselineUnusable(TurnabilityError):
    """The earlier report to compare with is missing, damaged or of another version."""


class ProjectUnusable(TurnabilityError):
    """The project file has a wrong key or value; the message names key and line."""


class OutputUnwritable(TurnabilityError):
    """A result could not be written; nothing half-written was left behind."""
