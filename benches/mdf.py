"""A measurement file (ASAM MDF 4.10, deflate) of 50 channels of 200,000 samples read by our command
with recognition of its channels, beside asammdf reading every channel of it.

Usage: python benches/mdf.py PROGRAM FOLDER. Prints seconds and the ratio; the best of three.
"""
import pathlib
import subprocess
import sys
import time

ROWS, CHANNELS = 200_000, 50


def write(path):
    import numpy
    from asammdf import MDF, Signal

    time_ = numpy.arange(ROWS) * 0.001
    rpm = 3000.0 + 30.0 * time_
    names = ["engine speed"] + [f"channel {i}" for i in range(1, CHANNELS)]
    columns = [rpm] + [numpy.round(100.0 + i + 0.1 * numpy.sin(time_ * i), 3) for i in range(1, CHANNELS)]
    units = ["rpm"] + ["kPa"] * (CHANNELS - 1)
    signals = [Signal(samples=c, timestamps=time_, name=n, unit=u) for c, n, u in zip(columns, names, units)]
    mdf = MDF(version="4.10")
    mdf.append(signals)
    mdf.save(path, overwrite=True, compression=1)


def best(run):
    def timed():
        begun = time.perf_counter()
        run()
        return time.perf_counter() - begun

    return min(timed() for _ in range(3))


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    try:
        import asammdf
    except ImportError:
        print("asammdf: skipped, no package")
        return
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "speed.mf4"
    if not path.exists():
        write(path)
    ours = best(lambda: subprocess.run([program, "read", str(path), "--json", "--quiet"], check=True,
                                       stdout=subprocess.DEVNULL))

    def peer():
        with asammdf.MDF(path) as mdf:
            for group in range(len(mdf.groups)):
                mdf.select([(None, group, i) for i in range(len(mdf.groups[group].channels))])

    theirs = best(peer)
    print(f"{'read, whole command':<34}{ours:>7.2f} s")
    print(f"{'asammdf ' + asammdf.__version__ + ', every channel':<34}{theirs:>7.2f} s")
    print(f"{'asammdf / ours':<34}{theirs / ours:>7.2f}")


main()
