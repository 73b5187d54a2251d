"""What measurements read with a fault and without, as the drawings of knowledge pages show it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from crankpath.engine.bayes.densities import WHOLE, Density, Scale
from crankpath.engine.checking.relations import Relations
from crankpath.engine.checking.survey import Row, apart
from crankpath.engine.inference.expected import expected
from crankpath.engine.inference.model import Model
from crankpath.engine.inference.ranges import number, scale_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.drawing.inference import Expectation, PlottedRange
from crankpath.shell.outlets.reports.readings import range_words

_WORTH_A_TICK: Final = 0.005  # share


def of_element(model: Model, index: int) -> Sequence[Expectation]:
    """What one element makes of every reading it has a rule for, the most moved first."""
    found: list[tuple[float, Expectation]] = []
    for name, measurement in model.measurements.items():
        table = model.table(name, model.known)
        effect = table.effects.get(index)
        if effect is not None:
            one = _expectation(measurement, effect.row, table.healthy, effect.rule, model.known)
            found.append((apart(effect.row, table.healthy), one))
    return [one for _, one in sorted(found, key=lambda pair: -pair[0])]


def of_rule(relations: Relations, key: str, most: int) -> Iterator[Expectation]:
    """What a rule makes of the readings that it speaks of, beside a sound circuit, on the default machine."""
    measurements = {b.measurement.id: b.measurement for b in relations.bearing_on(key)}
    rule, survey = relations.kb.rules[key.split("/", 1)[1]], relations.survey
    for measurement in list(measurements.values())[:most]:
        facts = survey.default.known
        row = survey.row(rule, measurement, facts)
        sound = survey.healthy_row(measurement.healthy[-1], measurement, facts)
        if row is not None and sound is not None:
            yield _expectation(measurement, row, sound, "", facts)


def _expectation(m: Measurement, row: Row, sound: Row, why: str, facts: Facts) -> Expectation:
    if not isinstance(row, Density) or not isinstance(sound, Density):
        assert isinstance(row, tuple)
        assert isinstance(sound, tuple)
        return Expectation(m.label, tuple(zip(m.bands, row, sound, strict=True)), why)
    scale, unit = scale_of(m), m.unit or ""
    wholes = [part.middle for one in (row, sound) for part in one.parts if part.sort == WHOLE]
    ends = [expected(one, scale).high or 0.0 for one in (row, sound)]
    most = number(m.most, facts)
    length = max([1.0, *wholes, *(scale.position(end) for end in ends)])
    if most is not None:
        length = min(length * 1.1, max(scale.position(most), 1.0))
    spans = (_span(row, scale, length), _span(sound, scale, length))
    words = f"{range_words(expected(row, scale), unit)}; sound {range_words(expected(sound, scale), unit)}"
    return Expectation(m.label, (), why, spans, words)


def _span(row: Density, scale: Scale, length: float) -> PlottedRange:
    said = expected(row, scale)
    ends = None
    if said.low is not None and said.high is not None:
        ends = (scale.position(said.low) / length, scale.position(said.high) / length)
    wholes = [part.middle for part in row.parts if part.sort == WHOLE]
    ticks = [(0.0, said.nothing), *((middle / length, said.whole) for middle in wholes[:1])]
    return PlottedRange(ends, tuple(tick for tick in ticks if tick[1] >= _WORTH_A_TICK))
