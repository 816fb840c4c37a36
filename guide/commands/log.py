"""`guide log`: the maker's log of a session."""

from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

import click
from msgspec import Struct
from msgspec.structs import replace

from guide.commands.ask import PAGES, PageTo, argument, asks, maker, option
from guide.commands.sessions import At, plans_by_make, project_folder, read_session, session_path
from guide.commands.times import past_under, seen_of, tell, whose
from guide.errors import WrongUse
from guide.record.journal import contents, describe
from guide.record.model import Event

if TYPE_CHECKING:
    from guide.money.model import Paces
    from guide.show.pages.render import Format


class Asked(Struct, frozen=True):
    """What a log is asked to hold, for whom, and whose times its forecast is from."""

    session: str | None = argument(required=False)
    cost: bool = option("Put what it cost into the log.")
    whom: str = option(
        "The copy that goes with the piece: no times, no cost.", None, "--for", type=click.Choice(["buyer"])
    )
    pictures: bool = option("Put every step's picture into the appendix.")
    maker: str = maker("Whose times the forecast is from, where the session names nobody.")
    to: PageTo = PAGES


@click.command(
    "log",
    epilog="\b\nExamples:\n  guide log sessions/window-seat-cushion\n  guide log --markdown -o -\n  guide log --open\n"
    "  guide log --for buyer\n  guide log --cost --pictures",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Write the log of SESSION (a journal, or a project's newest) and print its path.

    A note that begins with `next time` stands under what you would do otherwise. A buyer's copy has neither that nor
    the appendix: times, trouble, cost and the numbers behind; notes are in it, so look it over.
    """
    if said.whom and (said.cost or said.pictures):
        raise WrongUse("--cost and --pictures are for the maker's appendix, which a buyer's copy has not.")
    path = session_path(said.session)
    at = read_session(path)
    beside = path.with_name(f"{path.stem}-for-buyer.html") if said.whom else path
    said.to.put(lambda fmt: log_text(at, path, fmt, said), beside)
    return at.exit_code


def write_log(path: Path) -> Path:
    """Write the HTML log beside a journal; give its path."""
    from guide.show.pages.write import write_page

    asked = Asked(None, cost=True, whom="", pictures=False, maker="", to=PageTo())
    return write_page(path.with_suffix(".html"), log_text(read_session(path), path, "html", asked))


def log_text(at: At, path: Path, fmt: "Format", asked: Asked) -> str:
    """Render a session's log; forecast beside actual from its maker's sessions before it."""
    from guide.money.forecast import forecast, forecast_and_actual, forecast_steps
    from guide.money.quote import price_session
    from guide.show.model_plan import StepPace
    from guide.show.pages.log import render_log
    from guide.show.report import report
    from guide.show.report_money import compared_report, cost_report, forecast_report

    assert at.record is not None
    mine = _before(at.record.header, path, asked.maker)
    first = at.first or at.plan
    expected = {
        one.key: StepPace(pace_s=one.pace_s, pace_from=one.rests_on, likely_s=one.hands_on.likely)
        for one in forecast_steps(first, mine)
    }
    data = report(
        at.plan,
        at.record,
        forecast=forecast_report(forecast(first, mine)),
        cost=cost_report(at.plan, price_session(at.plan, at.record)) if asked.cost else None,
        paces=expected,
        first=at.first,
        makes=plans_by_make(at),
        earlier=at.earlier,
        checksum=f"{crc32(contents(path)):08x}",
        texts=True,
    )
    assert data.session is not None
    session = replace(data.session, compared=compared_report(forecast_and_actual(first, mine, at.record)))
    if at.damage is not None:
        told = describe(path.name, at.damage)
        session = replace(session, damage=told) if at.exit_code else replace(session, assumed=(*session.assumed, told))
    data = replace(data, session=session)
    return render_log(data, fmt, folder=project_folder(path), buyer=bool(asked.whom), pictures=asked.pictures)


def _before(head: Event, path: Path, named: str) -> "Paces":
    """Learn from the sessions before one what its maker, or where it names nobody the one named, takes for a step."""
    from guide.money.paces import learn

    root = project_folder(path).parent
    mine = whose(root, head.maker or named, before=head.at)
    if not head.maker:
        tell(mine)
    return learn(seen_of(past_under(root, mine, but=path, before=head.at)), maker=mine.maker)
