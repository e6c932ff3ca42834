#!/usr/bin/env python3
"""Kills, errors and power cuts, at system calls: what is on the disk afterwards is the state before or the state after.

    tests/failure/inject.py [--program target/debug/washline] [--points N] [--seed N] [KIND ...]

Kinds: kill (a signal at a call), error (a call that fails), short (calls that write less than they were asked), power
(the writes since the last sync lost in part, torn at sectors, names of files lost). Needs Linux, strace, and gcc for
`short`. How many points of which kind there were, and what became of them, is printed as a table; README.md beside this
has the last one.
"""

import argparse, collections, os, pathlib, random, re, shutil, sqlite3, subprocess, sys, tempfile

PROJECT = pathlib.Path(__file__).resolve().parents[2]
CALLS = "openat,write,pwrite64,ftruncate,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,mkdir,link,linkat"
HALT = """# Halt
ounce: 30 ml

## Owl
- 60 ml dry gin
- 10 ml dry vermouth
- stir
- strain

## Wren
- 60 ml white rum
- 22.5 ml lime juice
- 22.5 ml simple syrup 1:1 by mass
- shake
- strain
"""
MORE = HALT.replace("60 ml dry gin", "50 ml dry gin") + "\n## Tern\n- 60 ml white rum\n- 30 ml lime juice\n- shake\n- strain\n"
OTHER = HALT.replace("# Halt", "# Other").replace("Owl", "Jay")


def run(program, folder, arguments, before=(), environment=None):
    env = {"HOME": str(folder), "PATH": os.environ["PATH"], **(environment or {})}
    return subprocess.run([*before, str(program), *arguments], cwd=folder, env=env, capture_output=True)


def must(program, folder, arguments):
    """Run what a scenario needs; where that fails, nothing that comes after it tells anything."""
    ran = run(program, folder, arguments)
    if ran.returncode != 0:
        sys.exit(f"to prepare: {arguments} ended with {ran.returncode}: {ran.stderr.decode(errors='replace')}")


class Scenario:
    """A command, what it needs, and how its state is looked at."""

    def __init__(self, name, prepare, command, files=(), house="h.db"):
        self.name, self.prepare, self.command, self.files, self.house = name, prepare, command, files, house

    def state(self, program, folder):
        """What a person sees: the list of the house, whether verify calls it in order, the files that were asked for."""
        seen = []
        if (folder / self.house).exists():
            listed = run(program, folder, ["list", "--json", "--house", self.house])
            looked = run(program, folder, ["verify", "--house", self.house])
            bad = listed.returncode != 0 or looked.returncode != 0
            # A house that was begun and has nothing in it is one that is not there.
            if bad and b"never made" in looked.stdout or b"it is empty" in looked.stdout:
                seen.append("no house")
            else:
                names = re.findall(rb'"name": "([^"]*)"|"version": (\d+)', listed.stdout)
                whole = listed.returncode == looked.returncode == 0
                # One that is made and has nothing in it yet is none to a person either.
                seen.append("no house" if whole and not names else (listed.returncode, looked.returncode, tuple(names)))
        else:
            seen.append("no house")
        for name in self.files:
            path = folder / name
            if not path.exists():
                seen.append((name, None))
            elif path.suffix == ".db":
                looked = run(program, folder, ["verify", "--json", "--house", name])
                seen.append((name, looked.returncode, run(program, folder, ["export", "--format", "csv", "--house", name]).stdout))
            else:
                seen.append((name, path.read_bytes()))
        return tuple(seen)


def scenarios(program, old_house):
    def texts(folder):
        (folder / "halt.md").write_text(HALT)
        (folder / "more.md").write_text(MORE)
        (folder / "other.md").write_text(OTHER)

    def house(folder):
        texts(folder)
        must(program, folder, ["add", "halt.md", "--house", "h.db"])

    def two(folder):
        house(folder)
        must(program, folder, ["add", "other.md", "--house", "theirs.db"])

    def exported(folder):
        house(folder)
        must(program, folder, ["export", "--format", "csv", "--out", "list.csv", "--house", "h.db"])
        must(program, folder, ["add", "more.md", "--house", "h.db"])

    def changed(folder):
        house(folder)
        must(program, folder, ["add", "more.md", "--house", "h.db"])

    def older(folder):
        texts(folder)
        shutil.copy(old_house, folder / "h.db")

    at = ["--house", "h.db"]
    return [
        Scenario("creation", texts, ["add", "halt.md", *at]),
        Scenario("add", house, ["add", "other.md", *at]),
        Scenario("re-add", house, ["add", "more.md", *at]),
        Scenario("merge", two, ["merge", "theirs.db", *at]),
        Scenario("backup", house, ["backup", "copy.db", *at], ["copy.db"]),
        Scenario("import", exported, ["import", "list.csv", "--add", *at]),
        Scenario("export", exported, ["export", "--format", "csv", "--out", "list.csv", "--replace", *at], ["list.csv"]),
        Scenario("undo", changed, ["undo", "--yes", *at]),
        Scenario("remove", changed, ["remove", "drink", "Owl", "--yes", *at]),
        Scenario("rename", changed, ["rename", "drink", "Owl", "Heron", *at]),
        Scenario("change", changed, ["change", "Owl", "--add", "1 dash absinthe", "--keep", *at]),
        Scenario("restore", changed, ["restore", "Owl", "--version", "1", *at]),
        Scenario("migration", older, ["settings", "set", "dash", "1 ml", *at]),
    ]


