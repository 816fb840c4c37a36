"""`guide follow`: be guided through the steps at the machine."""

import os
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

import click
from msgspec import Struct
from msgspec.structs import replace

from guide import __version__, system
from guide.commands.ask import NETWORK, argument, asks, beside, maker, option, served_at
from guide.commands.common import SESSIONS, clock, opened, talk
from guide.commands.sessions import (
    KEPT_AS,
    after_a_finished,
    cut_as,
    less_promised,
    once_more,
    plan_of,
    read_found,
    under_way,
)
from guide.commands.times import Whose, begun_by, own_paces, past_under, seen_of
from guide.errors import GuideError, JournalDamaged, NeedsMending, WrongUse
from guide.follow.model import Desk
from guide.follow.order import offer_new_texts
from guide.follow.session import InventedClock, PlanMaker, Session, Texts, rehearse
from guide.money.paces import learn
from guide.plan.make import make_plan
from guide.plan.model import Cut, Plan
from guide.read.check import Language
from guide.read.places import Opened, find_project, from_texts, shown, to_type
from guide.read.spoken import counted
from guide.read.stages import kind_of
from guide.record.clock import Clock
from guide.record.fold import Laid, fold
from guide.record.journal import Journal
from guide.record.model import Reading
from guide.record.sessions import book_file, create, running

if TYPE_CHECKING:
    from guide.beside.sending import Beside

_NO = frozenset({"", "0", "false", "no"})


class Asked(Struct, frozen=True):
    """What is followed, how, by whom, and how a session is begun where none is under way."""

    projects: tuple[str, ...] = argument(nargs=-1, metavar="[PROJECT] [PROJECT]")
    plain: bool = option("Plain lines instead of the full screen (also with ACCESSIBLE=1).")
    rehearse: bool = option("Play the whole workflow through by itself.")
    practice: bool = option("Keep the session, but out of your paces.")
    anew: bool = option("Begin a new session although one is unfinished.", None, "--new")
    whom: str = option("Hints, good-enough lines, cautions one by one.", None, "--for", type=click.Choice(["beginner"]))
    pedal: str | None = option("The key a counting pedal sends: f12, enter, b …", "KEY")
    beside: str | None = beside("Also as a page: on this computer, or for a phone or tablet in its network.")
    press: bool = option("With --beside: the page has a button that does what the big key does.")
    dark: bool = option("Colours for a dark screen; else the terminal is asked.")
    light: bool = option("Colours for a light one.")
    maker: str = maker("Who is at the machine, for the record, and whose times stand beside it.")


