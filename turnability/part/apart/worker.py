"""The child process in which the CAD kernel works: `python -m turnability.part.apart.worker`.

It answers requests on its standard input with length-prefixed pickles on its standard output, and
ends when its input ends, that is when the parent does. `apart.child` is the parent.
"""

from __future__ import annotations

import logging
import os
import pickle
import signal
import struct
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from importlib import import_module
from typing import Any, BinaryIO

LENGTH = struct.Struct(">Q")
_log = logging.getLogger("turnability")
ITEM, DONE, RAISED = "item", "done", "raised"


def write_message(stream: BinaryIO, message: object) -> None:
    """One pickle, its length before it."""
    data = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
    stream.write(LENGTH.pack(len(data)) + data)
    stream.flush()


def read_message(stream: BinaryIO) -> Any:
    """The next message; EOFError where the other side has gone."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        raise EOFError
    (length,) = LENGTH.unpack(head)
    data = stream.read(length)
    if len(data) < length:
        raise EOFError
    return pickle.loads(data)


def main(memory_limit_bytes: int, modules: Sequence[str] = ()) -> None:
    """Serve until the parent goes. `modules` are imported first, then a DONE says so."""
    requests, answers = _own_pipes()
    with suppress(ValueError, AttributeError):
        # A break at the terminal is the parent's to handle.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    _limit_memory(memory_limit_bytes)
    if os.environ.get("TURNABILITY_DEBUG"):
        logging.basicConfig(level=logging.DEBUG)
    for module in modules:
        with suppress(ImportError):  # told when a request needs it
            import_module(module)
    write_message(answers, (DONE, None))
    while True:
        try:
            folder, function, arguments, time_limit_s = read_message(requests)
        except EOFError:
            return
        try:
            if folder is not None:
                os.chdir(folder)
            for item in _items(_named(function)(*arguments), time_limit_s):
                write_message(answers, (ITEM, item))
            message: tuple[str, object] = (DONE, None)
        except BaseException as error:
            _log.debug("%s stopped", function, exc_info=True)
            message = (RAISED, _portable(error))
        _alarm(0.0)
        write_message(answers, message)


def _items(answer: Any, time_limit_s: float) -> Iterator[Any]:
    """The items of an iterator, or the answer itself; the limit holds for each."""
    _alarm(time_limit_s)
    for item in answer if isinstance(answer, Iterator) else (answer,):
        yield item
        _alarm(time_limit_s)


def _alarm(time_limit_s: float) -> None:
    """Should the parent die while the kernel hangs, the system ends this process."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, time_limit_s * 1.5 + 5.0 if time_limit_s else 0.0)


def _named(function: str) -> Callable[..., Any]:
    module, _, name = function.partition(":")
    found = getattr(import_module(module), name)
    assert callable(found)
    return found  # type: ignore[no-any-return]


def _own_pipes() -> tuple[BinaryIO, BinaryIO]:
    """Both pipes under other numbers, so that the kernel's prints don't get into the answers."""
    requests = os.fdopen(os.dup(0), "rb")
    answers = os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDWR)
    os.dup2(nothing, 0)
    os.dup2(nothing, 1)
    os.close(nothing)
    return requests, answers


def _limit_memory(limit_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # no such limits on this system
        return
    with suppress(ValueError, OSError):
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        if hard == resource.RLIM_INFINITY or limit_bytes < hard:
            resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, hard))
        resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))


def _portable(error: BaseException) -> BaseException | str:
    """The error if it can be sent, else its text."""
    import traceback

    from turnability.errors import TurnabilityError

    if isinstance(error, TurnabilityError | MemoryError):
        return error.with_traceback(None)
    return "".join(traceback.format_exception(error))


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2:])
