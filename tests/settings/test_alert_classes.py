"""The vocabulary of alerts: codes and words to a class, a class and a severity to a meaning."""

from __future__ import annotations

import tomllib
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.settings.alert_classes import OTHER, fold, load_alert_classes
from safety_check.settings.folders import shipped_file

CLASSES = load_alert_classes()
FILE = tomllib.loads(shipped_file("alert_classes.toml").read_text(encoding="utf-8"))
LEVELS = ("Minor", "Moderate", "Severe", "Extreme")
NAMES = [entry["name"] for entry in FILE["class"]]
FMI = "profile:cap:https://alerts.fmi.fi/cap/profile/v1.0.0"

# service, name of the code, code, class: from the services' own lists and recorded messages
CODES = [
    ("awareness_type", "1; Wind", "wind"),
    ("awareness_type", "3; Thunderstorm", "thunder"),
    ("awareness_type", "7; coastalevent", "surge"),
    ("awareness_type", "8; forest-fire", "fire"),
    ("awareness_type", "12; Flooding", "flood"),
    ("awareness_type", "13; something new", OTHER),
    ("II", "11", "wind"),
    ("II", "22", "frost"),
    ("II", "52", "wind"),
    ("II", "55", "gale"),
    ("II", "61", "rain"),
    ("II", "95", "thunder"),
    ("II", "999", OTHER),
    ("eventType", "gale", "gale"),
    ("eventType", "stormSurge", "surge"),
    ("eventType", "icing", "icing"),
    (FMI, "seaWind", "wind"),
    (FMI, "seaWaveHeight", "waves"),
    (FMI, "uvNote", "air"),
    ("profile:cap:https://alerts.fmi.fi/cap/profile/v2.3.4", "seaIcing", "icing"),
    ("SMHI eventDescription", "GALE_LOW", "gale"),
    ("SMHI eventDescription", "LOW_SEA_LEVEL", "low water"),
    ("profile:CAP-CP:Event:0.4", "thunderstorm", "thunder"),
    ("ECCC alert_code", "FTA", "frost"),
    ("a system that is not listed", "gale", OTHER),
]

# words as services send them
WORDS = [
    ("Yellow wind warning", "wind"),
    ("Żółty alert na silny wiatr w strefie brzegowej", "wind"),
    ("Žuto upozorenje za vjetar", "wind"),
    ("Strong wind and large waves.", "wind"),
    ("Small Craft Warning", "wind"),
    ("gale-force gusts", "gale"),
    ("STURMBÖEN", "gale"),
    ("Kuling, gult nivå", "gale"),
    ("Vendaval", "gale"),
    ("SEVERE THUNDERSTORM", "thunder"),
    ("orages", "thunder"),
    ("Mye lyn", "thunder"),
    ("Gewitter mit Sturmböen", "thunder"),
    ("storm surge warning", "surge"),
    ("Heat wave warning", "heat"),
    ("Vague de chaleur", "heat"),
    ("Hitzewelle", "heat"),
    ("wind chill warning", "cold"),
    ("frost advisory", "cold"),
    ("Vigilance jaune neige-verglas", "snow"),
    ("heavy rain", "rain"),
    ("fortes pluies", "rain"),
    ("Chuvas Intensas", "rain"),
    ("flash flood warning", "flood"),
    ("Aviso de costeros de nivel amarillo", "waves"),
    ("Starkwind", "wind"),
    ("Windstöße", "wind"),
    ("Orkanböen", "gale"),
    ("Schwere Sturmböen", "gale"),
    ("storm-force winds", "gale"),
    ("Dauerregen", "rain"),
    ("Yellow warning of rain for Windermere and Kreis Stormarn", "rain"),
    ("Heathrow, Snowdonia, Waverley and Galena", OTHER),
    ("special weather statement in effect", OTHER),
    ("Homeland Security Advisory System Update", OTHER),
    ("an event in effect", OTHER),
    ("أمطار غزيرة", OTHER),
    ("", OTHER),
]