def fresh(scenario, where):
    folder = pathlib.Path(tempfile.mkdtemp(dir=where))
    scenario.prepare(folder)
    return folder


def traced(program, folder, arguments, more=(), log="/dev/null"):
    return run(program, folder, arguments, ["strace", "-f", "-qq", "-o", str(log), *more])


def points(log):
    """Every call of the program on a file of its own, as (name, which of that name)."""
    counts, all = collections.Counter(), []
    for line in pathlib.Path(log).read_text(errors="replace").splitlines():
        call = re.match(r"\d+\s+(\w+)\(", line)
        if not call:
            continue
        counts[call[1]] += 1
        if "/lib/" in line or "/etc/" in line or "/proc/" in line or "(1," in line or "(2," in line:
            continue
        all.append((call[1], counts[call[1]]))
    return all


Table = collections.defaultdict(collections.Counter)


def judge(kind, scenario, program, folder, before, after, said, what, wrong):
    state = scenario.state(program, folder)
    fine = state in (before, after)
    if said == 0 and state != after:
        fine = False
    Table[kind]["points"] += 1
    Table[kind]["after" if state == after else "before" if state == before else "between"] += 1
    Table[kind]["told" if said != 0 else "done"] += 1
    if not fine:
        wrong.append(f"{kind} {scenario.name} {what}: status {said}, {state}")
    if said in (70, 101, 134):
        wrong.append(f"{kind} {scenario.name} {what}: status {said}")
    shutil.rmtree(folder, ignore_errors=True)


def at_calls(kind, program, where, all, most, seed, wrong):
    chooser = random.Random(seed)
    share = max(1, most // len(all))
    for scenario in all:
        folder = fresh(scenario, where)
        before = scenario.state(program, folder)
        # Looking brings results up to date: what is compared starts from there.
        log = folder / "calls"
        done = traced(program, folder, scenario.command, ["-e", f"trace={CALLS}"], log)
        assert done.returncode == 0, (scenario.name, done.stderr)
        calls = points(log)
        after = scenario.state(program, folder)
        if kind == "error":
            errors = {"fsync": ["EIO"], "fdatasync": ["EIO"], "pwrite64": ["EIO", "ENOSPC"], "write": ["ENOSPC"], "ftruncate": ["EIO"],
                      "rename": ["EIO"], "renameat2": ["EIO"], "openat": ["ENOSPC"], "unlink": ["EIO"]}
            chosen = [(c, n, e) for c, n in calls for e in errors.get(c, [])]
        else:
            chosen = [(c, n, s) for c, n in calls for s in ["KILL", "TERM"][: 1 if kind == "kill" else 2]]
        for call, number, how in sorted(chooser.sample(chosen, min(share, len(chosen)))):
            folder = fresh(scenario, where)
            inject = f"inject={call}:" + (f"signal={how}" if kind == "kill" else f"error={how}") + f":when={number}"
            ran = traced(program, folder, scenario.command, ["-e", f"trace={call}", "-e", inject])
            judge(kind, scenario, program, folder, before, after, ran.returncode, f"{call} {number} {how}", wrong)


SHIM = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdlib.h>
#include <sys/types.h>
#include <unistd.h>
static int turn(void) { static int n, every; if (!every) every = atoi(getenv("EVERY")); return ++n % every == 0; }
ssize_t pwrite64(int f, const void *b, size_t n, off64_t o) {
  static ssize_t (*real)(int, const void *, size_t, off64_t); if (!real) real = dlsym(RTLD_NEXT, "pwrite64");
  return real(f, b, n > 1 && turn() ? n / 2 : n, o); }
ssize_t pwrite(int f, const void *b, size_t n, off_t o) { return pwrite64(f, b, n, o); }
ssize_t write(int f, const void *b, size_t n) {
  static ssize_t (*real)(int, const void *, size_t); if (!real) real = dlsym(RTLD_NEXT, "write");
  return real(f, b, n > 1 && turn() ? n / 2 : n); }
"""


def short(program, where, all, most, wrong):
    source, shim = where / "shim.c", where / "shim.so"
    source.write_text(SHIM)
    subprocess.run(["gcc", "-shared", "-fPIC", "-O1", "-o", shim, source, "-ldl"], check=True)
    for scenario in all:
        folder = fresh(scenario, where)
        before = scenario.state(program, folder)
        assert run(program, folder, scenario.command).returncode == 0
        after = scenario.state(program, folder)
        for every in range(1, max(2, most // len(all)) + 1):
            folder = fresh(scenario, where)
            ran = run(program, folder, scenario.command, environment={"LD_PRELOAD": str(shim), "EVERY": str(every)})
            judge("short", scenario, program, folder, before, after, ran.returncode, f"every {every}", wrong)


ESCAPE = re.compile(rb"\\x([0-9a-f]{2})")


def operations(log, folder):
    """What the program did to files of the folder, in order: (what, path, ...)."""
    root, all = str(folder.resolve()) + "/", []
    plain = lambda text: ESCAPE.sub(lambda m: bytes([int(m[1], 16)]), text)
    for line in log.read_bytes().split(b"\n"):
        call = re.match(rb"\d+\s+(\w+)\((.*)\)\s+=\s+(-?\d+)", line)
        if not call or call[3].startswith(b"-"):
            continue
        name, rest, result = call[1].decode(), call[2], int(call[3])
        fd = re.match(rb"\d+<([^>]*)>", rest)
        path = plain(fd[1]).decode() if fd else None
        if path and path.startswith(root):
            path = path[len(root):].removesuffix("(deleted)")
        elif path:
            path = None
        data = re.search(rb'"((?:\\x[0-9a-f]{2})*)"', rest)
        if name in ("pwrite64", "write") and path and data:
            at = int(re.search(rb", (\d+)$", rest)[1]) if name == "pwrite64" else None
            all.append(("write", path, at, plain(data[1])[:result]))
        elif name in ("fsync", "fdatasync") and fd:
            whole = plain(fd[1]).decode()
            all.append(("sync folder", ) if whole == root[:-1] else ("sync", path))
        elif name == "ftruncate" and path:
            all.append(("truncate", path, int(re.search(rb", (\d+)$", rest)[1])))
        elif name == "openat" and b"O_CREAT" in rest:
            where = plain(re.search(rb'"((?:\\x[0-9a-f]{2})*)"', rest)[1]).decode()
            where = where.removeprefix(root).removeprefix("./")
            if not where.startswith("/"):
                all.append(("create", where))
        elif name.startswith("rename"):
            names = [plain(n).decode().removeprefix(root).removeprefix("./") for n in re.findall(rb'"((?:\\x[0-9a-f]{2})*)"', rest)]
            if len(names) == 2:
                all.append(("rename", *names))
        elif name.startswith("unlink"):
            where = plain(re.search(rb'"((?:\\x[0-9a-f]{2})*)"', rest)[1]).decode().removeprefix(root).removeprefix("./")
            if not where.startswith("/"):
                all.append(("unlink", where))
    return all


def disk_after(start, all, chooser):
    """The files of a disk that lost its power: what was synced, and any part of what was not."""
    names = {p.name: p.name for p in start.iterdir() if p.is_file()}
    bodies = {p.name: bytearray(p.read_bytes()) for p in start.iterdir() if p.is_file()}
    pending, unsure, counter, ends = collections.defaultdict(list), [], 0, {}

    def apply(body, change):
        kind, at, data = change
        if kind == "truncate":
            del body[at:]
            body.extend(bytes(max(0, at - len(body))))
        else:
            body.extend(bytes(max(0, at - len(body))))
            body[at:at + len(data)] = data

    durable = dict(names)
    for operation in all:
        what = operation[0]
        if what == "create":
            if operation[1] not in names:
                counter += 1
                names[operation[1]] = f"#{counter}"
                bodies[f"#{counter}"] = bytearray()
                unsure.append(("create", operation[1], f"#{counter}"))
        elif what in ("write", "truncate") and operation[1] in names:
            body = names[operation[1]]
            if what == "write":
                at = operation[2] if operation[2] is not None else ends.get(body, 0)
                ends[body] = at + len(operation[3])
                pending[body].append(("write", at, operation[3]))
            else:
                pending[body].append(("truncate", operation[2], b""))
        elif what == "sync" and operation[1] in names:
            body = names[operation[1]]
            for change in pending.pop(body, []):
                apply(bodies[body], change)
            # A file that was synced has its name on the disk, as ext4, xfs and btrfs keep it.
            for change in [c for c in unsure if c[0] == "create" and c[2] == body]:
                durable[change[1]] = body
                unsure.remove(change)
        elif what == "sync folder":
            durable, unsure = dict(names), []
        elif what == "rename" and operation[1] in names:
            body = names.pop(operation[1])
            names[operation[2]] = body
            unsure.append(("rename", operation[1], operation[2], body))
        elif what == "unlink" and operation[1] in names:
            names.pop(operation[1])
            unsure.append(("unlink", operation[1]))
    # Names that were changed since the folder was synced: a beginning of the changes is kept, as a journal keeps it.
    for change in unsure[: chooser.randint(0, len(unsure))]:
        if change[0] == "create":
            durable[change[1]] = change[2]
        elif change[0] == "rename":
            durable.pop(change[1], None)
            durable[change[2]] = change[3]
        else:
            durable.pop(change[1], None)
    for body, changes in pending.items():
        for change in changes:
            kind, at, data = change
            if kind == "truncate":
                if chooser.random() < 0.5:
                    apply(bodies[body], change)
                continue
            # Sector by sector: written, not written.
            for sector in range(at // 512, (at + len(data) + 511) // 512):
                begin, end = max(at, sector * 512), min(at + len(data), (sector + 1) * 512)
                if chooser.random() < 0.5:
                    apply(bodies[body], ("write", begin, data[begin - at:end - at]))
    return {name: bytes(bodies[body]) for name, body in durable.items()}


def power(program, where, all, most, seed, wrong):
    chooser = random.Random(seed)
    share = max(1, most // len(all))
    for scenario in all:
        start = fresh(scenario, where)
        kept = where / f"start-{scenario.name}"
        shutil.copytree(start, kept)
        before = scenario.state(program, start)
        shutil.rmtree(start)
        shutil.copytree(kept, start)
        log = where / "power.log"
        done = traced(program, start, scenario.command, ["-y", "-xx", "-s", "100000000", "-e", f"trace={CALLS}"], log)
        assert done.returncode == 0, (scenario.name, done.stderr)
        did = operations(log, start)
        after = scenario.state(program, start)
        for n in range(share):
            cut = len(did) if n % 8 == 0 else chooser.randint(0, len(did))
            folder = pathlib.Path(tempfile.mkdtemp(dir=where))
            for name, body in disk_after(kept, did[:cut], chooser).items():
                if not name.endswith("-shm"):
                    (folder / name).write_bytes(body)
            # The command was told to be done only where all of it was.
            said = 0 if cut == len(did) else -9
            judge("power", scenario, program, folder, before, after, said, f"after {cut} of {len(did)}", wrong)


def older_house(path):
    """A house as the third schema had it."""
    db = sqlite3.connect(path)
    for step in sorted((PROJECT / "migrations").glob("00[123]_*.sql")):
        db.executescript(step.read_text())
    db.execute("PRAGMA user_version = 3")
    db.execute("INSERT INTO book (id, title, title_key, file, opening_text, settings_json) VALUES (1, 'Halt', 'halt', 'halt.md', '# Halt', '{}')")
    for place, section in enumerate(HALT.split("\n## ")[1:]):
        name = section.splitlines()[0]
        text = "## " + section.strip()
        db.execute("INSERT INTO drink (book_id, name, name_key, position, line) VALUES (1, ?, ?, ?, ?)", (name, name.lower(), place, 4 + 7 * place))
        db.execute("INSERT INTO spec_version (drink_id, version, spec_text, written_text) VALUES (?, 1, ?, ?)", (place + 1, text, text))
    db.commit()
    db.close()


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--program", default=str(PROJECT / "target/debug/washline"))
    parser.add_argument("--points", type=int, default=320)
    parser.add_argument("--seed", type=int, default=19)
    parser.add_argument("--only", default="", help="scenarios, comma between them")
    parser.add_argument("kinds", nargs="*", default=["kill", "error", "short", "power"])
    asked = parser.parse_args()
    where = pathlib.Path(tempfile.mkdtemp(prefix="failure-"))
    program = shutil.copy(asked.program, where / "washline")
    old_house = where / "old.db"
    older_house(old_house)
    wrong = []
    all = [s for s in scenarios(program, old_house) if not asked.only or s.name in asked.only.split(",")]
    for kind in asked.kinds:
        if kind in ("kill", "error"):
            at_calls(kind, program, where, all, asked.points, asked.seed, wrong)
        elif kind == "short":
            short(program, where, all, asked.points // 4, wrong)
        else:
            power(program, where, all, asked.points, asked.seed, wrong)
        row = Table[kind]
        print(f"{kind:6} points {row['points']:4}  before {row['before']:4}  after {row['after']:4}  neither {row['between']:3}", flush=True)
    for line in wrong[:40]:
        print("WRONG", line[:600])
    shutil.rmtree(where, ignore_errors=True)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
