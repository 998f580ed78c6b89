"""Of two threads on either side of a collar each is cut from its own end, by hand."""

from test_plans_by_hand import STARTER, plan

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, StatedThread
from turnability.rules.drawn import drawn_part
from turnability.setups.operations.threading import threads_of

STUD = [
    *((0, 0), (120, 0), (120, 7), (119, 8), (99, 8), (99, 6.5), (95, 6.5), (95, 10)),
    *((25, 10), (25, 6.5), (21, 6.5), (21, 8), (1, 8), (0, 7)),
]
"""M16 at both ends of ⌀20, each with its relief."""


def _thread(*z_mm: float) -> StatedThread:
    place = Named(diameter_mm=(16.0, 16.0), z_mm=z_mm, side="outer")
    return StatedThread(place=place, designation="M16")


def test_a_thread_behind_the_collar_waits_until_the_stud_is_turned_round() -> None:
    """By hand: it is turned round for its face anyway. Begun in the relief behind the collar it
    would be fed blind toward the jaws; from its own end the point starts in the open. The ⌀16 that
    no thread is stated on stays where it is cut first. Held at the far end of its ⌀20, 3.7 times
    its diameter would hang free, where 3 go well: the collet takes it 2 mm from the shoulder."""
    threads = Intent(threads=(_thread(1.0, 21.0), _thread(99.0, 119.0)))
    for intent, at in ((threads, [1, 2]), (None, [1, 1])):
        made = plan(STUD, STARTER, intent=intent)
        assert [s.toward_chuck for s in made.setups] == ["low", "high"]
        assert made.setups[1].grip.z_mm == (27.0, 54.0)
        assert [
            next(s.order for s in made.setups for o in s.operations if name in o.segments)
            for name in ("S4", "S12")
        ] == at


def test_two_threads_on_one_rod_are_each_as_long_as_stated_and_cut_from_its_end() -> None:
    """By hand: a rod of ⌀16 is turned over its whole length in the first chucking, M16 cut on 24 mm
    of its free end; the same on the other end waits until that is free."""
    rod = [(0, 0), (100, 0), (100, 7), (99, 8), (1, 8), (0, 7)]
    threads = Intent(threads=(_thread(1.0, 25.0), _thread(75.0, 99.0)))
    report = walk(drawn_part(rod), STARTER, intent=threads)
    told = [
        (s.toward_chuck, f.z_mm)
        for s in report.setups
        for f in threads_of(report.features, report.setups, s, report.part.profile)
    ]
    assert told == [("low", (75.0, 99.0)), ("high", (1.0, 25.0))]
