"""Reading what people write: TOML with the line of every key, untidy comma-separated tables, near names.

Nothing here knows what an aeroplane is. Every reader returns what it found together with all its faults and
never raises on what a file holds.
"""

from planewright.text.located import Located, Path, lines_of, read_toml
from planewright.text.names import nearest, same_name, tidy_name
from planewright.text.reader import Reader
from planewright.text.tables import RawTable, parse_table, read_table

__all__ = [
    "Located",
    "Path",
    "RawTable",
    "Reader",
    "lines_of",
    "nearest",
    "parse_table",
    "read_table",
    "read_toml",
    "same_name",
    "tidy_name",
]
