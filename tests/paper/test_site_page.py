"""The page for the phone: what it holds, and that nothing escapes from it."""

from __future__ import annotations

import base64
import hashlib
import html.parser
import json
import re
from dataclasses import replace

import pytest
from paper_plans import DIGEST
from phone import NASTY

from layout.face.set_out import set_out
from layout.job.model_packet import PaperSpec
from layout.paper.hanging import hanging_order
from layout.paper.site_page import TEMPLATE, as_data, mark_of, policy_of, site_page
from layout.units import format_length


class Elements(html.parser.HTMLParser):
    """The elements of a page, with their attributes and what stands in them."""

    def __init__(self, text):
        super().__init__()
        self.found = []
        self.open = False
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append([tag, dict(attrs), ""])
        self.open = True

    def handle_data(self, data):
        if self.open:
            self.found[-1][2] += data

    def handle_endtag(self, tag):
        self.open = False

    def all(self, tag):
        """Return all of a kind."""
        return [entry for entry in self.found if entry[0] == tag]


def data_of(text):
    """Return the data inside a page."""
    (found,) = [content for _, attrs, content in Elements(text).all("script") if attrs.get("id") == "plan"]
    return json.loads(found)


# What it holds.


def test_figures_are_the_plans(plan):
    """Every seam and panel is there with its station, ties and blank as they are read."""
    data, unit, found = data_of(site_page(plan)), plan.job.units, set_out(plan)

    def read(length):
        return format_length(length, unit).replace(" ", "\u00a0").replace("-", "−")

    assert [seam["n"] for seam in data["seams"]] == [seam.number for seam in plan.seams]
    assert [panel["n"] for panel in data["panels"]] == [panel.number for panel in plan.panels]
    for seam, mark, shown in zip(plan.seams, found.marks, data["seams"], strict=True):
        rows = dict(shown["rows"])
        assert rows["station"] == read(seam.station)
        assert (shown["x"], shown["y"]) == pytest.approx((seam.x, seam.y), abs=0.01)
        assert rows["why here"] == seam.why
        for name, distance in zip(mark.ties.controls, mark.ties.distances, strict=True):
            assert rows[f"tie from {name}"] == read(distance)
    for panel, shown in zip(plan.panels, data["panels"], strict=True):
        assert dict(shown["rows"])["blank"] == f"{read(panel.blank_length)} × {read(panel.blank_height)}"


def test_panels_are_drawn_where_they_hang(plan):
    """A panel's points run from its left seam to its right one."""
    data = data_of(site_page(plan))
    place = {seam.number: (seam.x, seam.y) for seam in plan.seams}
    for panel, shown in zip(plan.panels, data["panels"], strict=True):
        assert shown["points"][0] == pytest.approx(place[panel.left_seam], abs=0.02)
        assert shown["points"][-1] == pytest.approx(place[panel.right_seam], abs=0.02)


def test_hanging_order_follows_the_laps(ring):
    """Under: rising; over: falling; butt: rising. One that is given must hold all panels once."""
    numbers = [panel.number for panel in ring.panels]
    over = replace(ring, job=replace(ring.job, face=replace(ring.job.face, lap_goes="over")))
    assert hanging_order(ring) == numbers
    assert hanging_order(over) == numbers[::-1]
    assert data_of(site_page(ring, order=numbers[5:] + numbers[:5]))["order"][0] == 6
    with pytest.raises(ValueError, match="every panel once"):
        site_page(ring, order=numbers[1:])


def test_page_repeats_and_stays_small(plan):
    """The same plan gives the same page, at most some kilobytes a panel."""
    page = site_page(plan)
    assert page == site_page(plan)
    assert len(page.encode()) < 60_000 + 2_500 * len(plan.panels)


def test_ticks_are_kept_for_one_job_one_revision_and_its_panels(ring):
    """Another job file, another revision, another blank: other ticks; another reason or order of hanging: the same."""

    def key(plan, **more):
        return data_of(site_page(plan, **more))["key"]

    longer = replace(ring.panels[0], blank_length=ring.panels[0].blank_length + 0.2)
    others = {
        key(ring),
        key(ring, revision="B"),
        key(replace(ring, job=replace(ring.job, digest="ab" * 32))),
        key(replace(ring, job=replace(ring.job, digest=""))),
        key(replace(ring, panels=(longer, *ring.panels[1:]))),
    }
    assert len(others) == 5
    assert all(re.fullmatch("[0-9a-f]{64}", one) for one in others)
    assert key(replace(ring, seams=(replace(ring.seams[0], why="other"), *ring.seams[1:]))) == key(ring)
    assert key(ring, order=[panel.number for panel in ring.panels][::-1]) == key(ring)


def test_revision_is_said(ring):
    """The page bears its revision's letter, and the notes tell it with the date that the job gives."""
    dated = replace(ring, job=replace(ring.job, paper=PaperSpec(date="3 March")))
    data = data_of(site_page(dated, revision="C"))
    assert data["revision"] == "C"
    assert data["notes"][-1][1].startswith(f"Revision C, 3 March, made from job file {DIGEST[:12]}.")
    assert data_of(site_page(ring))["revision"] == "A"


