"""A house in a notebook: read it with Python's own sqlite3, plot it with matplotlib.

    python3 notebook.py HOUSE.db              prints the drinks as a table
    python3 notebook.py HOUSE.db FIGURE.png   and plots sweetness against tartness

The house is one SQLite file. Its views (drink_balance, flagged, pours, ingredient_values, price_list, tastings …) are
made for readers; nothing here needs the program. Results are as current as the last command that read the house:
`washline verify` says so. In a notebook, call `drinks()` and `plot()` from two cells.
"""

import sqlite3
import sys
from pathlib import Path

QUERY = """
    SELECT drink, book, structure, volume_ml, abv_pct, sugar_g_per_100ml, acid_g_per_100ml
    FROM drink_balance
    WHERE structure IS NOT NULL
    ORDER BY structure, abv_pct DESC
"""


def drinks(house):
    """Every drink of the house that has a method, as rows with names. The file is opened to be read only."""
    path = Path(house).resolve()
    if not path.is_file():
        raise SystemExit(f"{house} is no file")
    connection = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)
    connection.row_factory = sqlite3.Row
    try:
        return connection.execute(QUERY).fetchall()
    finally:
        connection.close()


def table(rows):
    """The rows as lines, figures under each other."""
    width = max((len(row["drink"]) for row in rows), default=5)
    lines = [f"{'drink':{width}}  {'structure':22}  {'ml':>5}  {'% vol':>5}  {'sugar':>5}  {'acid':>5}"]
    for row in rows:
        lines.append(
            f"{row['drink']:{width}}  {row['structure']:22}  {row['volume_ml']:5.0f}  {row['abv_pct']:5.1f}"
            f"  {row['sugar_g_per_100ml']:5.1f}  {row['acid_g_per_100ml']:5.2f}"
        )
    return "\n".join(lines)


def plot(rows, figure):
    """Sweetness against tartness, a mark for each structure: shapes, so that it reads in grey."""
    try:
        import matplotlib
    except ModuleNotFoundError:
        raise SystemExit("plotting needs matplotlib: python3 -m pip install matplotlib")
    matplotlib.use("Agg")
    from matplotlib import pyplot

    structures = sorted({row["structure"] for row in rows})
    picture, axes = pyplot.subplots(figsize=(9, 6), layout="constrained")
    for structure, mark in zip(structures, "osD^vP*X<>pd+x|"):
        chosen = [row for row in rows if row["structure"] == structure]
        axes.scatter(
            [row["sugar_g_per_100ml"] for row in chosen],
            [row["acid_g_per_100ml"] for row in chosen],
            marker=mark,
            label=f"{structure} ({len(chosen)})",
        )
    axes.set_xlabel("sugar, g/100 ml")
    axes.set_ylabel("acid as citric, g/100 ml")
    axes.set_title("What is in the glass")
    picture.legend(loc="outside right upper", fontsize="small")
    picture.savefig(figure)
    pyplot.close(picture)


def main(arguments):
    if len(arguments) not in (1, 2):
        raise SystemExit(__doc__)
    rows = drinks(arguments[0])
    print(table(rows))
    if len(arguments) == 2:
        plot(rows, arguments[1])
        print(f"plotted: {arguments[1]}")


if __name__ == "__main__":
    main(sys.argv[1:])
