"""What lies behind a complaint, against published answers of experts to growers' questions (data/diagnoses*.csv).

The expert's decisive cause, or one of those named where none was called decisive, stands among our first two. Ages are
those told; site and cultivar as far as told. 75 % are asked, on questions not seen before.

Ten sets were searched for after the odds were first written down. Each was entered whole, what the growers told with
it, in a commit of its own, before the program was asked any of it, and asked once before anything was changed:

| set | found among the first two | what it then moved |
| --- | --- | --- |
| data/diagnoses_2.csv | | nothing of it was asked first; its held half was once printed to the one who wrote the odds |
| data/diagnoses_3.csv | 15 of 24 | weather of one spring (`weather_floor`), frost behind trees without bloom |
| data/diagnoses_4.csv | 11 of 15 | trees of an untold stock may be young for longer; winter cold as other weather |
| data/diagnoses_5.csv | 6 of 8 | nothing |
| data/diagnoses_6.csv | 17 of 28 | signs (`signs.csv`); two more got a cause that could not be said before |
| data/diagnoses_7.csv | 21 of 44 | cuts of tip bearers, sunburn by hot days, leaves that mottle by nature, two signs |
| data/diagnoses_8.csv | 17 of 23 | six signs in the coarse words that growers use; odds of two complaints |
| data/diagnoses_9.csv | 25 of 39 | what holes in the trunk and hot days say of bark, from other texts |
| data/diagnoses_10.csv | 34 of 48 | young fruit that falls, newly planted trees, bitter pit, what three signs say |
| data/diagnoses_11.csv | 40 of 54 | scab of crab apples' leaves; fire blight, of ailing leaves more and of bark less |

All have been seen by now, and what comes next wants questions of its own. What moved something stands as `fitted_on`,
held back or not: of the second set e03 to e05, whose growers alone told that the tree never bloomed, of the seventh the
whole half that was not held back.
The tenth set was looked at by halves: 18 of 25 and, held back, 16 of 23. When the first half had moved the odds the
other was asked once more: 16 of 23 still, one won and one lost. It was looked at then, and gave that leaves of a newly
planted tree seldom fall of scab and that curled leaves are no mark of aphids (of ten answers to growers who tell them
three name aphids). At first asking were found: no bloom 2 of 2, bloom but no fruit 0 of 1, fruit that drops young 1 of
2, crops every other year 1 of 1, leaves that drop 8 of 9, leaves that ail 3 of 7, dieback 6 of 7, damaged bark 8 of 11,
spotted 4 of 6, fruit that rots 1 of 2; eleven more have no code of ours or were not decided. Of 20 things that its
experts asked back 12 were asked by us. Since then the cultivar, the year of planting, the course and the foot of the
trunk are asked for as experts of the ninth and tenth set did; all that stood in data/diagnoses_asked.csv then is a fit.

The eleventh set was asked once with eight signs more than the tenth (`small_leaves` to `brackets_on_the_trunk`), drawn
from the notes of earlier misses before it was searched for: 40 of 54 (38, had those signs not been told), of these held
back 27 of 37; where asking what the expert asked counts as right too, 42. At first asking were found: no bloom 3 of 3,
leaves that drop 7 of 8, leaves that ail 6 of 13, dieback 6 of 8, damaged bark 8 of 11, spotted 9 of 10, fruit that rots
1 of 1; eight more have no code of ours or were not decided. Of 18 things that its experts asked back 12 were asked by
us. The misses of both halves were printed with that outcome, so that its leaves that ail and its bark, by which odds
were set then, are a fit. Left out by set, odds of fire blight behind both complaints chosen by the other sets find 295
of 368, the ones before 289; that crab apples' leaves have scab won two of the eleventh set alone, and counts for
nothing there. Reweighed by what the experts of the other sets name, in twelve strengths, left-out sets find 260 to 286.

Of the ninth set were found: no bloom 2 of 2, bloom but no fruit 2 of 2, fruit that drops young 1 of 2, leaves that drop
7 of 9 (seven of them scab), leaves that ail 2 of 5, dieback 3 of 5, damaged bark 3 of 7, wormy 3 of 3, spotted 2 of 3,
fruit that rots 0 of 1. Six more ask what no code of ours says, or were not decided. Of 16 things that its experts asked
back four are asked by us; of six of the others we have no sentence.
The six signs were drawn from the texts of the eighth set and of those older ones that were read again (`signs_later`):
no leaves in spring, withered shoots, spots on leaves, spots on fruit, yellow leaves, never bloomed.

**Left out by document.** With all causes at even odds, and each question's vote counted for the causes that its
expert named (`diagnosed`), the odds counted in nine tenths of the documents find the cause in the last tenth in 73 %
of 266 questions (76 % of 227 before the ninth set came, in which 23 of 39), and in 70 % of 314 with the tenth; naming
the two causes that most experts name found 58 % of 266. Signs, and how what is told moves the odds, were drawn up
with most of these questions in sight, so that this checks the odds alone. The odds of the tables find 249 of 314, and
were set in sight of the questions but the ninth and half of the tenth set: a fit. Counted odds were adopted for
leaves that ail alone, where they found more of the documents left out (14 of 20) than the judged ones did of those
they were judged by (11 of 20); of the other complaints they found as many or fewer. Odds fitted by likelihood, with
the judged ones as what is held before, found no more (176 of 226 as the judged ones then did; from even odds 168),
nor did other strengths of what is told. Left out by set (291 questions, 226 found by the judged odds then), odds
fitted by likelihood around them find 217 to 225, judged odds mixed with the votes of the other sets 197 to 222, even
odds mixed so 194 to 206, and each step of what is told made stronger or weaker 218 to 227.

What the expert asked back (data/diagnoses_asked.csv, a row a question) counts as right where our answer asks it too; it
is told by complaint, apart from the causes. Beside each question stand the codes of our sentences that ask it; of one
without a code we have no sentence.
"""

