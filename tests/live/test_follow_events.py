"""`follow` of a file that another program is writing."""

from __future__ import annotations

from pathlib import Path

from tests.live.running import Running, beans_c, named, posix_only

pytestmark = posix_only

HEAD = "# roastside roast file 1\n# title: Growing\ntime_s,bean_c,air_c,mark,value,note\n"


def grow(file: Path, text: str) -> None:
    with file.open("a", encoding="utf-8") as growing:
        growing.write(text)


def following(file: Path) -> Running:
    return Running("follow", file, "--events", home=file.parent)


def test_rows_are_told_as_they_are_appended(tmp_path: Path) -> None:
    file = tmp_path / "growing.csv"
    file.write_text(HEAD + "0.00,200.00,220.00,,,\n")
    with following(file) as follow:
        follow.wait_for_beans([200.0])
        grow(file, "0.50,201.00,220.00,,,\n0.50,,,charge,,\n1.00,2")
        follow.wait_for_beans([200.0, 201.0])
        follow.wait_for(lambda: named(follow.events, "mark"), "the mark")
        grow(file, "02.00,220.00,,,\n")
        follow.wait_for_beans([200.0, 201.0, 202.0])
        done = follow.end()
    assert done.code == 0
    assert done.events[-1]["event"] == "summary"
    assert done.events[-1]["readings"] == 3
    assert done.events[-1]["marks"] == {"charge": 0.0}
    (charge,) = named(done.events, "mark")
    assert (charge["source"], charge["at_s"]) == ("file", 0.0)


def test_a_torn_last_row_is_no_reading(tmp_path: Path) -> None:
    file = tmp_path / "growing.csv"
    file.write_text(HEAD + "0.00,200.00,220.00,,,\n0.50,2")
    with following(file) as follow:
        follow.wait_for_beans([200.0])
        done = follow.end()
    assert (done.code, beans_c(done.events)) == (0, [200.0])


def test_growth_that_is_no_roast_file_ends_it_with_a_sentence(tmp_path: Path) -> None:
    file = tmp_path / "growing.csv"
    file.write_text("# roastside roast file 1\n")
    with following(file) as follow:
        grow(file, "these,are,other,columns\n")
        done = follow.ended()
    assert (done.code, done.out) == (2, "")
    assert "time_s" in done.sentence
