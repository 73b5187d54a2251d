"""Arithmetic of the knowledge base: what it computes, and everything it refuses."""

from __future__ import annotations

import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.formula import Formula, FormulaError

numbers = st.floats(-1e6, 1e6).filter(lambda number: number == 0.0 or abs(number) > 1e-6)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 + 2 * 3", 7.0),
        ("(1 + 2) * 3", 9.0),
        ("8 / 4 / 2", 1.0),
        ("8 - 4 - 2", 2.0),
        ("-drop + 1", 0.6),
        ("2 * -drop", -0.8),
        ("min(drop, amps, 0.3)", 0.3),
        ("max(drop, min(1, amps)) * 10", 10.0),
        ("  drop / amps * 1000 ", 2.0),
        ("1.5e2", 150.0),
    ],
)
def test_arithmetic_gives_the_usual_result(text: str, value: float) -> None:
    assert Formula.parse(text).value({"drop": 0.4, "amps": 200}) == pytest.approx(value)


def test_names_are_the_facts_read_and_no_function() -> None:
    formula = Formula.parse("max(positive_leg_drop, 0.1) / crank_current")
    assert formula.names() == {"positive_leg_drop", "crank_current"}


@pytest.mark.parametrize(
    "known",
    [{}, {"a": 1.0}, {"a": 1.0, "b": "low"}, {"a": True, "b": 1.0}, {"a": 1.0, "b": 0.0}],
)
def test_what_cannot_be_worked_out_is_none(known: dict[str, FactValue]) -> None:
    assert Formula.parse("a / b").value(known) is None


def test_a_formula_whose_unknown_part_is_multiplied_by_nothing_is_still_none() -> None:
    assert Formula.parse("0 * a").value({}) is None


@pytest.mark.parametrize("text", ["1e999", "1e999 - 1e999", "9" * 399, "1e300 * 1e300", "a * a"])
def test_a_result_that_is_no_finite_number_is_none(text: str) -> None:
    assert Formula.parse(text).value({"a": 1e200}) is None


def test_equal_texts_are_equal_formulas() -> None:
    assert Formula.parse("a + b") == Formula.parse("a + b")
    assert hash(Formula.parse("a + b")) == hash(Formula.parse("a + b"))
    assert Formula.parse("a + b") != Formula.parse("b + a")


def arithmetic(parts: st.SearchStrategy[tuple[str, float]]) -> st.SearchStrategy[tuple[str, float]]:
    def joined(a: tuple[str, float], sign: str, b: tuple[str, float]) -> tuple[str, float]:
        results = {"+": a[1] + b[1], "-": a[1] - b[1], "*": a[1] * b[1], "min": min(a[1], b[1])}
        text = f"min({a[0]}, {b[0]})" if sign == "min" else f"({a[0]} {sign} {b[0]})"
        return text, results[sign]

    return st.builds(joined, parts, st.sampled_from(["+", "-", "*", "min"]), parts)


leaves = st.integers(0, 9).map(lambda n: (str(n), float(n))) | st.just(("x", 2.5))


@given(st.recursive(leaves, arithmetic, max_leaves=12))
def test_any_arithmetic_gives_what_it_stands_for(written: tuple[str, float]) -> None:
    text, value = written
    assert Formula.parse(text).value({"x": 2.5}) == pytest.approx(value)


