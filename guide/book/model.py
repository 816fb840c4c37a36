"""What the book holds: its lines, and the shelf, orders, stock and sales folded from them.

Lengths in a line are mm, to a tenth of a micrometre, in which 1/16 in is whole; inside the fold they are whole
tenths of a micrometre, so that areas add up exactly. Money is `Decimal` in the line's currency.
"""

from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Annotated, Any, Literal, get_args

import msgspec
from msgspec import Meta

from guide.errors import GuideError
from guide.record.lines import Form
from guide.record.model import Number, Written

# What cannot be done with the book as it stands.


class Unfit(GuideError):
    """A line that the book as it stands has no room for; the text says why, after its number (exit 2)."""


def need(good: object, why: str) -> None:
    """Refuse a line unless something holds. Raises Unfit before anything is changed."""
    if not good:
        raise Unfit(why)


FORMAT = 1  # of the book; a reader refuses a greater one
SMALL = 10_000  # tenths of a micrometre in a mm

# fmt: off
What = Literal[
    "begun",
    "bought", "counted", "washed", "parted", "cut", "used", "given", "promised", "released", "passed",
    "quoted", "ordered", "changed", "delivered", "called_off", "paid",
    "made", "sent", "back", "sold", "returned", "cost", "stall",
    "forgotten", "voided", "amended", "recovered",
]
# fmt: on
KINDS = frozenset(get_args(What))

Mm = Annotated[float, Meta(ge=0, le=1e7)]  # 10 km: beyond any cloth
Text = Annotated[str, Meta(max_length=2000)]
Pieces = Annotated[int, Meta(ge=0, le=100_000)]
MOST = Decimal(10**9)  # of money: what is beyond it, or is no number, is refused by the fold


class Lot(msgspec.Struct, frozen=True, omit_defaults=True, gc=False):
    """So many rectangles of cloth alike, mm, the length along the grain; without a size, so many things."""

    width: Mm = 0.0
    length: Mm = 0.0
    count: Pieces = 1
    straight: bool = False  # cut along a thread already
    washed: bool = False
    selvedge: Mm = 0.0  # each, where the piece is as wide as its bolt


class Take(msgspec.Struct, frozen=True, omit_defaults=True, gc=False):
    """What is taken off the shelf: so many of a piece; where one is cut, what of and what is left.

    `lot` is cloth bought for it and never laid on the shelf, at `amount`; `laid` the piece once it was washed for it.
    """

    piece: str = ""
    count: Pieces = 1
    cloth: Text = ""
    lot: Lot | None = None
    amount: Decimal | None = None
    laid: Lot | None = None
    parts: list[Lot] = []
    left: list[Lot] = []


class Entry(Written, msgspec.Struct, frozen=True):
    """One line of the book. The first six members and `what` are always written; the rest when set.

    A kind of a later version is kept as it is, with a `what` that is not in What.
    """

    what: What
    on: str = ""  # the day it happened, 2026-03-01
    cloth: Text = ""  # its name, or what a notion is called
    lots: list[Lot] = []  # bought; parted: what one of a piece was cut into
    takes: list[Take] = []  # promised, cut
    piece: str = ""  # counted, washed, parted, used, given
    lot: Lot | None = None  # counted, washed: the piece as it is now
    count: Pieces = 0
    project: Text = ""  # the name of its folder
    session: Text = ""  # its journal, from the sessions' folder
    title: Text = ""  # of the article
    size: Text = ""  # of the article, as it is told
    number: Number = 0  # of an order; quoted: of the quotation
    tickets: list[Number] = []
    buyer: Text = ""
    place: Text = ""  # where it was bought, sold or sent to
    due: str = ""
    until: str = ""  # a quotation holds until then
    amount: Decimal | None = None  # paid, got, asked, or what something cost
    deposit: Decimal | None = None
    fee: Decimal | None = None  # what the place kept of it
    tax: Decimal | None = None  # in it
    packing: Decimal | None = None
    cost: Decimal | None = None  # of one article: cloth, notions, thread
    currency: Annotated[str, Meta(max_length=8)] = ""
    hours: Annotated[float, Meta(ge=0, le=1e6)] = 0.0  # of one article, or of a day at a stall
    offer: dict[str, Any] | None = None  # what a quotation said, as it was said
    quotation: Number = 0  # ordered: the one it came from
    text: Text = ""
    why: Text = ""
    of: Number = 0  # voided, amended: the line corrected
    set: dict[str, Any] | None = None  # amended: members to set
    units: Literal["", "inch", "metric"] = ""  # begun: how its lengths are shown
    format: Number = 0  # begun
    version: str = ""  # begun: the program
    file: str = ""  # recovered: where the torn bytes were set aside


new_line = partial(Entry, 0, "", 0, 0, 0, "")  # one not written yet: its number and moment are put in when it is

BOOK: Form[Entry] = Form(Entry, KINDS, FORMAT)


def small(mm: float) -> int:
    """Give a length in whole tenths of a micrometre."""
    return int(mm * SMALL + 0.5)


def in_mm(length: int) -> float:
    """Give whole tenths of a micrometre as mm."""
    return length / SMALL


