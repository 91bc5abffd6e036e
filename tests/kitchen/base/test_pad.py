"""The numeric pad, the double-tap guard and the clocks, in Chromium and without a server."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import unquote

import pytest
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from kitchen.base.lanes import Lane, lanes_picture

pytestmark = pytest.mark.browser
KINDS = {".js": "text/javascript", ".css": "text/css", ".ttf": "font/ttf", ".svg": "image/svg+xml"}
POLICY = "default-src 'self'"


@pytest.fixture
def show(page):
    """Serve one body at one address, with the project's own styles and scripts, under its own policy."""
    problems = []
    page.set_default_timeout(5000)
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda said: said.type == "error" and problems.append(said.text))

    def answer(route):
        path = route.request.url.removeprefix("http://bench.test")
        if path.startswith("/static/"):
            file = Path(finders.find(unquote(path.removeprefix("/static/"))))
            route.fulfill(body=file.read_bytes(), content_type=KINDS[file.suffix])
        elif route.request.method == "POST":
            sent.append(route.request.post_data)
            route.fulfill(status=204)
        else:
            route.fulfill(
                body=html[0],
                content_type="text/html; charset=utf-8",
                headers={"Content-Security-Policy": POLICY},
            )

    sent, html = [], [""]

    def open_page(body):
        scripts = "".join(
            f'<script type="module" src="/static/js/{name}.js"></script>' for name in ("once", "clock", "pad")
        )
        styles = "".join(
            f'<link rel="stylesheet" href="/static/css/{name}.css">' for name in ("bathbook", "forms")
        )
        html[0] = (
            "<!doctype html><html lang=en><title>x</title><link rel=icon href='/static/img/mark.svg'>"
            f"{styles}{body}{render_to_string('base/pad.html')}{scripts}"
        )
        page.goto("http://bench.test/")
        page.wait_for_load_state("networkidle")
        return page

    open_page.sent = sent
    page.route("**/*", answer)
    yield open_page
    assert problems == []


def field(**attributes):
    said = " ".join(f'{name.replace("_", "-")}="{value}"' for name, value in attributes.items())
    return (
        '<form method="post" data-once><div class="field"><label for="c">Core <span>optional</span></label>'
        f'<input id="c" name="celsius" value="55.5" inputmode="decimal" data-pad="" {said}></div>'
        '<button name="do" value="keep">Save</button></form>'
    )


BATH = {"data_unit": "°C", "data_low": "59.5", "data_high": "60.5"}


def tap(page, digits):
    for digit in digits:
        page.click(f'dialog [data-key="{digit}"]')


def test_three_digits_and_keep(show):
    page = show(field(**BATH))
    page.click("#c")
    assert page.inner_text("dialog output") == ""  # the last value is never the default
    assert page.inner_text(".asks") == "Core"
    tap(page, "60.2")
    assert page.inner_text("dialog output") == "60.2"
    page.click('[data-do="keep"]')
    assert page.input_value("#c") == "60.2"
    assert not page.is_visible("dialog")


def test_it_takes_the_lower_half_with_large_keys(show):
    page = show(field(**BATH))
    for width, height in ((1180, 820), (820, 1180)):
        page.set_viewport_size({"width": width, "height": height})
        page.click("#c")
        box = page.locator("dialog").bounding_box()
        assert (box["y"], box["height"]) == pytest.approx((height / 2, height / 2), abs=1)
        for key in page.locator("dialog button:visible").all():
            assert min(key.bounding_box()["width"], key.bounding_box()["height"]) >= 48
        assert page.locator("#c").bounding_box()["y"] < height / 2
        page.click('[data-do="cancel"]')
    assert page.input_value("#c") == "55.5"


