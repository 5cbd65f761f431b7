"""What is here: seen only with all that an edge needs, not seen only with a limit, and impostors by name."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented_scans import AL_K, FE_L, aluminium, asked, iron, line, scan, step

from edgeshift.records.scan import Place


def element(found, symbol: str) -> dict:
    return found.detail["elements"][symbol]


def suspects(found, symbol: str) -> dict[tuple[str, str], tuple[str, str]]:
    """(kind, what) -> (status, reason)."""
    return {(i["kind"], i["what"]): (i["status"], i["reason"]) for i in element(found, symbol)["impostors"]}


def test_a_pair_with_its_spacing_and_its_valley_is_seen():
    found = asked(scan(FE_L, iron(FE_L), edge="Fe L"))
    iron_ = element(found, "Fe")
    assert (iron_["verdict"], iron_["reason"], found.verdict) == ("seen", "stands", "answered")
    assert iron_["at_ev"] == pytest.approx(709.0, abs=0.5)
    assert iron_["split_ev"] == pytest.approx(13.1, abs=0.6)
    assert found.sentence == "Seen: iron."


def test_nothing_is_not_seen_with_a_limit_and_that_limit_would_have_shown():
    nothing = asked(scan(FE_L, 0.0 * FE_L, edge="Fe L"))
    limit = element(nothing, "Fe")["limit"]
    assert element(nothing, "Fe")["verdict"] == "not-seen" and 0.005 < limit < 0.1
    seen = [
        element(asked(scan(FE_L, iron(FE_L, 1.1 * limit), edge="Fe L", seed=k)), "Fe")["verdict"]
        for k in range(20, 40)
    ]
    assert seen.count("seen") >= 19


def test_more_noise_widens_the_limit():
    quiet, loud = (
        element(asked(scan(FE_L, 0.0 * FE_L, edge="Fe L", noise=noise)), "Fe")["limit"]
        for noise in (0.002, 0.008)
    )
    assert loud > 2 * quiet


def test_a_ground_that_nothing_smooth_explains_gets_no_limit():
    found = asked(scan(FE_L, 0.03 * np.sin((FE_L - 694.0) / 6.0), edge="Fe L", noise=0.002))
    assert (element(found, "Fe")["verdict"], element(found, "Fe")["limit"]) == ("cannot-tell", None)


def test_a_first_line_without_its_twin_is_not_called_an_element():
    found = asked(scan(FE_L, line(FE_L, 709.0, 0.4), edge="Fe L"))
    assert element(found, "Fe")["verdict"] == "cannot-tell"
    assert element(found, "Fe")["reason"] == "incomplete"


def test_a_broad_hump_is_no_pair():
    found = asked(scan(FE_L, line(FE_L, 714.0, 0.4, 18.0), edge="Fe L"))
    assert element(found, "Fe")["verdict"] != "seen"


def test_a_white_line_on_the_neighbours_tabulated_edge_is_not_named_by_the_nearest():
    """Potassium's first line stands on its own tabulated L2."""
    at = np.arange(286.0, 312.0, 0.1)
    pair = line(at, 297.3, 0.5, 0.7) + line(at, 299.9, 0.4, 0.7) + step(at, 297.3, 0.08)
    found = asked(scan(at, pair, edge="K L"))
    assert element(found, "K")["verdict"] == "seen"
    assert element(found, "K")["at_ev"] == pytest.approx(297.3, abs=0.3)


def test_where_two_elements_would_bring_the_same_pair_neither_is_seen():
    """Cobalt and barium: both pairs stand about 15 eV apart in overlapping windows."""
    at = np.arange(762.0, 822.0, 0.25)
    pair = line(at, 781.0, 0.5, 1.6) + line(at, 796.0, 0.35, 1.8)
    found = asked(scan(at, pair, edge="Ba M"))
    assert {element(found, symbol)["verdict"] for symbol in ("Co", "Ba")} == {"cannot-tell"}
    named = suspects(found, "Ba") | suspects(found, "Co")
    assert ("not-yet", "same-place") in named.values()


