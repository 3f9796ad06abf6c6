"""The public list of the floor, against what it holds."""

from __future__ import annotations

from railwright import supply


def test_every_public_name_is_there_documented_and_in_order() -> None:
    assert supply.__all__ == sorted(supply.__all__, key=lambda name: (not name.isupper(), name[0].islower(), name))
    for name in supply.__all__:
        thing = getattr(supply, name)
        assert name.isupper() or thing.__doc__, name
