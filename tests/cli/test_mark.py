"""``lyfinger mark`` as a user types it: exit status, both streams, bytes on disk."""

from __future__ import annotations

import os
import stat
import subprocess
from pathlib import Path

import pytest

from lyfinger.cli.main import main
from lyfinger.marking.plan import Plan, prove
from lyfinger.marking.proof import Outcome
from lyfinger.marking.spread import Spread
from lyfinger.source.library import Library
from lyfinger.source.text import SourceFile

from .conftest import NOTES, NOTES_MARKED, PART, SCORE, SINGLE, SINGLE_MARKED, Result, Run, snapshot

BYTES = Path(__file__).parent.parent / "fixtures" / "bytes"
REFUSED_BYTES = {"nul.ly", "utf16.ly", "utf16-without-mark.ly"}


def test_one_file_goes_to_standard_output(run: Run, repository: Path) -> None:
    before = snapshot(repository)
    assert run("mark", "single.ly") == Result(0, SINGLE_MARKED, b"")
    assert snapshot(repository) == before


def test_a_filter(run: Run) -> None:
    assert run("mark", "-", stdin=SINGLE) == Result(0, SINGLE_MARKED, b"")
    assert run("mark", "-", "-o", "-", stdin=SINGLE) == Result(0, SINGLE_MARKED, b"")


def test_the_result_is_locked_and_a_second_run_changes_nothing(run: Run) -> None:
    assert run("mark", "-", stdin=SINGLE_MARKED) == Result(0, SINGLE_MARKED, b"")


def test_output_to_a_file(run: Run, repository: Path) -> None:
    assert run("mark", "single.ly", "-o", "out.ly") == Result(0, b"", b"")
    assert (repository / "out.ly").read_bytes() == SINGLE_MARKED
    assert (repository / "single.ly").read_bytes() == SINGLE


@pytest.mark.parametrize("output", [[], ["-o", "out.ly"]])
def test_included_notes_that_stay_unmarked_are_counted(run: Run, output: list[str]) -> None:
    result = run("mark", "parts/harp.ly", *output)
    assert result.status == 0
    assert result.out == (b"" if output else PART)
    assert result.lines == [
        "parts/harp.ly: 8 notes lie in included files and stay unmarked (--output-dir or --in-place marks them too)"
    ]


def test_standard_input_has_a_name_for_includes_and_messages(run: Run) -> None:
    result = run("mark", "-", "--stdin-filename", "parts/new.ly", stdin=PART)
    assert (result.status, result.out) == (0, PART)
    assert result.lines[0].startswith("parts/new.ly: 8 notes lie in included files")
    nameless = run("mark", "-", stdin=PART)
    assert nameless.status == 2
    assert len(nameless.lines) == 1
    assert nameless.lines[0].startswith("-:2:")


def test_output_dir_mirrors_the_tree(run: Run, repository: Path) -> None:
    assert run("mark", "parts/harp.ly", "scores/full.ly", "single.ly", "--output-dir", "build") == Result(0, b"", b"")
    assert snapshot(repository / "build") == {
        "notes/tune.ily": NOTES_MARKED,
        "parts/harp.ly": PART,
        "scores/full.ly": SCORE,
        "single.ly": SINGLE_MARKED,
    }
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES


def test_output_dir_can_be_filled_root_by_root(run: Run, repository: Path) -> None:
    for name in ("parts/harp.ly", "scores/full.ly", "parts/harp.ly"):
        assert run("mark", name, "--output-dir", "build") == Result(0, b"", b"")
    assert snapshot(repository / "build") == {
        "notes/tune.ily": NOTES_MARKED,
        "parts/harp.ly": PART,
        "scores/full.ly": SCORE,
    }


def test_other_digits_for_a_shared_file_are_refused(run: Run, repository: Path) -> None:
    assert run("mark", "parts/harp.ly", "--output-dir", "build").status == 0
    before = snapshot(repository / "build")
    other = SCORE.replace(b"\\rightHand", b"{ \\tempo 4 = 60 g'4-1 \\rightHand }").replace(b"LH", b"RH2")
    (repository / "scores" / "full.ly").write_bytes(other)
    result = run("mark", "scores/full.ly", "--output-dir", "build")
    assert result.status == 2
    assert result.lines == [
        "lyfinger: notes/tune.ily would get other digits from scores/full.ly than parts/harp.ly gave it: "
        "mark both in one run"
    ]
    assert snapshot(repository / "build") == before
    assert run("mark", "parts/harp.ly", "scores/full.ly", "--output-dir", "build").status == 0


