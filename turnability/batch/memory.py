"""What earlier runs found: one SQLite file with results, geometry and history.

It holds Python pickles, so only a file that one's own runs have written may be opened: whoever can
write to it can run code as the one who opens it.
"""

from __future__ import annotations

import json
import pickle
import sqlite3
import time
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from turnability.batch.model import Judged, Key, Result
from turnability.errors import OutputUnwritable, TurnabilityError
from turnability.part.model import Part

_V1 = """
CREATE TABLE geometry (
    content TEXT, program TEXT, parts BLOB NOT NULL, PRIMARY KEY (content, program)
);
CREATE TABLE result (
    id INTEGER PRIMARY KEY, content TEXT, intent TEXT, shop TEXT, program TEXT,
    seconds REAL, attempts INTEGER, unusable INTEGER,
    UNIQUE (content, intent, shop, program)
);
CREATE TABLE solid (
    result INTEGER REFERENCES result (id), solid INTEGER, judged BLOB, document BLOB, drawing BLOB,
    PRIMARY KEY (result, solid)
);
CREATE TABLE run (
    id INTEGER PRIMARY KEY, name TEXT, began REAL, ended REAL, whole INTEGER
);
CREATE TABLE entry (
    run INTEGER REFERENCES run (id), path TEXT, result INTEGER, content TEXT,
    PRIMARY KEY (run, path)
) WITHOUT ROWID;
"""
_V2 = """
ALTER TABLE entry ADD COLUMN new INTEGER NOT NULL DEFAULT 0;
ALTER TABLE entry ADD COLUMN fixed INTEGER NOT NULL DEFAULT 0;
ALTER TABLE run ADD COLUMN counts TEXT;
CREATE INDEX entry_result ON entry (result);
"""
_V3 = """
ALTER TABLE run ADD COLUMN newest INTEGER;
CREATE TABLE enough (
    outline TEXT, shop TEXT, program TEXT, tools TEXT, helpers TEXT,
    PRIMARY KEY (outline, shop, program, tools)
) WITHOUT ROWID;
"""
_V4 = """
CREATE TABLE crib (
    id INTEGER PRIMARY KEY, asked TEXT UNIQUE, program TEXT, unproven INTEGER, found TEXT
);
"""
STEPS = (_V1, _V2, _V3, _V4)
"""Step n makes version n of the schema from version n - 1; none is ever changed."""


_RUNS_TOLD = 100
_PARTIAL_RUNS = 50
_CRIBS = 8
"""Answers of so many latest states of the repository are kept, for one may come back."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One file in one run: the result that held for it, and its content's hash."""

    path: str
    result: int
    content: str
    new: int = 0
    fixed: int = 0


@dataclass(frozen=True, slots=True)
class Run:
    """One run that ended; times in seconds since 1970. `counts` is JSON, for trends."""

    id: int
    name: str | None
    began: float
    ended: float
    counts: str | None