import hashlib
from collections import Counter
from collections.abc import Sequence
from typing import Any

import pytest
from litestar.testing import TestClient

from domain.tables.words import texts
from reference_tables.building.documents import address
from tests.published.cases import Case, cases, rows
from tests.published.diagnosed import (
    SETS,
    all_cases,
    commonest_two,
    experts,
    first_two,
    first_two_by_others,
    hits,
    question,
    share,
)

LEAST_SHARE = 0.75
LEAST_ASKED = 7
"""Questions from which a complaint is told apart."""


def found_in(asked: Sequence[Case]) -> float:
    """Share of questions in which the expert's cause is among our first two; what was found and missed is printed."""
    found = hits(first_two, asked)
    print({complaint: f"{hit} of {many}" for complaint, (hit, many) in found.items()})
    print(
        [(case["case"], case["expert"], two) for case in asked if not set(experts(case)) & set(two := first_two(case))]
    )
    return share(found)


def of_set(name: str, **told: str) -> list[Case]:
    """Questions of a set whose cause can be said, with these values in these columns."""
    return [
        case
        for case in cases(name)
        if case["can_be_said"] != "no" and all(case[column] == value for column, value in told.items())
    ]


@pytest.mark.fitted_on
def test_the_experts_cause_is_among_our_first_two() -> None:
    asked = [case for case in all_cases() if case["fitted_on"] == "yes"]
    assert found_in(asked) >= LEAST_SHARE


@pytest.mark.xfail(strict=True, reason="261 of 368: growers of the ninth to eleventh set told few signs")
def test_odds_counted_in_other_documents_find_the_experts_cause() -> None:
    found = hits(first_two_by_others, all_cases())
    print({complaint: f"{hit} of {many}" for complaint, (hit, many) in found.items()})
    assert share(found) >= LEAST_SHARE


def _worse(complaint: str, reason: str) -> Any:
    return pytest.param(complaint, marks=pytest.mark.xfail(strict=True, reason=reason))


@pytest.mark.fitted_on
@pytest.mark.parametrize(
    "complaint",
    [
        "ailing_leaves",
        "bloom_but_no_fruit",
        "damaged_bark",
        "dieback",
        _worse(
            "fruit_drops_young", "16 of 22 beside 17: with the natural drop it is needs_thinning that most experts name"
        ),
        "fruit_rots",
        "leaves_drop",
        "no_bloom",
        "small_fruit",
        "spotted",
        "wormy",
    ],
)
def test_we_name_the_cause_no_less_often_than_the_two_commonest(complaint: str) -> None:
    """Those that most experts of other documents name for that complaint."""
    asked = [case for case in all_cases() if case["complaint"] == complaint]
    ((ours, many),) = hits(first_two, asked).values()
    ((theirs, _),) = hits(commonest_two, asked).values()
    print(f"{complaint}: {ours} of {many}, by the two commonest causes {theirs}")
    assert many >= LEAST_ASKED
    assert ours >= theirs


def test_of_the_second_set() -> None:
    assert found_in(of_set("diagnoses_2.csv", fitted_on="no", held_back="no")) >= LEAST_SHARE


def test_of_the_second_set_held_back() -> None:
    assert found_in(of_set("diagnoses_2.csv", fitted_on="no", held_back="yes")) >= LEAST_SHARE


def test_of_the_fifth_set() -> None:
    asked = of_set("diagnoses_5.csv", fitted_on="no")
    assert len(asked) == 8
    assert found_in(asked) >= LEAST_SHARE


def test_of_the_sixth_set_held_back() -> None:
    """Of leaves that ail and dieback seven more, by which odds were set since."""
    asked = of_set("diagnoses_6.csv", fitted_on="no", held_back="yes")
    assert len(asked) == 11
    assert found_in(asked) >= LEAST_SHARE


@pytest.mark.xfail(strict=True, reason="11 of 17: most growers of that set told no sign, and sent photographs instead")
def test_of_the_seventh_set_held_back() -> None:
    assert found_in(of_set("diagnoses_7.csv", fitted_on="no", held_back="yes")) >= LEAST_SHARE


