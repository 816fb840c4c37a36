"""`python -m guide` is the same as `guide`."""

from guide.cli import main

if __name__ == "__main__":
    main()