@pytest.mark.parametrize(("system", "code", "name"), CODES)
def test_a_code_gives_its_class(system, code, name):
    assert CLASSES.hazard([(system, code)], [], "Moderate") == name


@pytest.mark.parametrize(("text", "name"), WORDS)
def test_words_give_their_class(text, name):
    assert CLASSES.hazard([], [text], "Moderate") == name
    assert CLASSES.hazard([], [text.upper()], "Moderate") == name


def test_a_narrow_code_counts_alone():
    codes = [("awareness_type", "6; low-temperature"), ("II", "22")]

    assert CLASSES.hazard(codes, ["FROST"], "Moderate") == "frost"
    assert CLASSES.hazard([("ECCC alert_code", "FTA")], ["frost advisory"], "Moderate") == "frost"


def test_beside_a_broad_code_the_words_count_where_they_mean_more():
    coast = [("awareness_type", "7; coastalevent")]

    assert CLASSES.hazard(coast, ["near gale"], "Moderate") == "gale"
    assert CLASSES.hazard([("awareness_type", "8; forest-fire")], ["wind"], "Minor") == "wind"
    assert CLASSES.hazard(coast, ["Hinweis"], "Moderate") == "surge"


def test_a_class_is_never_better_at_a_higher_severity():
    for name in NAMES:
        meanings = [CLASSES.severity(name, level) for level in LEVELS]
        assert all(low <= high for low, high in pairwise(meanings)), name


@given(st.sampled_from([*NAMES, "x"]), st.text())
def test_a_severity_that_is_not_known_is_never_nothing(name, level):
    if fold(level) not in map(fold, LEVELS):
        assert CLASSES.severity(name, level) >= Severity.MARGINAL


@given(
    st.lists(st.tuples(st.text(), st.text()), max_size=3),
    st.lists(st.text(), max_size=3),
    st.sampled_from(LEVELS[1:]),
)
def test_an_alert_without_a_listed_code_is_never_nothing(codes, words, level):
    name = CLASSES.hazard(codes, words, level)

    assert CLASSES.severity(name, level) >= Severity.MARGINAL


@given(st.sampled_from(WORDS), st.lists(st.text(), max_size=2), st.sampled_from(LEVELS))
def test_more_words_never_mean_less(listed, others, level):
    text, _ = listed
    fewer, more = CLASSES.hazard([], [text], level), CLASSES.hazard([], [text, *others], level)

    assert OTHER in (fewer, more) or CLASSES.severity(more, level) >= CLASSES.severity(fewer, level)


def test_no_word_gives_less_than_marginal():
    given_by_words = {name for entry in FILE["words"] for name in entry["classes"]}

    assert given_by_words <= set(NAMES)
    for name in given_by_words:
        assert CLASSES.severity(name, "Moderate") >= Severity.MARGINAL, name


def test_every_class_of_a_code_is_listed_and_every_entry_says_where_it_comes_from():
    for entry in (*FILE["codes"], *FILE["words"]):
        assert set(entry["classes"]) <= set(NAMES), entry["classes"].keys()
    for entry in (*FILE["class"], *FILE["codes"], *FILE["words"]):
        assert entry["source"]
        assert entry["basis"] in ("published", "common_practice", "judgement")


def test_no_code_and_no_word_has_two_classes():
    for entry in FILE["codes"]:
        codes = [code.casefold() for listed in entry["classes"].values() for code in listed]
        assert len(codes) == len(set(codes)), entry["system"]
    classes: dict[str, set[str]] = {}
    for entry in FILE["words"]:
        for name, words in entry["classes"].items():
            assert len(words) == len(set(map(fold, words))), name
            for word in words:
                classes.setdefault(fold(word).lstrip("*="), set()).add(name)
    assert [word for word, names in classes.items() if len(names) > 1] == []
