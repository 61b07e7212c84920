"""``python -m selector``."""

from selector.cli import run

if __name__ == "__main__":
    run()
