"""How large, how long, how many: the limits of what one browser may ask of the app."""

from __future__ import annotations

from typing import Final

MAIN_PORT: Final = 8437  # always the same, because a browser keeps a page's work by its address
PORTS_TRIED: Final = 10  # when the first is taken and none was asked for
LARGEST_BODY: Final = 400_000  # bytes of one request
LONGEST_SHEET: Final = 100_000  # characters; a sheet has some thousand
DEEPEST_JSON: Final = 12  # brackets in brackets; the deepest request has four
LONGEST_NUMBER: Final = 30  # characters of one number
MOST_PARTS: Final = 60  # of a supply; a circuit of more takes longer than anybody drags a slider
DISCARDED: Final = 4_000_000  # bytes of a refused request that are taken in and forgotten
DISCARD_SECONDS: Final = 2.0
BODY_SECONDS: Final = 10.0  # for a request's body to arrive
ANSWER_SECONDS: Final = 20.0  # for one solve with its picture
MAKING_SECONDS: Final = 900.0  # for one film
CANCEL_SECONDS: Final = 1.5  # for a piece of work to end of itself when it is told to
WORKERS: Final = 2
WAITING: Final = 48  # questions in the queue; more are told to come back
MOST_JOBS: Final = 6  # things in the making at once
KEPT_JOBS: Final = 12  # finished things whose files are kept
KEPT_BYTES: Final = 300_000_000  # of all of them together
MEMORY: Final = 3_000_000_000  # bytes of address space of one worker
FILE_BYTES: Final = 200_000_000  # largest file that a worker may write
KEPT_ANSWERS: Final = 200  # of the same question, by whoever asked it