@pytest.mark.parametrize(
    ("typed", "question", "likely"),
    [
        ("600", "600 °C? Did you mean 60.0 °C?", "60.0"),
        ("140", "140 °C? Did you mean 60.0 °C?", "60.0"),  # 140 °F are 60 °C
        ("57", "57 °C? Expected: 59.5 to 60.5 °C.", None),
    ],
)
def test_a_doubtful_value_is_questioned_and_never_changed(show, typed, question, likely):
    page = show(field(**BATH))
    page.click("#c")
    tap(page, typed)
    page.click('[data-do="keep"]')
    assert page.inner_text(".question").replace("\xa0", " ") == question
    assert page.input_value("#c") == "55.5"
    assert page.is_visible('[data-do="meant"]') == (likely is not None)
    if likely:
        page.click('[data-do="meant"]')
        assert page.inner_text("dialog output") == likely
        assert not page.is_visible(".question")
    page.click('[data-do="keep"]')
    assert page.input_value("#c") == (likely or typed)


def test_what_is_typed_insists(show):
    page = show(field(**BATH))
    page.click("#c")
    tap(page, "600")
    page.click('[data-do="keep"]')
    assert page.inner_text('[data-do="keep"]').replace("\xa0", " ") == "Keep 600 °C"
    page.click('[data-do="keep"]')
    assert page.input_value("#c") == "600"


def test_the_value_lands_on_the_scale(show):
    page = show(field(**BATH))
    page.click("#c")
    landed = {}
    for typed in ("60", "59.5", "60.5", "10", "99"):
        tap(page, ["Delete", *typed])
        landed[typed] = page.get_attribute(".hand", "transform")
    assert landed == {
        "60": "translate(240 0)",
        "59.5": "translate(120 0)",
        "60.5": "translate(360 0)",
        "10": "translate(9 0)",
        "99": "translate(471 0)",
    }


def test_the_keyboard_does_it_all(show):
    page = show(field(**BATH, data_pad_sends="Keep reading"))
    page.focus("#c")
    for key in ("-", "6", "0", ",", ".", "3", "4", "Backspace", "-"):
        page.keyboard.press(key)
    assert page.inner_text("dialog output") == "60.3"
    assert page.inner_text('[data-do="keep"]') == "Keep reading"
    tap(page, "1")  # a touch, then Enter: the digit is not typed again
    page.keyboard.press("Backspace")
    page.keyboard.press("Enter")
    page.wait_for_timeout(100)
    assert show.sent == ["celsius=60.3"]


def test_nothing_typed_is_not_kept(show):
    page = show(field(**BATH))
    page.click("#c")
    page.click('[data-do="keep"]')
    assert page.inner_text(".question") == "Type a number first."
    page.keyboard.press("Escape")
    assert page.input_value("#c") == "55.5"


def test_a_second_tap_sends_nothing(show):
    page = show(field())
    page.evaluate("const b = document.querySelector('form button'); b.click(); b.click()")
    page.wait_for_timeout(200)
    assert show.sent == ["celsius=55.5&do=keep"]
    assert page.is_disabled("form button")


def test_clocks_count_down_and_then_up(show, page):
    now = datetime(2026, 11, 24, 10, 47, tzinfo=UTC)
    page.clock.set_fixed_time(now)
    moments = {
        "soon": timedelta(seconds=95.5),
        "later": timedelta(hours=2, seconds=30),
        "gone": timedelta(seconds=-61),
    }
    clocks = (
        f'<time id="{name}" data-until="{(now + ahead).isoformat()}">?</time>'
        for name, ahead in moments.items()
    )
    show("".join(clocks))
    assert [page.inner_text(f"#{name}") for name in moments] == ["1:36", "2 h 00", "+1:01"]
    assert page.get_attribute("#gone", "class") == "clock-done"
    page.clock.set_fixed_time(now + timedelta(seconds=60))
    page.wait_for_timeout(1200)
    assert [page.inner_text(f"#{name}") for name in moments] == ["0:36", "1 h 59", "+2:01"]


def test_the_line_of_now_moves_with_the_clock(show, page):
    now = datetime(2026, 11, 24, 10, 47, tzinfo=UTC)
    page.clock.set_fixed_time(now + timedelta(minutes=6))
    picture = lanes_picture([Lane("Bath 1")], now=now, timezone="UTC", span=timedelta(hours=6))
    show(render_to_string("base/lanes.svg", {"lanes": picture}))
    # Six minutes of six hours across 960 units.
    assert page.get_attribute("[data-now-line]", "transform") == "translate(16.0 0)"
