"""A short invented roast, as the text of a roast file and as the items in it."""

from __future__ import annotations

from roastside.core.readings import Item, Mark, MarkSource, Reading

HEAD = """\
# roastside roast file 1
# title: Harbour Street test batch
# charge_weight_g: 1500
time_s,bean_c,air_c,mark,value,note
"""

ROWS = (
    "10.00,201.25,228.50,,,\n",
    "10.50,201.00,228.25,,,\n",
    "11.00,200.75,,charge,,\n",
    "11.50,,228.00,,,\n",
    "13.00,180.25,227.00,,,\n",
    "10.75,,,comment,,tapped the chute\n",
    "14.00,,,control,70,heat %\n",
    "15.00,150.00,226.00,,,\n",
)

TEXT = HEAD + "".join(ROWS)

EXPECTED: list[Item] = [
    Reading(10.0, 201.25, 228.5),
    Reading(10.5, 201.0, 228.25),
    Reading(11.0, 200.75),
    Mark(11.0, "charge", source=MarkSource.FILE),
    Reading(11.5, None, 228.0),
    Reading(13.0, 180.25, 227.0),
    Mark(10.75, "comment", note="tapped the chute", source=MarkSource.FILE),
    Mark(14.0, "control", "70", "heat %", MarkSource.FILE),
    Reading(15.0, 150.0, 226.0),
]
