"""How much work a search may cost before it is given up, shared among the attempts of one solve."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from railwright.solver.failure import TOO_LONG, NoProvableAnswer

#: In steps of the kernel: a switching, a look at one pattern, a system of a small implicit step, a pattern built.
SWITCHING, LOOK, SYSTEM, BUILD = 8, 2, 4, 34
#: Steps where the number of periods is limited already: a supply switched on, or off.
PATIENT: Final = 10**9


@dataclass
class Budget:
    """Steps that may be taken, of its own and of the budget that it is part of."""

    steps: int
    of: Budget | None = None
    spent: int = field(default=0, init=False)

    @property
    def left(self) -> int:
        """Steps that may still be taken; at least one."""
        left = max(self.steps - self.spent, 1)
        return left if self.of is None else min(left, self.of.left)

    def share(self, steps: int) -> Budget:
        """A part for one attempt."""
        return Budget(steps, of=self)

    def spend(self, steps: int) -> None:
        """Count steps; a search that takes far more of them than any supply needs is given up.

        Raises
        ------
        NoProvableAnswer
            When this budget, or the whole, is spent.
        """
        self.spent += steps
        if self.of is not None:
            self.of.spend(steps)
        if self.spent >= self.steps:  # what the kernel did with the last of them is not to be trusted
            raise NoProvableAnswer(TOO_LONG.format(steps=self.steps))
