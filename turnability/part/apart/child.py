"""Work in a child process, the CAD kernel's before all, whose death is survived and reported.

Damaged files end the process that reads them, or keep it busy without end. The child is started
when first needed, kept for further files, replaced after it died, and ends with its parent. It is
no `multiprocessing` child: scripts that use the library need no guard of their main module.
"""

from __future__ import annotations

import atexit
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, BinaryIO, cast

from turnability.errors import KernelDied, PartUnreadable
from turnability.part.apart.worker import DONE, RAISED, read_message, write_message

if TYPE_CHECKING:
    from turnability.part.model import Part

TIME_LIMIT_S = 120.0
"""For one solid; the slowest of 1,154 real files took 13 s."""
MEMORY_LIMIT_BYTES = 8 << 30
_START_S = 300.0
"""Loading what the child needs is no part of any file's time."""
_PARTS = "turnability.part.parts:parts_in"
_SLOW_TO_IMPORT = ("OCP.STEPControl", "turnability.part.parts", "turnability.part.turned")
_REMEDY = "Export the part again, as STEP AP214 or AP242; if that fails too, repair the model"
_END = object()


@dataclass(frozen=True, slots=True)
class Work:
    """How errors speak of what the child was at: who did it, and what to do about each end."""

    died: type[PartUnreadable]
    doer: str
    doing: str
    hung: str
    burst: str
    failed: str


READING = Work(
    died=KernelDied,
    doer="the CAD kernel",
    doing="reading",
    hung="Give it more time (--time-limit; time_limit_s= in a script), or export the part again, "
    "as STEP AP214 or AP242",
    burst="Simplify the part, or split the file",
    failed=_REMEDY,
)


class Kernel:
    """One child process, with the CAD kernel in it unless other `modules` are named.

    Calls of several threads wait in line.
    """

    def __init__(
        self,
        memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
        modules: Sequence[str] = _SLOW_TO_IMPORT,
    ) -> None:
        self._modules = modules
        self._memory_limit_bytes = memory_limit_bytes
        self._lock = threading.Lock()
        self._child: subprocess.Popen[bytes] | None = None
        self._errors: IO[bytes] | None = None
        self._answers: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._loaded = False

    def items(
        self,
        function: str,
        *arguments: object,
        what: str,
        time_limit_s: float = TIME_LIMIT_S,
        work: Work = READING,
    ) -> Iterator[Any]:
        """Call `function` ("module:name") in the child and hand up the items of its iterator.

        A function that returns no iterator gives one item. `what` names the file in errors;
        `time_limit_s` holds for each item, once the child has loaded what it needs. Raises what the
        function raises if that is a TurnabilityError, and the error that `work` names for all else
        that can happen to it.
        """
        with self._lock:
            self._start(what, work)
            finished = False
            try:
                if not self._loaded:
                    self._receive(what, _START_S, work)
                    self._loaded = True
                self._send((_here(), function, arguments, time_limit_s), what, work)
                while True:
                    kind, content = self._receive(what, time_limit_s, work)
                    if kind == DONE:
                        finished = True
                        return
                    if kind == RAISED:
                        finished = not isinstance(content, MemoryError)
                        raise _as_error(content, what, self._memory_limit_bytes, work)
                    yield content
            finally:
                if not finished:  # also when the caller stops early or breaks off
                    self.close()

    def start(self, work: Work = READING) -> None:
        """Start the child now, so that it loads what it needs while the caller does other things.

        Without effect where one runs already.
        """
        with self._lock:
            self._start(work.doer, work)

    def close(self) -> None:
        """End the child, if there is one."""
        child, self._child = self._child, None
        if child is None:
            return
        child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout, self._errors):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()

    def forget(self) -> None:
        """In a forked process: the child belongs to the other one."""
        child, self._child = self._child, None
        self._lock = threading.Lock()
        if child is None:
            return
        child.returncode = 0  # so that nothing waits for a process that is not our child
        nothing = os.open(os.devnull, os.O_RDWR)
        for pipe in (child.stdin, child.stdout):
            if pipe is not None:  # not closed: their locks may have been held at the fork
                os.dup2(nothing, pipe.fileno())
        os.close(nothing)

    def _start(self, what: str, work: Work) -> None:
        if self._child is not None and self._child.poll() is None:
            return
        self.close()
        environment = dict(os.environ)
        environment["PYTHONPATH"] = os.pathsep.join(str(Path(p).absolute()) for p in sys.path)
        # its products are small: threads would wait for each other and take the other core away
        environment.setdefault("OPENBLAS_NUM_THREADS", "1")
        command = [sys.executable, "-P", "-m", "turnability.part.apart.worker"]
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115 (closed with the child)
        self._answers = queue.SimpleQueue()
        self._loaded = False
        try:
            self._child = subprocess.Popen(
                [*command, str(self._memory_limit_bytes), *self._modules],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                # shown at once to who looks for a fault, with the child's own log
                stderr=None if os.environ.get("TURNABILITY_DEBUG") else self._errors,
                env=environment,
            )
        except OSError as error:
            cause = f"no process could be started for {work.doer} ({error.strerror or error})"
            raise work.died(what, cause, "Free memory or processes and try again") from None
        threading.Thread(
            target=_pump, args=(self._child.stdout, self._answers), daemon=True
        ).start()

    def _send(self, request: object, what: str, work: Work) -> None:
        assert self._child is not None
        assert self._child.stdin is not None
        try:
            write_message(cast(BinaryIO, self._child.stdin), request)
        except OSError:
            raise self._death(what, work) from None

    def _receive(self, what: str, time_limit_s: float, work: Work) -> tuple[str, Any]:
        try:
            answer = self._answers.get(timeout=time_limit_s)
        except queue.Empty:
            cause = f"{work.doer} did not finish within {time_limit_s:g} s"
            raise work.died(what, cause, work.hung) from None
        if answer is _END:
            raise self._death(what, work)
        kind, content = answer
        return kind, content

    def _death(self, what: str, work: Work) -> PartUnreadable:
        """Why the child has gone."""
        assert self._child is not None
        try:
            code = self._child.wait(timeout=5.0)
        except subprocess.TimeoutExpired:
            self._child.kill()
            code = self._child.wait()
        if code < 0:
            try:
                name = signal.Signals(-code).name
            except ValueError:
                name = str(-code)
            if name == "SIGKILL":
                cause = f"{work.doer} was killed, most likely for want of memory (SIGKILL)"
                return work.died(what, cause, "Free memory and try again, or simplify the part")
            return work.died(what, f"{work.doer} died on it ({name})", work.failed)
        said = ""
        if self._errors is not None:
            self._errors.seek(0)
            lines = self._errors.read().decode(errors="replace").strip().splitlines()
            said = f": {lines[-1]}" if lines else ""
        cause = f"the process of {work.doer} ended with code {code}{said}"
        return work.died(what, cause, work.failed)


def _here() -> str | None:
    """Where relative paths are meant from now: the child may have been started elsewhere."""
    try:
        return str(Path.cwd())
    except OSError:  # it has been removed
        return None


def lasting(kernel: Kernel) -> Kernel:
    """The same, ended with this process, and let go of where this process forks."""
    atexit.register(kernel.close)
    if hasattr(os, "register_at_fork"):
        os.register_at_fork(after_in_child=kernel.forget)
    return kernel


_kernel = lasting(Kernel())


def shared_kernel() -> Kernel:
    """The child process of whoever brings none of their own."""
    return _kernel


def read_parts(
    path: Path | str,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
    kernel: Kernel | None = None,
) -> tuple[Part | PartUnreadable, ...]:
    """The parts of a STEP file, one for each solid, in the order of the file.

    With `solid` (1-based) only that one. Where a file holds several solids, one that cannot be
    used stands as its error in its place; `time_limit_s` holds for each. Raises PartUnreadable
    when the file as such, its only solid, or the solid asked for cannot be used. `kernel`: a child
    process of one's own, to read several files at once.
    """
    path = Path(path)
    what = str(path)
    kernel = kernel or _kernel
    count: int | None = None
    found: list[Part | PartUnreadable] = []
    while count is None or len(found) < count:
        first = len(found) + 1
        items = kernel.items(
            _PARTS,
            what,
            solid,
            first,
            what=what,
            time_limit_s=time_limit_s,
        )
        try:
            count = next(items)
            found.extend(items)
            break
        except KernelDied as error:
            # Died on the solid after the last one received: the rest is read by a new child.
            cause = error.cause + _damage_in(path)
            if count is None or count == 1:
                raise KernelDied(what, cause, error.remedy) from error
            place = f"{what}, solid {len(found) + 1} of {count}"
            found.append(KernelDied(place, cause, error.remedy))
    if len(found) == 1 and isinstance(found[0], PartUnreadable):
        raise found[0]
    return tuple(found)


def _damage_in(path: Path) -> str:
    """What in the file may have been too much for the kernel; the text alone is looked at."""
    from turnability.part.reading.damage import damage_of
    from turnability.part.reading.step_text import read_step_text

    try:
        damage = damage_of(read_step_text(path))
    except Exception:  # the death is told in any case
        return ""
    return f"; the file is damaged: {damage}" if damage else ""


def _pump(answers: IO[bytes], into: queue.SimpleQueue[Any]) -> None:
    """Pass on messages as they come; a wait with a limit on a pipe isn't portable."""
    try:
        while True:
            into.put(read_message(cast(BinaryIO, answers)))
    except Exception:  # the end, or a message cut off by the child's death
        into.put(_END)


def _as_error(content: object, what: str, memory_limit_bytes: int, work: Work) -> Exception:
    if isinstance(content, MemoryError):
        cause = f"{work.doer} needed more than {memory_limit_bytes / (1 << 30):g} GiB of memory"
        return work.died(what, cause, work.burst)
    if isinstance(content, Exception):
        return content
    text = str(content).strip()
    error = work.died(what, f"{work.doing} stopped with {text.splitlines()[-1]}", work.failed)
    error.add_note(text)
    return error