class Piece(msgspec.Struct, gc=False):
    """What lies on the shelf under one number: cloth by its sides (tenths of a micrometre), or things without any."""

    id: str
    cloth: str
    width: int
    length: int
    count: int
    straight: bool = False
    washed: bool = False
    selvedge: int = 0
    paid: Decimal = Decimal(0)  # what was paid for all that it comes from
    share: int = 0  # what of that one of them has: share / whole
    whole: int = 1
    currency: str = ""
    since: str = ""  # the day it came

    @property
    def area(self) -> int:
        """The area of one, in square tenths of a micrometre; 0 for a thing."""
        return self.width * self.length

    @property
    def each(self) -> Fraction:
        """What one of them cost, exactly."""
        return Fraction(self.paid) * self.share / self.whole


class Flow(msgspec.Struct):
    """Where the bought cloth of one name went, square tenths of a micrometre; what is left lies on the shelf."""

    bought: int = 0
    cut: int = 0
    scrap: int = 0
    washed_away: int = 0
    given: int = 0
    counted_off: int = 0  # negative: more was found


class Counted(msgspec.Struct, frozen=True):
    """What a count found otherwise: so many, of so wide and long, where the book had others."""

    on: str
    piece: str
    cloth: str
    now: tuple[int, int, int]
    was: tuple[int, int, int]


class Promise(msgspec.Struct, frozen=True):
    """So many of a piece that a project has first call on."""

    piece: str
    count: int


class _Wanted(msgspec.Struct):
    """What somebody wants made, under its number."""

    number: int
    buyer: str
    title: str
    count: int


class Order(_Wanted):
    """An order as it stands."""

    taken: str  # the day
    due: str = ""
    price: Decimal | None = None  # of one
    currency: str = ""
    deposit: Decimal = Decimal(0)  # asked for
    project: str = ""
    offer: int = 0  # the quotation it came from
    paid: Decimal = Decimal(0)
    delivered: int = 0
    hours: float = 0.0  # hands on for one, where it has no project
    called_off: bool = False
    why: str = ""

    @property
    def open(self) -> bool:
        """Whether anything is still to be delivered."""
        return not self.called_off and self.delivered < self.count

    @property
    def total(self) -> Decimal | None:
        """What all of it comes to."""
        return None if self.price is None else self.price * self.count

    @property
    def owing(self) -> Decimal:
        """What is not paid yet; of one called off nothing more is owed, what was paid goes back."""
        return (Decimal(0) if self.called_off else self.total or Decimal(0)) - self.paid


class Offer(_Wanted):
    """A quotation as it was given; `said` is never worked out again."""

    on: str
    until: str
    price: Decimal | None
    currency: str
    deposit: Decimal
    due: str
    project: str
    said: dict[str, Any]
    order: int = 0  # what became of it


class Article(msgspec.Struct, gc=False):
    """One finished piece, under its ticket number."""

    ticket: int
    title: str
    project: str
    session: str
    made: str  # the day
    size: str = ""
    cost: Decimal = Decimal(0)  # cloth, notions, thread
    hours: float = 0.0
    asked: Decimal | None = None
    currency: str = ""
    quoted: Decimal | None = None
    place: str = ""  # a shop it was sent to
    sale: "Sale | None" = None  # that it went by, and did not come back from
    order: int = 0


class Sale(msgspec.Struct, frozen=True, gc=False):
    """One piece sold; or, with all its money taken back, one that came back."""

    n: int
    ticket: int
    on: str
    place: str
    got: Decimal  # what the buyer paid, tax in it
    fee: Decimal
    tax: Decimal
    packing: Decimal
    currency: str
    order: int = 0
    buyer: str = ""
    back: bool = False  # it came back: money and cost of goods are taken off again

    @property
    def net(self) -> Decimal:
        """What is left of it before its cost: less tax, the place's fee and packing."""
        return self.got - self.tax - self.fee - self.packing


class Cost(msgspec.Struct, frozen=True):
    """Money spent besides cloth: a stall, insurance, a repair. `hours` were spent there."""

    n: int
    on: str
    amount: Decimal
    currency: str
    place: str
    text: str
    hours: float
    stall: bool


class Book(msgspec.Struct):
    """The book as it stands after its newest line."""

    units: Literal["inch", "metric"] = "inch"
    currency: str = "EUR"  # of a sum that names none
    pieces: dict[str, Piece] = {}
    flows: dict[str, Flow] = {}
    promises: dict[str, list[Promise]] = {}  # by project
    offers: dict[int, Offer] = {}
    orders: dict[int, Order] = {}
    articles: dict[int, Article] = {}
    sales: list[Sale] = []
    costs: list[Cost] = []
    spent: list[tuple[str, str, Decimal, str]] = []  # on cloth and things: day, what, how much, currency
    counts: list[Counted] = []  # what a count found otherwise than the book had it
    booked: dict[str, set[str]] = {}  # by session: cut, made, passed
    forgotten: dict[str, str] = {}  # name → initials
    problems: dict[int, str] = {}  # lines that cannot be followed, and why
    unknown: list[Entry] = []
    count: int = 0

    def promised(self, piece: str, but: str | None = None) -> int:
        """How many of a piece are promised, to other projects than one."""
        return sum(
            one.count for who, these in self.promises.items() if who != but for one in these if one.piece == piece
        )

    def free(self, piece: str, project: str | None = None) -> int:
        """How many of a piece a project may take: those that no other has first call on."""
        return self.pieces[piece].count - self.promised(piece, project)


class Period(msgspec.Struct, frozen=True):
    """From one day to another, both in it; "" is open."""

    first: str = ""
    last: str = ""

    def holds(self, day: str) -> bool:
        """Whether a day lies in it."""
        return (not self.first or day >= self.first) and (not self.last or day <= self.last)


ALWAYS = Period()