def test_pictures_are_carried_along(run: Run, repository: Path) -> None:
    (repository / "art").mkdir()
    (repository / "art" / "harp.eps").write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\r\n\xff\0")
    marked = b'\\markup \\epsfile #X #10 #"art/harp.eps"\n\\markup \\epsfile #X #10 #"art/lost.eps"\n' + SINGLE
    (repository / "single.ly").write_bytes(marked)
    result = run("mark", "single.ly", "--output-dir", "build")
    assert result.status == 0
    assert snapshot(repository / "build")["art/harp.eps"] == b"%!PS-Adobe-3.0 EPSF-3.0\r\n\xff\0"
    assert len(result.lines) == 1
    assert result.lines[0].startswith("single.ly:2:")
    assert result.lines[0].endswith(": warning: art/lost.eps is not found and not carried along [missing-picture]")


def test_the_root_is_where_the_configuration_is(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").touch()
    assert run("mark", "./harp.ly", "--output-dir", "../build", folder="parts") == Result(0, b"", b"")
    assert sorted(snapshot(repository / "build")) == ["notes/tune.ily", "parts/harp.ly"]


def test_root_can_be_named(run: Run, repository: Path) -> None:
    assert run("mark", "./harp.ly", "--output-dir", "../build", "--root", "..", folder="parts") == Result(0, b"", b"")
    assert sorted(snapshot(repository / "build")) == ["notes/tune.ily", "parts/harp.ly"]


def test_a_file_outside_the_root_is_refused(run: Run, repository: Path) -> None:
    result = run("mark", "parts/harp.ly", "--output-dir", "build", "--root", "parts")
    assert result.status == 2
    assert result.lines == [
        f"lyfinger: {repository}/notes/tune.ily lies outside the root {repository}/parts; "
        "name a folder above both with --root"
    ]
    assert not (repository / "build").exists()


def test_in_place_covers_every_file_reached_and_is_accepting(run: Run, repository: Path) -> None:
    (repository / "notes" / "tune.ily").chmod(0o640)
    (repository / "parts" / "harp.ly").chmod(0o400)  # nothing to write there
    assert run("mark", "--in-place", "parts/harp.ly", "single.ly") == Result(0, b"", b"")
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES_MARKED
    assert stat.S_IMODE((repository / "notes" / "tune.ily").stat().st_mode) == 0o640
    assert (repository / "single.ly").read_bytes() == SINGLE_MARKED
    after = snapshot(repository)
    assert run("mark", "--in-place", "parts/harp.ly", "single.ly") == Result(0, b"", b"")
    assert snapshot(repository) == after


def test_in_place_leaves_an_unchanged_file_untouched(run: Run, repository: Path) -> None:
    os.utime(repository / "parts" / "harp.ly", (1, 1))
    assert run("mark", "--in-place", "parts/harp.ly").status == 0
    assert (repository / "parts" / "harp.ly").stat().st_mtime == 1


def test_in_place_through_a_link(run: Run, repository: Path) -> None:
    (repository / "link.ly").symlink_to("single.ly")
    assert run("mark", "--in-place", "link.ly") == Result(0, b"", b"")
    assert (repository / "link.ly").is_symlink()
    assert (repository / "single.ly").read_bytes() == SINGLE_MARKED


def test_diff_shows_what_would_change_and_patch_agrees(run: Run, repository: Path) -> None:
    before = snapshot(repository)
    result = run("mark", "--diff", "parts/harp.ly", "single.ly")
    assert (result.status, result.err) == (1, b"")
    assert snapshot(repository) == before
    subprocess.run(["patch", "-p0", "-s"], cwd=repository, input=result.out, check=True)
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES_MARKED
    assert (repository / "single.ly").read_bytes() == SINGLE_MARKED
    assert run("mark", "--diff", "parts/harp.ly", "single.ly") == Result(0, b"", b"")


def test_diff_of_a_file_without_a_final_newline(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(SINGLE.rstrip(b"\n"))
    result = run("mark", "--diff", "single.ly")
    assert result.out.decode().splitlines() == [
        "--- single.ly",
        "+++ single.ly",
        "@@ -1,2 +1,2 @@",
        ' \\version "2.24.0"',
        "-\\new Staff = \"RH\" { c'4 d' e' f'-1 }",
        "\\ No newline at end of file",
        "+\\new Staff = \"RH\" { c'4^4 d'^3 e'^2 f'-1 }",
        "\\ No newline at end of file",
    ]


@pytest.mark.parametrize("name", sorted(path.name for path in BYTES.glob("*.ly")))
def test_bytes_stay_as_they_were(run: Run, name: str) -> None:
    data = (BYTES / name).read_bytes()
    result = run("mark", "-", stdin=data)
    if name in REFUSED_BYTES:
        assert (result.status, result.out, len(result.lines)) == (2, b"", 1)
        return
    assert result.status == 0, result.err
    unmarked = result.out
    for digit in (b"^1", b"^2", b"^3", b"^4"):
        unmarked = unmarked.replace(digit, b"")
    assert unmarked == data
    assert (result.out != data) == (name != "empty.ly")


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["single.ly", "parts/harp.ly"], "lyfinger: mark: several FILEs need --output-dir, --in-place or --diff"),
        (
            ["single.ly", "parts/harp.ly", "-o", "x"],
            "lyfinger: mark: several FILEs need --output-dir, --in-place or --diff",
        ),
        (["-", "--in-place"], "lyfinger: mark: standard input can't be marked in place"),
        (["single.ly", "--root", "."], "lyfinger: mark: --root goes with --output-dir"),
        (
            ["-", "--output-dir", "build"],
            "lyfinger: mark: standard input needs --stdin-filename to have a place below --output-dir",
        ),
        (["nothing.ly"], "lyfinger: can't read nothing.ly: No such file or directory"),
        (["parts"], "lyfinger: can't read parts: Is a directory"),
        (
            ["single.ly", "-o", "single.ly"],
            "lyfinger: single.ly is a source of this run and is not overwritten; --in-place does that",
        ),
        (["single.ly", "-o", "parts"], "lyfinger: can't write parts: Is a directory"),
        (["single.ly", "-o", "no/such/out.ly"], "lyfinger: can't write no/such/out.ly: No such file or directory"),
        (["single.ly", "--output-dir", "."], "is a source of this run and is not overwritten; --in-place does that"),
        (["single.ly", "--output-dir", "single.ly"], "lyfinger: can't make "),
        (["single.ly", "--config", "nothing.toml"], "lyfinger: can't read nothing.toml: No such file or directory"),
        (["single.ly", "--diff", "--in-place"], "not allowed with argument"),
        (["single.ly", "--hand", "huge"], "lyfinger mark: argument --hand: invalid choice"),
        ([], "lyfinger mark: the following arguments are required: FILE (see lyfinger mark --help)"),
    ],
)
def test_refusals_are_one_line_and_touch_nothing(run: Run, repository: Path, arguments: list[str], line: str) -> None:
    before = snapshot(repository)
    result = run("mark", *arguments, stdin=SINGLE)
    assert (result.status, result.out) == (2, b"")
    assert len(result.lines) == 1, result.err
    assert line in result.lines[0]
    assert snapshot(repository) == before


