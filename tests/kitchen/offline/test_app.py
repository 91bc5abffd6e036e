"""What makes it an app that a tablet installs: worker, manifest, icons, the page for no network."""

from __future__ import annotations

import json
import re

from django.contrib.staticfiles import finders
from PIL import Image

from kitchen.offline import files


def test_the_worker_comes_from_the_root_and_names_every_file(client, db):
    answer = client.get("/worker.js")
    script = answer.content.decode()
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "no-cache"
    named = json.loads(re.search(r"FILES = (\[.*\]);", script)[1])
    for address in named:
        answer = client.get(address)
        answer.close()
        assert answer.status_code == 200, address
    assert {"/static/js/outbox.js", "/static/css/bench.css", "/font.woff2", "/no-network/"} <= set(named)
    assert "{%" not in script
    assert "{{" not in script


def test_the_version_follows_the_files(monkeypatch):
    before = files._digest.__wrapped__()
    monkeypatch.setattr(files, "names", lambda: ["js/outbox.js"])
    assert files._digest.__wrapped__() != before


def test_the_manifest_and_its_icons(client, db):
    said = client.get("/manifest.webmanifest").json()
    assert (said["start_url"], said["scope"], said["display"]) == ("/bench/", "/", "standalone")
    for icon in said["icons"]:
        path = finders.find(icon["src"].removeprefix("/static/"))
        with Image.open(path) as picture:
            assert "{}x{}".format(*picture.size) == icon["sizes"]
    assert any(icon.get("purpose") == "maskable" for icon in said["icons"])


def test_the_page_for_no_network_tells_nothing_of_who_is_signed_in(as_cook, cook):
    page = as_cook.get("/no-network/").content.decode()
    assert "No network" in page
    assert cook.name not in page
    assert "/bench/" in page


def test_a_page_that_is_fetched_to_be_kept_takes_no_message_away(as_cook, on_time):
    bath = on_time.bath()
    as_cook.post(f"/bench/baths/{bath.pk}/start/", {"set_point_c": "64"})
    assert "started, set point" not in as_cook.get("/bench/", headers={"X-Keep": "1"}).content.decode()
    assert "started, set point" in as_cook.get("/bench/").content.decode()
