"""The second set of calculations: monotone, and invertible where it should be."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cellar_tui.enology import blending, buffering, ethanol, gauging, gravity, must, pressure, scales
from cellar_tui.enology.calculations import run
from tests.enology.rows import calc, topic

SCALE = st.sampled_from(scales.SCALES)


MUST_SG = st.floats(1.001, 1.17)


LITRES = st.floats(1.0, 2000.0)


@given(scale=SCALE, sg=MUST_SG)
def test_a_must_weight_comes_back_from_every_scale(scale: str, sg: float) -> None:
    back = scales.sg_of(scale, scales.on_scale(scale, sg))
    assert back == pytest.approx(sg, abs=4e-4 if scale == "brix" else 1e-9)


@given(scale=SCALE, first=MUST_SG, second=MUST_SG)
def test_a_heavier_must_reads_higher_on_every_scale(scale: str, first: float, second: float) -> None:
    assume(second - first > 1e-4)
    assert scales.on_scale(scale, second) > scales.on_scale(scale, first)


@given(sg=MUST_SG, other=MUST_SG)
def test_a_heavier_must_holds_more_sugar_and_can_give_more_alcohol(sg: float, other: float) -> None:
    assume(other - sg > 1e-4)
    assert calc("must_weight", "sugar", sg=other) >= calc("must_weight", "sugar", sg=sg)
    assert calc("must_weight", "alcohol", sg=other) >= calc("must_weight", "alcohol", sg=sg)


@given(alcohol=st.floats(0.0, 100.0))
def test_every_proof_gives_the_same_strength_back(alcohol: float) -> None:
    both = run("spirit_strength", alcohol=alcohol).values
    for name in ("proof_us", "proof_uk"):
        assert calc("spirit_strength", "alcohol", **{name: both[name].value}) == pytest.approx(alcohol)


@given(volume=LITRES, low=st.floats(0.0, 40.0), high=st.floats(41.0, 96.0), share=st.floats(0.0, 1.0))
def test_the_square_mixes_to_what_was_wanted(volume: float, low: float, high: float, share: float) -> None:
    wanted = low + share * (high - low)
    first, second = blending.square(volume, low, high, wanted)
    assert first + second == pytest.approx(volume)
    assert blending.mean((low, high), (first, second)) == pytest.approx(wanted)


LOTS = st.lists(st.tuples(st.floats(1.0, 500.0), st.floats(2.9, 4.0), st.floats(15.0, 80.0)), min_size=1, max_size=6)


@given(lots=LOTS)
def test_a_blend_lies_between_its_lots(lots: list[tuple[float, float, float]]) -> None:
    volumes, phs, buffers = (tuple(lot[index] for lot in lots) for index in range(3))
    found = run("blend_lots", volumes=volumes, ph=phs, buffer=buffers).values
    assert found["volume"].value == pytest.approx(sum(volumes))
    assert min(phs) - 1e-9 <= float(str(found["ph"].value)) <= max(phs) + 1e-9


@given(volume=LITRES, alcohol=st.floats(7.0, 12.0), rise=st.floats(0.0, 4.0), factor=st.floats(16.0, 18.0))
def test_the_sugar_for_an_alcohol_brings_it(volume: float, alcohol: float, rise: float, factor: float) -> None:
    grams = must.sugar_for_alcohol(volume, alcohol, alcohol + rise, factor)
    assert must.alcohol_after_sugar(volume, alcohol, grams, factor) == pytest.approx(alcohol + rise)


@given(volume=LITRES, brix=st.floats(10.0, 22.0), rise=st.floats(0.0, 6.0))
def test_the_sugar_for_a_brix_brings_it(volume: float, brix: float, rise: float) -> None:
    grams = must.sugar_for_brix(volume, brix, brix + rise)
    mass = 1000.0 * volume * gravity.sg_from_brix(brix) * topic("water").WATER_20
    assert 100.0 * (mass * brix / 100.0 + grams) / (mass + grams) == pytest.approx(brix + rise)


TITRATIONS = ("so2_titration", "ta_titration", "va_titration", "formol_yan")


@pytest.mark.parametrize("name", TITRATIONS)
@given(first=st.floats(0.0, 3.0), second=st.floats(0.0, 3.0))
def test_more_titrant_means_more(name: str, first: float, second: float) -> None:
    def found(titrant: float) -> float:
        values = run(name, titrant=titrant, normality=0.01, sample=10.0).values
        return float(str(next(iter(values.values())).value))

    assert (found(first) <= found(second)) == (first <= second)


@given(start=st.floats(16.0, 28.0), first=st.floats(5.0, 15.0), second=st.floats(5.0, 15.0))
def test_a_higher_reading_means_a_higher_gravity(start: float, first: float, second: float) -> None:
    assert (
        calc("refractometer_ferment", "sg", brix_start=start, brix=first)
        <= calc("refractometer_ferment", "sg", brix_start=start, brix=second)
    ) == (first <= second)


@given(
    sg=st.floats(0.985, 1.02),
    alcohol=st.floats(0.0, 18.0),
    sample=st.floats(0.0, 35.0),
    cal=st.sampled_from((15.0, 20.0)),
)
def test_a_wine_read_at_the_hydrometers_own_temperature_needs_no_correction(
    sg: float, alcohol: float, sample: float, cal: float
) -> None:
    assert gravity.wine_sg(sg, alcohol, cal, cal) == pytest.approx(sg)
    there = gravity.wine_sg(sg, alcohol, sample, cal)
    assert (there >= sg - 1e-12) == (sample >= cal) or abs(sample - cal) < 5.0


@given(shape=st.sampled_from(gauging.SHAPES), low=st.floats(0.0, 100.0), high=st.floats(0.0, 100.0))
def test_more_depth_is_more_wine(shape: str, low: float, high: float) -> None:
    tank = {"shape": shape, "diameter": 100.0, "length": 150.0}
    assert (calc("tank_dip", "volume", level=low, **tank) <= calc("tank_dip", "volume", level=high, **tank) + 1e-9) or (
        low > high
    )


@given(level=st.floats(0.0, 100.0), length=st.floats(10.0, 300.0))
def test_a_lying_tank_and_its_mirror_make_the_whole(level: float, length: float) -> None:
    both = gauging.lying(100.0, length, level) + gauging.lying(100.0, length, 100.0 - level)
    assert both == pytest.approx(gauging.lying(100.0, length, 100.0))


BARRELS = st.tuples(st.floats(40.0, 90.0), st.floats(0.7, 1.0), st.floats(60.0, 120.0))


@given(barrel=BARRELS, share=st.floats(0.0, 1.0))
def test_what_is_missing_and_what_is_there_make_the_barrel(barrel: tuple[float, float, float], share: float) -> None:
    bung, ratio, length = barrel
    whole = gauging.barrel_content(bung, bung * ratio, length)
    empty = gauging.barrel_empty(bung, bung * ratio, length, share * bung)
    mirrored = gauging.barrel_empty(bung, bung * ratio, length, (1.0 - share) * bung)
    assert empty + mirrored == pytest.approx(whole, rel=1e-5)
    assert -1e-9 <= empty <= whole * 1.00001


@given(oxygen=st.floats(0.1, 19.0))
def test_a_cleaner_headspace_takes_more_gas(oxygen: float) -> None:
    assert gauging.flush_volumes(oxygen) > gauging.flush_volumes(oxygen + 0.5)
    assert gauging.dry_ice_litres(gauging.co2_grams(100.0)) == pytest.approx(100.0)


@given(bar=st.floats(0.5, 6.5), alcohol=st.floats(8.0, 14.0), kind=st.sampled_from(sorted(pressure.SUGARS)))
def test_the_sugar_for_a_pressure_gives_that_pressure(bar: float, alcohol: float, kind: str) -> None:
    dose = pressure.priming(bar, alcohol, 0.5, kind)
    assert pressure.gauge_bar(dose, alcohol, 0.5, 20.0, kind) == pytest.approx(bar)
    assert pressure.gauge_bar(dose, alcohol, 0.5, 30.0, kind) > bar


@given(volume=LITRES, strength=st.floats(41.0, 96.0), share=st.floats(0.2, 1.0))
def test_the_water_worked_out_brings_the_spirit_to_its_strength(volume: float, strength: float, share: float) -> None:
    water, after = ethanol.water_to(volume, strength, share * strength)
    assert ethanol.mixed_strength(volume, strength, water, 0.0) == pytest.approx(share * strength)
    assert after == pytest.approx(ethanol.mixed_volume(volume, strength, water, 0.0))


@given(
    acid=st.sampled_from(("tartaric", "malic", "citric")),
    dose=st.floats(0.3, 3.0),
    before=st.floats(3.2, 4.0),
    fall=st.floats(0.05, 0.4),
)
def test_the_trial_gives_its_own_dose_back(acid: str, dose: float, before: float, fall: float) -> None:
    buffer = buffering.capacity(acid, dose, before, before - fall)
    assume(blending.BUFFER.low <= buffer <= blending.BUFFER.high)
    assert buffering.dose_for(before, before - fall, buffer, acid) == pytest.approx(dose)
