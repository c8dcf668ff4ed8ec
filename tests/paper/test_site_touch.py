"""The page for the phone under a finger, in a real browser of a phone's size."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace

import pytest
from phone import HEIGHT, NASTY, WIDTH, Phone, browser_path

from layout.paper.site_page import site_page
from layout.units import format_length

FINGER = 44
"""CSS px, least side of what is touched (WCAG 2.1, success criterion 2.5.5)"""


@pytest.fixture(scope="module")
def phone():
    """Return a phone; without a browser skip, but never in CI."""
    path = browser_path()
    if path is None and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    assert path is not None, "CI needs a Chromium for the page's tests"
    with Phone(path) as found:
        yield found


@pytest.fixture
def show(phone, tmp_path):
    """Return how a plan's page is opened on an empty phone."""

    def opened(plan):
        page = tmp_path / "site.html"
        page.write_text(site_page(plan), encoding="utf-8")
        phone.forget()
        phone.open(page)
        return page

    return opened


TAG = """[...document.querySelectorAll(".tag.of-{kind}")]
    .filter((one) => one.textContent === "{number}" && one.getAttribute("display") !== "none")
    .map((one) => one.getBoundingClientRect()).map((box) => [box.x + box.width / 2, box.y + box.height / 2])[0]"""
"""where a seam's or panel's number stands on the screen; undefined where it found no room"""


def middle_of_tag(phone, kind, number):
    """Return where a seam's or panel's number stands on the screen."""
    return phone.run(TAG.format(kind=kind, number=number))


def card(phone):
    """Return the heading of what is shown below the map; empty where nothing is."""
    return phone.run('document.getElementById("card").hidden ? "" : document.querySelector("#card h2").textContent')


def hung(phone):
    """Return the panels that the list shows as hung."""
    script = '[...document.querySelectorAll("#list input")].filter((i) => i.checked).map((i) => +i.dataset.panel)'
    return phone.run(script)


def place_of(plan, revision="A"):
    """Return the name under which a page keeps its ticks."""
    found = re.search(r'"key":"([0-9a-f]+)"', site_page(plan, revision=revision))
    return f"seamwalk:hung:{found[1]}"


def test_tick_survives_a_reload(phone, show, open_plan):
    """Tap a panel, tick it, load again: it is still ticked, in the list, on the map and in the count."""
    show(open_plan)
    phone.tap(*middle_of_tag(phone, "panel", 2))
    assert card(phone) == "Panel 2"
    phone.tap_on("#hung")
    assert hung(phone) == [2]
    phone.reload()
    assert hung(phone) == [2]
    assert phone.run('document.getElementById("done").textContent').startswith("1 of 7 hung, next: panel 1")
    assert phone.run('document.querySelectorAll("path.panel.hung").length') == 1
    phone.tap(*middle_of_tag(phone, "panel", 2))
    phone.tap_on("#hung")
    phone.reload()
    assert hung(phone) == []
    assert phone.complaints == []


def test_tick_that_the_phone_lost_is_brought_back(phone, show, open_plan):
    """A browser with much to do lost a tick kept just before a reload: the tab's own copy brings it back.

    The phone's store was seen empty, for good, after some one reload in forty on a machine under load.
    """
    show(open_plan)
    phone.tap_on("#to-list")
    phone.tap_on('#list input[data-panel="3"]')
    name = json.dumps(place_of(open_plan))
    phone.run(f'addEventListener("pagehide", () => localStorage.removeItem({name}))')
    phone.reload()
    assert hung(phone) == [3]
    assert "3" in json.loads(phone.run(f"localStorage.getItem({name})"))["hung"]


def test_later_of_two_stores_is_right(phone, show, open_plan):
    """What another window kept since counts before the older copy of this tab."""
    show(open_plan)
    phone.tap_on("#to-list")
    phone.tap_on('#list input[data-panel="3"]')
    name = json.dumps(place_of(open_plan))
    phone.run(
        f"""(() => {{ const own = JSON.parse(localStorage.getItem({name}));
        localStorage.setItem({name}, JSON.stringify({{ ...own, at: own.at + 10, hung: {{ 4: "x" }} }})); }})()"""
    )
    phone.reload()
    assert hung(phone) == [4]


