"""The browsers that the page is tried in: Chromium, and Firefox where ``LYFINGER_BROWSER=firefox`` asks for it.

Neither opens a window. Firefox needs Debian's ``firefox-esr``, and a ``geckodriver`` on PATH (0.33 was tried).
"""

from __future__ import annotations

import os
import shutil
from base64 import b64decode
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdf
import pytest
from selenium import webdriver
from selenium.webdriver.chrome.service import Service as ChromeService
from selenium.webdriver.firefox.service import Service as FirefoxService

Browser = webdriver.Chrome | webdriver.Firefox

FIREFOX = os.environ.get("LYFINGER_BROWSER") == "firefox"
CHROMIUM_OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--window-size=1400,1000",
)
DESK = (1400, 1000)


def _program(name: str, package: str) -> str:
    found = shutil.which(name)
    assert found, f"{name} is missing: {package}"
    return found


def started(downloads: Path, profile: Path) -> Browser:
    """The browser that was asked for; it saves files below ``downloads``."""
    return _firefox(downloads) if FIREFOX else _chromium(downloads, profile)


def _chromium(downloads: Path, profile: Path) -> webdriver.Chrome:
    options = webdriver.ChromeOptions()
    options.binary_location = _program("chromium", "apt-get install chromium")
    for option in (*CHROMIUM_OPTIONS, f"--user-data-dir={profile}"):
        options.add_argument(option)
    options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = _program("chromedriver", "apt-get install chromium-driver")
    return webdriver.Chrome(options=options, service=ChromeService(driver))


def _firefox(downloads: Path) -> webdriver.Firefox:
    options = webdriver.FirefoxOptions()
    options.binary_location = _program("firefox-esr", "apt-get install firefox-esr")
    options.add_argument("-headless")
    options.enable_bidi = True
    preferences: dict[str, str | int | bool] = {
        "browser.download.folderList": 2,
        "browser.download.dir": str(downloads),
        "browser.download.alwaysOpenPanel": False,
        "browser.helperApps.neverAsk.saveToDisk": "application/json,text/x-diff,application/octet-stream",
    }
    for name, value in preferences.items():
        options.set_preference(name, value)
    driver = _program("geckodriver", "it drives Firefox, and Debian has no package of it")
    return webdriver.Firefox(options=options, service=FirefoxService(driver))


def to_desk(browser: Browser) -> None:
    """A screen of the usual size."""
    if isinstance(browser, webdriver.Chrome):
        browser.set_window_size(*DESK)
    else:
        _viewport(browser, *DESK)


def _viewport(browser: webdriver.Firefox, width: int, height: int) -> None:
    size = {"width": width, "height": height}
    browser.browsing_context.set_viewport(context=browser.current_window_handle, viewport=size)


@contextmanager
def screen(browser: Browser, width: int, height: int = 900, *, scale: int = 1, scheme: str = "light") -> Iterator[None]:
    """A screen of another size in CSS px, a phone's below 600; ``scale`` and dark colours are Chromium's alone."""
    if isinstance(browser, webdriver.Firefox):
        if scheme == "dark":
            pytest.skip("Firefox is tried with its light colours")
        _viewport(browser, width, height)
        yield
        to_desk(browser)
        return
    metrics = {"width": width, "height": height, "deviceScaleFactor": scale, "mobile": width < 600}
    colours = [{"name": "prefers-color-scheme", "value": scheme}]
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": colours})
    try:
        yield
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def complaints(browser: Browser) -> list[str]:
    """What the browser blocked or failed at; Firefox doesn't tell."""
    if isinstance(browser, webdriver.Firefox):
        return []
    log: Any = browser.get_log("browser")  # type: ignore[no-untyped-call]
    return [entry["message"] for entry in log if entry["level"] == "SEVERE"]


def printed(browser: Browser) -> pypdf.PdfReader:
    """The page on paper, as a PDF."""
    return pypdf.PdfReader(BytesIO(b64decode(browser.print_page())))


Heard = list[tuple[int, str, str, dict[str, Any]]]


def heard(browser: Browser) -> Heard:
    """What a screen reader is given, in the order of the page: depth, role, name, states. Only Chromium tells."""
    if isinstance(browser, webdriver.Firefox):
        pytest.skip("Firefox does not tell what it gives to a screen reader")
    nodes = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    by_id = {node["nodeId"]: node for node in nodes}
    found: Heard = []

    def walk(node: Any, depth: int) -> None:
        if not node["ignored"]:
            states = {one["name"]: one["value"].get("value") for one in node.get("properties", [])}
            found.append((depth, node["role"]["value"], node.get("name", {}).get("value", ""), states))
        for child in node.get("childIds", []):
            if child in by_id:
                walk(by_id[child], depth + (not node["ignored"]))

    walk(nodes[0], 0)
    return found
