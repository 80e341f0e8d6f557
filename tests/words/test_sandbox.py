# ruff: noqa: E501
"""The sandbox that templates and phrases run in: what a stranger's text may ask, and what it gets.

Every attack below must end in a refusal with a place: none may run code, reach an object of ours
beyond its plain fields, or make the machine ill.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from jinja2 import DictLoader, TemplateError

from explainer.errors import WorkspaceError
from explainer.study.description.study import Settings
from explainer.words.facts.comparatives import Word
from explainer.words.phrases import sandbox
from explainer.words.phrases.renderer import Phrase, fill
from explainer.words.phrases.sandbox import Concealed, Sandbox, named

ATTACKS = (
    "{% for a in [1] %}" * 60 + "{% endfor %}" * 60,
    # the way to the interpreter
    "{{ ''.__class__ }}", "{{ ''['__class__'] }}", "{{ ().__class__.__mro__ }}",
    "{{ n.__class__ }}", "{{ n.bit_length() }}", "{{ n.real }}", "{{ facts.__class__ }}",
    "{{ facts['__class__'] }}", "{{ word.__init__.__globals__ }}", "{{ word.__dataclass_fields__ }}",
    "{{ word._verb }}", "{{ cycler }}", "{{ lipsum() }}", "{{ joiner('') }}", "{{ self.__init__ }}",
    "{{ range.__self__ }}", "{{ dict.fromkeys('ab') }}", "{{ dict.mro() }}",
    "{% set ns = namespace(a=1) %}{{ ns.__class__ }}", "{% macro m() %}{% endmacro %}{{ m.__call__ }}",
    "{% macro m() %}{% endmacro %}{{ m._func }}", "{% macro m() %}{% endmacro %}{{ m.name }}",
    "{% for i in [1] %}{{ loop.__init__ }}{% endfor %}", "{% for i in [1] %}{{ loop._iterable }}{% endfor %}",
    # filters and methods that reach or build what was not given
    "{{ ''|attr('__class__') }}", "{{ [word]|map('attr', '__class__')|list }}",
    "{{ [word]|map(attribute='__class__')|first }}", "{{ [word]|map(attribute='__init__')|first }}",
    "{{ [arrays]|map(attribute='shape')|first }}", "{{ [settings]|map(attribute='title')|first }}",
    "{{ '{0.__class__}'.format(n) }}", "{{ '{a}'.format_map(facts) }}", "{{ '%s'|format(n) }}",
    "{{ '%s' % n }}", "{{ 'a'.encode() }}", "{{ 'a'.translate(facts) }}", "{{ 'a'.join(['b']) }}",
    "{{ 'a'.ljust(10000000000) }}", "{{ 'a'.center(10000000000) }}", "{{ 'a'|center(10000000000) }}",
    "{{ '1'.zfill(10000000000) }}", "{{ 'a'|indent(10000000000) }}", "{{ facts|tojson }}",
    "{{ facts|pprint }}", "{{ facts|xmlattr }}", "{{ [1]|batch(10000000000, 0)|list }}",
    "{{ facts.update(a=1) }}", "{{ facts.pop('a') }}", "{{ facts.clear() }}", "{{ [1].append(2) }}",
    # objects that no template should have been given
    "{{ settings.title }}", "{{ settings.parse_raw('x') }}", "{{ settings.model_dump() }}",
    "{{ settings.copy() }}", "{{ settings['title'] }}", "{{ arrays.tofile('x') }}", "{{ arrays.shape }}",
    "{{ arrays[0] }}", "{{ arrays.tolist() }}", "{{ arrays }}", "{{ frame.to_csv('x') }}",
    "{{ frame['a'] }}", "{{ frame.a }}", "{{ path.unlink() }}", "{{ path.read_text() }}",
    "{{ path.parent }}", "{{ path }}", "{{ unnamed() }}", "{{ unnamed.__code__ }}", "{{ kind() }}",
    "{{ kind.mro() }}", "{{ record.held }}", "{{ record.hidden() }}", "{{ record.data.tofile('x') }}",
    "{{ hidden._held }}", "{{ hidden.held }}", "{{ hidden }}", "{{ hidden() }}",
    # too much of what is allowed
    "{{ 'a' * 1000000000 }}", "{{ [0] * 1000000000 }}", "{{ 10 ** 100000000 }}", "{{ 9e200 * 9e200 }}",
    "{{ range(1000000000)|list }}", "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}",
    "{% for a in range(9999) %}{{ word.the('x' ~ a) }}{% for b in range(99) %}{% set c = b %}{% endfor %}{% endfor %}",
    "{% macro m(n) %}{{ m(n) }}{% endmacro %}{{ m(1) }}",
    "{% macro m(n) %}{% if n %}{{ m(n - 1) }}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(60) }}",
    "{% set ns = namespace(t='ab') %}{% for i in range(60) %}{% set ns.t = ns.t ~ ns.t %}{% endfor %}",
    "{% set ns = namespace(t='ab') %}{% for i in range(60) %}{% set ns.t = ns.t + ns.t %}{% endfor %}",
    "{% set ns = namespace(t='ab') %}{% for i in range(60) %}{% set ns.t = ns.t.replace('b', ns.t) %}{% endfor %}",
    "{% set ns = namespace(t='ab') %}{% for i in range(60) %}{% set ns.t = ns.t|replace('b', ns.t) %}{% endfor %}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = [ns.t, ns.t] %}{% endfor %}{{ ns.t }}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = [ns.t, ns.t] %}{% endfor %}{{ ns.t|string }}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = [ns.t, ns.t] %}{% endfor %}{{ ns.t ~ '' }}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = [ns.t, ns.t] %}{% endfor %}{{ ns.t|join }}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = [ns.t, ns.t] %}{% endfor %}{{ ns.t|upper }}",
    "{% set ns = namespace(t=['ab']) %}{% for i in range(60) %}{% set ns.t = ns.t + ns.t %}{% endfor %}",
    "{% for i in range(9999) %}{% for j in range(400) %}{{ text }}{% endfor %}{% endfor %}",
    "{% for i in [1] recursive %}{{ loop([1]) }}{% endfor %}", "{{ " + "(" * 500 + "1" + ")" * 500 + " }}",
    "{{ " + "-" * 3000 + "1 }}",
    # plain slips
    "{{ 1 / 0 }}", "{{ 'a' + 1 }}", "{{ nobody }}", "{{ n.nothing }}", "{{ 'a", "{% if %}", "{{ facts.a.b }}",
    "{{ 1 < 'a' }}", "{{ [1, 'a']|sort }}", "{% include 'settings.yaml' %}", "{% extends '/etc/hosts' %}",
    "{% import '../x' as x %}", "{% do 1 %}", "{{ n() }}", "{{ 'a'() }}",
)  # fmt: skip


@dataclass(frozen=True)
class Held:
    """A record of somebody else's: its module is not ours."""

    data: Any = field(default_factory=lambda: np.arange(3.0))

    def hidden(self) -> str:
        return "called"


