"""``python -m noonhold``: the same as the command ``noonhold``."""

from noonhold.command_line import main

if __name__ == "__main__":
    main()
