"""What sessions have and the book lacks: cloth that was cut, and what was made. Offered once, after one question."""

import sys
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import msgspec
from msgspec.structs import replace

from guide.book.answers import Job, chances, hours_of, planned
from guide.book.file import Writer
from guide.book.model import Book, Entry, Order, Take, new_line
from guide.book.shelf import cut_by, still_there
from guide.commands.ask import put_page
from guide.commands.common import SESSIONS, clock, talk
from guide.commands.entries import book_here, book_open, iso, sessions_name
from guide.commands.sessions import SHELF, At, open_here, plan_of, read_session, under_way
from guide.commands.times import money_of, paces_from
from guide.errors import GuideError, WrongUse
from guide.money.forecast import draws_of, forecast
from guide.money.glean import counted_labour_s
from guide.money.model import Paces
from guide.money.quote import at_given, price_plan, price_session
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.plan.shopping import cents, share_shelf, shopping_of
from guide.read.check import Language
from guide.read.places import PROJECT_FILE, Opened, shown
from guide.read.spoken import counted, listed
from guide.read.units import INCH, show_length
from guide.record.clock import day_text, local, time_text
from guide.record.model import Record
from guide.record.sessions import book_file, opening_of, sessions_below
from guide.show.model_plan import BuyReport
from guide.show.report_numbers import shopping_report

if TYPE_CHECKING:
    from guide.commands.order import Quoting

CUTTING = "cut"  # the stage that cuts the cloth
FEW = 3  # sessions that are offered without being asked for


def may_lack(path: Path, book: Book) -> bool:
    """Whether a session is one of real work that the book may lack something of; not where it was passed over."""
    head = opening_of(path)
    real = head is not None and (head.mode or "real") == "real"
    return real and not {"passed", "made"} & book.booked.get(sessions_name(path), set())


def lacking(book: Book, root: Path = SESSIONS) -> list[Path]:
    """Give the sessions the book may lack something of, oldest first."""
    return sorted((path for path in sessions_below(root) if may_lack(path, book)), key=lambda path: path.name)


def lines_for(path: Path, book: Book) -> list[Entry]:
    """Give the lines the book lacks of a session, as it stands; none when it lacks nothing yet."""
    at = read_session(path)
    record, plan = at.record, at.plan
    if record is None:
        return []
    name, done = sessions_name(path), book.booked.get(sessions_name(path), set())
    head = new_line(
        "cut", on=_last_day(record, f"{CUTTING}/"), project=path.resolve().parent.name, session=name,
        title=plan.project.title, currency=plan.project.currency,
    )  # fmt: skip
    out = []
    wanted = cut_by(plan, at.language.beside.get(SHELF, {})) if "cut" not in done and cut_done(plan, record) else []
    takes, gone = still_there(book, wanted, head.project)
    for piece in gone:
        talk(f"{shown(path)} cut piece {piece}, which is no more on the shelf as it was: left out.")
    if takes:
        out.append(replace(head, takes=takes))
    if record.closed and "made" not in done:
        out.append(made(replace(head, what="made", on=_last_day(record)), at, record, book))
    return out


def _last_day(record: Record, stage: str = "") -> str:
    """The maker's own day of the last work of a stage, or of all: what came from paper was made when it tells."""
    ends = [(lap.end, lap.offset) for lap in record.laps() if lap.step.startswith(stage)]
    last = record.last or clock().read()
    return f"{local(*max(ends, default=(last.wall, last.offset))):%Y-%m-%d}"


def cut_done(plan: Plan, record: Record) -> bool:
    """Whether all that cuts the cloth is over."""
    steps = [step for step in plan.steps if step.stage == CUTTING]
    return bool(steps) and all(record.step(step.key).over for step in steps)


def tickets(book: Book, count: int) -> list[int]:
    """Give the next free ticket numbers."""
    first = max(book.articles, default=0) + 1
    return list(range(first, first + count))


def made(head: Entry, at: At, record: Record, book: Book) -> Entry:
    """Say of a line what was made: the tickets, the cost, hours, size and price of each, and the things it took."""
    plan, make = at.plan, max(at.plan.project.make, 1)
    quoted = price_session(plan, record)
    names = ("washed_width", "washed_height") if plan.number("washed_width") else ("face_width", "face_height")
    sides = [side for name in names if (side := plan.number(name))]
    return replace(
        head,
        tickets=tickets(book, plan.project.make),
        cost=cents(quoted.costs.materials / make) or None,
        hours=round(counted_labour_s(record) / 3600 / make, 6),
        amount=None if quoted.unpriced else quoted.price.paid or None,
        size=" × ".join(show_length(side, plan.project.units) for side in sides),
        takes=_things(plan, book),
    )


