"""Everything at once against a page: strangers that dawdle, wrong tokens, endless uploads. `python -m tests.beside.attack PORT TOKEN MANY`.

Runs until it is ended. It stands for other computers, so it takes what processor time is left over.
"""

import asyncio
import contextlib
import os
import resource
import sys

UPLOAD = 100 << 20


async def dawdle(port, turn):
    """A connection that sends a byte now and then of a request that never ends, and comes again when it is hung up on."""
    while True:
        with contextlib.suppress(OSError):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            with contextlib.suppress(OSError):
                for letter in b"GET /stream HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"y" * 500:
                    writer.write(bytes((letter,)))
                    await writer.drain()
                    if reader.at_eof():
                        break
                    await asyncio.sleep(0.5)
            writer.close()
        await asyncio.sleep(2 + turn % 20 / 10)


async def upload(port, token):
    """A hundred megabytes, by their head or without one, with the right token or a wrong one."""
    while True:
        with contextlib.suppress(OSError):
            _, writer = await asyncio.open_connection("127.0.0.1", port)
            head = f"POST /photo?page=x HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n"
            writer.write(f"{head}Authorization: Bearer {token}\r\nContent-Length: {UPLOAD}\r\n\r\n".encode())
            with contextlib.suppress(OSError):
                for _ in range(UPLOAD >> 16):
                    writer.write(b"\0" * (1 << 16))
                    await writer.drain()
            writer.close()
        await asyncio.sleep(0.1)


async def main(port, token, many):
    some = [dawdle(port, turn) for turn in range(many)]
    some += [upload(port, one) for one in (token, "wrong") for _ in range(2)]
    await asyncio.gather(*some)


if __name__ == "__main__":
    os.nice(19)
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, int(sys.argv[3]) + 200), hard))
    asyncio.run(main(int(sys.argv[1]), sys.argv[2], int(sys.argv[3])))
