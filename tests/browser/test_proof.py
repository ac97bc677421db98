"""The page of ``lyfinger proof`` in a real browser: Debian's Chromium, or Firefox (see ``browsers.py``).

Not among the tests that a plain ``pytest`` collects: it needs ``chromium`` and ``chromium-driver``, and the packages of
the extra ``browser``. ``LYFINGER_SHOTS=FOLDER`` keeps pictures of the page, to be looked at.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import time
import unicodedata
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pypdf
import pytest
from axe_core_python.selenium import Axe
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement

from tests.proofing.pages import HOSTILE, SCORE
from tests.whole.command import SAMPLES, lyfinger
from tests.whole.insertions import assert_only_digits_added

from .browsers import Browser, complaints, heard, printed, screen, started, to_desk

DIGIT = ".digit[data-digit]"


@pytest.fixture(scope="module")
def downloads(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the browser saves files."""
    return tmp_path_factory.mktemp("downloads")


@pytest.fixture(scope="module")
def browser(downloads: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    program = started(downloads, tmp_path_factory.mktemp("profile"))
    yield program
    program.quit()


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of a sample, beside a copy of the samples."""
    work = tmp_path_factory.mktemp("work") / "samples"
    shutil.copytree(SAMPLES, work)
    done = lyfinger("proof", "Parts/drunken-sailor.ly", "-o", "proof.html", folder=work)
    assert done.status == 0, done.err
    return work / "proof.html"


def _small(folder: Path, text: str, *options: str) -> Path:
    (folder / "part.ly").write_text(text, encoding="utf-8")
    done = lyfinger("proof", "part.ly", "-o", "proof.html", *options, folder=folder)
    assert done.status == 0, done.err
    return folder / "proof.html"


def _open(browser: Browser, page: Path) -> list[WebElement]:
    to_desk(browser)
    browser.get(page.as_uri())
    return browser.find_elements(By.CSS_SELECTOR, DIGIT)


def _keep(browser: Browser, name: str) -> None:
    folder = os.environ.get("LYFINGER_SHOTS")
    if folder:
        browser.save_screenshot(str(Path(folder) / f"{name}.png"))


#: Brings a part of the music, or anything else, into view: Firefox itself scrolls to no part of a drawing.
SHOW = """
const [one, pages] = [arguments[0], document.getElementById("pages")];
if (!(one instanceof SVGElement)) return one.scrollIntoView({ block: "center", inline: "center" });
const [box, frame] = [one.getBoundingClientRect(), pages.getBoundingClientRect()];
pages.scrollLeft += (box.left + box.right - frame.left - frame.right) / 2;
scrollBy(0, box.top - innerHeight / 4);
"""


def _click(browser: Browser, element: WebElement) -> None:
    browser.execute_script(SHOW, element)
    if element.tag_name != "g":
        element.click()
        return
    # Firefox points at what is painted, and a group is not
    painted = element.find_elements(By.CSS_SELECTOR, "text:not([hidden])") or element.find_elements(By.TAG_NAME, "rect")
    painted[0].click()


def _value(browser: Browser, name: str) -> str:
    return str(browser.find_element(By.ID, name).get_property("value"))


def _without_faults(browser: Browser) -> None:
    """No violation of any rule of axe-core, nor of those that it leaves off by default."""
    Axe().run(browser)
    found: Any = browser.execute_async_script(
        "const done = arguments[0];"
        "const rules = Object.fromEntries(axe.getRules().map((rule) => [rule.ruleId, { enabled: true }]));"
        "axe.run(document, { rules }).then((result) => done(result.violations));"
    )
    assert [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found] == []


def test_digits_are_found_clicked_and_explained(browser: Browser, sample: Path) -> None:
    digits = _open(browser, sample)
    assert len(digits) > 100
    _click(browser, digits[30])
    about = browser.find_element(By.ID, "about")
    assert digits[30].get_attribute("aria-pressed") == "true"
    assert str(digits[30].get_attribute("aria-label")) in about.text
    assert about.find_elements(By.CSS_SELECTOR, "svg[role=img] circle")
    assert about.find_elements(By.CSS_SELECTOR, "input[type=radio]")
    _keep(browser, "digit")
    _without_faults(browser)
    assert complaints(browser) == []


def test_alternatives_are_taken_and_the_locks_give_the_same_source(browser: Browser, sample: Path) -> None:
    digits = _open(browser, sample)
    figures: dict[str, WebElement] = {}
    for digit in digits:
        figures.setdefault(str(digit.get_attribute("data-figure")), digit)
    for digit in list(figures.values())[4:20:6]:
        _click(browser, digit)
        choices = browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")
        _click(browser, choices[1])
    _keep(browser, "chosen")
    _without_faults(browser)
    edits, locks = _value(browser, "edit"), _value(browser, "locks")
    work = sample.parent
    (work / "locks.json").write_text(locks)
    marked = lyfinger("mark", "Parts/drunken-sailor.ly", "--locks", "locks.json", folder=work)
    assert marked.status == 0, marked.err
    source = (work / "Parts" / "drunken-sailor.ly").read_bytes()
    assert_only_digits_added(source, marked.out)
    wanted = json.loads(locks)["files"][0]["digits"]
    assert len(wanted) >= 3
    rows = json.loads(lyfinger("notes", "-", "--format", "json", stdin=marked.out, folder=work / "Parts").out)
    assert rows
    for line in (line[1:] for line in edits.splitlines() if line.startswith("+") and not line.startswith("+++")):
        assert _digits_kept(line, marked.out.decode().splitlines())


def _digits_kept(edited: str, lines: list[str]) -> bool:
    """Whether a line of the marked file is the edited line, with more digits."""

    def holds(text: str) -> bool:
        left = iter(text)
        return all(char in left for char in edited)

    return any(holds(line) for line in lines)


def test_the_edit_put_in_by_hand_gives_what_the_locks_give(browser: Browser, tmp_path: Path) -> None:
    digits = _open(browser, _small(tmp_path, SCORE))
    _click(browser, digits[0])
    _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[1])
    edited = [line[1:] for line in _value(browser, "edit").splitlines() if line.startswith("+") and line[1] != "+"]
    lines = SCORE.splitlines()
    number = next(at for at, line in enumerate(lines) if "RH" in line)
    lines[number] = edited[0]
    locks = tmp_path / "locks.json"
    locks.write_text(_value(browser, "locks"))
    by_locks = lyfinger("mark", "part.ly", "--locks", locks, folder=tmp_path).out
    (tmp_path / "part.ly").write_text("\n".join(lines) + "\n")
    assert lyfinger("mark", "part.ly", folder=tmp_path).out == by_locks
    assert by_locks != lyfinger("mark", "-", stdin=SCORE.encode(), folder=tmp_path).out


#: A part in a tree: an included file with a name and with bytes that a shell, a diff and a text field each mistake.
PART = (
    b"\\version \"2.24.0\"\r\n\\include \"t\xc3\xbcne '1'#.ily\"\r\n\\new Staff = \"RH\" { \\tune r2 d''8 e'' f'' g'' }"
)
TUNE = (
    b"%% caf\xe9, in Latin-1\r\n% one\r\n% two\r\n% three\r\ntune = {\r\n"
    b"\t<c' d' g'>2 % \xe9\r\n\tr2 |\r\n\tc'8 e' g' c'' % \xe9\r\n"
    b"\tr2 |\r\n\td'8 f' a' d'' r2 |\r\n% four\r\n% five\r\n% six\r\n% seven\r\n"
    b"\tc'8 d' e' f' r2\r\n}\r\n"
)


def _tree(folder: Path) -> Path:
    """The tree; the name of the part in it."""
    (folder / "Parts").mkdir(parents=True)
    (folder / "Parts" / "a part.ly").write_bytes(PART)
    (folder / "Parts" / "t\u00fcne '1'#.ily").write_bytes(TUNE)
    return folder / "Parts" / "a part.ly"


def _saved(path: Path) -> bytes:
    until = time.monotonic() + 20
    while not path.exists() and time.monotonic() < until:
        time.sleep(0.1)
    return path.read_bytes()


@pytest.mark.parametrize("command", [["patch", "-p0", "-i"], ["git", "apply", "-p0"]], ids=["patch", "git apply"])
def test_the_patch_applies_byte_for_byte(command: list[str], browser: Browser, downloads: Path, tmp_path: Path) -> None:
    """GNU patch and git take it as it is; what they make of it is what the locks make, Windows line ends and all."""
    name = str(_tree(tmp_path / "tree").relative_to(tmp_path / "tree"))
    _tree(tmp_path / "patched")
    done = lyfinger("proof", name, "-o", "proof.html", folder=tmp_path / "tree")
    assert done.status == 0, done.err
    digits = _open(browser, tmp_path / "tree" / "proof.html")
    for figure in ("0", "1", "2", "3", "4"):
        _click(browser, next(digit for digit in digits if digit.get_attribute("data-figure") == figure))
        _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[1])
    assert browser.find_element(By.ID, "bytes").is_displayed()
    for saved in ("a part-choices.patch", "a part-locks.json"):
        (downloads / saved).unlink(missing_ok=True)
    _click(browser, browser.find_element(By.ID, "save-edit"))
    _click(browser, browser.find_element(By.ID, "save"))
    patch, locks = (_saved(downloads / f"a part-{end}") for end in ("choices.patch", "locks.json"))
    assert patch.count(b"<c' d' g'>2^") == 1  # a column behind the chord, as mark has it
    (tmp_path / "choices.patch").write_bytes(patch)
    (tmp_path / "locks.json").write_bytes(locks)
    applied = subprocess.run(
        [*command, str(tmp_path / "choices.patch")], cwd=tmp_path / "patched", capture_output=True, check=False
    )
    assert applied.returncode == 0, applied
    for file, before in (("a part.ly", PART), ("t\u00fcne '1'#.ily", TUNE)):
        after = (tmp_path / "patched" / "Parts" / file).read_bytes()
        assert after != before
        assert_only_digits_added(before, after)
    for folder, options in (("patched", ()), ("tree", ("--locks", tmp_path / "locks.json"))):
        done = lyfinger("mark", name, *options, "--output-dir", tmp_path / f"{folder}-out", folder=tmp_path / folder)
        assert done.status == 0, done.err
    for file in ("a part.ly", "t\u00fcne '1'#.ily"):
        one, other = ((tmp_path / f"{tree}-out" / "Parts" / file).read_bytes() for tree in ("patched", "tree"))
        assert one == other


def test_a_note_shows_the_figure_of_each_of_its_soundings(browser: Browser, tmp_path: Path) -> None:
    """Bars 1 and 3 use one variable: each digit opens in its own bar, and leads to the other one."""
    text = "tune = { c'8 e' g' c'' r2 }\n\\new Staff = \"RH\" { \\tune d'8 f' a' d'' r2 \\tune }\n"
    digits = _open(browser, _small(tmp_path, text))
    _click(browser, digits[8])
    shown = [button.text for button in browser.find_elements(By.CSS_SELECTOR, "#about .sounds button")]
    assert shown == ["bar 1, right hand: 4 3 2 1", "bar 3, right hand: 4 3 2 1"]
    pressed = browser.find_element(By.CSS_SELECTOR, "#about .sounds button[aria-pressed=true]")
    assert pressed.text.startswith("bar 3")
    other = browser.find_elements(By.CSS_SELECTOR, "#about .sounds button")[0]
    _click(browser, other)
    assert browser.switch_to.active_element.text.startswith("bar 1")
    assert [digit.get_attribute("data-figure") for digit in browser.find_elements(By.CSS_SELECTOR, ".same")] == [
        "0"
    ] * 4
    _without_faults(browser)


def test_escape_leads_back_to_the_digit_and_what_opens_is_said(browser: Browser, sample: Path) -> None:
    digits = _open(browser, sample)
    browser.execute_script("arguments[0].focus()", digits[5])
    digits[5].send_keys(Keys.ENTER)
    said = browser.find_element(By.ID, "said").get_property("textContent")
    assert str(said).startswith(str(digits[5].get_attribute("aria-label")))
    digits[5].send_keys(Keys.TAB)
    browser.switch_to.active_element.send_keys(Keys.ESCAPE)
    assert browser.switch_to.active_element == digits[5]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 700, 1400])
def test_no_rule_finds_a_fault_at_any_width(width: int, scheme: str, browser: Browser, sample: Path) -> None:
    """All rules of axe-core are on, those that are off by default too; 700 is 1,400 at 200 percent."""
    with screen(browser, width, scheme=scheme):
        browser.get(sample.as_uri())
        _without_faults(browser)
        _click(browser, browser.find_elements(By.CSS_SELECTOR, DIGIT)[3])
        _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[1])
        _keep(browser, f"{scheme}-{width}")
        _without_faults(browser)
        assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")


#: What is smaller than a finger needs, of all that can be tapped but digits.
SMALL = """
const small = (box) => box.width < 24 || box.height < 24;
const all = Array.from(document.querySelectorAll("button, a[href], input, textarea")).filter((one) => one.offsetParent);
return all.map((one) => one.closest("label") || one).filter((one) => small(one.getBoundingClientRect()))
  .filter((one) => !one.classList.contains("skip")).map((one) => one.outerHTML);
"""
#: For each digit those whose circle of 24 px, about the middle, meets its own; and the least side of all.
CLOSE = """
const boxes = Array.from(document.querySelectorAll(".digit[data-digit]"), (one) => one.getBoundingClientRect());
const middles = boxes.map((box) => [box.left + box.width / 2, box.top + box.height / 2]);
const close = middles.map(([x, y], at) => middles.flatMap(
  ([across, down], other) => (other !== at && Math.hypot(across - x, down - y) < 24 ? [other] : [])));
return [close, Math.min(...boxes.flatMap((box) => [box.width, box.height]))];
"""


@pytest.mark.parametrize("width", [390, 1280])
def test_a_finger_can_meet_everything(width: int, browser: Browser, sample: Path) -> None:
    """24 by 24 px, or as far from the next one (published: WCAG 2.2, 2.5.8). Digits are as close as they are engraved:
    at the largest size each is large enough, and at any other the panel has those close to it as buttons that are."""
    with screen(browser, width):
        browser.get(sample.as_uri())
        assert browser.execute_script(SMALL) == []
        digits = browser.find_elements(By.CSS_SELECTOR, DIGIT)
        close, _ = browser.execute_script(CLOSE)
        crowded = [at for at, others in enumerate(close) if others]
        assert len(crowded) > len(digits) / 2
        for at in crowded[:: len(crowded) // 12]:
            _click(browser, digits[at])
            buttons = browser.find_elements(By.CSS_SELECTOR, "#about .close button")
            names = [button.get_attribute("aria-label") for button in buttons]
            assert names == [digits[other].get_attribute("aria-label") for other in close[at]]
            assert browser.execute_script(SMALL) == []
        _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about .close button")[0])
        assert browser.find_element(By.CSS_SELECTOR, ".digit.here") == digits[close[at][0]]
        _keep(browser, f"touch-{width}")
        larger = browser.find_element(By.ID, "larger")
        while larger.get_attribute("aria-disabled") != "true":
            _click(browser, larger)
        assert browser.execute_script(CLOSE)[1] >= 24
        assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")
        _keep(browser, f"largest-{width}")
        _without_faults(browser)


def test_the_page_can_be_read_by_ear(browser: Browser, sample: Path) -> None:
    """Landmarks, headings; each placing a group that says its fingers, its digits in order of time, by bar and beat."""
    _open(browser, sample)
    tree = heard(browser)
    named = {(role, name) for _, role, name, _ in tree}
    assert {("banner", ""), ("main", ""), ("complementary", "The digit"), ("region", "Music")} <= named
    assert {("heading", name) for name in ("Where the hand opens widest", "Findings", "Your choices")} <= named
    assert sum(states.get("live") == "polite" for _, role, _, states in tree if role == "status") == 3
    placing, fingers, times, lengths = "", [""], [Fraction(0)], []
    for _, role, name, states in tree:
        if role == "group" and re.match("(Right|Left) hand, bar", name):
            placing, times = name, [Fraction(0)]
            fingers = re.findall("[1-4]", name.partition(": ")[2])
            lengths.append(len(fingers))
        found = re.match(
            r"Bar (\d+), beat (\d+)(?: (\d+/\d+))?, (right|left) hand, ([A-G])\d: ([1-4]), suggested$", name
        )
        if found and role == "button":
            assert states["pressed"] == "false"
            assert placing.lower().startswith(found[4])
            assert found[6] in fingers
            times.append(100 * int(found[1]) + int(found[2]) + Fraction(found[3] or 0))
            assert times == sorted(times)
            lengths[-1] -= 1
    assert len(lengths) > 40
    assert set(lengths) == {0}


def test_what_opens_is_read_by_ear(browser: Browser, sample: Path) -> None:
    """The picture is its words, tables have titles and rows have heads, and every fingering is told with its cost."""
    digits = _open(browser, sample)
    browser.execute_script("arguments[0].focus()", digits[5])
    digits[5].send_keys(Keys.ENTER)
    tree = heard(browser)
    start = next(at for at, (_, role, name, _) in enumerate(tree) if (role, name) == ("complementary", "The digit"))
    end = next(at for at, (_, role, name, _) in enumerate(tree) if (role, name) == ("region", "Your choices"))
    inside = tree[start:end]
    pictures = [at for at, (_, role, _, _) in enumerate(inside) if role == "image"]
    assert pictures
    for at in pictures:
        assert re.match("The (right|left) hand on its strings: .* with [1-4]", inside[at][2])
        assert inside[at + 1][0] <= inside[at][0]  # nothing within it
    assert {"How far the fingers are apart"} <= {name for _, role, name, _ in inside if role == "table"}
    assert any(re.fullmatch("[1-3] to [2-4]", name) for _, role, name, _ in inside if role == "rowheader")
    radios = [name.strip() for _, role, name, _ in inside if role == "radio"]
    assert radios[0].endswith("(as planned)")
    assert all(re.match(r"[1-4 |]+ \([+−]\d+", name) for name in radios[1:])
    said = [name for _, role, name, _ in tree if role == "StaticText" and " other fingerings in the panel" in name]
    assert len(said) == 1


def test_a_click_that_no_pointer_made_opens_its_own_digit(browser: Browser, sample: Path) -> None:
    """A screen reader's is at no place, or in a corner of the page."""
    digits = _open(browser, sample)
    browser.execute_script("arguments[0].dispatchEvent(new MouseEvent('click', { bubbles: true }))", digits[40])
    assert digits[40].get_attribute("aria-pressed") == "true"
    assert browser.switch_to.active_element == digits[40]


def test_the_strip_needs_no_scrolling(browser: Browser, sample: Path) -> None:
    """Every bar of the piece can be seen at once, on a phone too, and has its words without a pointer over it."""
    with screen(browser, 390, 844, scale=2):
        browser.get(sample.as_uri())
        bars = browser.find_elements(By.CSS_SELECTOR, "button.bar")
        assert len(bars) > 30
        assert all(0 <= bar.rect["x"] <= 390 - bar.rect["width"] for bar in bars)
        assert all(" percent of the reach" in str(bar.get_attribute("aria-label")) for bar in bars)


def test_the_keyboard_does_it_all(browser: Browser, sample: Path) -> None:
    digits = _open(browser, sample)
    browser.execute_script("arguments[0].focus()", digits[0])
    digits[0].send_keys(Keys.ARROW_RIGHT)
    assert browser.switch_to.active_element == digits[1]
    digits[1].send_keys(Keys.ENTER)
    assert digits[1].get_attribute("aria-pressed") == "true"
    digits[1].send_keys(Keys.TAB)
    if browser.switch_to.active_element.get_attribute("id") == "panel":  # Firefox stops at what scrolls
        browser.switch_to.active_element.send_keys(Keys.TAB)
    assert browser.switch_to.active_element.get_attribute("type") == "radio"
    browser.switch_to.active_element.send_keys(Keys.ARROW_DOWN)
    assert _value(browser, "locks")
    assert len(browser.find_elements(By.CSS_SELECTOR, f"{DIGIT}[tabindex='0']")) == 1


def test_a_note_that_sounds_twice_has_one_choice(browser: Browser, tmp_path: Path) -> None:
    twice = "tune = { c'8 e' g' c'' }\n\\new Staff = \"RH\" { \\tune r2 \\tune d''8 e'' f'' g'' }\n"
    digits = _open(browser, _small(tmp_path, '\\version "2.24.0"\n' + twice))
    assert len(digits) == 12
    for digit, value in ((digits[0], 1), (digits[4], 2)):
        _click(browser, digit)
        _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[value])
    fingers = [one["finger"] for one in json.loads(_value(browser, "locks"))["files"][0]["digits"]]
    assert len(fingers) == 4
    assert "taken back" in browser.find_element(By.ID, "count").text


