"""The faces of a result: terminal text, JSON, charts, report. Takes records, knows no store and no reading.

Faces are imported by module, so that a command pays only for the one it draws:
``comparison_text``, ``recording_text``, ``pulls_text``, ``air_text`` (terminal), ``jsonface``, ``json_reading`` (JSON),
``charts``, ``pictures``, ``report`` (drawn).
"""
