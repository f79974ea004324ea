"""One module for each command of the command line; each is imported only when its command is asked for."""