class Memory:
    """The open file. For one thread. Its methods raise OutputUnwritable in trouble."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._told():
            path.parent.mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(path, isolation_level=None, timeout=10.0)
            self._db.execute("PRAGMA journal_mode = WAL")
            self._db.execute("PRAGMA synchronous = NORMAL")
            (version,) = self._db.execute("PRAGMA user_version").fetchone()
        if version > len(STEPS):
            self._db.close()
            cause = f"it is of version {version}, and this turnability knows {len(STEPS)}"
            raise TurnabilityError(
                str(path), cause, "Use a newer turnability, or move the file away to begin anew"
            )
        with self._told():
            for number in range(version, len(STEPS)):
                script = f"BEGIN IMMEDIATE; {STEPS[number]} PRAGMA user_version = {number + 1}; "
                self._db.executescript(script + "COMMIT;")

    def close(self) -> None:
        """Close the file; what was put is in it."""
        self._db.close()

    @contextmanager
    def together(self) -> Iterator[None]:
        """Many changes as one: all of them are kept, or none."""
        with self._told():
            self._db.execute("BEGIN")
        try:
            yield
        except BaseException:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise
        with self._told():
            self._db.execute("COMMIT")

    def result_of(self, key: Key) -> int | None:
        """The number of the result under a key, if it is known."""
        row = self._row(
            "SELECT id FROM result WHERE content = ? AND intent = ? AND shop = ? AND program = ?",
            (key.content, key.intent, key.shop, key.program),
        )
        return None if row is None else int(row[0])

    def put(self, key: Key, result: Result) -> int:
        """Keep a result and its geometry, whole; its number."""
        names = (key.content, key.intent, key.shop, key.program)
        with self.together(), self._told():
            old = self.result_of(key)
            if old is not None:
                self._db.execute("DELETE FROM solid WHERE result = ?", (old,))
                self._db.execute("DELETE FROM result WHERE id = ?", (old,))
            made = self._db.execute(
                "INSERT INTO result VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (old, *names, result.seconds, result.attempts, result.unusable),
            )
            number = int(made.lastrowid or 0)
            self._db.executemany(
                "INSERT INTO solid VALUES (?, ?, ?, ?, ?)",
                [
                    (
                        number,
                        one.solid,
                        _packed(replace(one, document="", drawing="")),
                        zlib.compress(one.document.encode()),
                        zlib.compress(one.drawing.encode()),
                    )
                    for one in result.judged
                ],
            )
            if result.parts is not None:
                self._db.execute(
                    "INSERT OR REPLACE INTO geometry VALUES (?, ?, ?)",
                    (key.content, key.program, _packed(result.parts)),
                )
        return number

    def parts_of(self, content: str, program: str) -> tuple[Part, ...] | None:
        """The geometry of a file, if this very program has read it."""
        row = self._row(
            "SELECT parts FROM geometry WHERE content = ? AND program = ?", (content, program)
        )
        parts: tuple[Part, ...] | None = None if row is None else _unpacked(row[0])
        return parts

    def judged(self, result: int) -> tuple[Judged, ...]:
        """The solids of a result, without their documents and drawings."""
        rows = self._rows("SELECT judged FROM solid WHERE result = ? ORDER BY solid", (result,))
        return tuple(_unpacked(row[0]) for row in rows)

    def texts(self, result: int) -> Mapping[int, tuple[str, str]]:
        """The JSON and the SVG of each solid of a result, by its number."""
        rows = self._rows("SELECT solid, document, drawing FROM solid WHERE result = ?", (result,))
        return {
            solid: (zlib.decompress(d).decode(), zlib.decompress(s).decode())
            for solid, d, s in rows
        }

    def enough(
        self, outline: str, shop: str, program: str
    ) -> list[tuple[frozenset[str], frozenset[str] | None]]:
        """Tools that a part was planned anew with, and those that its sheet then needs.

        None where that sheet is worse than the one it has.
        """
        rows = self._rows(
            "SELECT tools, helpers FROM enough WHERE outline = ? AND shop = ? AND program = ?",
            (outline, shop, program),
        )
        return [(frozenset(json.loads(t)), h and frozenset(json.loads(h))) for t, h in rows]

    def put_enough(
        self,
        found: Iterable[tuple[str, frozenset[str], frozenset[str] | None]],
        shop: str,
        program: str,
    ) -> None:
        """Keep what was found: the part's name, tools tried, tools needed."""
        rows = [
            (o, shop, program, json.dumps(sorted(t)), None if h is None else json.dumps(sorted(h)))
            for o, t, h in found
        ]
        with self.together(), self._told():
            self._db.executemany("INSERT OR REPLACE INTO enough VALUES (?, ?, ?, ?, ?)", rows)

    def key_of(self, result: int) -> Key | None:
        """What a result rests on."""
        row = self._row("SELECT content, intent, shop, program FROM result WHERE id = ?", (result,))
        return None if row is None else Key(*row)

    def crib(self, asked: str) -> str | None:
        """What was found when the same was asked of all parts together."""
        row = self._row("SELECT found FROM crib WHERE asked = ?", (asked,))
        return None if row is None else str(row[0])

    def put_crib(self, asked: str, program: str, unproven: bool, found: str) -> None:
        """Keep what was found; `unproven`: not all of it could be shown."""
        with self.together(), self._told():
            self._db.execute(
                "INSERT OR REPLACE INTO crib (asked, program, unproven, found) VALUES (?, ?, ?, ?)",
                (asked, program, unproven, found),
            )
            self._db.execute(
                "DELETE FROM crib WHERE id NOT IN (SELECT id FROM crib ORDER BY id DESC LIMIT ?)",
                (_CRIBS,),
            )

    def unusable(self) -> frozenset[int]:
        """The results of which something could not be used."""
        return frozenset(r[0] for r in self._rows("SELECT id FROM result WHERE unusable", ()))

    def forget_unusable(self) -> None:
        """Let no look-up find what could not be used or shown, so that it is tried again."""
        with self._told():
            self._db.execute("DELETE FROM crib WHERE unproven")
            self._db.execute(
                "UPDATE result SET program = program || ' given up ' || id, unusable = 0 "
                "WHERE unusable"
            )

    def begin(self, name: str | None, whole: bool) -> int:
        """A new run; `whole` is False where it looks at some of the files only."""
        with self._told():
            made = self._db.execute(
                "INSERT INTO run (name, began, whole, newest) "
                "VALUES (?, ?, ?, (SELECT max(id) FROM result))",
                (name, time.time(), whole),
            )
        return int(made.lastrowid or 0)

    def end(self, run: int, entries: Iterable[Entry], counts: str) -> None:
        """What held for each file, all at once: a run that did not get here has no entries."""
        with self.together(), self._told():
            self._db.executemany(
                "INSERT INTO entry (run, path, result, content, new, fixed) VALUES (?,?,?,?,?,?)",
                [(run, e.path, e.result, e.content, e.new, e.fixed) for e in entries],
            )
            self._db.execute(
                "UPDATE run SET ended = ?, counts = ? WHERE id = ?", (time.time(), counts, run)
            )

    def tidy(self, run: int) -> None:
        """Forget what no later run can ask for, now that this one, a whole one, has ended.

        What held for each file is kept of the last two whole runs, of those with a name and of the
        last runs over some files; of older ones what changed, for feeds, and their counts. Results
        that none of these has and that were there before this run began go, and their geometry.
        """
        others = "SELECT id FROM run WHERE id <> ? AND NOT (name IS NOT NULL AND whole)"
        with self.together(), self._told():
            ask = self._db.execute
            last = f"({others} AND whole AND ended IS NOT NULL ORDER BY id DESC LIMIT %d)"
            older = (
                f"run IN ({others}) AND run NOT IN (SELECT id FROM {last % 1}) "
                "AND run IN (SELECT id FROM run WHERE whole)"
            )
            ask(f"DELETE FROM entry WHERE new + fixed = 0 AND {older}", (run, run))
            ask(f"UPDATE entry SET result = NULL WHERE result IS NOT NULL AND {older}", (run, run))
            ask(
                f"DELETE FROM entry WHERE run IN ({others}) AND run NOT IN "
                f"(SELECT id FROM {last % _RUNS_TOLD}) AND run IN (SELECT id FROM run WHERE whole)",
                (run, run),
            )
            ask(
                "DELETE FROM entry WHERE run IN (SELECT id FROM run WHERE NOT whole ORDER BY id "
                "DESC LIMIT -1 OFFSET ?)",
                (_PARTIAL_RUNS,),
            )
            old = (
                "SELECT id FROM result WHERE id <= (SELECT newest FROM run WHERE id = ?) "
                "AND id NOT IN (SELECT result FROM entry WHERE result IS NOT NULL)"
            )
            ask(f"DELETE FROM solid WHERE result IN ({old})", (run,))
            ask(f"DELETE FROM result WHERE id IN ({old})", (run,))
            ask(
                "DELETE FROM geometry WHERE NOT EXISTS (SELECT 1 FROM result WHERE "
                "result.content = geometry.content AND result.program = geometry.program)"
            )
            for table in ("enough", "crib"):
                ask(
                    f"DELETE FROM {table} WHERE program NOT IN "
                    "(SELECT DISTINCT program FROM result)"
                )

    def runs(self) -> tuple[Run, ...]:
        """All whole runs that ended, the oldest first."""
        columns = "id, name, began, ended, counts"
        rows = self._rows(
            f"SELECT {columns} FROM run WHERE ended IS NOT NULL AND whole ORDER BY id", ()
        )
        return tuple(Run(*row) for row in rows)

    def entries(self, run: int) -> dict[str, Entry]:
        """The files of a run by path."""
        rows = self._rows(
            "SELECT path, result, content, new, fixed FROM entry WHERE run = ? ORDER BY path",
            (run,),
        )
        return {row[0]: Entry(*row) for row in rows}

    def changes(self, most: int) -> tuple[tuple[int, float, str, int, int], ...]:
        """The latest changes: run, when it ended, path, how many findings are new and fixed."""
        rows = self._rows(
            "SELECT run.id, run.ended, entry.path, entry.new, entry.fixed FROM entry "
            "JOIN run ON run.id = entry.run WHERE run.whole AND entry.new + entry.fixed > 0 "
            "ORDER BY run.id DESC, entry.path LIMIT ?",
            (most,),
        )
        return tuple(rows)

    def _row(self, query: str, values: tuple[object, ...]) -> Any:
        with self._told():
            return self._db.execute(query, values).fetchone()

    def _rows(self, query: str, values: tuple[object, ...]) -> list[Any]:
        with self._told():
            return self._db.execute(query, values).fetchall()

    @contextmanager
    def _told(self) -> Iterator[None]:
        """SQLite's errors in words: a full disk, a folder that is gone, a file that is none."""
        try:
            yield
        except sqlite3.DatabaseError as fault:
            remedy = "Free some space, or move the file away to begin anew, and run it again"
            raise OutputUnwritable(
                str(self.path), f"it cannot be used ({fault})", remedy
            ) from fault
        except OSError as fault:
            cause = f"it cannot be made ({fault.strerror or fault})"
            raise OutputUnwritable(str(self.path), cause, "Choose another folder") from fault


def _packed(value: object) -> bytes:
    return zlib.compress(pickle.dumps(value, pickle.HIGHEST_PROTOCOL), 1)


def _unpacked(data: bytes) -> Any:
    return pickle.loads(zlib.decompress(data))
