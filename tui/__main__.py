"""`python -m tui` is the same as `springwright`."""

from tui.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
