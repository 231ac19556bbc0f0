"""Bytes that each key sends: `python -m tests.benchmarks.bytes_per_key` prints them at two sizes."""

from __future__ import annotations

from tests.benchmarks.pty_bench import PtySession

SIZES = [(80, 24), (120, 40)]
FIRST = "rider mass"
KEYS = {
    "+": b"+",
    "u": b"u",
    "down": b"\x1b[B",
    "up": b"\x1b[A",
    "right": b"\x1b[C",
    "left": b"\x1b[D",
    "v": b"v",
    "t": b"t",
    "t again": b"t",
    "?": b"?",
}
"""Keys in the order they are pressed, on the demo job with the rider's mass selected."""


def bytes_per_key(columns: int, rows: int) -> dict[str, int]:
    """Return what each key sends, and as `start` all that comes until the bench waits for a key."""
    with PtySession(columns, rows) as session:
        sent = {"start": session.wait_for(FIRST) + session.wait_until_idle()}
        return sent | {name: session.press(key) for name, key in KEYS.items()}


def main() -> None:
    """Print a table."""
    found = [bytes_per_key(*size) for size in SIZES]
    print(f"{'key':10}" + "".join(f"{f'{columns}x{rows}':>10}" for columns, rows in SIZES))  # noqa: T201
    for name in found[0]:
        print(f"{name:10}" + "".join(f"{sent[name]:10}" for sent in found))  # noqa: T201


if __name__ == "__main__":
    main()