def test_a_missing_include_is_refused_with_its_place(run: Run, repository: Path) -> None:
    (repository / "notes" / "tune.ily").unlink()
    result = run("mark", "parts/harp.ly", "-o", "out.ly")
    assert result.status == 2
    assert len(result.lines) == 1
    assert result.lines[0].startswith("parts/harp.ly:2:")
    assert "../notes/tune.ily" in result.lines[0]
    assert not (repository / "out.ly").exists()


def test_include_directories(run: Run, repository: Path) -> None:
    (repository / "parts" / "harp.ly").write_bytes(PART.replace(b"../notes/", b""))
    assert run("mark", "parts/harp.ly").status == 2
    assert run("mark", "-I", "notes", "parts/harp.ly").status == 0
    (repository / "lyfinger.toml").write_bytes(b'include = ["notes"]')
    assert run("mark", "parts/harp.ly").status == 0
    assert run("mark", "../parts/harp.ly", folder="scores").status == 0


def test_the_configuration_counts(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_bytes(b'[hands]\nRH = "left"\n')
    assert run("mark", "single.ly").out == SINGLE_MARKED.replace(b"^", b"_")
    (repository / "other.toml").touch()
    assert run("mark", "single.ly", "--config", "other.toml").out == SINGLE_MARKED
    (repository / "lyfinger.toml").write_bytes(b'\nhand = "huge"\n')
    result = run("mark", "parts/harp.ly")
    assert result == Result(2, b"", b'lyfinger.toml:2:1: error: hand must be "small", "medium" or "large"\n')
    (repository / "lyfinger.toml").write_bytes(b'[harp]\nprofile = "lute"\n')
    assert run("mark", "single.ly").lines[0].startswith("lyfinger.toml:2:1: error: harp.profile must be one of pedal, ")


def test_strict_refuses_what_is_otherwise_a_warning(run: Run, repository: Path) -> None:
    unknown = SINGLE + b'\\new Staff = "LH" { c4 \\someThingOfMyOwn { d e } f }\n'
    (repository / "single.ly").write_bytes(unknown)
    lenient = run("mark", "single.ly")
    assert lenient.status == 0
    assert any(": warning: " in line and line.startswith("single.ly:3:") for line in lenient.lines)
    assert lenient.out.startswith(SINGLE_MARKED)
    strict = run("mark", "single.ly", "--strict", "-o", "out.ly")
    assert (strict.status, strict.out, len(strict.lines)) == (2, b"", 1)
    assert strict.lines[0].startswith("single.ly:3:")
    assert not (repository / "out.ly").exists()


def test_what_no_hand_can_play_stays_unmarked_with_a_warning(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(SINGLE.replace(b"e' f'-1", b"e' f'-1 <c' a''>1"))
    result = run("mark", "single.ly")
    assert (result.status, result.out) == (0, SINGLE_MARKED.replace(b"f'-1", b"f'-1 <c' a''>1"))
    assert len(result.lines) == 1
    assert result.lines[0].startswith("single.ly:2:37: warning: C4 to A5, a 13th, is beyond the right hand's reach")
    assert result.err.decode().replace("warning", "error") == run("check", "single.ly").out.decode()


def test_mark_words_impossible_locks_as_check_does(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(SINGLE.replace(b"f'-1", b"<c'-1 f'-2> <d'-3 g'-3>"))
    words = run("mark", "single.ly").err.decode()
    assert [line.split(": ")[2] for line in words.splitlines()] == [
        "crossed fingers",
        "finger 3 is on D4 and on G4 at once (bar 2) [finger-twice]",
    ]
    assert words.replace("warning", "error") == run("check", "single.ly").out.decode()


STRETCH = b'\\new Staff = "LH" { \\clef bass <d, f>1 c <c, e>1 }\n'


def test_a_stretch_is_marked_with_one_line_of_caution(run: Run) -> None:
    result = run("mark", "-", stdin=STRETCH)
    assert result.out == STRETCH.replace(b"<d, f>1 c <c, e>", b"<d,_4 f_1>1 c_1 <c,_4 e_1>")
    assert result.lines == [
        "-:1:33: warning: 2 stretches, the first one here, are near the limit of this hand: a digit is a suggestion; "
        "stop when it hurts; ask a teacher or a clinician (check lists them) (bar 1) [stretches]"
    ]
    assert run("mark", "-", "--hand", "large", stdin=STRETCH).err == b""


def test_no_caution_where_the_stretches_are_accepted(run: Run, repository: Path) -> None:
    assert run("mark", "-", stdin=b"% lyfinger: accept wide-chords\n" + STRETCH).err == b""
    (repository / "lyfinger.toml").write_bytes(b'[check]\nignore = ["wide-chords"]\n')
    assert run("mark", "-", stdin=STRETCH).err == b""


def test_the_hand_counts(run: Run, repository: Path) -> None:
    """A sixth is 3–1 for the medium hand and 4–1 for the small one ([T] common practice, no source)."""
    (repository / "single.ly").write_bytes(b'\\version "2.24.0"\n\\new Staff = "RH" { <c\' a\'>1 }\n')
    assert b"<c'^3 a'^1>1" in run("mark", "single.ly").out
    assert b"<c'^4 a'^1>1" in run("mark", "single.ly", "--hand", "small").out
    (repository / "lyfinger.toml").write_bytes(b'hand = "small"')
    assert b"<c'^4 a'^1>1" in run("mark", "single.ly").out
    assert b"<c'^3 a'^1>1" in run("mark", "single.ly", "--hand", "medium").out


def test_two_configurations_that_disagree_on_a_shared_file_are_refused(run: Run, repository: Path) -> None:
    (repository / "parts" / "lyfinger.toml").write_bytes(b'[hands]\nRH = "left"\nLH = "right"\n')
    before = snapshot(repository)
    result = run("mark", "parts/harp.ly", "scores/full.ly", "--in-place")
    assert (result.status, result.out) == (2, b"")
    assert result.lines == [
        "lyfinger: notes/tune.ily would get other digits from parts/harp.ly than from scores/full.ly, "
        "which has other settings"
    ]
    assert snapshot(repository) == before


def test_files_with_different_configurations_need_a_root(run: Run, repository: Path) -> None:
    (repository / "parts" / "lyfinger.toml").touch()
    result = run("mark", "parts/harp.ly", "scores/full.ly", "--output-dir", "build")
    assert result.lines == ["lyfinger: mark: these FILEs have different lyfinger.toml; say with --root what to mirror"]
    assert run("mark", "parts/harp.ly", "scores/full.ly", "--output-dir", "build", "--root", ".").status == 0


def test_a_file_that_another_program_changed_meanwhile_is_left(
    repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(repository)

    def prove_slowly(plan: Plan, library: Library, spread: Spread) -> dict[SourceFile, Outcome]:
        (repository / "single.ly").write_bytes(b"saved by an editor")
        return prove(plan, library, spread)

    monkeypatch.setattr("lyfinger.cli.mark.prove", prove_slowly)
    assert main(["mark", "--in-place", "parts/harp.ly", "single.ly"]) == 2
    assert capsys.readouterr().err == (
        "lyfinger: single.ly was changed by another program while it was read; nothing is written\n"
    )
    assert (repository / "single.ly").read_bytes() == b"saved by an editor"
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES
