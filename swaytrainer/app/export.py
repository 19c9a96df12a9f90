"""``swaytrainer export``: one recorded trial for another program."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from swaytrainer.app.backup import new_file
from swaytrainer.exchange.trial_table import trial_table
from swaytrainer.progress.assess import counted
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording


def export(options: argparse.Namespace, _home: Home) -> int:
    """Run the command; its exit status."""
    table = trial_table(read_recording(options.file), options.trial)
    with new_file(options.output) as file:
        if options.format == "csv":
            from swaytrainer.exchange.tables import csv_text

            file.write(csv_text(table).encode())
        elif options.format == "parquet":
            from swaytrainer.exchange.tables import parquet_bytes

            file.write(parquet_bytes(table))
        else:
            from swaytrainer.exchange.c3d_out import write_c3d

            with tempfile.TemporaryDirectory() as folder:
                made = Path(folder) / "trial.c3d"
                write_c3d(table, made)
                file.write(made.read_bytes())
    print(f"{options.output}: {counted(table.time_s.size, 'sample')}. {table.about['frame']}")
    return 0
