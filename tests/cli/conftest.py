"""Sheets on disk, and a way to type commands at them."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from railwright.cli import railwright
from typed_commands import Answer, Run

#: A bridge straight on an adapter, no capacitor: at model `ideal` every reading has a closed form.
UNFILTERED = """\
title = "Workshop bridge [no filter]"

[mains]
voltage = "9 V"
frequency = "50 Hz"
source = "adapter"

[rectifier]
circuit = "bridge"

[load]
resistance = "100 ohm"
"""

#: The harbour's tide-gauge logger in short: a winding, a bridge, a reservoir, a current.
FILTERED = """\
title = "Tide gauge"

[mains]
voltage = "230 V"
frequency = "50 Hz"

[transformer]
secondary_voltage = "9 V"
secondary_resistance = "0.8 ohm"

[rectifier]
circuit = "bridge"

[[filter]]
capacitor = "2200 uF"

[load]
resistance = "47 ohm"
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Type a command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def typed(*words: str) -> Answer:
        result = CliRunner().invoke(railwright, list(words), prog_name="railwright")
        assert "Traceback" not in result.output
        return Answer(code=result.exit_code, out=result.stdout, err=result.stderr)

    return typed


@pytest.fixture
def unfiltered(tmp_path: Path) -> str:
    (tmp_path / "unfiltered.toml").write_text(UNFILTERED, encoding="utf-8")
    return "unfiltered.toml"


@pytest.fixture
def filtered(tmp_path: Path) -> str:
    (tmp_path / "filtered.toml").write_text(FILTERED, encoding="utf-8")
    return "filtered.toml"
