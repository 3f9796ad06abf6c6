"""The commands: each reads its words, calls what does the work, and shows the answer."""

from railwright.cli.entry import railwright, run

__all__ = ["railwright", "run"]
