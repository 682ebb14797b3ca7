"""Purpose, tune, past work, results, cautions as pages: the terminal's numbers, nothing lost, nothing from outside."""

from __future__ import annotations

import csv
import re
from html import unescape
from io import StringIO
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from starlette.testclient import TestClient

from fairpull.show.facts import cautions_page, past_page, purpose_page, tune_page
from fairpull.tasks.bench import answers, offers
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.kept_comparison import compare_kept
from fairpull.tasks.bench.past_of import past_of
from fairpull.tasks.bench.purpose_of import purpose_of
from fairpull.tasks.bench.tune_of import tune_of
from fairpull.tasks.request import CompareRequest

SPARK = "/tune?kind=spark&of=anvil-log&of=anvil-log-spark"
RATED = urlencode({"duty": "E3", "rated": "93 hp at 3800 rpm"})
KEPT = "header against log"


def said(page: Any) -> str:
    """A page's words without tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page.text)).replace("\u00a0", " ").split())


def cells(rows: tuple[tuple[str, ...], ...]) -> list[str]:
    """A table's rows as they stand on a page without tags."""
    return [" ".join(" ".join(row).split()) for row in rows]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_scores_are_those_of_the_terminal_to_the_digit(pages: TestClient, demo_book: Path, system: str) -> None:
    with the_book(demo_book, read_only=True) as kept:
        scores = purpose_of(kept, "hut-carrier")
    page = said(pages.get(f"/purpose?duty=hut-carrier&units={system}"))
    assert scores.sentence in page
    for row in cells(purpose_page.scores_table(scores, system).rows):
        assert row in page
    for row in cells(purpose_page.differences_table(scores, system).rows):
        assert row in page


def test_the_order_in_which_builds_are_named_changes_no_digit(demo_book: Path) -> None:
    names = ["wren-screw", "anvil-log", "anvil-header"]
    with the_book(demo_book, read_only=True) as kept:
        one, other = purpose_of(kept, "hut-carrier", names), purpose_of(kept, "hut-carrier", names[::-1])
    assert one.sentence == other.sentence
    assert [score.value for score in one.scores] == [score.value for score in other.scores]


def test_a_published_cycle_wants_its_rating_and_keeps_what_was_typed(pages: TestClient) -> None:
    page = pages.get("/purpose?duty=E3&of=anvil-log&rated=plenty&altitude=7200+ft")
    assert page.status_code == 422
    assert 'value="plenty"' in page.text
    assert 'value="7200 ft"' in page.text
    assert "--rated" not in said(page)
    assert pages.get(f"/purpose?{RATED}").status_code == 200


def test_without_a_question_each_page_says_what_it_can_answer(pages: TestClient) -> None:
    assert 'value="hut-carrier"' in pages.get("/purpose").text
    tune = pages.get("/tune").text
    assert "kind=spark&amp;of=anvil-log&amp;of=anvil-log-spark" in tune
    assert "kind=jets&amp;of=anvil-log&amp;of=anvil-log-jets" in tune
    assert "engine=Anvil" in tune
    assert "change=camshaft" in pages.get("/past").text


def test_every_offer_of_a_page_has_an_answer(pages: TestClient) -> None:
    for page in ("/tune", "/past"):
        links = {unescape(one) for one in re.findall(r'href="(/(?:tune|past)\?[^"]+)"', pages.get(page).text)}
        assert links
        for link in links:
            assert pages.get(link).status_code == 200, link


def test_an_empty_book_says_what_to_do(site: Any, tmp_path: Path) -> None:
    from fairpull.tasks.bench.door import new_book

    new_book(tmp_path / "book").close()
    client = site(tmp_path / "book")
    for page, words in (("/purpose", "Take in a log"), ("/tune", "take in the logs"), ("/past", "take in")):
        answer = client.get(page)
        assert answer.status_code == 200
        assert words in said(answer)
    assert "No duty is written down" in said(client.get("/purpose"))
    assert "No result is kept yet" in said(client.get("/results"))
    assert client.get("/purpose?duty=D2").status_code == 422


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_loops_are_those_of_the_terminal(pages: TestClient, demo_book: Path, system: str) -> None:
    result = tune_of("spark", ["anvil-log", "anvil-log-spark"], book=str(demo_book))
    page = said(pages.get(f"{SPARK}&units={system}"))
    for table in (tune_page.loops_table(result), tune_page.worth_table(result, system), tune_page.next_table(result)):
        for row in cells(table.rows):
            assert row in page
    for one in result.cautions:
        assert one in page


