"""Change a sign, a constant or an operator in calcs, and see whether a test notices.

    python tests/mutation/mutate_calcs.py                 a fresh random sample of 300
    python tests/mutation/mutate_calcs.py --all           every mutant; hours
    python tests/mutation/mutate_calcs.py --seed 7 --count 60 --only formulas/screw

What is changed stands in mutants.py, how the tests run in trials.py. Survivors that no test can notice stand
in survivors.toml with the reason; they count as survivors all the same. Ends with status 1 when fewer than
95 % are killed, or when a listed survivor is there no more.
"""

from __future__ import annotations

import argparse
import multiprocessing
import pickle
import random
import re
import sys
import tempfile
import time
import tomllib
from multiprocessing.queues import SimpleQueue
from pathlib import Path

from mutants import Mutant, mutants_of
from reach import ROOT, Reach
from trials import copy_to, learn, move_to, noticed, try_quickly, warm_up

ENOUGH = 0.95
FORK = multiprocessing.get_context("fork")


def main() -> int:
    """Take a sample of the mutants, try each, and report."""
    parser = argparse.ArgumentParser(description="Mutation check of calcs.")
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--only", default="", help="what a file's name matches: 'formulas|drive'")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument(
        "--reach", type=Path, help="file that keeps which test reaches which line, for a next run"
    )
    wanted = parser.parse_args()
    files = [path.relative_to(ROOT).as_posix() for path in sorted((ROOT / "calcs").rglob("*.py"))]
    every = [mutant for file in files for mutant in mutants_of(ROOT, file)]
    reasons = reasons_of_survivors()
    gone = sorted(reasons.keys() - {(mutant.file, mutant.key) for mutant in every})
    for file, key in gone:
        print(f"survivors.toml names what is not there: {file}  {key}")
    mutants = [mutant for mutant in every if re.search(wanted.only, mutant.file)]
    total = len(mutants)
    if not wanted.all:
        mutants = random.Random(wanted.seed).sample(mutants, min(wanted.count, total))
    print(f"{len(mutants)} of {total} mutants, --seed {wanted.seed}", flush=True)
    start = time.monotonic()
    survived = try_all(mutants, wanted.jobs, reasons, wanted.reach)
    minutes = (time.monotonic() - start) / 60.0
    killed, listed = len(mutants) - len(survived), sum((m.file, m.key) in reasons for m in survived)
    rate = killed / max(len(mutants), 1)
    print(
        f"{killed} of {len(mutants)} killed, {rate:.1%}; {len(survived)} survived, "
        f"{listed} of them listed with a reason; {minutes:.0f} min"
    )
    return 0 if rate >= ENOUGH and not gone else 1


def reasons_of_survivors() -> dict[tuple[str, str], str]:
    """Survivors that no test can notice: (file, change) -> reason."""
    text = Path(__file__).with_name("survivors.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["survivor"]
    return {(row["file"], change): row["reason"] for row in rows for change in row["changes"]}


def try_all(
    mutants: list[Mutant], jobs: int, reasons: dict[tuple[str, str], str], kept: Path | None
) -> list[Mutant]:
    """Try every mutant, some at once, each in a copy of its own; give those that nothing noticed."""
    survived = []
    with tempfile.TemporaryDirectory(prefix="mutants-") as home:
        copies = [copy_to(Path(home) / f"copy{job}") for job in range(jobs)]
        warm_up(copies[0])
        reach = known_or_learnt(kept, copies[0])
        answers: SimpleQueue[tuple[int, bool]] = FORK.SimpleQueue()
        numbered = [*enumerate(mutants)]
        workers = [
            FORK.Process(target=try_some, args=(copy, numbered[job::jobs], reach, answers))
            for job, copy in enumerate(copies)
        ]
        for worker in workers:
            worker.start()
        for _ in mutants:
            number, seen = answers.get()
            if not seen:
                mutant = mutants[number]
                survived.append(mutant)
                word = "listed  " if (mutant.file, mutant.key) in reasons else "survived"
                print(f"\n{word}  {mutant}", flush=True)
            print("." if seen else "", end="", flush=True)
        for worker in workers:
            worker.join()
        print()
    return survived


def known_or_learnt(kept: Path | None, copy: Path) -> Reach:
    """Read which tests reach which line, or learn it; what is a little old only makes survivors slower."""
    if kept is not None and kept.exists():
        known: Reach = pickle.loads(kept.read_bytes())
        return known
    learnt = learn(copy)
    if kept is not None:
        kept.write_bytes(pickle.dumps(learnt))
    return learnt


def try_some(
    folder: Path, mutants: list[tuple[int, Mutant]], reach: Reach, answers: SimpleQueue[tuple[int, bool]]
) -> None:
    """Try mutants in a copy of the project, the quick way first, and answer for each by its number."""
    move_to(folder)
    told = folder / "told.txt"  # the quick way runs in a fork, which can only write
    told.touch()

    def tell(number: int, seen: bool) -> None:
        if seen:
            answers.put((number, True))
        with told.open("a") as file:
            file.write(f"{number} {seen}\n")

    try_quickly([(number, mutant) for number, mutant in mutants if mutant.function], reach, tell)
    tried = dict(line.split() for line in told.read_text().splitlines())
    for number, mutant in mutants:
        if tried.get(str(number)) != "True":
            answers.put((number, noticed(mutant, reach, tried=str(number) in tried)))


if __name__ == "__main__":
    sys.exit(main())
