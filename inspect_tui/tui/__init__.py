"""The screens. Nothing here opens a file; `app.py` alone holds the inspection.

What is typed goes: entry field -> screen -> `InspectionActions.submit` (the app) -> inspection ->
log, flushed; what follows comes back as a new frozen `View` from which the screens are drawn.
"""
