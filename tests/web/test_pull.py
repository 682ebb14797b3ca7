"""A pull's page: what a man at the brake reads, in his order; charts as data; changes by forms that lose nothing."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path
from typing import Any
from urllib.parse import quote

import html5lib
import pytest
from starlette.testclient import TestClient

from fairpull.show.bench_text import headline
from fairpull.tasks.bench.door import the_book
from fairpull.terms.bench import SET_ASIDE, KeptPull
from tests.web.conftest import posted

HOSTILE = '<script>alert("x")</script>'


def lines_of(folder: Path) -> tuple[KeptPull, ...]:
    with the_book(folder, read_only=True) as kept:
        return tuple(kept.pull(line.name) for line in kept.pulls())


def limited_in(folder: Path) -> KeptPull:
    """A pull that counts up to a speed, for a finding."""
    return next(line for line in lines_of(folder) if line.valid_to is not None)


def address(name: str, rest: str = "") -> str:
    return f"/pulls/{quote(name, safe='')}{rest}"


def get(client: TestClient, url: str, **more: Any) -> Any:
    return client.get(url, follow_redirects=False, **more)


def test_the_page_reads_in_the_order_of_the_brake(pages: TestClient, demo_book: Path) -> None:
    line = limited_in(demo_book)
    page = get(pages, address(line.name))
    assert page.status_code == 200
    order = ["<h1", "Peaks,", "Findings</h2>", "The curve</h2>", "Every channel</h2>", ">By rpm<", ">Health,"]
    order += [">Conditions<", ">In the book<", "Judgements", "Remarks and papers", "What you say of it"]
    places = [page.text.index(word) for word in order]
    assert places == sorted(places)
    assert line.health is not None
    assert line.health.signs[0].confirm in page.text


def test_the_page_is_valid_html_with_names_for_everything(pages: TestClient, demo_book: Path) -> None:
    for line in (limited_in(demo_book), lines_of(demo_book)[0]):
        text = get(pages, address(line.name, "?by=time&channels=torque")).text
        parser = html5lib.HTMLParser(strict=False, tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
        tree = parser.parse(text)
        assert parser.errors == []
        ids = [one.get("id") for one in tree.iter() if one.get("id")]
        assert len(ids) == len(set(ids))
        named = {one.get("for") for one in tree.iter("label")}
        inside = {id(one) for label in tree.iter("label") for one in label.iter()}
        for kind in ("input", "select", "textarea"):
            for one in tree.iter(kind):
                assert one.get("type") == "hidden" or one.get("id") in named or id(one) in inside
        assert "style=" not in text
        assert len(list(tree.iter("h1"))) == 1


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_page_says_the_numbers_of_the_terminal(pages: TestClient, demo_book: Path, system: str) -> None:
    for line in lines_of(demo_book)[::5]:
        text = get(pages, address(line.name, f"?units={system}")).text
        power, torque = headline(line, system).partition(",")[0].split("; ")[-1], headline(line, system).split(", ")[-1]
        assert f"{power.split(' at ')[0]} at" in text
        assert f"{torque.split(' at ')[0]} at" in text


def test_a_pull_may_be_asked_for_by_its_number(pages: TestClient, demo_book: Path) -> None:
    line = lines_of(demo_book)[2]
    answer = get(pages, f"/pulls/{line.number}")
    assert (answer.status_code, answer.headers["location"]) == (303, address(line.name))


@pytest.mark.parametrize("name", ["nobody", "etc%2Fpasswd", "a%5Cb", "%E2%80%AEred", "x" * 399])
def test_a_name_that_is_none_is_a_page_with_a_way_back(pages: TestClient, name: str) -> None:
    for rest in ("", "/original", "/trace.csv", "/chart/curve.svg"):
        answer = get(pages, f"/pulls/{name}{rest}")
        assert answer.status_code == 404
        assert "<h1" in answer.text


@pytest.mark.parametrize("name", ["%2e%2e%2f%2e%2e%2fetc%2fpasswd", "a%00b", "%ff"])
def test_a_name_that_cannot_be_is_refused_at_the_door(pages: TestClient, name: str) -> None:
    for rest in ("", "/original", "/papers/x", "/chart/curve.svg"):
        assert get(pages, f"/pulls/{name}{rest}").status_code in (400, 404)


def test_a_name_longer_than_any_is_refused(pages: TestClient) -> None:
    assert get(pages, f"/pulls/{'x' * 401}").status_code == 422


def test_the_neighbours_of_the_day_are_linked(pages: TestClient, demo_book: Path) -> None:
    first, second = lines_of(demo_book)[:2]
    assert f'rel="next" href="{address(second.name)}"' in get(pages, address(first.name)).text
    assert f'rel="prev" href="{address(first.name)}"' in get(pages, address(second.name)).text


def test_the_build_is_compared_with_its_reference(pages: TestClient, demo_book: Path) -> None:
    line = limited_in(demo_book)
    with the_book(demo_book, read_only=True) as kept:
        against = kept.sheet("build", line.build).body["reference"]
    assert f"/compare?of={against}&amp;of={line.build}" in get(pages, address(line.name)).text


def test_the_charts_come_live_and_as_files(pages: TestClient, demo_book: Path) -> None:
    at = address(limited_in(demo_book).name, "/chart")
    live = get(pages, f"{at}/curve.json?size=narrow&theme=dark").json()
    assert live["spec"]["params"][0]["name"] == "at_0"
    assert live["reading"]["fields"][0][0] == "at"
    assert set(live["reading"]["rows"][0]) >= {name for name, _ in live["reading"]["fields"]}
    small = get(pages, f"{at}/channels.json?by=time&channels=torque&channels=lambda").json()
    assert len(small["spec"]["vconcat"]) == 2
    still = get(pages, f"{at}/channels.svg?channels=torque")
    assert still.headers["content-type"] == "image/svg+xml"
    head = next(csv.reader(StringIO(get(pages, f"{at}/curve.csv?units=metric").text)))
    assert head[1] == "corrected torque [N m]"
    assert get(pages, f"{at}/elsewhere.svg").status_code == 404
    assert get(pages, f"{at}/curve.exe").status_code == 404


def test_the_whole_channels_chart_is_light_and_told_again_unchanged(pages: TestClient, demo_book: Path) -> None:
    url = address(limited_in(demo_book).name, "/chart/channels.json")
    first = get(pages, url)
    assert len(first.content) < 300_000
    mark = first.headers["etag"]
    assert get(pages, url, headers={"if-none-match": mark}).status_code == 304


def test_the_original_goes_out_as_it_came_in(pages: TestClient, demo_book: Path) -> None:
    line = limited_in(demo_book)
    answer = get(pages, address(line.name, "/original"))
    with the_book(demo_book, read_only=True) as kept:
        assert answer.content == kept.original(line.original).read_bytes()
    assert answer.headers["content-type"] == "application/octet-stream"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-disposition"] == f"attachment; filename*=UTF-8''{quote(line.original_name, safe='')}"


def test_the_trace_as_csv_has_the_rows_of_the_pull(pages: TestClient, demo_book: Path) -> None:
    line = limited_in(demo_book)
    answer = get(pages, address(line.name, "/trace.csv?units=metric"))
    rows = list(csv.reader(StringIO(answer.text)))
    with the_book(demo_book, read_only=True) as kept:
        trace = kept.trace(line.name)
    assert len(rows) == 1 + trace.channels["rpm"].size
    assert rows[0][list(trace.channels).index("torque")] == "torque [N m]"
    assert answer.headers["content-disposition"].startswith("attachment")


def test_set_aside_with_a_reason_and_again_counted(own_pages: TestClient, own_book: Path) -> None:
    name = lines_of(own_book)[1].name
    at = address(name)
    done = posted(own_pages, f"{at}/mark", {"state": "aside", "reason": "belt came off", "by": "K. L."}, page=at)
    assert (done.status_code, done.headers["location"]) == (303, at)
    text = get(own_pages, at).text
    assert "<strong>set aside</strong>: belt came off" in text
    assert "K. L." in text
    posted(own_pages, f"{at}/mark", {"state": "counts", "valid_to": "4000"}, page=at)
    after = next(line for line in lines_of(own_book) if line.name == name)
    assert (after.state, after.valid_to) == ("counts", 4000.0)
    assert "counts up to 4,000 rpm" in get(own_pages, at).text


@pytest.mark.parametrize(
    ("form", "typed", "said"),
    [
        ("mark", {"state": "aside", "reason": " ", "by": "K. L."}, "without a reason"),
        ("mark", {"state": "bogus", "reason": "why not"}, "use counts, aside or void"),
        ("mark", {"state": "counts", "valid_to": "99999", "reason": "it spun"}, "counts up to"),
        ("mark", {"state": "counts", "valid_to": "nan"}, "counts"),
        ("move", {"build": "nowhere", "why": "the tag was wrong"}, "no build of this name"),
        ("move", {"build": "", "why": ""}, "no build of this name"),
        ("remark", {"text": " \n ", "by": "K. L."}, "without words"),
    ],
)
def test_a_refused_form_keeps_what_was_typed(
    own_pages: TestClient, own_book: Path, form: str, typed: dict[str, str], said: str
) -> None:
    before = lines_of(own_book)
    at = address(before[1].name)
    answer = posted(own_pages, f"{at}/{form}", typed, page=at)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'<a href="#{form}">See what was refused' in answer.text
    assert f'id="{form}"' in answer.text
    for key, value in typed.items():
        assert key in ("state", "build") or value.strip() in answer.text
    assert lines_of(own_book) == before


def test_a_pull_is_moved_to_the_build_it_ran_with(own_pages: TestClient, own_book: Path) -> None:
    line = limited_in(own_book)
    at = address(line.name)
    same = posted(own_pages, f"{at}/move", {"build": line.build, "why": "again"}, page=at)
    assert same.status_code == 422
    assert "already" in same.text
    done = posted(own_pages, f"{at}/move", {"build": "anvil-header", "why": "the old cam"}, page=at)
    assert done.status_code == 303
    after = next(one for one in lines_of(own_book) if one.name == line.name)
    assert after.build == "anvil-header"


def test_remarks_are_words_and_nothing_else(own_pages: TestClient, own_book: Path) -> None:
    line = lines_of(own_book)[1]
    at = address(line.name)
    posted(own_pages, f"{at}/remark", {"text": f"{HOSTILE}\nsecond line\x1b[31m", "by": HOSTILE}, page=at)
    posted(own_pages, f"{at}/mark", {"state": "void", "reason": HOSTILE, "by": HOSTILE}, page=at)
    text = get(own_pages, at).text
    assert HOSTILE not in text
    assert "&lt;script&gt;" in text
    assert "\x1b" not in text
    chart = get(own_pages, f"{at}/chart/curve.svg").text
    assert "<script" not in chart


def test_a_file_beside_the_pull_can_be_taken_away(own_pages: TestClient, own_book: Path, tmp_path: Path) -> None:
    photo = tmp_path / 'plug "5".html'
    photo.write_text(HOSTILE)
    name = lines_of(own_book)[1].name
    with the_book(own_book) as kept:
        laid = kept.attach(photo, ("pull", name), "plug 5")
    at = address(name)
    assert f"{at}/papers/{laid.sha256}" in get(own_pages, at).text
    answer = get(own_pages, f"{at}/papers/{laid.sha256}")
    assert answer.text == HOSTILE
    assert answer.headers["content-type"] == "application/octet-stream"
    assert answer.headers["content-disposition"].startswith("attachment; filename*=UTF-8''plug%20%225%22.html")
    assert get(own_pages, f"{at}/papers/{'0' * 64}").status_code == 404


def test_a_change_without_its_token_is_refused(own_pages: TestClient, own_book: Path) -> None:
    line = lines_of(own_book)[1]
    headers = {"origin": str(own_pages.base_url).rstrip("/")}
    bare = own_pages.post(address(line.name, "/mark"), data={"state": "void", "reason": "x"}, headers=headers)
    assert bare.status_code == 403
    assert lines_of(own_book)[1].state != "void"


def test_a_broken_trace_still_has_a_page(own_pages: TestClient, own_book: Path) -> None:
    for file in (own_book / "traces").rglob("*.parquet"):
        file.write_bytes(b"no trace")
    line = lines_of(own_book)[1]
    text = get(own_pages, address(line.name)).text
    assert "What cannot be shown" in text
    assert "Judgements" in text
    assert get(own_pages, address(line.name, "/chart/channels.svg")).status_code == 200
    assert get(own_pages, address(line.name, "/trace.csv")).status_code == 422


def test_a_pull_that_does_not_count_says_so_first(pages: TestClient, demo_book: Path) -> None:
    line = next(one for one in lines_of(demo_book) if one.state == SET_ASIDE and one.reason)
    text = get(pages, address(line.name)).text
    assert text.index(f"<strong>set aside</strong>: {line.reason[:9]}") < text.index("Peaks,")


def test_the_spec_holds_plain_json_numbers(pages: TestClient, demo_book: Path) -> None:
    raw = get(pages, address(limited_in(demo_book).name, "/chart/channels.json")).text
    json.loads(raw, parse_constant=lambda word: pytest.fail(f"{word} in the chart"))
