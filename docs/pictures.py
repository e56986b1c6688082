"""Make the pictures of the README from the demonstration case: `python docs/pictures.py`."""

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import matplotlib.pyplot as plt
import numpy as np
import pypdfium2
from matplotlib.colors import LinearSegmentedColormap

from crena.app import healing_job, planning_job
from crena.app.demonstration import write_demonstration, write_operated
from crena.draw import Paper
from crena.geometry.frames import skin_frame, to_lps_mm
from crena.imaging import read_series

PICTURES = Path(__file__).parent / "pictures"
TODAY = date(2026, 11, 25)
DYE, INK, PAPER = "#0b5a91", "#21262b", "#ffffff"
SCALE = 1.5
BOX_MM = (-60.0, 60.0, -50.0, 35.0)
"""Part of the slice that is shown: x to the patient's right, z out of the body."""


def main() -> None:
    """Plan the demonstration case in a temporary folder and draw it."""
    PICTURES.mkdir(exist_ok=True)
    with TemporaryDirectory() as name:
        folder = Path(name)
        case_file = write_demonstration(folder, TODAY, _silent)
        order = planning_job.Order(
            case_file=case_file,
            mri_folder=folder / "mri",
            out_folder=folder / "plan",
            paper=Paper.A4,
            choice=None,
        )
        plan_set = planning_job.run(order, TODAY, _silent)
        _page(folder / "plan" / "plan.pdf", 0, "plan-sheet.png")
        _page(folder / "plan" / "plan.pdf", 1, "plan-detail.png")
        _page(folder / "plan" / "plan.pdf", 2, "skin.png")
        _page(folder / "plan" / "template.pdf", 0, "template.png")
        _healing(case_file, folder)
        _slice(planning_job.read_case(case_file), read_series(folder / "mri"), plan_set)


def _healing(case_file: Path, folder: Path) -> None:
    plans = folder / "plan" / "plan.json"
    order = healing_job.HealingOrder(
        case_file=write_operated(case_file, plans, TODAY),
        plan_file=plans,
        out_folder=folder / "healing",
        paper=Paper.A4,
    )
    healing_job.heal(order, TODAY)
    _page(folder / "healing" / "ward-card.pdf", 0, "ward-card.png")
    _page(folder / "healing" / "patient-en.pdf", 0, "patient-sheet.png")


def _page(pdf: Path, number: int, name: str) -> None:
    page = pypdfium2.PdfDocument(pdf)[number]
    page.render(scale=SCALE).to_pil().convert("P", palette=1, colors=64).save(PICTURES / name)


def _slice(case, volume, plan_set) -> None:
    """Draw the scan across the long tract's cavity: grey tissue on paper, air is paper."""
    clicks = case.clicks
    frame = skin_frame(
        clicks.coccyx_tip_lps_mm,
        clicks.sacral_crest_lps_mm,
        clicks.anal_verge_lps_mm,
        clicks.midline_bone_lps_mm,
    )
    level = plan_set.tract_map.cavities[0].centre_mm[1]
    x, z = np.meshgrid(np.arange(BOX_MM[0], BOX_MM[1], 0.4), np.arange(BOX_MM[2], BOX_MM[3], 0.4))
    grid = np.column_stack([x.ravel(), np.full(x.size, level), z.ravel()])
    signal = _sampled(volume, to_lps_mm(frame, grid)).reshape(x.shape)
    grey = LinearSegmentedColormap.from_list("paper", [PAPER, "#c9c9c4", "#6f706d", INK])
    figure, axes = plt.subplots(figsize=(6, 4.3))
    axes.imshow(signal, extent=BOX_MM, origin="lower", cmap=grey, vmin=40, vmax=700)
    axes.axvline(0, color=INK, lw=0.8, ls=(0, (8, 3, 1, 3)))
    for tract in plan_set.tract_map.tracts:
        line = np.array(tract.centre_mm)
        axes.plot(line[:, 0], line[:, 2], color=DYE, lw=2.4)
        end = line[-1, [0, 2]]
        axes.annotate(
            tract.name,
            end,
            (end[0] + np.sign(end[0]) * 16, end[1] - 6),
            color=DYE,
            weight="bold",
            arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.6},
        )
    axes.text(-58, -48, "patient's left")
    axes.text(58, -48, "patient's right", ha="right")
    axes.set_title(f"Scan {level:.0f} mm above the coccyx tip, both tracts laid over it", size=9)
    axes.set_xlabel("mm from the midline")
    axes.spines[:].set_visible(False)
    figure.savefig(PICTURES / "scan.png", dpi=110, bbox_inches="tight")


def _sampled(volume, points_lps):
    index = (np.column_stack([points_lps, np.ones(len(points_lps))])) @ np.linalg.inv(
        volume.affine
    ).T
    i, j, k = np.round(index[:, :3]).astype(int).T
    shape = volume.voxels.shape
    inside = (k >= 0) & (k < shape[0]) & (j >= 0) & (j < shape[1]) & (i >= 0) & (i < shape[2])
    signal = np.zeros(len(points_lps))
    signal[inside] = volume.voxels[k[inside], j[inside], i[inside]]
    return signal


def _silent(step: str, share: float) -> None:
    """Say nothing."""


if __name__ == "__main__":
    main()
