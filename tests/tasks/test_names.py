"""Every pull has a name of its own, and is known under the names a person would use."""

from __future__ import annotations

from dataclasses import replace

from fairpull.tasks.names import called, same_log_twice, with_own_names
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Origin, Recording


def pull(name: str, path: str) -> Pull:
    return Pull(name, Origin(path, "0" * 64, "delimited", "made"), "sweep", {})


def test_names_that_stand_once_are_kept() -> None:
    pulls = [("log", pull("a", "a.csv")), ("log", pull("b", "b.csv"))]
    assert [one.name for one in with_own_names(pulls)] == ["a", "b"]


def test_the_group_tells_apart_then_the_ending_then_a_number() -> None:
    pulls = [
        ("log", pull("a", "x/a.csv")),
        ("log", pull("a", "x/a.txt")),
        ("header", pull("a", "y/a.csv")),
        ("deep", pull("b", "1/b.csv")),
        ("deep", pull("b", "2/b.csv")),
        ("log", pull("c", "x/c.csv")),
    ]
    names = [one.name for one in with_own_names(pulls)]
    assert names == ["log/a.csv", "log/a.txt", "header/a", "deep/b.csv (1)", "deep/b.csv (2)", "c"]


def test_a_pull_is_called_by_its_own_name_its_log_and_its_group() -> None:
    assert called("log", pull("log/a#2", "x/a.csv")) == ("log/a#2", "a#2", "a", "a.csv", "log")
    assert called("log", pull("a", "x/a.csv")) == ("a", "a.csv", "log")


def recording(name: str, path: str, digest: str) -> Recording:
    return Recording(name, Origin(path, digest * 64, "delimited", "made"), {})


def test_a_copy_is_no_repeat() -> None:
    logs = [recording("a", "x/a.csv", "1"), recording("b", "x/b.csv", "1"), recording("c", "x/c.csv", "2")]
    (finding,) = same_log_twice(logs)
    assert (finding.code, finding.severity, finding.where) == ("same-log-twice", "fault", "x/a.csv, x/b.csv")
    assert "2 times" in finding.text


def test_one_log_in_two_builds_counts_twice() -> None:
    (finding,) = same_log_twice([recording("a", "x/a.csv", "1")] * 2)
    assert finding.where == "x/a.csv"


def test_a_table_that_was_split_counts_once() -> None:
    one = recording("petrol", "x/a.csv", "1")
    assert same_log_twice([one, replace(one, name="gas")]) == ()
