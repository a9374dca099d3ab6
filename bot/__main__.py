"""python -m bot: the same as the `underwing` command."""

from bot.commands import main

main()