@pytest.mark.parametrize(
    "text",
    [
        "().__class__",
        "a.b",
        "a.__class__.__mro__[1].__subclasses__()",
        "__import__('os').system('true')",
        "open('x')",
        "eval('1')",
        "print(1)",
        "abs(a)",
        "pow(9, 9)",
        "min(a)(b)",
        "(lambda: 1)()",
        "lambda: 1",
        "[x for x in a]",
        "{a: b}",
        "{a}",
        "[a, b]",
        "(a, b)",
        "a[0]",
        "f'{a}'",
        "'text'",
        "b'text'",
        "a if b else c",
        "a and b",
        "not a",
        "a < b",
        "a == b",
        "(a := 1)",
        "a @ b",
        "a % b",
        "a // b",
        "a << 9",
        "~a",
        "+a",
        "1j",
        "True",
        "None",
        "...",
        "await a",
        "yield",
        "min(*a)",
        "max(a, b, key=c)",
        "max(a, **b)",
        "9 ** 9 ** 9 ** 9",
        "2 ** 2",
    ],
)
def test_anything_but_arithmetic_is_refused(text: str) -> None:
    with pytest.raises(FormulaError):
        Formula.parse(text)


@pytest.mark.parametrize(
    "text",
    ["", "   ", "1 +", "a b", "a = 1", "import os", "a; b", "a\nb", ")", "a\0b", "\ud800", "1 $ 2", "=1"],
)
def test_what_is_no_expression_is_refused(text: str) -> None:
    with pytest.raises(FormulaError) as refused:
        Formula.parse(text)
    str(refused.value).encode("utf-8")  # can be shown, whatever was written


@pytest.mark.parametrize("text", ["max()", "min()", "max(1)", "min(a)"])
def test_the_largest_of_one_number_is_refused_with_how_to_write_it(text: str) -> None:
    with pytest.raises(FormulaError, match=r"two numbers or more; write (max|min)\(a, b\)"):
        Formula.parse(text)


def test_a_function_without_its_numbers_is_refused() -> None:
    with pytest.raises(FormulaError, match=r"'min' is a function; write min\(a, b\)"):
        Formula.parse("1 + min")


def test_a_refusal_names_the_part_and_what_there_is() -> None:
    with pytest.raises(FormulaError, match=r"'abs' is no function here; there are max, min"):
        Formula.parse("1 + abs(a)")
    with pytest.raises(FormulaError, match=r"'a \*\* 2' is not allowed"):
        Formula.parse("1 + a ** 2")


DEEP = ["-" * 390 + "1", "~" * 390 + "1", "(1+" * 99 + "1" + ")" * 99, "a" + "[0]" * 130, "a" + "+a" * 190]


@pytest.mark.parametrize("text", [*DEEP, "min(1," * 60 + "1" + ")" * 60, "not " * 95 + "a"])
def test_deep_nesting_is_refused_and_never_runs_out_of_stack(text: str) -> None:
    with pytest.raises(FormulaError):
        Formula.parse(text)


def test_deep_nesting_is_refused_even_when_little_stack_is_left() -> None:
    def deeper(levels: int) -> None:
        if levels:
            deeper(levels - 1)
        else:
            for text in DEEP:
                with pytest.raises(FormulaError):
                    Formula.parse(text)

    frame, used = sys._getframe(), 0
    while frame.f_back:
        frame, used = frame.f_back, used + 1
    deeper(sys.getrecursionlimit() - used - 250)


def test_a_formula_longer_than_a_line_of_thought_is_refused() -> None:
    with pytest.raises(FormulaError, match="longer than 400 characters"):
        Formula.parse("1+" * 200 + "1")
    assert Formula.parse("1" + "+1" * 40).value({}) == 41.0


@given(st.text(max_size=60))
def test_any_text_is_a_formula_or_is_refused(text: str) -> None:
    try:
        formula = Formula.parse(text)
    except FormulaError:
        return
    value = formula.value(dict.fromkeys(formula.names(), 1.5))
    assert value is None or isinstance(value, float)


@given(st.text(alphabet="ab01.+-*/(), maxin_[]{}'\"\\:=", max_size=40), numbers, numbers)
def test_any_text_that_looks_like_a_formula_is_worked_out_or_refused(text: str, a: float, b: float) -> None:
    try:
        formula = Formula.parse(text)
    except FormulaError:
        return
    assert isinstance(formula.value({"a": a, "b": b}), float | None)
