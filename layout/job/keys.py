"""The keys of the job file, as one table: what is read, what it must be, what it is for.

The reader, the starter job and the documentation's test all go by this table. A further key is one line
in it, one field of the model, and one line where the job is built.
"""

from __future__ import annotations

from collections.abc import Iterator

from layout.job import fields, keys_drawn, keys_forming, keys_made, keys_packet, keys_site, keys_survey
from layout.job.fields import choice
from layout.job.key import Key, Section, both

LATER: dict[str, dict[str, str]] = {"": {}}
"""Keys not read yet, by the path of their table, with what they will hold; the path of tables is empty.

One that is read moves to its `Section`, or to `SECTIONS` where it is a table.
"""

TOP = Section(
    "",
    "The job as a whole.",
    (
        Key("format", fields.file_format, "Version of this file format.", both("1"), default=both(1)),
        Key(
            "title",
            fields.text,
            "Printed on every drawing.",
            both('"Flower kiosk, station square"'),
            required=True,
        ),
        Key(
            "units",
            choice("in", "mm"),
            'Unit of bare numbers; a length may also be text, as "24 ft 3 1/2 in" or "620 mm".',
            ('"in"', '"mm"'),
            required=True,
        ),
    ),
)

SECTIONS = {
    section.path: section
    for section in (
        TOP,
        keys_drawn.OUTLINE,
        keys_drawn.STEPS,
        keys_survey.SURVEY,
        keys_drawn.SCALLOP,
        keys_made.METAL,
        keys_made.FACE,
        keys_made.FIXING,
        keys_made.SEAMS,
        keys_made.AVOID,
        keys_made.REQUIRE,
        keys_made.ZONE,
        keys_site.OPENING,
        keys_site.CUTOUT,
        keys_site.VIEWPOINT,
        keys_site.WALL,
        keys_made.SHEET,
        keys_made.ORDER,
        keys_forming.COMPARE,
        keys_forming.DIE,
        keys_forming.MEASURED,
        keys_forming.PRESS,
        keys_forming.LIMITS,
        keys_forming.COATING,
        keys_forming.COSTS,
        keys_packet.PAPER,
        keys_packet.SITE,
    )
}
"""Every table of the job file by its path, in the order in which people read them."""


def every_key() -> Iterator[tuple[str, Key]]:
    """Give every key with its dotted name, as ``face.seam``, in the order of the table.

    >>> [name for name, _ in every_key()][:4]
    ['format', 'title', 'units', 'outline.name']
    """
    for path, section in SECTIONS.items():
        for key in section.keys:
            yield (f"{path}.{key.name}" if path else key.name), key
