"""What a report costs beside its figures alone, in one run: the demo's first visit.

The bare figures are the drawing of runs, comparison, cover and summary picture by matplotlib,
from what is worked out already. The report is everything: opening the notebook, working it
out, the page with its plan, strips and photos, and the picture. Each side runs as a process of
its own, as a surveyor would start it, in turns; processor time counts. Target: at most twice
the bare figures. Within one process, where matplotlib is loaded already, the shares are told
too.
"""

from __future__ import annotations

import pickle
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from surveyapp.demo.write import write_demo
from surveyapp.exchange.privacy import NOTHING
from surveyapp.model import Survey
from surveyapp.report.account import Account
from surveyapp.report.page import drawn_figures
from surveyapp.report.picture import summary_picture
from surveyapp.report.plan import lay_out
from surveyapp.store.notebook import Notebook
from surveyapp.ui.telling import account_from, write_report

ROUNDS = 5
TARGET = 2.0
SIDE = "from tests.benchmarks.report_speed import {0}; {0}({1!r})"


def work_out(notebook: str) -> Account:
    """The account of the first visit, from the file."""
    with Notebook.open(notebook) as opened:
        return account_from(opened, opened.all(Survey)[0], NOTHING)


def whole_report(notebook: str) -> None:
    """The whole report, from file to files beside it."""
    path = Path(notebook)
    account = work_out(notebook)
    write_report(account, path.with_name("page.html"), path.with_name("picture.png"))


def bare_figures(kept: str) -> None:
    """The figures alone, of an account kept in a file."""
    with Path(kept).open("rb") as opened:
        draw(pickle.load(opened))


def draw(account: Account) -> None:
    """All that matplotlib draws for a report and its picture."""
    drawn_figures(account, lay_out(account.record))
    summary_picture(account)


def apart_s(side: str, argument: str) -> float:
    """Processor seconds of a process of its own."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", SIDE.format(side, argument)], check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def within_s(work: Callable[[], object]) -> float:
    """Processor seconds within this process."""
    start = time.process_time()
    work()
    return time.process_time() - start


def measured(rounds: int = ROUNDS) -> tuple[float, float, float, float]:
    """Processor seconds: bare figures, whole report; then drawing and working out, loaded."""
    with tempfile.TemporaryDirectory() as folder:
        notebook = str(write_demo(Path(folder) / "demo").notebook_path)
        account = work_out(notebook)
        kept = Path(folder) / "account"
        kept.write_bytes(pickle.dumps(account))
        figures, whole = [], []
        for _ in range(rounds):
            figures.append(apart_s("bare_figures", str(kept)))
            whole.append(apart_s("whole_report", notebook))
        draw(account)  # fonts are found and modules loaded once, for either side
        drawing = median(within_s(lambda: draw(account)) for _ in range(rounds))
        working = median(within_s(lambda: work_out(notebook)) for _ in range(rounds))
    return median(figures), median(whole), drawing, working


def main() -> None:
    """Print the table."""
    figures, whole, drawing, working = measured()
    ratio = whole / figures
    print(f"bare figures, a process    {figures:6.2f} s")
    print(f"whole report, a process    {whole:6.2f} s   {ratio:4.1f} times, target {TARGET}")
    print(f"drawing alone, loaded      {drawing:6.2f} s")
    print(f"working out alone, loaded  {working:6.2f} s")


if __name__ == "__main__":
    main()