def _things(plan: Plan, book: Book) -> list[Take]:
    """Give the zips and pads on the shelf that are called what the shopping list calls them."""
    takes: list[Take] = []
    for line in plan.shopping:
        left = int(line.quantity) if line.counter == "notions" else 0
        for piece in book.pieces.values():
            count = min(left, book.free(piece.id)) if piece.cloth == line.item and not piece.area else 0
            if count > 0:
                takes.append(Take(piece.id, count))
                left -= count
    return takes


def told(lines: Iterable[Entry]) -> str:
    """Say in one sentence what lines would put into the book."""
    says = []
    for line in lines:
        if line.what == "cut":
            bought = [take.cloth for take in line.takes if take.lot is not None]
            pieces = [f"piece {take.piece}" for take in line.takes if take.lot is None]
            left = sum(len(take.left) for take in line.takes)
            says.append(
                f"cut: {listed([*dict.fromkeys(pieces), *(f'{name}, bought for it' for name in bought)])}; "
                f"{counted(left, 'piece')} left over"
            )
        else:
            given = line.tickets
            numbers = f"{given[0]}" if len(given) == 1 else f"{given[0]} to {given[-1]}"
            says.append(f"made: {counted(len(given), 'article')}, ticket {numbers}")
    return "; ".join(says)


def enter(writer: Writer, path: Path, *, sure: bool) -> bool:
    """Ask, and write what the book lacks of a session; a no is kept, so that it is asked once."""
    lines = lines_for(path, writer.book)
    if not lines:
        return False
    says = told(lines)
    if not sure and not click.confirm(f"Into the book, of {shown(path)}? {says[0].upper()}{says[1:]}", True, err=True):
        writer.add(new_line("passed", session=sessions_name(path), on=lines[0].on))
        talk(f"Left out of the book. It can be entered all the same: guide book enter {shown(path)}")
        return True
    entries = writer.add(*lines)
    talk(f"In the book, {says}.{_left_over(entries)}")
    return True


def _left_over(entries: list[Entry]) -> str:
    left = [f"{entry.n}.{place + 1}" for entry in entries for place in range(sum(len(t.left) for t in entry.takes))]
    return f" Left over, on the shelf: piece {listed(left)}." if left else ""


def offer_all() -> None:
    """Offer what the book lacks of all sessions, one after another. Without a book nothing is offered."""
    paths = lacking(book_here()) if book_file(SESSIONS).exists() else []
    if len(paths) > FEW:
        talk(
            f"{counted(len(paths), 'session')} may have what the book lacks; it is asked of each with: guide book enter"
        )
        return
    for path in paths:
        offer(path)


def offer(path: Path) -> None:
    """Offer what the book lacks of the session just left. Where nobody can be asked, say how; a fault stops nobody."""
    try:
        book = book_here()
        if not may_lack(path, book) or not (lines := lines_for(path, book)):
            return
        if not sys.stdin.isatty():
            did = listed([line.what for line in lines])
            talk(f"The book lacks what {shown(path)} {did}: guide book enter")
            return
        with book_open() as writer:
            enter(writer, path, sure=False)
    except GuideError as error:
        talk(f"The session is saved. The book is not written: {error}")


# A quotation: priced as `guide price` does, put into words once, and kept as it was offered.

DIFFERS_MM = {"inch": INCH / 2, "metric": 15.0}  # how far a size may be off, as sewn and washed [practice]