@pytest.fixture
def later(open_plan):
    """Return revision B: seam 3 moved 40 mm, so panels 2 and 3 changed; panels keep their numbers."""
    run = open_plan.runs[0]
    stations = run.stations.copy()
    stations[open_plan.seams[2].boundary] += 40.0
    seams = tuple(replace(s, station=s.station + 40.0) if s.number == 3 else s for s in open_plan.seams)
    return replace(open_plan, runs=(replace(run, stations=stations),), seams=seams)


def tick_and_open(phone, show, tmp_path, plans, panels):
    """Tick panels of revision A, then open revision B on the same phone."""
    show(plans[0])
    phone.tap_on("#to-list")
    for number in panels:
        phone.tap_on(f'#list input[data-panel="{number}"]')
    (tmp_path / "b.html").write_text(site_page(plans[1], revision="B"), encoding="utf-8")
    phone.open(tmp_path / "b.html")


def told(phone):
    """Return what the page says of earlier ticks; empty where it says nothing."""
    script = """(() => { const e = document.getElementById("earlier");
    return e.hidden ? "" : e.querySelector("p").textContent; })()"""
    return phone.run(script)


def test_new_revision_shows_no_old_ticks_and_says_so(phone, show, tmp_path, open_plan, later):
    """Of panels 1, 2 and 5 hung as revision A, B shows none; it names 1 and 5 as the same, 2 as changed."""
    tick_and_open(phone, show, tmp_path, (open_plan, later), (1, 2, 5))
    assert phone.run('document.getElementById("revision").textContent').startswith("rev B")
    assert hung(phone) == []
    assert "ticks of revision A of this job: panels 1, 2, 5." in told(phone)
    assert "The same here: panels 1, 5." in told(phone)
    assert "Moved or cut otherwise: panel 2 of revision A" in told(phone)
    phone.tap_on("#take")
    assert hung(phone) == [1, 5]
    assert told(phone) == ""
    phone.reload()
    assert (hung(phone), told(phone)) == ([1, 5], "")
    assert phone.complaints == []


def test_earlier_ticks_may_be_left(phone, show, tmp_path, open_plan, later):
    """Started without them, revision B stays empty and asks no more; revision A still has its own."""
    tick_and_open(phone, show, tmp_path, (open_plan, later), (1, 2))
    phone.tap_on("#leave")
    phone.reload()
    assert (hung(phone), told(phone)) == ([], "")
    phone.open(tmp_path / "site.html")
    assert hung(phone) == [1, 2]


def test_where_no_panel_is_the_same_none_is_offered(phone, show, tmp_path, open_plan, later):
    """Only the changed panel 2 was hung: there is nothing to take over, and it says to look at the wall."""
    tick_and_open(phone, show, tmp_path, (open_plan, later), (2,))
    assert "None is the same panel here." in told(phone)
    assert "look at the wall" in told(phone)
    assert phone.run('document.getElementById("take").checkVisibility()') is False


def test_panel_that_changed_its_number_is_taken_over_by_its_place(phone, show, tmp_path, open_plan):
    """Numbered from 11 on in revision B, panel 3 is offered as 13."""
    panels = tuple(replace(panel, number=panel.number + 10) for panel in open_plan.panels)
    orders = tuple(replace(one, order=tuple(n + 10 for n in one.order)) for one in open_plan.hanging)
    other = replace(open_plan, panels=panels, hanging=orders)
    tick_and_open(phone, show, tmp_path, (open_plan, other), (3,))
    assert "The same here: panel 3 (now 13)." in told(phone)
    phone.tap_on("#take")
    assert hung(phone) == [13]


def test_ticks_of_one_job_are_not_anothers(phone, show, open_plan, ring, tmp_path):
    """Another job's page on the same phone begins with nothing hung."""
    show(open_plan)
    phone.tap_on("#to-list")
    phone.tap_on('#list input[data-panel="3"]')
    assert hung(phone) == [3]
    other = replace(open_plan, job=replace(open_plan.job, title="Another counter", digest="ab" * 32))
    (tmp_path / "other.html").write_text(site_page(other), encoding="utf-8")
    phone.open(tmp_path / "other.html")
    assert (hung(phone), told(phone)) == ([], "")


