"""Writes MDF 4 files with asammdf and fails where our reader finds other samples than asammdf.

Usage: python cross_check_asammdf.py PATH_TO_BINARY_OF_EXAMPLE_print_log
       python cross_check_asammdf.py --fixtures FOLDER
Needs: asammdf, numpy (PyPI). The second form writes the small files that the tests read, each with
the samples that asammdf finds in it. Numbers must agree to the bit (between the points of a
table: to four units of the last place), texts to the letter.
"""
import math
import pathlib
import subprocess
import sys
import tempfile
from datetime import datetime, timedelta, timezone

import numpy as np
from asammdf import MDF, Signal

# Between two points of a table the order of operations is free, which moves the last bits.
INTERPOLATED = "Oil pressure"
START = datetime(2026, 3, 14, 10, 22, 5, 250000, tzinfo=timezone(timedelta(hours=1)))


def slow_and_fast(rows):
    """Two groups: engine at 100 a second, temperatures at 5 a second."""
    t = np.arange(rows) * 0.01
    speed = 1500 + 60 * t**1.5
    engine = [
        Signal(speed.astype("<f8"), t, name="Engine speed", unit="1/min"),
        Signal((200 + 40 * np.sin(t)).astype("<f4"), t, name="Torque", unit="Nm"),
        Signal(
            (t * 1000).astype("<u2"), t, name="Throttle", unit="%",
            conversion={"a": 0.01, "b": -1.5},
        ),
        Signal(
            (np.arange(rows) % 200).astype("<u1"), t, name="Oil pressure", unit="kPa",
            conversion={f"raw_{i}": float(i * 50) for i in range(5)}
            | {f"phys_{i}": float(i * i * 30) for i in range(5)} | {"interpolation": True},
        ),
        Signal(
            (np.arange(rows) // max(rows // 4, 1)).astype("<u1"), t, name="State",
            conversion={
                "val_0": 0, "text_0": b"idle", "val_1": 1, "text_1": b"run-up",
                "val_2": 2, "text_2": b"pull",
            },
        ),
        Signal((-np.arange(rows)).astype("<i4"), t, name="Spark", unit="deg"),
    ]
    engine[1].invalidation_bits = np.arange(rows) % 7 == 3
    slow = np.arange(max(rows // 20, 2)) * 0.2
    temperatures = [
        Signal((81 + slow).astype(">f8"), slow, name="Coolant", unit="°C"),
        Signal((900 + 10 * slow).astype(">u2"), slow, name="Exhaust", unit="°C",
               conversion={"a": 0.5, "b": 100.0}),
        Signal(np.array([b"gear %d" % (i % 3) for i in range(len(slow))]), slow,
               name="Gear", encoding="utf-8"),
    ]
    return [engine, temperatures]


def write(path, version, compression, rows):
    with MDF(version=version) as mdf:
        mdf.start_time = START
        for group in slow_and_fast(rows):
            mdf.append(group, common_timebase=True)
        mdf.save(path, compression=compression, overwrite=True)


def shown(value):
    if isinstance(value, bytes):
        value = value.decode("utf-8").strip("\0 ")
    if isinstance(value, str):
        return value or "nan"
    value = float(value)
    return "nan" if math.isnan(value) else repr(value)


def expected(path):
    """Group, name and unit to the samples as asammdf reads them, missing ones as nan."""
    found = {}
    with MDF(path) as mdf:
        for place, group in enumerate(mdf.groups):
            for index, channel in enumerate(group.channels):
                signal = mdf.get(group=place, index=index, ignore_invalidation_bits=True)
                samples = [shown(value) for value in signal.samples.tolist()]
                if signal.invalidation_bits is not None:
                    marks = np.asarray(signal.invalidation_bits)
                    samples = ["nan" if bad else v for v, bad in zip(samples, marks)]
                found[place, channel.name, signal.unit] = samples
    return found


def ours(text):
    found, started = {}, None
    for line in text.splitlines():
        cells = line.split("\t")
        if cells[0] == "started":
            started = cells[1]
            continue
        place, name, unit, values = cells
        found[int(place), name, unit] = values
    return found, started


def same(name, value, text):
    if value == text:
        return True
    try:
        a, b = float(value), float(text)
    except ValueError:
        return False
    return a == b or name == INTERPOLATED and abs(a - b) <= 4 * np.spacing(abs(a))


def check(reader, path):
    printed = subprocess.run([reader, path], capture_output=True, text=True, check=True)
    found, started = ours(printed.stdout)
    wanted = expected(path)
    assert found.keys() == wanted.keys(), (found.keys(), wanted.keys())
    assert datetime.fromisoformat(started) == START, started
    samples = 0
    for key, values in wanted.items():
        text = found[key]
        cells = text.split(" ")
        if len(cells) != len(values):  # words with blanks in them
            assert text == " ".join(values), (path, key)
        else:
            wrong = [(v, c) for v, c in zip(values, cells) if not same(key[1], v, c)]
            assert not wrong, (path, key, wrong[:3])
        samples += len(values)
    return samples


def fixtures(folder):
    for name, version, compression in [("plain", "4.10", 0), ("transposed", "4.20", 2)]:
        path = pathlib.Path(folder) / f"{name}.mf4"
        write(path, version, compression, 40)
        lines = ["\t".join([str(g), n, u, " ".join(v)]) for (g, n, u), v in expected(path).items()]
        path.with_suffix(".txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def main(reader):
    with tempfile.TemporaryDirectory() as folder:
        for version in ("4.00", "4.10", "4.11", "4.20"):
            for compression in (0, 1, 2):
                path = pathlib.Path(folder) / f"{version}-{compression}.mf4"
                write(path, version, compression, 3000)
                print(f"MDF {version}, compression {compression}: {check(reader, path)} samples agree")


if sys.argv[1] == "--fixtures":
    fixtures(sys.argv[2])
else:
    main(sys.argv[1])
