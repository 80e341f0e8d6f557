"""Open data as study folders: each study.yaml here gets its CSV from an installed package.

The numbers are the package's, verbatim; only columns are named, turned from wide to long, or
(firms, which are companies) given numbers in place of names.  Nothing of the packages is copied
into the repository: the CSV is written where it is needed.

python tests/reference/open/make.py INTO      writes every study to INTO/studies/
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pandas as pd

HERE = Path(__file__).parent


def breathing() -> pd.DataFrame:
    """Bland & Altman 1995, BMJ 310:446: 47 readings on 8 patients; pingouin's rm_corr.csv."""
    import pingouin

    return pingouin.read_dataset("rm_corr")


def employees() -> pd.DataFrame:
    """10 employees before and after a training, three areas each; pingouin's rm_anova2.csv.

    Before is month 0 and after month 1, since a checkpoint is a number.
    """
    import pingouin

    data = pingouin.read_dataset("rm_anova2")
    return data.assign(Time=data["Time"].map({"Pre": 0, "Post": 1}))


def investing() -> pd.DataFrame:
    """Grunfeld 1958: 10 firms over 20 years.

    statsmodels carries an eleventh, which the published analyses leave out.
    """
    from statsmodels.datasets import grunfeld

    data = grunfeld.load_pandas().data
    data = data[data["firm"] != "American Steel"]
    number = {name: f"Firm {i}" for i, name in enumerate(data["firm"].unique(), start=1)}
    return data.assign(firm=data["firm"].map(number), year=data["year"].astype(int))


def smoking() -> pd.DataFrame:
    """Liu 1992, Int. J. Epidemiol. 21:197: eight cities; statsmodels' china_smoking, long."""
    from statsmodels.datasets import china_smoking

    rows = []
    for row in china_smoking.load_pandas().raw_data.itertuples(index=False):
        city, yes_ill, yes_well, no_ill, no_well = row
        rows.append((city, "smokers", yes_ill, yes_ill + yes_well))
        rows.append((city, "non-smokers", no_ill, no_ill + no_well))
    return pd.DataFrame(rows, columns=["city", "who", "with_cancer", "asked"])


def silver() -> pd.DataFrame:
    """Powell et al. 1982: 48 readings by 2 instruments; NIST's AtmWtAg as scipy ships it."""
    text = files("scipy.stats.tests.data.nist_anova").joinpath("AtmWtAg.dat").read_text("ascii")
    rows = [line.split() for line in text.splitlines()[60:]]
    data = pd.DataFrame(rows, columns=["instrument", "weight"])
    data["instrument"] = "no " + data["instrument"]
    data.insert(0, "reading", [f"R{i}" for i in range(1, len(data) + 1)])
    return data


def waists() -> pd.DataFrame:
    """Linnerud's 20 men in a fitness club, three measures and three exercises; scikit-learn's."""
    folder = files("sklearn.datasets.data")
    parts = [
        pd.read_csv(str(folder.joinpath(f"linnerud_{part}.csv")), sep=" ")
        for part in ("physiological", "exercise")
    ]
    data = pd.concat(parts, axis=1)
    data.insert(0, "man", [f"M{i}" for i in range(1, len(data) + 1)])
    return data


def river() -> pd.DataFrame:
    """Cobb 1978, Biometrika 65:243: the Nile at Aswan over 100 years; statsmodels' nile."""
    from statsmodels.datasets import nile

    data = nile.load_pandas().data.astype(int)
    data.insert(0, "river", "Nile")
    return data


STUDIES: dict[str, Callable[[], pd.DataFrame]] = {
    "breathing": breathing,
    "employees": employees,
    "investing": investing,
    "smoking": smoking,
    "silver": silver,
    "waists": waists,
    "river": river,
}


def make(name: str, workspace: Path) -> Path:
    """Writes a study to ``workspace/studies/name`` and returns its folder."""
    folder = workspace / "studies" / name
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(HERE / name / "study.yaml", folder)
    STUDIES[name]().to_csv(folder / "data.csv", index=False)
    return folder


if __name__ == "__main__":
    for study in STUDIES:
        print(make(study, Path(sys.argv[1])))