def test_all_that_is_wrong_with_a_loop_is_said_at_once(pages: TestClient) -> None:
    page = pages.get(f"{SPARK}&speeds=nan&knock_limit=loud")
    assert page.status_code == 422
    assert {"speeds", "knock level that counts"} <= set(re.findall(r"<strong>([^<]+)</strong>:", page.text))
    assert 'value="loud"' in page.text
    assert pages.get(f"{SPARK}&speeds={'9' * 300}").status_code == 422
    assert pages.get(f"{SPARK}&limits=34-20+deg").status_code == 422


def test_a_name_from_outside_is_never_a_file(
    pages: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A log and a duty lie in the working folder under the names that are asked for."""
    (tmp_path / "loop.csv").write_text(
        "rpm,torque [lb-ft],spark advance [deg]\n3000,219,24\n3000,221,27\n3000,222,30\n"
    )
    (tmp_path / "duty.toml").write_text('name = "x"\n[[band]]\nspeed = "2000-3000 rpm"\nweight = 1\n')
    monkeypatch.chdir(tmp_path)
    for name in ("loop.csv", str(tmp_path / "loop.csv"), "/etc/passwd"):
        assert pages.get(f"/tune?kind=spark&of={quote(name)}").status_code == 404
    for name in ("duty.toml", str(tmp_path / "duty.toml")):
        assert pages.get(f"/purpose?duty={quote(name)}").status_code == 404


def test_running_in_says_its_sentence_and_its_table(pages: TestClient, demo_book: Path) -> None:
    with the_book(demo_book, read_only=True) as kept:
        result = answers.running_in_seen(kept, "Anvil").value.result
    page = said(pages.get("/tune?kind=running-in&engine=Anvil"))
    assert result.sentence in page
    for row in cells(tune_page.pulls_table(result, "us").rows):
        assert row in page


def test_past_work_is_that_of_the_terminal_in_other_words_too(pages: TestClient, demo_book: Path) -> None:
    with the_book(demo_book, read_only=True) as kept:
        past = past_of(kept, "exhaust")
    for word in ("exhaust", "header"):
        page = said(pages.get(f"/past?change={word}"))
        assert past_page.past_sentence(past, "us") in page
        for row in cells(past_page.effects_table(past, "us").rows):
            assert row in page


def test_a_kind_of_change_that_is_none_is_refused_with_near_ones(pages: TestClient) -> None:
    page = pages.get("/past?change=camshft")
    assert page.status_code == 404
    assert "camshaft" in said(page)
    assert 'value="camshft"' in page.text


@pytest.mark.parametrize(
    "address",
    [
        f"/purpose/chart/curves.json?{RATED}",
        f"/purpose/chart/ranking.csv?{RATED}",
        "/tune/chart/loops.json?kind=jets&of=anvil-log&of=anvil-log-jets&size=narrow&theme=dark",
        "/tune/chart/settings.csv?kind=spark&of=anvil-log&of=anvil-log-spark",
        "/tune/running-in.json?kind=running-in&engine=Wren",
        "/past/chart.csv?change=boost",
    ],
)
def test_pictures_answer_by_their_address(pages: TestClient, address: str) -> None:
    answer = pages.get(address)
    assert answer.status_code == 200
    if ".json" in address:
        assert "NaN" not in answer.text
        assert answer.json()["spec"]["datasets"]
    else:
        assert len(list(csv.reader(StringIO(answer.text)))) > 1


def test_pictures_that_are_none_are_not_found(pages: TestClient) -> None:
    for address in (
        f"/purpose/chart/curves.exe?{RATED}",
        f"/purpose/chart/none.svg?{RATED}",
        "/tune/chart/x.svg",
        "/past/chart.gif?change=exhaust",
    ):
        assert pages.get(address).status_code == 404


def test_an_answer_is_computed_once_and_again_after_a_change(own_book: Path) -> None:
    from fairpull.tasks.bench.lists import mark_pull

    with the_book(own_book) as kept:
        first = answers.purpose_seen(kept, "hut-carrier", ("anvil-log", "anvil-header"))
        again = answers.purpose_seen(kept, "hut-carrier", ("anvil-log", "anvil-header"))
        assert again.value is first.value
        mark_pull(kept, "02-0940-log-baseline", "aside", "for the test")
        after = answers.purpose_seen(kept, "hut-carrier", ("anvil-log", "anvil-header"))
    assert after.key != first.key
    assert after.value.scores.scores != first.value.scores.scores


def test_more_pulls_than_anybody_waits_for_are_refused_with_a_way(
    pages: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fairpull.web.pages import past

    monkeypatch.setattr(offers, "MOST_PULLS", 3)
    monkeypatch.setattr(past, "MOST_PULLS", 3)
    for address, way in (
        ("/purpose?duty=hut-carrier", "fairpull purpose"),
        (SPARK, "fairpull tune"),
        ("/tune?kind=running-in&engine=Anvil", "fairpull running-in"),
        ("/past?change=camshaft", "fairpull past"),
    ):
        page = pages.get(address)
        assert page.status_code == 422
        assert way in said(page)


@pytest.fixture
def kept_book(own_book: Path) -> Path:
    """A book with a kept result."""
    request = CompareRequest(band=(1800.0, 4600.0), smallest=0.02)
    compare_kept(["anvil-log", "anvil-header"], request, book=str(own_book), keep=KEPT)
    return own_book


def test_a_kept_result_says_how_it_stands_and_asks_the_same_again(site: Any, kept_book: Path) -> None:
    client = site(kept_book)
    address = f"/results/{quote(KEPT)}"
    page = client.get(address)
    assert "are as they were" in said(page)
    assert "as they were" in said(client.get("/results"))
    live = unescape(re.findall(r'href="(/compare\?[^"]+)"', page.text)[0])
    assert "band=1800-4600" in live
    assert "smallest=2" in live
    with the_book(kept_book, read_only=True) as kept:
        stored = kept.result(KEPT).result
    answer = client.get(f"{address}/document.json")
    assert answer.text == stored
    assert answer.headers["content-disposition"].startswith("attachment")


def test_what_changed_since_a_result_was_kept_is_named(site: Any, kept_book: Path) -> None:
    from fairpull.tasks.bench.door import change_setting
    from fairpull.tasks.bench.lists import mark_pull

    with the_book(kept_book) as kept:
        mark_pull(kept, "02-0940-log-baseline", "aside", "for the test")
        mark_pull(kept, "03-0955-log-repeat", "counts", valid_to="4500 rpm")
        change_setting(kept, "smallest", "3 %")
    page = said(site(kept_book).get(f"/results/{quote(KEPT)}"))
    assert "Counted then, and does not now: 02-0940-log-baseline." in page
    assert "03-0955-log-repeat counts up to 4,500 rpm now, its end then." in page
    assert "House setting smallest: by the data then, 3 % now." in page


def test_a_result_that_is_not_there_is_not_found(pages: TestClient) -> None:
    for rest in ("", "/document.json"):
        assert pages.get(f"/results/none{rest}").status_code == 404


@pytest.mark.parametrize("page", [SPARK, "/purpose?duty=hut-carrier", "/past?change=exhaust", "/tune", "/cautions"])
def test_where_limits_tuning_or_plans_stand_cautions_stand_too(pages: TestClient, page: str) -> None:
    text = said(pages.get(page))
    assert 'href="/cautions"' in pages.get(page).text
    assert "not replace the part makers' limits" in text
    assert not re.search(r"\b(safe|safely|safety)\b", text, re.IGNORECASE)


def test_the_cautions_name_the_usual_dangers_and_what_each_rests_on(pages: TestClient) -> None:
    page = said(pages.get("/cautions")).lower()
    for danger in (
        *("carbon monoxide", "fuel", "plane of rotation", "burns", "ear protection", "electric", "coolant", "alone"),
        *("spectator", "emergency stop", "extinguisher", "extraction", "licensed", "part makers' limits"),
    ):
        assert danger in page, danger
    for one in cautions_page.CAUTIONS:
        assert cautions_page.PRACTICE in one.source or cautions_page.MEMORY in one.source
        assert one.habits


@pytest.mark.parametrize(
    "word", ["\ud800", "a" * 3000, "x\x00y", "<script>alert(1)</script>", "../../etc/passwd", "1e400"]
)
def test_nasty_words_are_refused_and_never_break_a_page(pages: TestClient, word: str) -> None:
    quoted = quote(word.encode("utf-8", "surrogatepass"))
    for address in (
        "/purpose?duty={}",
        "/purpose?duty=hut-carrier&of={}",
        "/purpose?duty=E3&rated={}",
        "/purpose?duty=hut-carrier&altitude={}",
        "/tune?kind={}&of=anvil-log",
        "/tune?kind=spark&of={}",
        "/tune?kind=spark&of=anvil-log&limits={}",
        "/tune?kind=running-in&engine={}",
        "/past?change={}",
        "/results/{}",
    ):
        answer = pages.get(address.format(quoted))
        assert answer.status_code in (400, 404, 414, 422), address
        assert "<script>alert" not in answer.text