def context() -> dict[str, Any]:
    return {
        "n": 3, "text": "x" * 100, "facts": {"a": 1}, "word": Word("rougher", False),
        "settings": Settings(), "arrays": np.arange(3.0), "frame": pd.DataFrame({"a": [1]}),
        "path": Path("x"), "unnamed": lambda: "called", "kind": dict[str, int], "record": Held(),
        "hidden": Concealed(np.arange(3.0)),
    }  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS)
def test_whatever_is_not_plain_is_refused_with_its_place(attack: str) -> None:
    began = time.process_time()
    with pytest.raises(WorkspaceError) as refused:
        fill(Phrase(attack, "templates/phrases/claims.yaml", 12), context())
    (problem,) = refused.value.problems
    assert (problem.file, problem.line) == ("templates/phrases/claims.yaml", 12)
    assert problem.found and len(problem.found) < 400
    assert time.process_time() - began < 2 * sandbox.MAX_SECONDS  # ended by itself, not by luck


PLAIN = (
    ("{{ n }} {{ facts.a }} {{ facts['a'] }}", "3 1 1"),
    ("{{ word.state }}, {{ word.those('balls') }}", "rougher, rougher balls"),
    ("{% for k, v in facts.items() %}{{ k }}={{ v }}{% endfor %}", "a=1"),
    ("{% for i in range(3) %}{{ loop.index }}{% if not loop.last %}-{% endif %}{% endfor %}", "1-2-3"),
    ("{% macro m(x) %}<{{ x }}>{% endmacro %}{{ m('a' ~ n) }}", "<a3>"),
    ("{{ 'abc'.upper() }} {{ 'a-b'.split('-')|join('+') }} {{ 'abc'|replace('b', 'x') }}", "ABC a+b axc"),
    ("{{ (n + 1) * 2 - 3 }} {{ n ** 2 }} {{ 7 // 2 }} {{ 7 % 4 }}", "5 9 3 3"),
    ("{{ [3, 1, 2]|sort|first }} {{ 'a' if n > 2 else 'b' }} {{ nobody|default('none') }}", "1 a none"),
    ("{{ told('x') }}", "told x"), ("{{ none }}{{ true }}", "NoneTrue"),
)  # fmt: skip


@pytest.mark.parametrize(("phrase", "said"), PLAIN)
def test_plain_data_and_named_functions_serve(phrase: str, said: str) -> None:
    known = context() | {"told": named(lambda x: f"told {x}")}
    assert fill(Phrase(phrase, "f", 1), known) == said


def test_templates_that_include_themselves_end() -> None:
    pages = {"a": "{% include 'b' %}{% include 'b' %}", "b": "{% include 'a' %}", "c": "{% extends 'c' %}"}
    for page in ("a", "c"):
        with pytest.raises((TemplateError, RecursionError)):
            Sandbox(loader=DictLoader(pages)).get_template(page).render()


def test_a_budget_is_for_one_rendering() -> None:
    """A page that spent nearly all leaves the next one all of it."""
    page = Sandbox().from_string("{% for i in range(9000) %}{% for j in range(40) %}{% endfor %}{% endfor %}")
    for _ in range(3):
        page.render()
