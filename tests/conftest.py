"""What tests of every room may use."""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# no test measures time, and the same commit gives the same result
settings.register_profile(
    "suite", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("suite")

CHECKOUT = Path(__file__).resolve().parents[1]


def shared_parts_folder() -> Path:
    """Where the real STEP parts are: $TURNABILITY_SHARED_PARTS, else beside the checkout."""
    given = os.environ.get("TURNABILITY_SHARED_PARTS")
    return Path(given) if given else CHECKOUT.parent / "shared" / "parts"


def pytest_configure(config: pytest.Config) -> None:
    """Refuse to begin in CI without the real parts; workers of xdist are never begun then.

    A run that leaves their tests out by its marker expression needs none.
    """
    folder = shared_parts_folder()
    in_ci = os.environ.get("CI", "").lower() in ("1", "true", "yes")
    if not in_ci or (folder / "manifest.csv").is_file():
        return
    if "not shared_parts" not in config.option.markexpr:
        raise pytest.UsageError(
            f"in CI the real parts must be there, and {folder} has none of them; set "
            "TURNABILITY_SHARED_PARTS to their folder, or leave their tests out by "
            "-m 'not shared_parts'"
        )


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip what needs the real parts where they are missing."""
    folder = shared_parts_folder()
    if (folder / "manifest.csv").is_file():
        return
    for item in items:
        if item.get_closest_marker("shared_parts"):
            item.add_marker(pytest.mark.skip(reason=f"no real parts in {folder}"))


@pytest.fixture(scope="session")
def shared_parts() -> Path:
    """The folder of the real STEP parts; the test carries the marker `shared_parts`."""
    folder = shared_parts_folder()
    if not (folder / "manifest.csv").is_file():
        pytest.skip(f"no real parts in {folder}")
    return folder


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Callable[[Path], Any], Path], Any]:
    """What a function makes of a file, made once for all tests of a run in all its processes."""
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    known: dict[str, Any] = {}

    def made(make: Callable[[Path], Any], file: Path) -> Any:
        name = f"{make.__name__}-{hashlib.sha256(str(file).encode()).hexdigest()[:16]}.pickle"
        if name not in known:
            kept = folder / name
            if not kept.exists():
                beside = folder / f"{name}.{os.getpid()}"
                beside.write_bytes(pickle.dumps(make(file)))
                beside.replace(kept)
            known[name] = pickle.loads(kept.read_bytes())
        return known[name]

    return made


@pytest.fixture(scope="session")
def parts_of(once: Any) -> Callable[[Path], tuple[Any, ...]]:
    """The parts of a STEP file as `read_parts` gives them; the file is never changed."""
    from turnability.part.apart.child import read_parts

    return lambda file: once(read_parts, file)


@pytest.fixture(scope="session")
def reports_of(once: Any) -> Callable[[Path], tuple[Any, ...]]:
    """What `analyze_all` says of a STEP file in the starter shop, with the intent beside it."""
    from turnability.analysis import analyze_all
    from turnability.report import Report

    def all_of(file: Path) -> tuple[Any, ...]:
        made = once(analyze_all, file)
        assert made
        assert all(isinstance(report, Report) for report in made), made
        return tuple(made)

    return all_of
