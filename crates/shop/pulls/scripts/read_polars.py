"""Reads logs with the CSV reader of polars on one core and prints its speed beside ours.

Usage: python read_polars.py FOLDER_OF_CSV_FILES
Needs: polars (PyPI). The bytes are in memory before the clock starts; best of five rounds of 1,000
files. Processor time is printed too: it minds other work on the machine less.
"""
import os
import pathlib
import sys
import time

os.environ["POLARS_MAX_THREADS"] = "1"
import polars as pl  # noqa: E402  (reads the variable when it is loaded)

FILES = 1000

logs = [path.read_bytes() for path in sorted(pathlib.Path(sys.argv[1]).glob("*.csv"))]
logs = [logs[i % len(logs)] for i in range(FILES)]
size = sum(map(len, logs)) / 1e6
wall = processor = float("inf")
for _ in range(5):
    begun, used = time.perf_counter(), time.process_time()
    for log in logs:
        pl.read_csv(log)
    wall = min(wall, time.perf_counter() - begun)
    processor = min(processor, time.process_time() - used)
print(
    f"{'polars ' + pl.__version__ + ', commas':<34}{size / wall:>7.0f} MB/s"
    f" {wall / FILES * 1e3:>8.3f} ms a file, {size / processor:.0f} MB/s of processor time"
)
