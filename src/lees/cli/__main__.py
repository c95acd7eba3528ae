"""`python -m lees.cli`: the command line without its installed name."""

from lees.cli import main

if __name__ == "__main__":
    main()
