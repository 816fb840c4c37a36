"""Write the reference in README.md anew: `python -m tests.docs`."""

from pathlib import Path

from tests.docs.tables import BEGIN, END, reference

README = Path(__file__).parent.parent.parent / "README.md"


def main() -> None:
    text = README.read_text(encoding="utf-8")
    before, _, rest = text.partition(BEGIN)
    after = rest.partition(END)[2]
    README.write_text(f"{before}{BEGIN}\n\n{reference()}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
