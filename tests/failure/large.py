#!/usr/bin/env python3
"""A house of very many drinks, and how long what is asked of it every day takes.

    tests/failure/large.py [--program target/release/washline] [--drinks N] [--times N] [--keep FOLDER]

Books of 10,000 drinks are made and added until the house holds N (100,000 unless said). Then each question is asked so many
times, of this house and of one with a tenth of its drinks; the middle time of each is printed, with how many times longer the
large house takes. README.md beside this has the last figures. A house that is kept (--keep) is taken up again.
"""

import argparse, pathlib, statistics, subprocess, sys, tempfile, time

PROJECT = pathlib.Path(__file__).resolve().parents[2]
BOOK = 10_000
QUESTIONS = {
    "show one drink": ["show", "Sour 300"],
    "find by what is poured": ["find", "pours rye and strength > 30"],
    "find what no drink is": ["find", "pours gin and strength > 60"],
    "find by a name": ["find", "\"Stirred 301\""],
    "list": ["list"],
    "change one drink, and take it back": ["change", "Sour 300", "--add", "1 dash absinthe", "--keep"],
}
TAKE_BACK = ["undo", "--yes"]


def drink(i):
    a, b = 40 + i % 25, 15 + i % 12
    return [
        f"## Sour {i}\nglass: coupe, 210 ml\n- {a} ml white rum\n- {b} ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- fine strain\n",
        f"## Stirred {i}\nglass: coupe, 180 ml\n- {a} ml rye whiskey\n- {b} ml sweet red vermouth\n- 2 dashes aromatic bitters\n- stir\n- strain\n",
        f"## Long {i}\nglass: highball, 320 ml\n- {a} ml gin\n- {b} ml lemon juice\n- build\n- top 90 ml soda water\n",
    ][i % 3]


def run(program, arguments):
    """What a run took, in seconds; the answer `no drink` (status 1) is an answer too."""
    began = time.monotonic()
    ran = subprocess.run([str(program), *arguments], capture_output=True)
    if ran.returncode not in (0, 1):
        sys.exit(f"{arguments[:2]}: status {ran.returncode}\n{ran.stderr.decode(errors='replace')}")
    return time.monotonic() - began


def house(program, folder, drinks):
    """The path of a house that holds so many drinks, and how long it took to add them; `None` where it was there."""
    path = folder / f"{drinks}.db"
    if path.exists():
        return path, None
    took = 0.0
    for book in range(0, drinks, BOOK):
        text = folder / "book.md"
        some = range(book, min(book + BOOK, drinks))
        text.write_text(f"# List {book}\nounce: 30 ml\n\n" + "\n".join(map(drink, some)))
        took += run(program, ["add", str(text), "--house", str(path)])
        text.unlink()
    return path, took


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--program", default=PROJECT / "target/release/washline", type=pathlib.Path)
    ask.add_argument("--drinks", default=100_000, type=int, help="at least 10,000")
    ask.add_argument("--times", default=5, type=int)
    ask.add_argument("--keep", type=pathlib.Path)
    said = ask.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = said.keep or pathlib.Path(made)
        folder.mkdir(parents=True, exist_ok=True)
        sizes = [max(said.drinks // 10, 1), said.drinks]
        columns = []
        for size in sizes:
            path, took = house(said.program, folder, size)
            column = {"add": took, "megabytes": path.stat().st_size / 1e6}
            for name, arguments in QUESTIONS.items():
                times = []
                for _ in range(said.times):
                    at = ["--house", str(path)]
                    taken = run(said.program, [*arguments, *at])
                    if arguments[0] == "change":
                        taken += run(said.program, [*TAKE_BACK, *at])
                    times.append(taken)
                column[name] = statistics.median(times)
            columns.append(column)
        few, many = columns
        print(f"| | {sizes[0]} drinks | {sizes[1]} drinks | times |\n|---|---|---|---|")
        for name in few:
            if None in (few[name], many[name]):
                continue
            unit = "MB" if name == "megabytes" else "s"
            print(f"| {'the file' if unit == 'MB' else name} | {few[name]:.2f} {unit} | {many[name]:.2f} {unit} | {many[name] / few[name]:.1f} |")


main()