def test_a_panels_card_tells_its_cut_outs(looked):
    """Left, bottom and size in the flat of each hole stand with its panel, and with no other."""
    told = [
        (panel["n"], name.removeprefix("cut-out "), figure)
        for panel in data_of(site_page(looked))["panels"]
        for name, figure in panel["rows"]
        if name.startswith("cut-out ")
    ]
    assert {(n, name) for n, name, _ in told} == {(hole.panel, hole.name) for hole in looked.cutouts}
    for hole in looked.cutouts:
        (figure,) = (figure for n, name, figure in told if (n, name) == (hole.panel, hole.name))
        left, bottom = (format_length(mm, "in").replace(" ", "\u00a0") for mm in (hole.left, hole.bottom))
        assert figure.startswith(f"left {left}, bottom {bottom}, ")


def test_marks_tell_panels_apart(plan):
    """No two panels of a plan have one mark, and the sheet that a panel is cut from is no part of it."""
    marks = [mark_of(plan, panel) for panel in plan.panels]
    assert len(set(marks)) == len(marks)
    assert mark_of(plan, replace(plan.panels[0], sheet=77)) == marks[0]


# That nothing escapes.


def test_any_text_stays_text(ring):
    """A title, run, reason or stretch that holds markup adds no element and comes back as it is."""
    plain, job = site_page(ring), replace(ring.job, title=NASTY)
    bad = replace(
        ring,
        job=job,
        runs=(replace(ring.runs[0], name=NASTY), replace(ring.runs[0], number=2, name=NASTY)),
        seams=tuple(replace(seam, why=NASTY) for seam in ring.seams),
        stretches=tuple(replace(one, why=NASTY) for one in ring.stretches),
        cautions=(NASTY,),
    )
    page = site_page(bad)
    assert [entry[:2] for entry in Elements(page).found] == [entry[:2] for entry in Elements(plain).found]
    data = data_of(page)
    assert data["title"] == NASTY
    assert dict(data["seams"][0]["rows"])["why here"] == NASTY
    assert Elements(page).all("title")[0][2].startswith("</script><script>alert(1)")


def test_page_asks_for_nothing(plan):
    """No element has a source or a place to go, but for an empty icon; no style loads anything."""
    page = site_page(plan)
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", page)
    assert not re.search(r"@import|url\(", page)
    for tag, attrs, _ in Elements(page).found:
        assert not {"src", "srcset", "action", "onclick", "onload", "style"} & attrs.keys()
        assert attrs.get("href", "data:,") == "data:,"
        assert tag not in {"iframe", "object", "embed", "form", "base"}


def test_policy_names_this_style_and_this_script(ring):
    """Everything is forbidden but the style and the script inside, known by their hashes."""
    elements = Elements(site_page(ring))
    (policy,) = [
        attrs["content"] for _, attrs, _ in elements.all("meta") if attrs.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policy.split("; ")[0] == "default-src 'none'"
    (style,), (script,) = (
        [content for _, attrs, content in elements.all(tag) if not attrs] for tag in ("style", "script")
    )
    for content, rule in ((style, "style-src"), (script, "script-src")):
        digest = base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
        assert f"{rule} 'sha256-{digest}'" in policy
    assert "unsafe" not in policy


def test_policy_needs_one_style_and_one_script():
    """A template with two scripts is refused rather than half allowed."""
    with pytest.raises(ValueError, match="unpack"):
        policy_of("<style></style><script>a</script><script>b</script>")


def test_data_cannot_end_its_element():
    """No character that HTML reads inside a script is left."""
    assert not set(as_data([NASTY])) & set("<>&\u2028\u2029")
    assert json.loads(as_data([NASTY])) == [NASTY]


def contrast(one, other):
    """Return the contrast of two colours (WCAG 2.1, relative luminance)."""

    def light(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", ["sun", "dark"])
def test_both_themes_have_high_contrast(theme):
    """What is read stands out by 7 : 1 or more (WCAG 2.1, 1.4.6), lines by 4.5 : 1; black on white by 21 : 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.1, the greatest there is
    style = re.search(rf'\[data-theme="{theme}"\] \{{(.*?)\}}', TEMPLATE.read_text(encoding="utf-8"), re.DOTALL)[1]
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", style))
    for ink in ("ink", "quiet", "care", "seam", "hung", "chosen"):
        assert contrast(colours[ink], colours["ground"]) >= 7.0, ink
    for ink in ("ink", "quiet", "hung"):
        assert contrast(colours[ink], colours["raised"]) >= 7.0, ink
    assert contrast(colours["ground"], colours["ink"]) >= 7.0  # pressed buttons
    assert contrast(colours["on-seam"], colours["seam"]) >= 7.0
    assert contrast(colours["on-seam"], colours["hung"]) >= 7.0
    assert contrast(colours["rule"], colours["ground"]) >= 4.5