def test_no_network_request_is_made(phone, show, ring):
    """However it is used, the page asks for its own file alone."""
    page = show(ring)
    phone.tap(*middle_of_tag(phone, "seam", 1))
    for button in ("#in", "#out", "#fit", "#theme", "#to-list", "#to-notes", "#to-map", "#after", "#close"):
        phone.tap_on(button)
    asked = {url for url in phone.requests if not url.startswith("data:")}
    assert asked == {page.as_uri()}
    assert phone.complaints == []


def test_policy_holds_back_what_would_be_loaded(phone, show, ring):
    """A script of the console that fetches a picture or adds markup with a handler gets nowhere."""
    show(ring)
    blocked = phone.run(
        """new Promise((done) => {
        const image = new Image(); image.onload = () => done("loaded"); image.onerror = () => done("held back");
        image.src = "https://example.invalid/x.png"; })"""
    )
    assert blocked == "held back"
    assert any("Content Security Policy" in words for words in phone.complaints)
    phone.run('document.body.insertAdjacentHTML("beforeend", "<img src=data:, onerror=\\"window.bad = 1\\">")')
    assert phone.run("new Promise((done) => setTimeout(() => done(window.bad), 200))") is None


def test_nasty_texts_are_shown_as_they_are(phone, show, ring):
    """The title appears letter by letter, and its script does not run."""
    show(replace(ring, job=replace(ring.job, title=NASTY)))
    assert phone.run('document.getElementById("title").textContent') == NASTY
    assert phone.complaints == []


def test_seam_is_tapped_for_its_figures(phone, show, ring):
    """A tap on a seam's number shows its station, radius and ties, and draws both ties."""
    show(ring)
    phone.tap(*middle_of_tag(phone, "seam", 5))
    assert card(phone) == "Seam 5"
    figures = phone.run('[...document.querySelectorAll("#card dd")].map((one) => one.textContent)')
    assert format_length(ring.seams[4].station, "in").replace(" ", "\u00a0") in figures
    assert phone.run('document.querySelectorAll("path.tie").length') == 2
    phone.tap_on("#after")
    assert card(phone) == "Seam 6"


def test_two_seams_at_one_place_take_turns(phone, show, open_plan):
    """Where one run ends and the next begins, a second tap gives the other seam."""
    seams = list(open_plan.seams)
    seams.append(replace(seams[4], number=len(seams) + 1))
    show(replace(open_plan, seams=tuple(seams)))
    place = middle_of_tag(phone, "seam", 5)
    shown = []
    for _ in range(3):
        phone.tap(*place)
        shown.append(card(phone))
        phone.tap_on("#fit")
        place = middle_of_tag(phone, "seam", re.sub(r"\D", "", shown[-1]))
    assert set(shown) == {"Seam 5", f"Seam {len(seams)}"}
    assert shown[0] != shown[1]


def test_a_tap_never_ticks_what_comes_up_under_the_finger(phone, show, ring):
    """Whichever panel's number is tapped, the card that rises there takes no click of the same tap."""
    show(ring)
    lowest = 0.0
    for number in (1, 2, 3, 5, 7, 9, 10, 11, 31, 33, 35, 36, 37, 38, 39):
        phone.run('document.getElementById("card").hidden || document.getElementById("close").click()')
        phone.tap_on("#fit")
        if phone.run(TAG.format(kind="panel", number=number)):
            x, y = middle_of_tag(phone, "panel", number)
            phone.tap(x, y)
            assert card(phone) == f"Panel {number}"
            assert hung(phone) == []
            lowest = max(lowest, y)
    field = phone.run('document.querySelector("#card label").getBoundingClientRect().toJSON()')
    assert lowest > field["top"], "no number stood where the tick box comes up"


def test_fingers_pinch_and_drag(phone, show, ring):
    """Two fingers spread zoom in, one drags; the buttons do the same and All shows everything again."""
    show(ring)

    def view():
        return [float(v) for v in phone.run('document.getElementById("drawing").getAttribute("viewBox")').split()]

    x, y, wide, high = view()
    middle = (WIDTH / 2, HEIGHT / 2)
    phone.pinch(middle, 80.0, 240.0)
    near = view()
    assert near[2] == pytest.approx(wide / 3, rel=0.02)
    phone.tap_on("#fit")
    assert view() == pytest.approx([x, y, wide, high])
    phone.drag((200.0, 400.0), 100.0)
    moved = view()
    assert moved[0] == pytest.approx(x - 100 * wide / WIDTH, abs=30 * wide / WIDTH)
    assert moved[0] < x - 60 * wide / WIDTH
    assert card(phone) == ""
    phone.tap_on("#fit")
    assert view() == pytest.approx([x, y, wide, high])
    phone.tap_on("#in")
    assert view()[2] == pytest.approx(wide / 1.6)


