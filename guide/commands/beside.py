"""The page of `guide follow --beside`: started, said where it is, ended with the sitting."""

import secrets
import socket
import sys

from msgspec.structs import replace

from guide.beside.sending import Beside, Wanted, check_installed
from guide.commands.common import talk
from guide.errors import WrongUse
from guide.follow.session import Session

TOKEN_BYTES = 18
_ELSEWHERE = ("192.0.2.1", 9)  # [source] RFC 5737: an address for documentation. Nothing is sent to it.
_OPEN = (
    "{}. It is not encrypted: whoever can listen in this network can read the address too, so use one that is yours. "
    "The address ends with the sitting."
)


class Page:
    """What serves the page, and where; it comes up while the session is opened."""

    def __init__(self, *, network: bool, press: bool = False, photo: bool = True) -> None:
        """Start it. Raises WrongUse where it cannot be served."""
        check_installed()
        self.network, self.allowed = network, allowed(press=press, photo=photo)
        host = _own_address() if network else "127.0.0.1"
        self.server = Beside(Wanted(host, press, secrets.token_urlsafe(TOKEN_BYTES), photo))

    def tell(self, session: Session, *, waits: bool) -> None:
        """Say where the page is, here and on the desk."""
        said = self.say(waits=waits)
        session.desk = replace(session.desk, said="\n".join(filter(None, (said, session.desk.said))))

    def say(self, *, waits: bool = False) -> str:
        """Say where the page is; for a phone, with a code for its camera, which stands until enter where it `waits`."""
        address = self.server.wait()
        said = f"The page beside the machine: {address}"
        talk(said)
        if self.network:
            import segno

            segno.make(address, micro=False).terminal(out=sys.stderr, compact=True)
            talk(_OPEN.format(self.allowed))
            if waits:
                talk("Enter begins.")
                sys.stdin.readline()
        return said

    def close(self) -> None:
        """End it."""
        self.server.close()


def allowed(*, press: bool, photo: bool) -> str:
    """Say what whoever has the address may do."""
    may = [word for word, so in (("add photos", photo), ("press", press)) if so]
    return "Whoever has this address sees the session" + (f" and may {' and '.join(may)}" if may else "")


def _own_address() -> str:
    """This computer's address in the network it is in. Raises WrongUse when it is in none."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
            one.connect(_ELSEWHERE)
            return str(one.getsockname()[0])
    except OSError:
        raise WrongUse("This computer is in no network; --beside alone serves the page to itself.") from None