def test_light_of_twice_the_energy_is_named_where_the_source_was_measured():
    at = np.arange(768.0, 806.0, 0.2)
    ghost = 0.08 * aluminium(2.0 * at, 1.0)
    source = scan(AL_K, aluminium(AL_K), edge="Al K", seed=2)
    found = asked(scan(at, ghost, edge="Ba M"), source, edge="Ba M")
    assert element(found, "Ba")["verdict"] != "seen"
    assert suspects(found, "Ba")["second-order", "Al K"] == ("not-yet", "fits")
    assert any(fact.code == "second-order" for fact in found.because)


def test_a_bare_mount_that_shows_the_same_keeps_carbon_from_being_seen():
    at = np.arange(270.0, 325.0, 0.2)
    tape = step(at, 289.0, 0.8) + line(at, 285.3, 0.5, 1.2) + line(at, 292.5, 0.7, 4.0)
    text = {"specimens": [{"name": "TAPE", "kind": "blank"}, {"name": "CLAY"}]}
    scans = [
        scan(at, tape, edge="C K", seed=3, place=Place("TAPE", "s1")),
        scan(at, 0.3 * tape, edge="C K", seed=4),
    ]
    found = asked(*scans, text=text)
    assert element(found, "C")["verdict"] == "cannot-tell"
    assert suspects(found, "C")["blank", "{specimen:TAPE}"] == ("not-yet", "like-the-blank")
    other = scan(at, 0.3 * tape + line(at, 290.4, 0.6, 1.0), edge="C K", seed=5)
    assert suspects(asked(scans[0], other, text=text), "C")["blank", "{specimen:TAPE}"][0] == "excluded"


def test_marks_of_the_beam_are_no_chromium():
    """Dips that a dirty monitor gives half back leave hills between them."""
    at = np.arange(560.0, 608.0, 0.25)
    dips = sum(line(at, place, 0.05, 1.5) for place in (575.0, 577.0, 584.0, 586.0))
    one = scan(at, 0.0 * at, edge="Cr L", beam=1.0 - dips)
    monitor = one.channels["i0"].raw * (1.0 + 0.5 * dips)
    one = replace(one, channels={**one.channels, "i0": replace(one.channels["i0"], raw=monitor)})
    assert element(asked(one), "Cr")["verdict"] != "seen"


def test_an_axis_that_is_off_is_told_from_several_edges_and_not_obeyed():
    at_fe, at_al = FE_L + 14.0, AL_K + 14.0
    scans = [
        replace(scan(FE_L, iron(FE_L), edge="Fe L", seed=6), energy_ev=at_fe),
        replace(scan(AL_K, aluminium(AL_K), edge="Al K", seed=7), energy_ev=at_al),
    ]
    found = asked(*scans)
    axis = found.detail["axis"]
    assert axis["several"] and axis["low_ev"] <= 14.0 <= axis["high_ev"]
    verdicts = {told["verdict"] for told in found.detail["elements"].values()}
    assert {"Fe", "Al"} <= set(found.detail["elements"])
    assert "seen" not in verdicts, "what the shifted lines would be elsewhere is no element either"
    assert any(fact.code == "axis-off" for fact in found.because)
    home = asked(scan(FE_L, iron(FE_L), edge="Fe L"), scan(AL_K, aluminium(AL_K), edge="Al K", seed=2))
    assert home.detail["axis"] is None


CA_L = np.arange(335.0, 366.0, 0.15)


def three_edges(shift_ev: float) -> list:
    """Calcium, iron and aluminium, all on an axis that is off by so much."""
    calcium = line(CA_L, 349.3, 0.5) + line(CA_L, 352.6, 0.4) + step(CA_L, 349.3, 0.1)
    made = [(FE_L, iron(FE_L), "Fe L"), (AL_K, aluminium(AL_K), "Al K"), (CA_L, calcium, "Ca L")]
    return [
        replace(scan(at, extra, edge=edge, seed=number), energy_ev=at + shift_ev)
        for number, (at, extra, edge) in enumerate(made, start=6)
    ]


