"""`python -m gudgeon` is the command."""

from gudgeon.cli import main

if __name__ == "__main__":
    main()