def quoted(here: Opened, said: "Quoting") -> None:
    """Quote a project; write it into the book, and as a page where one is asked for.

    Raises WrongUse for a deposit over the whole.
    """
    plan, paces = _of_so_many(here, said.count)[0], paces_from(here.folder.parent, said.maker)
    each, count, currency = _price(plan, paces, said), plan.project.make, plan.project.currency
    if said.deposit and said.deposit > each * count:
        raise WrongUse(f"--deposit: {said.deposit} is more than all of it comes to, {each * count}.")
    with book_open(begin=True, units=plan.project.units, currency=currency) as writer:
        number = max(writer.book.offers, default=0) + 1
        offer = words_of(plan, paces, said, number, each)
        writer.add(new_line(
            "quoted", on=said.on, number=number, buyer=said.to.strip(), title=plan.project.title, count=count,
            amount=each or None, deposit=said.deposit or None, currency=currency, due=iso(said.due),
            until=iso(said.valid_until), project=here.folder.resolve().name, offer=offer,
        ))  # fmt: skip
    talk(f"Quotation {number}: {count} at {each} {currency}. Taken, it is: guide order take {number}")
    _tell_chance(plan, paces, said.due, said.hours)
    if said.page:
        from guide.show.pages.papers import quotation_page

        put_page(said.page, lambda fmt: quotation_page(offer, fmt))


def _of_so_many(here: Opened, count: int | None) -> tuple[Plan, Opened]:
    """Plan a project for so many, its own number where none is said; with the project that was planned."""
    if count is None or count == here.project.make:
        return plan_of(here), here
    other = open_here(here.path, [f"make={count}"])
    return make_plan(other.project, other.language), other


def _price(plan: Plan, paces: Paces, said: "Quoting") -> Decimal:
    """Give the price of one: what is asked for it, or what was said. WrongUse where it would be none, or too low."""
    asked = price_plan(plan, forecast(plan, paces))
    if said.price is not None:
        return at_given(plan, asked, said.price).price.paid
    from guide.commands.prices import may_be_quoted

    may_be_quoted(asked, anyway=said.anyway)
    return asked.price.paid


def words_of(plan: Plan, paces: Paces, said: "Quoting", number: int, each: Decimal) -> dict[str, Any]:
    """Put a quotation into the words that are kept: texts only, and the faces without letters. No cost is in it."""
    from guide.show.pages.price import OFFERED, sides_of, size_of
    from guide.show.pages.render import faces
    from guide.show.report import report
    from guide.show.report_cautions import caution

    project = plan.project
    forecast_told, cost = money_of(plan, paces)
    data = report(plan, forecast=forecast_told, cost=cost)
    differs = show_length(DIFFERS_MM[project.units], project.units)
    known = project.washed_first or all(cloth.shrinks_known for cloth in project.prints)
    more = "" if known else "; washing takes some of it"
    size, total, currency = size_of(data), cents(each * project.make), project.currency
    buyer, maker, on = said.to.strip(), said.by.strip(), day_text(date.fromisoformat(said.on))
    offered = [
        ["what", project.title], ["how many", str(project.make)], ["price of one", f"{each} {currency}"],
        ["in all", f"{total} {currency}"],
        ["size, washed" if known else "size, as sewn", f"{size}, give or take {differs}{more}"],
        ["prints", listed([one.name for one in project.prints])],
        ["deposit", f"{said.deposit} {currency}" if said.deposit else ""],
        ["delivered on", day_text(said.due) if said.due else ""],
        ["holds until", day_text(said.valid_until) if said.valid_until else ""],
        ["for", buyer], ["from", maker],
    ]  # fmt: skip
    return {
        "number": number, "date": on, "title": project.title, "words": project.words,
        "figures": [["price of one" if project.make > 1 else "price", f"{each} {currency}"], ["size", size]],
        "offered": [pair for pair in offered if pair[1]],
        "looks": [
            "Made by hand in layers, with seams left raw on purpose: they fray into a soft fringe.",
            "It sheds threads at first; that passes with the first washes.",
            "Colours differ a little from what a screen or a page shows, and from one bolt to the next.",
        ],
        "terms": [
            *(["The deposit is paid when it is ordered; work begins then."] if said.deposit else []),
            "If a print is sold out, another is proposed before it is cut, and the order may be called off then.",
            *said.terms,
        ],
        "care": [caution(name, project.words) for name in dict.fromkeys(["fire", *data.minding])],
        "foot": f"Quotation {number} of {on}" + (f", {maker}" if maker else ""),
        **{side: str(svg) for side, svg in faces(data, sides_of(data), lettered=False, seen=OFFERED).items()},
    }  # fmt: skip


