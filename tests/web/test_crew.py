"""Workers: done, told, too long, too large, lost, ended, busy; and the next piece is done all the same."""

from __future__ import annotations

import asyncio
import os
import threading
import time
from collections.abc import Callable, Iterator

import pytest

from railwright.web.answering import Refused
from railwright.web.crew import Busy, Crew, Defect, Ended, Lost, TookTooLong, TooLarge, Work

pytestmark = pytest.mark.anyio
LONG = 60.0


def doubled(number: int) -> int:
    return 2 * number


def sleeping(seconds: float) -> str:
    time.sleep(seconds)
    return "slept"


def greedy() -> int:
    return len(bytearray(40_000_000_000))


def dying() -> None:
    os._exit(3)


def refusing() -> None:
    raise Refused("no", "sheet", ({"key": "load"},))


def breaking() -> None:
    raise ZeroDivisionError("of mine")


def counting(count: int, report: Callable[[float, str], None]) -> int:
    for k in range(count):
        report(k / count, f"step {k}")
        time.sleep(0.002)
    return count


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    found = Crew(1, waiting=1, memory=2_000_000_000)
    yield found
    found.close()


async def test_work_is_done_in_another_process(crew: Crew) -> None:
    assert await crew.do(Work(call=doubled, arguments=(21,), seconds=LONG)) == 42
    assert await crew.do(Work(call=os.getpid, seconds=LONG)) != os.getpid()


async def test_work_that_takes_too_long_is_ended_and_the_next_is_done(crew: Crew) -> None:
    await crew.do(Work(call=doubled, arguments=(1,), seconds=LONG))
    began = time.monotonic()
    with pytest.raises(TookTooLong):
        await crew.do(Work(call=sleeping, arguments=(60.0,), seconds=0.3))
    assert time.monotonic() - began < 10.0
    assert await crew.do(Work(call=doubled, arguments=(2,), seconds=LONG)) == 4


async def test_work_that_wants_too_much_memory_is_ended(crew: Crew) -> None:
    pytest.importorskip("resource", reason="no memory limit on this system")
    with pytest.raises(TooLarge):
        await crew.do(Work(call=greedy, seconds=LONG))
    assert await crew.do(Work(call=doubled, arguments=(3,), seconds=LONG)) == 6


async def test_a_worker_that_dies_is_replaced(crew: Crew) -> None:
    with pytest.raises(Lost):
        await crew.do(Work(call=dying, seconds=LONG))
    assert await crew.do(Work(call=doubled, arguments=(4,), seconds=LONG)) == 8


async def test_what_the_work_raises_comes_back_with_its_facts(crew: Crew) -> None:
    with pytest.raises(Refused) as caught:
        await crew.do(Work(call=refusing, seconds=LONG))
    assert (caught.value.sentence, caught.value.kind, caught.value.faults) == ("no", "sheet", ({"key": "load"},))
    with pytest.raises((ZeroDivisionError, Defect), match="of mine"):
        await crew.do(Work(call=breaking, seconds=LONG))


async def test_work_tells_how_far_it_is_and_may_be_ended(crew: Crew) -> None:
    told: list[tuple[float, str]] = []
    work = Work(call=counting, arguments=(5,), seconds=LONG, reports=True)
    assert await crew.do(work, told=lambda done, words: told.append((done, words))) == 5
    assert [done for done, _ in told] == [0.0, 0.2, 0.4, 0.6, 0.8]
    assert told[0][1] == "step 0"
    with pytest.raises(TookTooLong):
        await crew.do(Work(call=counting, arguments=(100_000,), seconds=0.5, reports=True))
    stop = threading.Event()
    with pytest.raises(Ended):
        await crew.do(
            Work(call=counting, arguments=(100_000,), seconds=LONG, reports=True),
            told=lambda done, words: stop.set(), stop=stop,
        )  # fmt: skip
    assert await crew.do(Work(call=doubled, arguments=(5,), seconds=LONG)) == 10


async def test_work_that_does_not_listen_is_ended_all_the_same(crew: Crew) -> None:
    stop = threading.Event()
    task = asyncio.ensure_future(crew.do(Work(call=sleeping, arguments=(60.0,), seconds=LONG), stop=stop))
    await asyncio.sleep(0.2)
    began = time.monotonic()
    stop.set()
    with pytest.raises(Ended):
        await task
    assert time.monotonic() - began < 10.0


async def test_when_enough_waits_one_more_is_told_to_come_back(crew: Crew) -> None:
    one, two = (asyncio.ensure_future(crew.do(Work(call=sleeping, arguments=(0.4,), seconds=LONG))) for _ in range(2))
    await asyncio.sleep(0.05)
    with pytest.raises(Busy):
        await crew.do(Work(call=doubled, arguments=(6,), seconds=LONG))
    assert await one == await two == "slept"
    assert await crew.do(Work(call=doubled, arguments=(7,), seconds=LONG)) == 14
