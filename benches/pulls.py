"""A folder of 1,000 pulls (2,000 rows of 30 channels, CSV): read, recognised, corrected and summarised
by one command of ours, beside polars' CSV reader alone on the same files; and 24 of them compared by
one command.

Usage: python benches/pulls.py PROGRAM FOLDER. Writes the files where they are missing (invented
pulls, every one another), prints seconds and ratios; the best of three runs each.
"""
import math
import pathlib
import random
import subprocess
import sys
import time

FILES, ROWS, RATE = 1000, 2000, 100.0
HEADINGS = [
    "time [s]", "engine speed [rpm]", "torque [N.m]", "power [kW]", "throttle [%]",
    "manifold pressure [kPa]", "barometer [kPa]", "humidity [%]", "inlet air temperature [degC]",
    "oil pressure [kPa]", "oil temperature [degC]", "coolant temperature [degC]",
    "fuel pressure [kPa]", "fuel flow [kg/h]", "air flow [kg/h]", "lambda 1", "lambda 2",
    "spark advance [deg]", "battery [V]", "crankcase pressure [kPa]", "injector duty [%]",
    "knock 1", "EGT 1 [degC]", "EGT 2 [degC]", "EGT 3 [degC]", "EGT 4 [degC]", "EGT 5 [degC]",
    "EGT 6 [degC]", "aux 1", "aux 2",
]


def pull(chance):
    """Rows of one pull: 2 s held, 17 s of sweep at 300 rpm/s, 1 s of tail."""
    off = 1.0 + chance.gauss(0.0, 0.003)
    noise = lambda size: chance.gauss(0.0, size)
    for row in range(ROWS):
        t = row / RATE
        rpm = 3000.0 + 300.0 * min(max(t - 2.0, 0.0), 17.0) - 1500.0 * max(t - 19.0, 0.0)
        x = (rpm - 6500.0) / 3500.0
        torque = off * (300.0 - 60.0 * x * x) * (1.0 + noise(0.0025)) if 1.0 < t < 19.0 else 15.0 + noise(0.2)
        speed = rpm + noise(1.0)
        values = [
            f"{t:.2f}", f"{speed:.0f}", f"{torque:.1f}", f"{torque * speed * math.pi / 30e3:.2f}",
            f"{100.0 if 1.0 < t < 19.0 else 3.0:.1f}", f"{97.1 + noise(0.05):.2f}",
            f"{98.7 + noise(0.01):.2f}", f"{46.0 + noise(0.2):.1f}", f"{22.5 + noise(0.1):.1f}",
            f"{160.0 + 0.05 * rpm + noise(1.0):.1f}", f"{91.0 + 0.2 * t:.1f}", f"{84.0 + 0.1 * t:.1f}",
            f"{350.0 + noise(1.0):.1f}", f"{torque * rpm * 3.0e-5:.2f}", f"{torque * rpm * 3.9e-4:.1f}",
            f"{0.88 + noise(0.004):.3f}", f"{0.88 + noise(0.004):.3f}", f"{28.0 + noise(0.1):.1f}",
            f"{13.8 + noise(0.02):.2f}", f"{0.9 + noise(0.05):.2f}", f"{0.009 * rpm + noise(0.1):.1f}",
            f"{2.0 + abs(noise(0.3)):.2f}",
        ]
        values += [f"{760.0 + 5.0 * i + 2.0 * t + noise(1.0):.0f}" for i in range(6)]
        values += [f"{noise(1.0):.4f}", f"{noise(1.0):.4f}"]
        yield ",".join(values)


def write(folder):
    folder.mkdir(parents=True, exist_ok=True)
    if len(list(folder.glob("*.csv"))) == FILES:
        return
    # A hundred pulls are enough to be unlike; the others differ in their first lines only, which
    # keeps writing them from taking longer than reading them.
    bodies = [list(pull(random.Random(seed))) for seed in range(100)]
    for i in range(FILES):
        rows = bodies[i % 100]
        # Nothing may be the same data twice: the torque of every row moves by its pull's number.
        moved = []
        for row in rows:
            cells = row.split(",")
            cells[2] = f"{float(cells[2]) + 0.1 * (i // 100):.1f}"
            moved.append(",".join(cells))
        text = ",".join(HEADINGS) + "\n" + "\n".join(moved) + "\n"
        (folder / f"p{i:04}.csv").write_text(text)


def best(run):
    return min(timed(run) for _ in range(3))


def timed(run):
    begun = time.perf_counter()
    run()
    return time.perf_counter() - begun


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    write(folder)
    files = sorted(folder.glob("*.csv"))
    size = sum(path.stat().st_size for path in files) / 1e6
    ours = best(lambda: subprocess.run([program, "pulls", str(folder), "--quiet"], check=True,
                                       stdout=subprocess.DEVNULL))
    print(f"{'pulls, whole command':<34}{ours:>7.2f} s {size / ours:>7.0f} MB/s of {size:.0f} MB")
    few = [str(path) for path in files[:24]]
    compared = best(lambda: subprocess.run(
        [program, "compare", *few, "--order", 6 * "ABBA", "--quiet"], check=True,
        stdout=subprocess.DEVNULL))
    print(f"{'compare of 24 pulls, whole command':<34}{compared:>7.3f} s (wanted 0.1)")
    try:
        import polars
    except ImportError:
        print("polars: skipped, no package")
        return
    peer = best(lambda: [polars.read_csv(path) for path in files])
    print(f"{'polars ' + polars.__version__ + ', CSV reader alone':<34}{peer:>7.2f} s {size / peer:>7.0f} MB/s")
    print(f"{'polars / ours':<34}{peer / ours:>7.2f}")


main()