def _tell_chance(plan: Plan, paces: Paces, due: date | None, hours: str | None) -> None:
    """Tell the maker alone how likely the day is, in the hours there are for it.

    Raises WrongUse for hours without a day.
    """
    if hours is None:
        return
    if due is None:
        raise WrongUse("--hours go with --due: the chance of which day?")
    from guide.show.shelf_lines import chance_text

    now = clock().read()
    free = hours_of(hours, datetime.combine(local(now.wall, now.offset), datetime.min.time()))
    outlook = forecast(plan, paces)
    slots = planned([Job(0, outlook.hands_on.likely + outlook.resting_s, outlook.waiting_s, due)], free)
    draws = [[one + outlook.resting_s for one in drawn] for drawn in draws_of([(plan, None)], paces)]
    (chance,) = chances(slots, draws, free)
    assert chance is not None  # it is due on a day
    talk(f"For you alone: ready by {due} with a chance of {chance_text(chance)}, if nothing else is begun before it.")


# How much work is left of an order: from its session under way, from a plan of so many, or as was said.


class Work(msgspec.Struct, frozen=True):
    """The work of an order: hands-on and waits, s, what it was reckoned from, and that in words."""

    job: Job
    says: str
    plan: Plan | None = None
    language: Language | None = None  # its plan's
    record: Record | None = None
    resting_s: float = 0.0
    under_way: bool = False
    known: bool = True  # False: nobody said or can reckon how long it takes


def work_of(order: Order, paces: Paces | None = None) -> Work:
    """Give what is left of an order, at the maker's own paces where they are known. What cannot be planned is told."""
    left = order.count - order.delivered
    due = date.fromisoformat(order.due) if order.due else None
    if not order.project:
        hands_s = order.hours * 3600 * left
        if not hands_s:
            return _unknown(order, due, "how long it takes is not said")
        return Work(Job(order.number, hands_s, 0.0, due), f"{time_text(hands_s)}, as it was said")
    try:
        return _planned(order, left, due, paces or paces_from(SESSIONS))
    except GuideError as error:
        talk(f"Order {order.number} cannot be planned: {error}")
        return _unknown(order, due, "cannot be planned")


def _unknown(order: Order, due: date | None, why: str) -> Work:
    return Work(Job(order.number, 0.0, 0.0, due), f"{why}: reckoned as nothing", known=False)


def _planned(order: Order, left: int, due: date | None, paces: Paces) -> Work:
    folder = SESSIONS / order.project
    path = under_way(folder)
    at = read_session(path) if path is not None else None
    if path is not None and at is not None and at.record is not None and at.record.begun:
        outlook = forecast(at.plan, paces, record=at.record)
        hands_s = max(outlook.hands_on.likely - outlook.done_s, 0.0) + outlook.resting_s
        says, job = f"{time_text(hands_s)} left of {shown(path)}", Job(order.number, hands_s, outlook.waiting_s, due)
        return Work(job, says, at.plan, at.language, at.record, outlook.resting_s, under_way=True)
    plan, here = _of_so_many(open_here(folder / PROJECT_FILE), left)
    outlook = forecast(plan, paces)
    hands_s = outlook.hands_on.likely + outlook.resting_s
    says = f"{time_text(hands_s)} and {time_text(outlook.waiting_s)} of waits, from {outlook.rests_on}"
    return Work(Job(order.number, hands_s, outlook.waiting_s, due), says, plan, here.language, None, outlook.resting_s)


def draws_for(work: Sequence[Work], paces: Paces) -> list[list[float]]:
    """Draw what each order takes, hands on and rests, s, in this sequence: the forecast's own draws."""
    jobs = [(one.plan, one.record) for one in work if one.plan is not None]
    out = []
    for drawn in draws_of(jobs, paces):
        mine = iter(drawn)
        out.append([next(mine) + one.resting_s if one.plan is not None else one.job.hands_s for one in work])
    return out


def bought_for(work: Sequence[Work]) -> Sequence[BuyReport]:
    """Give one shopping list for the orders whose cloth is not cut yet, each from what those before it leave."""
    plans: list[Plan] = []
    for one in work:
        if one.plan is None or one.language is None or one.under_way:
            continue
        mine = one.plan.project
        alike = [plan for plan in plans if plan.project.washed_first == mine.washed_first]
        left = share_shelf(mine, alike)
        try:
            plans.append(one.plan if left == mine else make_plan(left, one.language))
        except GuideError as error:  # what is left does not do, and nothing of it can be bought
            talk(f"Order {one.job.number}, from what is left for it: {error}")
    return shopping_report(shopping_of(plans), [plan.project for plan in plans]) if plans else ()