def test_of_the_eighth_set_but_leaves_that_ail_and_dieback() -> None:
    """None of these moved anything: the signs that they told were coded after all had been read."""
    asked = of_set("diagnoses_8.csv", fitted_on="no")
    assert len(asked) == 10
    assert found_in(asked) >= LEAST_SHARE


@pytest.mark.xfail(strict=True, reason="26 of 37: damaged bark, ailing leaves and dieback told by no sign or one")
def test_of_the_ninth_set() -> None:
    """Both halves. Two questions, both missed, sent for texts that mended what is said of bark: they are fits since."""
    asked = of_set("diagnoses_9.csv", fitted_on="no")
    assert len(asked) == 37
    assert found_in(asked) >= LEAST_SHARE


def test_of_the_tenth_set() -> None:
    """Both halves, without the six that moved something; 34 of 48 at first asking.

    It was 32 of 44 until two that were missed moved something themselves: none of the others was won.
    """
    asked = of_set("diagnoses_10.csv", fitted_on="no")
    assert len(asked) == 42
    assert found_in(asked) >= LEAST_SHARE


@pytest.mark.fitted_on
def test_of_the_tenth_set_held_back() -> None:
    """All of it, those that moved something too: 16 of 23, asked twice, before it was looked at."""
    asked = of_set("diagnoses_10.csv", held_back="yes")
    assert len(asked) == 23
    assert found_in(asked) >= LEAST_SHARE


def test_of_the_eleventh_set_but_leaves_that_ail_and_bark() -> None:
    """Both halves; 26 of 30 at first asking. Nothing was set by these."""
    asked = of_set("diagnoses_11.csv", fitted_on="no")
    assert len(asked) == 30
    assert found_in(asked) >= LEAST_SHARE


@pytest.mark.parametrize(
    "name", ["diagnoses_7.csv", "diagnoses_8.csv", "diagnoses_9.csv", "diagnoses_10.csv", "diagnoses_11.csv"]
)
def test_later_sets_are_held_back_by_the_digest_of_the_address(name: str) -> None:
    urls = {row["source"]: row["url"] for row in rows("case_sources.csv")}
    for case in cases(name):
        digest = hashlib.sha256(address(urls[case["source"]]).encode()).hexdigest()
        assert case["held_back"] == ("no" if int(digest, 16) % 2 else "yes"), case["case"]


def test_no_document_stands_in_two_sets() -> None:
    """By id; that no address has two ids holds `test_cases`."""
    sets = [{case["source"] for case in cases(name)} for name in SETS]
    assert sum(len(one) for one in sets) == len(set().union(*sets))


def test_answers_name_the_causes_that_are_counted_here(client: TestClient[Any]) -> None:
    for case in all_cases()[::40]:
        answer = client.post("/v1/planting-list-reviews", json=question(case))
        assert answer.status_code == 200, answer.text
        told = [cause["cause"] for cause in answer.json()["trees"][0]["likely_causes"][:2]]
        assert told
        assert told == first_two(case)[: len(told)]


def asked_back(client: TestClient[Any], rows: Sequence[Case]) -> float:
    """Share of what experts asked back that our answer asks too; it is printed by complaint."""
    told = {case["case"]: case for name in SETS for case in cases(name)}
    right, asked, missed = Counter[str](), Counter[str](), []
    for row in rows:
        answer = client.post("/v1/planting-list-reviews", json=question(told[row["case"]]))
        assert answer.status_code == 200, answer.text
        told_of = answer.json()["trees"][0]
        ours = {cause["find_out"]["code"] for cause in told_of["likely_causes"]}
        ours |= {one["code"] for one in told_of["ask_next"]}
        hit = bool(ours & {code for code in row["asked_by"].split(";") if code})
        asked[row["complaint"]] += 1
        right[row["complaint"]] += hit
        if not hit:
            missed.append(f"{row['case']} {row['asked']}: ours {sorted(ours)}")
    print({complaint: f"{right[complaint]} of {asked[complaint]} asked" for complaint in asked}, missed)
    return sum(right.values()) / sum(asked.values())


@pytest.mark.fitted_on
def test_what_the_expert_asked_back_is_asked(client: TestClient[Any]) -> None:
    """Three quarters of what stands in published answers that were read before the last of ours were written."""
    assert asked_back(client, [row for row in cases("diagnoses_asked.csv") if row["fitted_on"] == "yes"]) > LEAST_SHARE


@pytest.mark.xfail(strict=True, reason="12 of 18: of the place, the shrubs beside it and walls we have no question")
def test_what_experts_of_the_eleventh_set_asked_back_is_asked(client: TestClient[Any]) -> None:
    asked = [row for row in cases("diagnoses_asked.csv") if row["fitted_on"] == "no"]
    assert len(asked) == 18
    assert asked_back(client, asked) > LEAST_SHARE


def test_our_questions_beside_those_of_experts_are_sentences_of_ours() -> None:
    named = {code for row in cases("diagnoses_asked.csv") for code in row["asked_by"].split(";") if code}
    assert named <= texts().keys()
