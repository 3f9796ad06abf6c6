"""`python -m railwright` is the same as `railwright`."""

from railwright.cli import run

if __name__ == "__main__":
    raise SystemExit(run())
