"""Write the made parts of the documentation anew: `python -m tests.docs`."""

from guide.commands.help import DOCS
from tests.docs.tables import BEGIN, END, made, pages


def main() -> None:
    for name in pages():
        path = DOCS / f"{name}.md"
        before, _, rest = path.read_text(encoding="utf-8").partition(BEGIN)
        after = rest.partition(END)[2]
        path.write_text(f"{before}{BEGIN}\n\n{made(name)}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
