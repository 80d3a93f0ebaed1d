"""inspect-tui: a guided inspection of a machine, in the terminal.

The map of the house:

- ``cli``, ``commands``: the commands, thin
- ``inspection``, with ``held_log``, ``listing`` and ``demo``: one inspection being done; the only
  joiners of core and files
- ``core``: pure; readings, units, checklist, machine, expressions, limits, session, results
- ``calc``: calculations, one module a subject; they import nothing of ours
- ``files``: the disk; store, definitions, the session log
- ``report``: exports, one module a format
- ``tui``: the screens; nothing there opens a file
"""

__version__ = "0.2.0"