@click.command(
    "follow",
    epilog="\b\nExamples:\n  guide follow sessions/window-seat-cushion\n  guide follow --plain\n"
    "  guide follow sessions/window-seat-cushion --rehearse\n  guide follow --for beginner --pedal f12",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Follow PROJECT step by step, timed; takes up the unfinished session. With two, y goes over to the other and back.

    Space does the next thing: start, count a piece, finish. Every other key is one letter; ? lists them,
    u takes the last one back, q stops for now. A pedal for counting stands well away from the machine's own
    and is switched off while you thread or change the needle.
    """
    beside, projects = served_at(said.beside, said.projects)
    if said.pedal:
        from guide.show.screen.window import pedal_key

        pedal_key(said.pedal)  # a key there is none of is said before a session is opened
    if len(projects) > 2 or (said.rehearse and len(projects) > 1):
        raise WrongUse("Two projects at most are followed in one window, and one is rehearsed.")
    if (said.press and not beside) or (beside and said.rehearse):
        raise WrongUse("A page is of a session that is followed; --press is a button on it: --beside --press.")
    if said.rehearse:
        here, plan = _opened(projects[0] if projects else None, anew=True)
        return _rehearse(here, plan, said.whom)
    chosen = way(plain=said.plain, env=os.environ, stdin_tty=sys.stdin.isatty(), stdout_tty=sys.stdout.isatty())
    page = None
    if beside:
        from guide.commands.beside import Page

        page = Page(network=beside == NETWORK, press=said.press)
    tables: list[Table] = []
    try:
        _sit_down_at(tables, projects, said)
        if page:
            page.tell(tables[0].session, waits=chosen == "screen")
        code = _follow(tables, chosen, said, page.server if page else None)
    finally:
        if page:
            page.close()
        for one in tables:
            one.close()
    _offer_to_book(tables)
    return code


class Table(NamedTuple):
    """A session that is followed: its project, its journal, and whether it was begun just now."""

    session: Session
    here: Opened
    journal: Journal
    fresh: bool

    @property
    def path(self) -> Path:
        """Where its journal is."""
        return self.journal.path

    def close(self) -> None:
        """Let its journal go, and the one it went on in."""
        self.journal.close()
        if self.session.journal is not self.journal:
            self.session.journal.close()


def _opened(project: str | None, *, anew: bool) -> tuple[Opened, Plan]:
    try:
        here = opened(project, texts=True)
        return here, plan_of(here)
    except NeedsMending as wrong:
        here = _as_it_began(project, wrong, anew=anew)
        return here, make_plan(here.project, here.language)


def _sit_down_at(tables: list[Table], projects: tuple[str, ...], begin: Asked) -> None:
    """Open the sessions, one after another, so that what is open already is closed when the next cannot be opened."""
    clocks = clock()
    tables.extend(_sit_down(given, clocks, begin) for given in projects or (None,))
    if len(tables) > 1:  # only one's clock can run, and a key goes over
        for one, other in zip(tables, reversed(tables), strict=True):
            one.session.with_beside(other.session)


def _offer_to_book(tables: list[Table]) -> None:
    """Offer to write what was made into the maker's book, where there is one."""
    for one in tables:
        if book_file(one.here.folder.parent).exists() and one.session.moved_to is None:
            from guide.commands.booking import offer

            offer(one.path)


def _sit_down(project: str | None, clocks: Clock, begin: Asked) -> Table:
    """Open a project's session, or begin one, with everything that is to be said of it."""
    here, plan = _opened(project, anew=begin.anew)
    root = here.folder.parent
    kept_as, mine = begun_by(root, begin.maker)
    finished = "" if begin.anew else after_a_finished(here.folder)
    journal, fresh = _journal(here, plan, clocks.read(), replace(begin, maker=kept_as))
    try:
        mine = mine if fresh else _begun_as(journal.events[0].maker, begin.maker, mine)
        said = "\n".join(filter(None, (less_promised(journal.path), finished if fresh else "", mine.says)))
        if said:
            talk(said)
        session = Session(
            journal,
            plan_maker(here, plan),
            clocks,
            desk=Desk(beginner=begin.whom == "beginner", said=said),
            elsewhere=_elsewhere(here),
            lacks=lambda name: lacking(here.folder, name),
            between=counts_between(here),
        )

        def elsewhere(since: int | None) -> str:
            return running(root, session.record.header.maker, [journal.path], since)

        session.running = elsewhere
        if not fresh:
            session.take_up()
            _offer_changes(session, here)
        past = past_under(root, mine, but=journal.path)  # its own times are what is compared
        session.paces = own_paces(session.plan, learn(seen_of(past), maker=mine.maker))
    except BaseException:
        journal.close()
        raise
    return Table(session, here, journal, fresh)


def _as_it_began(given: str | None, wrong: NeedsMending, *, anew: bool) -> Opened:
    """Go on with the texts an unfinished session keeps, when the project's own need mending.

    Raises NeedsMending, the `wrong` that is given, where no session is under way.
    """
    path = find_project(given, SESSIONS)
    journal = None if anew else under_way(path.parent)
    if journal is None:
        raise wrong
    record = fold(read_found(journal).events)
    project, language = from_texts(record.project_text, record.stage_texts, path.name)
    talk(f"{wrong}\nThe session under way goes on with the texts it began with.")
    return Opened(path, project, language)


def _journal(here: Opened, plan: Plan, now: Reading, begin: Asked) -> tuple[Journal, bool]:
    """Open the unfinished session, or begin one. True when it is new. Raises JournalDamaged for one that is hurt."""
    path = under_way(here.folder)
    if path is not None and not begin.anew:
        try:
            journal = Journal.open(path, now)
        except JournalDamaged as error:
            raise JournalDamaged(
                f"{error} Nobody can write to it again; guide follow --new begins another session."
            ) from None
        if journal.torn:
            talk(f"The last record had been cut off; its bytes are kept in {shown(journal.torn)}.")
        return journal, False
    record = opening(here, plan, "practice" if begin.practice else "real", begin.maker, begin.whom)
    return create(here.folder, record, now), True


def _begun_as(whose: str, named: str, mine: Whose) -> Whose:
    """Say whose times stand beside a session that is taken up: its own maker's, where it names one."""
    if not whose:
        return mine if named.strip() else replace(mine, says="" if mine.sure else mine.says)
    other = named.strip() not in {"", whose}
    return Whose(
        whose, f"This session was begun as {whose}'s and stays so; --new begins one of {named}'s." if other else ""
    )


def opening(here: Opened, plan: Plan, mode: str, maker: str, whom: str) -> dict[str, object]:
    """Give the members of a session's first record: everything needed to read it alone, years later."""
    return {
        "what": "opened",
        "format": 1,
        "version": __version__,
        "mode": mode,
        "maker": maker,
        "whom": whom,
        "title": here.project.title,
        "project": here.project.text,
        "stages": here.language.texts,
        "layout": [list(block.stack) for block in plan.layout.blocks] if plan.layout else None,
        **({"set": {"between": True}} if mode != "rehearsal" and counts_between(here) else {}),
    }


def counts_between(here: Opened) -> bool:
    """Tell whether the maker chose that the time from one step's end to the next one's start counts."""
    return bool(here.language.beside.get("choices", {}).get("between_steps") == "counted")


def plan_maker(here: Opened, first: Plan) -> PlanMaker:
    """Give what plans a session again when something was measured, laid or changed; cut once for one layout."""
    now: Texts = (here.project.text, here.language.texts)
    stacks = [list(block.stack) for block in first.layout.blocks] if first.layout else None
    kept: list[tuple[object, Language, Cut]] = []  # the newest only

    def make(measured: dict[str, float], laid: Laid, texts: Texts) -> Plan:
        if texts == now and not measured and laid in (Laid(None), Laid(stacks)):
            return first
        return once_more(made(measured, laid, texts), laid)

    def made(measured: dict[str, float], laid: Laid, texts: Texts) -> Plan:
        needs = (laid.cut_for or laid.layout, laid.cut_again, texts)
        if not kept or kept[0][0] != needs:
            own = texts == now
            project, language = (here.project, here.language) if own else from_texts(*texts, here.path.name)
            kept[:] = [(needs, language, cut_as(laid, project, language))]
        _, language, cut = kept[0]
        return make_plan(cut.project, language, measured, laid.layout, cut=cut)

    return make


def _offer_changes(session: Session, here: Opened) -> None:
    """Say what changed in the files since the session began; the old stays unless the maker chooses."""
    record = session.record
    stages = here.language.texts
    if KEPT_AS in stages:  # the shelf changes as it is cut from: what a session was planned with stays its own
        stages = {**stages, KEPT_AS: record.stage_texts.get(KEPT_AS, stages[KEPT_AS])}
    changed = ["the project file"] if record.project_text != here.project.text else []
    differ = sorted(name for name in stages if record.stage_texts.get(name) != stages[name])
    kinds = {name: kind_of(stages[name]) for name in differ}
    said = [f"{name} stage" if kinds[name] in {"stage", "safety"} else kinds[name] for name in differ]
    changed += dict.fromkeys(f"the {one}" for one in said)
    if changed:
        session.desk = offer_new_texts(
            session.desk, " and ".join(changed), here.project.text, stages, _laid_anew(session, here)
        )


def _laid_anew(session: Session, here: Opened) -> list[list[str]] | None:
    """Lay the panel again when the changed project no longer takes the session's layout."""
    try:
        make_plan(here.project, here.language, None, session.record.layout)
    except GuideError:
        laid = plan_of(here).layout
        return [list(block.stack) for block in laid.blocks] if laid else None
    return None


def _elsewhere(here: Opened) -> Path:
    """Find a free name in the maker's home, or where there is none, for a journal whose own place takes no more."""
    try:
        folder = Path.home() / "fraywork-kept"
    except RuntimeError:
        folder = Path(tempfile.gettempdir()) / "fraywork-kept"
    names = (f"{here.folder.resolve().name}-{number}.jsonl" for number in range(1, 10_000))
    return next(path for name in names if not (path := folder / name).exists())


def lacking(folder: Path, name: str) -> str:
    """Give the folder when no such file lies in it, or can: a name may be longer than any file's."""
    return "" if os.path.isfile(folder / name) else shown(folder)  # noqa: PTH113 - Path.is_file raises at a long name


def way(*, plain: bool, env: Mapping[str, str], stdin_tty: bool, stdout_tty: bool) -> Literal["screen", "lines"]:
    """Choose how to follow: in lines when asked to, by `ACCESSIBLE`, on a dumb terminal, or without a terminal."""
    if plain or env.get("ACCESSIBLE", "").strip().lower() not in _NO:
        return "lines"
    if env.get("TERM", system.TERM) in {"", "dumb"}:
        return "lines"
    return "screen" if stdin_tty and stdout_tty else "lines"


def _follow(tables: list[Table], chosen: Literal["screen", "lines"], said: Asked, onlooker: "Beside | None") -> int:
    session, beside = tables[0].session, tables[1].session if len(tables) > 1 else None
    saved_in = " and ".join(shown(one.path) for one in tables)
    go_on = "guide follow " + " ".join(to_type(one.here.folder) for one in tables)
    if chosen == "lines":
        from guide.show.lines import Talk, follow

        taken_up = f"Go on with: {go_on}"
        code = follow(Talk(session, sys.stdout, saved_in, beside, onlooker), sys.stdin, go_on=taken_up)
    else:
        from guide.show.screen.app import Screen, run
        from guide.show.screen.text import marks_for
        from guide.show.table import true_colour

        ground: Literal["dark", "light", ""] = "dark" if said.dark else "light" if said.light else ""
        screen = Screen(
            session, marks=marks_for(sys.stdout.encoding), true=true_colour(os.environ), pedal=said.pedal,
            saved_in=saved_in, ground=ground, beside=beside, onlooker=onlooker,
        )  # fmt: skip
        code = run(screen)
    for one in tables:
        _told(one, go_on, chosen)
    return code


def _told(table: Table, go_on: str, chosen: str) -> None:
    """Say how a session was left, and where it is."""
    session = table.session
    saved_in = shown(session.moved_to or table.path)
    if session.unsaved:
        talk(f"Stopped. The last record is not saved; all before it is, in {saved_in}. Go on with: {go_on}")
    elif session.record.closed:
        talk(f"Finished. The log: guide log {to_type(session.moved_to or table.path)}")
    elif chosen == "screen":  # lines have said so themselves
        talk(f"Stopped; everything so far is saved in {saved_in}. Go on with: {go_on}")
    if session.moved_to is not None:
        talk(f"All of it is in {saved_in} alone: put that file in the place of {shown(table.path)} once there is room.")


def _rehearse(here: Opened, plan: Plan, whom: str) -> int:
    """Play the workflow through and write its log."""
    from guide.commands.log import write_log

    begun = clock().read()
    invented = InventedClock(begun.wall, begun.offset)
    journal = create(here.folder, opening(here, plan, "rehearsal", "", whom), invented.read(), rehearsal=True)
    try:
        session = Session(journal, plan_maker(here, plan), invented, desk=Desk(beginner=whom == "beginner"))
        rehearse(session, invented)
    finally:
        journal.close()
    talk(f"Rehearsed {counted(len(session.plan.steps), 'step')} at the starter paces; no time of yours is in it.")
    click.echo(shown(write_log(journal.path)))
    return 0
