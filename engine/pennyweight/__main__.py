"""``python -m pennyweight`` is the command line."""

from .doors.command import main

if __name__ == "__main__":
    main()
