"""Buyers' names that are forgotten: initials wherever one stands, alone or in a sentence."""

import re
from typing import Any, TypeVar

import msgspec

from guide.book.model import Book, Cost, Counted, Flow, Sale

_One = TypeVar("_One", Sale, Cost, Counted)


def initials(name: str) -> str:
    """Give what is kept of a buyer's name: `M. O.` of Mira Oak."""
    return " ".join(f"{word[0].upper()}." for word in name.split())


def forget(book: Book) -> None:
    """Put initials wherever a forgotten name stands in what the book comes to."""
    for one in (*book.offers.values(), *book.orders.values(), *book.articles.values(), *book.pieces.values()):
        for member in {"buyer", "title", "why", "place", "cloth", "said"} & set(one.__struct_fields__):
            setattr(one, member, hidden(getattr(one, member), book.forgotten))
    for article in book.articles.values():
        article.sale = _hidden_in(article.sale, ("buyer", "place"), book.forgotten) if article.sale else None
    book.sales = [_hidden_in(sale, ("buyer", "place"), book.forgotten) for sale in book.sales]
    book.costs = [_hidden_in(cost, ("text", "place"), book.forgotten) for cost in book.costs]
    book.counts = [_hidden_in(one, ("cloth",), book.forgotten) for one in book.counts]
    book.spent = [(on, hidden(cloth, book.forgotten), *sum_) for on, cloth, *sum_ in book.spent]
    flows: dict[str, Flow] = {}
    for cloth, flow in book.flows.items():  # two that go by one name now are one
        into = flows.setdefault(hidden(cloth, book.forgotten), Flow())
        for member in flow.__struct_fields__:
            setattr(into, member, getattr(into, member) + getattr(flow, member))
    book.flows = flows


def _hidden_in(one: _One, members: tuple[str, ...], forgotten: dict[str, str]) -> _One:
    return msgspec.structs.replace(one, **{member: hidden(getattr(one, member), forgotten) for member in members})


def hidden(value: Any, forgotten: dict[str, str]) -> Any:
    """Give a text, or texts in lists and mappings, with initials for the names that are forgotten."""
    if isinstance(value, str):
        for name, letters in forgotten.items():
            value = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", letters.replace("\\", r"\\"), value)
        return value
    if isinstance(value, list):
        return [hidden(one, forgotten) for one in value]
    if isinstance(value, dict):
        return {key: hidden(one, forgotten) for key, one in value.items()}
    return value