def test_numbers_on_the_map_do_not_overlap(phone, show, plan):
    """At every zoom the numbers that are shown stand clear of each other; most of a small plan's are shown."""
    show(plan)
    for _ in range(3):
        boxes = phone.run(
            """[...document.querySelectorAll(".tag")].filter((t) => t.getAttribute("display") !== "none")
            .map((t) => t.querySelector("rect").getBoundingClientRect()).map((b) => [b.x, b.y, b.right, b.bottom])"""
        )
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                assert a[0] >= b[2] - 0.1 or b[0] >= a[2] - 0.1 or a[1] >= b[3] - 0.1 or b[1] >= a[3] - 0.1
        phone.tap_on("#in")


def test_everything_touched_is_large_enough(phone, show, open_plan):
    """Every button and tick box's field is at least 44 px each way, and the page no wider than the phone."""
    show(open_plan)
    phone.tap(*middle_of_tag(phone, "panel", 2))
    for view in ("#to-map", "#to-list", "#to-notes"):
        phone.tap_on(view)
        sizes = phone.run(
            """[...document.querySelectorAll("button, label.tick")].filter((b) => b.checkVisibility())
            .map((b) => b.getBoundingClientRect()).map((b) => Math.min(b.width, b.height))"""
        )
        assert len(sizes) >= 4
        assert min(sizes) >= FINGER
        assert phone.run("document.documentElement.scrollWidth") <= WIDTH


def test_theme_is_kept(phone, show, ring):
    """Dark stays dark after loading again; ticks are not touched by it."""
    show(ring)
    before = phone.run("document.documentElement.dataset.theme")
    phone.tap_on("#theme")
    phone.reload()
    assert {before, phone.run("document.documentElement.dataset.theme")} == {"sun", "dark"}


def test_all_ticks_go_after_a_second_tap(phone, show, open_plan):
    """One tap asks, the next clears."""
    show(open_plan)
    phone.tap_on("#to-list")
    phone.tap_on('#list input[data-panel="1"]')
    phone.tap_on("#clear")
    assert hung(phone) == [1]
    phone.tap_on("#clear")
    assert hung(phone) == []


def test_page_lives_without_a_store(phone, show, open_plan):
    """Where the phone keeps nothing, ticking works while the page is open, and it says so."""
    show(open_plan)
    phone.run('Storage.prototype.setItem = () => { throw new Error("full"); }')
    phone.tap_on("#to-list")
    phone.tap_on('#list input[data-panel="1"]')
    phone.tap_on('#list input[data-panel="4"]')
    assert hung(phone) == [1, 4]
    assert "keeps nothing" in phone.run('document.getElementById("warn").textContent')


def test_spoilt_store_is_survived(phone, show, open_plan):
    """What is no list of panels is read as nothing hung."""
    show(open_plan)
    for spoilt in (
        "{",
        '{"a": 1}',
        '[99, "x", null]',
        '{"at": 1, "hung": [2]}',
        '{"at": 1, "hung": {"99": "x", "y": 2}}',
    ):
        phone.run(f"localStorage.setItem({json.dumps(place_of(open_plan))}, {json.dumps(spoilt)})")
        phone.reload()
        assert hung(phone) == []
        assert phone.complaints == []


def test_print_shows_map_list_and_notes(phone, show, open_plan):
    """On paper all three stand one after the other, black on white, without buttons."""
    show(open_plan)
    phone.ask("Emulation.setEmulatedMedia", media="print")
    shown = phone.run(
        '["map", "list", "notes"].map((id) => document.getElementById(id).getBoundingClientRect().height > 50)'
    )
    buttons = phone.run('[...document.querySelectorAll("button")].filter((b) => b.checkVisibility()).length')
    phone.ask("Emulation.setEmulatedMedia", media="")
    assert shown == [True, True, True]
    assert buttons == 0