def test_findings_and_strip_lead_into_the_music(browser: Browser, tmp_path: Path) -> None:
    _open(browser, _small(tmp_path, SCORE))
    link = browser.find_element(By.CSS_SELECTOR, "a[href='#found-0']")
    _click(browser, link)
    flag = browser.switch_to.active_element
    assert flag.get_attribute("id") == "found-0"
    flag.send_keys(Keys.TAB)  # from there the music goes on
    assert browser.switch_to.active_element.get_attribute("role") == "button"
    assert abs(browser.switch_to.active_element.rect["x"] - flag.rect["x"]) < 60
    column = browser.find_elements(By.CSS_SELECTOR, ".bar")[0]
    _click(browser, column)
    assert browser.find_elements(By.CSS_SELECTOR, "#about circle")


@pytest.mark.parametrize("width", [390, 1280])
def test_what_is_led_to_is_in_view(width: int, browser: Browser, sample: Path) -> None:
    """By the strip, by the buttons of the panel, by the arrow keys: not beyond an edge, nor under the panel."""
    bare = (
        "const box = document.querySelector(arguments[0]).getBoundingClientRect();"
        "const found = document.elementFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);"
        "return found && found.closest('.digit') === document.querySelector(arguments[0]);"
    )
    with screen(browser, width):
        browser.get(sample.as_uri())
        browser.execute_script("scrollTo(0, 0)")
        bars = browser.find_elements(By.CSS_SELECTOR, "button.bar")
        for bar in (bars[0], bars[len(bars) // 2], bars[-1]):
            _click(browser, bar)
            assert browser.execute_script(bare, ".digit.here")
        for name in ("Previous digit", "Next digit"):
            for _ in range(8):
                buttons = browser.find_elements(By.CSS_SELECTOR, "#about button")
                _click(browser, next(button for button in buttons if button.text == name))
                assert browser.execute_script(bare, ".digit.here")
        browser.find_element(By.ID, "panel-title").send_keys(Keys.ESCAPE)
        for key in (Keys.HOME, Keys.END, *[Keys.ARROW_LEFT] * 30):
            browser.switch_to.active_element.send_keys(key)
            assert browser.execute_script(bare, ".digit[tabindex='0']")


def test_the_page_measures_as_the_program_does(browser: Browser, sample: Path) -> None:
    """The strip was worked out by the program, the picture of the hand by the page."""
    _open(browser, sample)
    bars = browser.find_elements(By.CSS_SELECTOR, "button.bar")
    for bar in bars:
        _click(browser, bar)
        words = str(bar.get_attribute("aria-label")).split(" hand: ")[1].split(" mm, ")[0]
        pictures = browser.find_elements(By.CSS_SELECTOR, "#about svg[role=img]")
        assert any(str(one.get_attribute("aria-label")).endswith(f"Widest: {words} mm") for one in pictures), words


def test_locks_are_saved_as_a_file(browser: Browser, downloads: Path, sample: Path) -> None:
    _click(browser, _open(browser, sample)[0])
    _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[1])
    _click(browser, browser.find_element(By.ID, "save"))
    assert _saved(downloads / "drunken-sailor-locks.json").decode() == _value(browser, "locks")


def test_a_phone_has_it_within_its_width(browser: Browser, sample: Path) -> None:
    with screen(browser, 390, 844, scale=2):
        browser.get(sample.as_uri())
        digit = browser.find_elements(By.CSS_SELECTOR, DIGIT)[3]
        _click(browser, digit)
        assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")
        assert browser.find_elements(By.CSS_SELECTOR, "#about circle")
        _keep(browser, "phone")
        _without_faults(browser)


def test_print_shows_the_music_and_not_the_controls(browser: Browser, sample: Path) -> None:
    """On paper: what there is to read, with what was chosen; the music on a page of its own, and nothing to press."""
    _click(browser, _open(browser, sample)[0])
    _click(browser, browser.find_elements(By.CSS_SELECTOR, "#about input[type=radio]")[1])
    paper = printed(browser)
    folder = os.environ.get("LYFINGER_SHOTS")
    if folder:
        pypdf.PdfWriter(clone_from=paper).write(Path(folder) / "print.pdf")
    text = unicodedata.normalize("NFKC", " ".join(" ".join(page.extract_text() for page in paper.pages).split()))
    for there in ("Where the hand opens widest", "The check finds nothing", "Your choices", "in place of"):
        assert there in text
    for button in browser.find_elements(By.CSS_SELECTOR, "#panel button, #choices button, .size button"):
        assert button.text not in text or not button.text
    assert "How far the fingers are apart" not in text
    assert len(paper.pages) in (2, 3)


def test_nothing_of_a_score_runs(browser: Browser, tmp_path: Path) -> None:
    digits = _open(browser, _small(tmp_path, HOSTILE))
    for digit in digits:
        _click(browser, digit)
    assert browser.execute_script("return window.broken === undefined")
    assert browser.current_url == (tmp_path / "proof.html").as_uri()
    assert complaints(browser) == []
    _keep(browser, "hostile")
    _without_faults(browser)


def test_the_page_fetches_nothing(browser: Browser, sample: Path) -> None:
    _open(browser, sample)
    names = browser.execute_script("return performance.getEntriesByType('resource').map((one) => one.name)")
    assert [name for name in names if not name.startswith("data:")] == []
