"""The kernel's process may die in any way; the parent goes on and says what happened."""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import cadquery as cq
import pytest
from step_files import stepped_pin, write_step

from turnability.errors import KernelDied, PartUnreadable
from turnability.part.apart import child as apart
from turnability.part.apart.child import Kernel, read_parts
from turnability.part.model import Part


@pytest.fixture
def kernel() -> Iterator[Kernel]:
    one = Kernel(modules=())
    yield one
    one.close()


@pytest.fixture(scope="module")
def reading() -> Iterator[Kernel]:
    one = Kernel()
    yield one
    one.close()


@pytest.fixture
def stand_in(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "_PARTS", "kernel_jobs:parts")


@pytest.mark.parametrize(
    ("job", "says"),
    [
        ("killed_by_segmentation", "SIGSEGV"),
        ("killed_outright", "for want of memory"),
        ("ends_itself", "code 7"),
        ("wants_memory", "more than 8 GiB"),
        ("raises", "ZeroDivisionError: no such thing"),
    ],
)
def test_every_death_is_told_and_survived(kernel: Kernel, job: str, says: str) -> None:
    with pytest.raises(KernelDied) as died:
        list(kernel.items(f"kernel_jobs:{job}", what="pin.step", time_limit_s=30.0))
    assert says in str(died.value)
    assert str(died.value).startswith("pin.step: ")
    assert list(kernel.items("kernel_jobs:prints_and_answers", what="pin.step")) == [42]


def test_a_process_that_hangs_is_ended(kernel: Kernel) -> None:
    (number,) = kernel.items("kernel_jobs:process_id", what="x")
    with pytest.raises(KernelDied, match=r"did not finish within 0\.3 s"):
        list(kernel.items("kernel_jobs:hangs", what="pin.step", time_limit_s=0.3))
    with pytest.raises(ProcessLookupError):
        os.kill(number, 0)
    (other,) = kernel.items("kernel_jobs:process_id", what="x")
    assert other != number


def test_loading_is_no_part_of_a_files_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "loads_slowly.py").write_text("import time\ntime.sleep(1.0)\n")
    monkeypatch.syspath_prepend(tmp_path)
    kernel = Kernel(modules=("loads_slowly",))
    began = time.monotonic()
    try:
        assert list(kernel.items("kernel_jobs:prints_and_answers", what="x", time_limit_s=0.6))
    finally:
        kernel.close()
    assert time.monotonic() - began > 1.0


def test_the_process_is_kept_for_further_files(kernel: Kernel) -> None:
    first, second = (list(kernel.items("kernel_jobs:process_id", what="x")) for _ in range(2))
    assert first == second != [os.getpid()]


def test_paths_are_meant_from_where_the_caller_is_now(
    kernel: Kernel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a notebook that goes from folder to folder: the child was started in an earlier one."""
    for name in ("first", "second"):
        (tmp_path / name).mkdir()
        monkeypatch.chdir(tmp_path / name)
        assert list(kernel.items("os:getcwd", what="x")) == [str(tmp_path / name)]
    (tmp_path / name).rmdir()
    assert list(kernel.items("kernel_jobs:prints_and_answers", what="x")) == [42]


def test_items_that_came_before_the_death_are_kept(kernel: Kernel) -> None:
    came: list[int] = []
    with pytest.raises(KernelDied):
        came.extend(kernel.items("kernel_jobs:counts_then_dies", 3, what="x"))
    assert came == [0, 1, 2]


def test_a_process_with_a_small_limit_runs_out_of_memory() -> None:
    kernel = Kernel(memory_limit_bytes=256 << 20, modules=())
    try:
        with pytest.raises(KernelDied, match=r"0\.25 GiB"):
            list(kernel.items("builtins:bytearray", 300 << 20, what="x"))
    finally:
        kernel.close()


def test_scripts_need_no_guard_and_leave_no_process_behind(tmp_path: Path) -> None:
    """The parent ends without closing anything and has not loaded the kernel."""
    script = tmp_path / "unguarded.py"
    script.write_text(
        "import os, sys\n"
        f"sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "from turnability.part.apart import child as apart\n"
        "print(*apart._kernel.items('kernel_jobs:process_id', what='x'))\n"
        "assert not any(m.partition('.')[0] == 'OCP' for m in sys.modules)\n"
        "sys.stdout.flush()\n"
        "os._exit(0)\n"
    )
    answer = subprocess.run([sys.executable, script], capture_output=True, text=True, check=True)
    number = int(answer.stdout)
    deadline = time.monotonic() + 10.0
    while time.monotonic() < deadline:
        try:
            os.kill(number, 0)
        except ProcessLookupError:
            return
        time.sleep(0.05)
    pytest.fail("the kernel's process outlived its parent")


@pytest.mark.usefixtures("stand_in")
def test_parts_come_with_source_and_face_numbers(tmp_path: Path, reading: Kernel) -> None:
    path = write_step(stepped_pin().val().wrapped, tmp_path / "pin.step", name="float pin")
    (part,) = read_parts(path, kernel=reading)
    assert isinstance(part, Part)
    assert part.source.product is not None
    assert part.source.product.startswith("float pin")  # the kernel counts its products
    assert part.source.path == str(path)
    assert [face.index for face in part.faces] == list(range(1, 8))
    assert None not in [face.step_id for face in part.faces]
    assert part.read_s > 0.0


@pytest.mark.usefixtures("stand_in")
def test_one_solid_of_several_is_chosen(tmp_path: Path, reading: Kernel) -> None:
    boxes = [cq.Workplane().box(k, 1, 1).translate((0, 9 * k, 0)).val() for k in (1, 2, 3)]
    path = write_step(cq.Compound.makeCompound(boxes).wrapped, tmp_path / "three.step")
    assert len(read_parts(path, kernel=reading)) == 3
    (second,) = read_parts(path, solid=2, kernel=reading)
    assert isinstance(second, Part)
    assert (second.source.solid, second.source.solids) == (2, 3)
    for wrong in (0, 4, -1):
        with pytest.raises(PartUnreadable, match="the file holds 3 solids"):
            read_parts(path, solid=wrong, kernel=reading)


def test_a_missing_file_is_told_across_the_processes(tmp_path: Path, reading: Kernel) -> None:
    with pytest.raises(PartUnreadable, match="there is no such file") as told:
        read_parts(tmp_path / "none.step", kernel=reading)
    assert not isinstance(told.value, KernelDied)


@pytest.mark.shared_parts
def test_other_solids_survive_a_deadly_one(
    shared_parts: Path, reading: Kernel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(apart, "_PARTS", "kernel_jobs:parts_but_a_nut_kills")
    found = read_parts(shared_parts / "assembly_seven_parts.step", kernel=reading)
    names = [p.source.product if isinstance(p, Part) else "died" for p in found]
    assert names == ["l-bracket", "bolt", "bolt", "bolt", "died", "died", "died"]
    assert "solid 5 of 7" in str(found[4])
    with pytest.raises(KernelDied):
        read_parts(shared_parts / "assembly_seven_parts.step", solid=6, kernel=reading)


def mutated(text: str, chance: random.Random) -> str:
    """One damage of the kinds that transfers and editors do."""
    kind = chance.randrange(5)
    at = chance.randrange(len(text) // 5, len(text) * 3 // 5)
    if kind == 0:  # a reference to another entity
        numbers = re.findall(r"#(\d+)\s*=", text)
        hit = re.compile(r"#\d+(?=\s*[,)])").search(text, at)
        assert hit is not None
        return text[: hit.start()] + "#" + chance.choice(numbers) + text[hit.end() :]
    if kind == 1:  # a stretch is lost
        return text[:at] + text[at + chance.randrange(1, 80) :]
    if kind == 2:  # a number is changed
        hit = re.compile(r"\d\.\d*").search(text, at)
        assert hit is not None
        return text[: hit.start()] + f"{chance.uniform(-1e6, 1e6):.4f}" + text[hit.end() :]
    if kind == 3:  # an entity is lost
        begin = text.index("\n#", at) + 1
        return text[:begin] + text[text.index(";", begin) + 1 :]
    begin = text.index("\n#", at) + 1  # two entities change places by their numbers
    return text[:begin] + "#9" + text[begin + 1 :]


@pytest.mark.shared_parts
def test_damaged_real_files_never_harm_the_parent(shared_parts: Path, tmp_path: Path) -> None:
    names = ("plain_pin", "stepped_shaft", "gasket_ring_plain", "adapter_disc", "motor_shaft_flats")
    kernel = Kernel()
    answers = []
    try:
        for number in range(25):
            source = shared_parts / f"{names[number % len(names)]}.step"
            text = source.read_text(encoding="latin-1")
            broken = tmp_path / f"broken{number}.step"
            broken.write_text(mutated(text, random.Random(number)), encoding="latin-1")
            try:
                (seen,) = kernel.items(
                    "kernel_jobs:sees", str(broken), what=str(broken), time_limit_s=20.0
                )
            except PartUnreadable as error:
                seen = error
            answers.append(type(seen).__name__)
            if isinstance(seen, PartUnreadable):
                assert str(broken) in str(seen)
        (seen,) = kernel.items("kernel_jobs:sees", str(shared_parts / "plain_pin.step"), what="x")
        assert len(seen) == 1
    finally:
        kernel.close()
    # Were the damage never noticed, or all refused alike, this test would show nothing.
    assert {"list", "PartUnreadable"} <= set(answers)
