"""The keys of money in a project file: notions, labour, and what selling costs at each place."""

from typing import Any

from guide.read.model import Key


def part(says: str, default: str | None = None, below: float = 0.95, name: str = "") -> Key:
    """Make the key of a part of something, from nothing up."""
    return Key("percent", says, default=default, at_least=0.0, at_most=below, name=name)


def some(says: str, least: int = 1, most: int = 500, **more: Any) -> Key:
    """Make the key of a whole number."""
    return Key("count", says, at_least=least, at_most=most, **more)


# What selling costs at a place; what a place does not write is as `sell` itself says.
_SELLING = {
    "margin": part("part of the price that is profit", "0 %", 0.99),
    "fee": part("part of what the buyer pays that the seller's place keeps", "0 %", 0.99),
    "fee_each": Key("money", "a fee on each sale besides", at_least=0.0),
    "part": part("a shop's part of the price before tax", "0 %", 0.99),
    "packing": Key("money", "box, paper, label of one sale", at_least=0.0),
    "tax": part("tax on the sale, on top of the price before it", "0 %", 0.99),
    "round_up_to": Key("money", "round the price up to this", over=0.0),
    "sale_takes": Key("duration", "your time for each sale: photographs, letters, the way to the post", at_least=0.0),
    "unsold": part("part of what is made that nobody buys: those sold pay for it", "0 %"),
    "day": Key(
        "map",
        "what a day at a stall costs, and brings",
        keys={
            "sells": Key("number", "how many are sold on it", required=True, over=0.0, at_most=10_000),
            "pitch": Key("money", "what the place costs for the day", at_least=0.0),
            "hours": Key("number", "your hours there", at_least=0.0, at_most=24),
            "road": Key("number", "your hours on the road, there and back", at_least=0.0, at_most=48),
        },
    ),
}


def money_keys() -> dict[str, Key]:
    """Give the keys of a project file that are about money."""
    return {
        "extras": Key(
            "list",
            "notions bought whole",
            item=Key(
                "map",
                "a notion",
                keys={
                    "name": Key("text", "what it is", required=True, longest=60),
                    "each": Key("choice", "one per", choices=("make", "project"), default="make"),
                    "count": some("so many", default="1", most=10_000),
                    "price": Key("money", "price of one", required=True, at_least=0.0),
                },
            ),
        ),
        "labour": Key(
            "map",
            "what an hour is worth",
            keys={
                "rate": Key("rate", "money for an hour", per=("hour",)),
                "allowance": part("rest allowance; the hands' rests are in it, and paid where it is less", "0 %"),
            },
        ),
        "sell": Key(
            "map",
            "what selling costs",
            keys={
                "margin": _SELLING["margin"],
                "overhead": Key("rate", "light, space, machine", per=("hour",)),
                **_SELLING,
                "places": Key(
                    "map",
                    "where it is sold, each place by a name of your own; other commands price as at the first",
                    item=Key("map", "a place; what it does not say is as sell says", keys=_SELLING),
                ),
            },
        ),
        "currency": Key("text", "letters of the currency", default="EUR", longest=8),
    }
