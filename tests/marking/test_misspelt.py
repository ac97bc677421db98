"""``[hands]`` names that nothing has: told where they are nearly a name that stands in the score."""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.cli.main import main

SOURCE = '\\version "2.24.0"\n\\new PianoStaff << \\new Staff = "upper" { c\'4 } \\new Staff = "lower" { c4 } >>\n'


@pytest.mark.parametrize(
    ("name", "told"),
    [("uper", '"upper"'), ("uper:down", '"upper"'), ("upper", None), ("lower:up", None), ("solo", None)],
)
def test_a_slip_of_the_pen_is_told_with_its_place(
    name: str, told: str | None, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lyfinger.toml").write_text(f'[hands]\n"{name}" = "right"\n', encoding="utf-8")
    (tmp_path / "a.ly").write_text(SOURCE, encoding="utf-8")
    assert main(["mark", str(tmp_path / "a.ly")]) == 0
    said = capfd.readouterr().err
    if told is None:
        assert "unknown-hand-name" not in said
    else:
        assert f"is {told} meant? [unknown-hand-name]" in said
        assert "lyfinger.toml:2:1: warning: nothing is called" in said


@pytest.mark.parametrize(
    ("name", "told"), [("uper", '"upper"'), ("Uppr", '"upper"'), ("upper", None), ("UP*", None), ("flute", None)]
)
def test_so_is_one_of_the_harps_staves(
    name: str, told: str | None, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lyfinger.toml").write_text(f'[hands]\nstaves = ["{name}"]\n', encoding="utf-8")
    (tmp_path / "a.ly").write_text(SOURCE, encoding="utf-8")
    assert main(["mark", str(tmp_path / "a.ly")]) == 0
    said = capfd.readouterr().err
    assert ("unknown-hand-name" in said) == (told is not None)
    if told:
        assert f'lyfinger.toml:2:1: warning: no staff is called "{name}" here; is {told} meant?' in said