@pytest.mark.parametrize("shift_ev", [-6.0, -4.0, -3.5, 3.5, 4.0, 6.0])
def test_an_axis_off_by_a_few_ev_is_told_though_every_edge_lies_within_its_own_reach(shift_ev):
    found = asked(*three_edges(shift_ev))
    axis = found.detail["axis"]
    assert axis["several"] and axis["low_ev"] <= shift_ev <= axis["high_ev"]
    assert {told["verdict"] for told in found.detail["elements"].values()} == {"cannot-tell"}
    each = [one for told in found.detail["elements"].values() for one in told["specimens"].values()]
    assert {one["verdict"] for one in each} == {"cannot-tell"}
    (fact,) = [fact for fact in found.because if fact.code == "axis-off"]
    assert fact.value == pytest.approx(shift_ev, abs=fact.uncertainty) and fact.uncertainty < 3.0
    one = asked(*three_edges(shift_ev), edge="Ca L")
    assert one.detail["axis"]["several"], "the other edges' scans tell of the axis too"
    assert element(one, "Ca")["reason"] == "axis-off" and "Al" not in one.detail["elements"]


def test_an_axis_that_is_not_off_is_not_said_to_be():
    for shift_ev in (-1.0, 0.0, 1.0):
        found = asked(*three_edges(shift_ev))
        assert found.detail["axis"] is None
        assert {element(found, each)["verdict"] for each in ("Ca", "Fe", "Al")} == {"seen"}


def test_tables_that_lie_far_apart_are_told_with_their_sources():
    at = np.arange(515.0, 580.0, 0.3)
    found = asked(scan(at, step(at, 537.0, 0.5), edge="O K"))
    values = [each["value"] for each in element(found, "O")["tables_ev"]]
    assert values == [543.1, 532.0]
    assert any("O K" in caution and "11 eV" in caution for caution in found.cautions)


def test_noise_whose_neighbours_are_alike_is_no_edge():
    at = np.arange(380.0, 440.0, 0.25)
    rng = np.random.default_rng(5)
    blurred = np.convolve(rng.standard_normal(at.size + 8), np.ones(9) / 9, "valid")
    found = asked(scan(at, 0.01 * blurred, edge="N K", noise=1e-5))
    assert element(found, "N")["verdict"] != "seen"


def test_before_any_scan_nothing_is_told():
    found = asked()
    assert (found.verdict, found.sentence) == ("cannot-tell", "No scans yet, so nothing can be told.")


def test_one_edge_narrows_to_its_own_scans():
    scans = scan(FE_L, iron(FE_L), edge="Fe L"), scan(AL_K, aluminium(AL_K), edge="Al K", seed=2)
    assert "Al" not in asked(*scans, edge="Fe L").detail["elements"]


def test_a_sentence_holds_twenty_words_whatever_is_found():
    found = asked(scan(FE_L, iron(FE_L), edge="Fe L"), scan(AL_K, 0 * AL_K, edge="Al K", seed=2))
    for text in (
        found.sentence,
        *(asked(scan(FE_L, 0 * FE_L, edge="Fe L"), edge=e).sentence for e in ("Fe L",)),
    ):
        assert len(text.split()) <= 20


def test_an_impostor_names_the_number_that_put_it_there_and_goes_when_that_goes():
    at = np.arange(768.0, 806.0, 0.2)
    source = scan(AL_K, aluminium(AL_K), edge="Al K", seed=2)

    def ghost(share):
        return asked(scan(at, share * aluminium(2.0 * at, 1.0), edge="Ba M"), source, edge="Ba M")

    def said(found):
        each = element(found, "Ba")["impostors"]
        (echo,) = [one for one in each if (one["kind"], one["what"]) == ("second-order", "Al K")]
        told = [f.value for f in found.because if f.what.startswith("Ba: aluminium K in second order")]
        return echo["status"], echo["numbers"], told

    status, numbers, facts = said(ghost(0.08))
    assert status == "not-yet" and numbers["percent"] == pytest.approx(11.2, abs=0.5)
    assert facts == [numbers["percent"]]
    status, _, facts = said(ghost(0.0))
    assert status == "excluded" and facts == []


def test_every_impostor_says_from_where_to_where_it_could_stand_and_its_own_place_is_in_it():
    at = np.arange(762.0, 822.0, 0.25)
    pair = line(at, 781.0, 0.5, 1.6) + line(at, 796.0, 0.35, 1.8)
    found = asked(scan(at, pair, edge="Ba M"), scan(AL_K, aluminium(AL_K), edge="Al K", seed=2))
    told = [(one, each) for one in found.detail["elements"].values() for each in one["impostors"]]
    assert told
    for one, each in told:
        low, high = each["window_ev"]
        assert low < high
        if each["kind"] == "neighbour":
            assert low <= one["at_ev"] <= high
