"""Bright places that are joined to nothing, and what the series could show."""

from functools import cache

import numpy as np
import pytest

from crena.imaging.phantom import Phantom, PhantomRecipe, TractLook, render
from crena.records.scans import Volume
from crena.sinus.spots import smallest_branch_mm, unconnected_spots
from crena.sinus.trace import Polarity, TracedCavity, TracedTract


@cache
def phantom(look: TractLook) -> Phantom:
    return render(
        PhantomRecipe(look=look, rows=128, columns=128, slices=22, centre_mm=(-6.0, 30.0, -9.0))
    )


def tract(line: np.ndarray, radius: np.ndarray) -> TracedTract:
    return TracedTract(
        name="A",
        centre_lps_mm=line,
        radius_mm=radius,
        polarity=Polarity.BRIGHT,
        sd_mm=0.3,
        end_sd_mm=1.5,
        length_mm=1.0,
        length_sd_mm=2.0,
        cost=0.4,
    )


def true_disease(seen: Phantom) -> tuple[list[TracedTract], list[TracedCavity]]:
    tracts = [tract(t.centre_lps_mm, t.outer_radius_mm) for t in seen.tracts]
    cavity = TracedCavity(
        name="C1",
        centre_lps_mm=np.array(seen.cavity.centre_lps_mm),
        half_axes_lps_mm=np.array(seen.cavity.half_axes_lps_mm),
        sd_mm=0.5,
    )
    return tracts, [cavity]


def ball_volume(gap_mm: float, *, joined: bool) -> tuple[Volume, TracedTract]:
    """A straight tract of 2 mm radius along S, and a ball of 2.5 mm beside it."""
    shape = (30, 60, 70)
    affine = np.diag([0.7, 0.8, 1.5, 1.0])
    affine[:3, 3] = -affine[:3, :3] @ ((np.array(shape[::-1]) - 1) / 2)
    left, post, sup = np.moveaxis(
        np.indices(shape)[::-1].transpose(1, 2, 3, 0) @ affine[:3, :3].T + affine[:3, 3], -1, 0
    )
    bright = (np.hypot(left, post) < 2.0) & (np.abs(sup) < 12.0)
    bright |= (left - 4.5 - gap_mm) ** 2 + post**2 + (sup - 3.0) ** 2 < 2.5**2
    bright |= (
        joined
        & (np.abs(post) < 1.2)
        & (np.abs(sup - 3.0) < 1.6)
        & (left > 0)
        & (left < 4.5 + gap_mm)
    )
    noise = np.random.default_rng(2).normal(0.0, 25.0, shape)
    volume = Volume(
        voxels=(150.0 + 600.0 * bright + noise).astype(np.float32),
        affine=affine,
        slice_thickness_mm=1.5,
        frame_of_reference_uid="1",
        series_uid="2",
        prone=True,
    )
    line = np.stack([np.zeros(49), np.zeros(49), np.linspace(-12.0, 12.0, 49)], axis=1)
    return volume, tract(line, np.full(49, 2.0))


@pytest.mark.parametrize("look", list(TractLook))
def test_exactly_the_planted_spot_is_found(look: TractLook) -> None:
    seen = phantom(look)
    (spot,) = unconnected_spots(seen.volume, *true_disease(seen))
    assert np.linalg.norm(np.subtract(spot.centre_lps_mm, seen.spot.centre_lps_mm)) < 0.8
    assert spot.radius_mm == pytest.approx(seen.spot.radius_mm, abs=1.0)


def test_a_lone_ball_has_its_place_radius_and_gap() -> None:
    volume, line = ball_volume(5.0, joined=False)
    (spot,) = unconnected_spots(volume, [line])
    assert spot.centre_lps_mm == pytest.approx((9.5, 0.0, 3.0), abs=0.3)
    assert spot.radius_mm == pytest.approx(2.5, abs=0.3)
    assert spot.gap_mm == pytest.approx(5.0, abs=0.7)


def test_a_ball_that_is_joined_to_the_tract_is_no_spot() -> None:
    volume, line = ball_volume(5.0, joined=True)
    assert unconnected_spots(volume, [line]) == ()


def test_a_ball_farther_than_asked_is_no_spot() -> None:
    volume, line = ball_volume(5.0, joined=False)
    assert unconnected_spots(volume, [line], within_mm=3.5) == ()


def test_noise_alone_makes_no_spot() -> None:
    volume, line = ball_volume(500.0, joined=False)
    assert unconnected_spots(volume, [line]) == ()


@pytest.mark.parametrize(("thickness_mm", "wanted_mm"), [(4.0, 8.0), (3.0, 7.0)])
def test_a_gap_between_slices_hides_branches_too(thickness_mm: float, wanted_mm: float) -> None:
    volume = Volume(
        voxels=np.zeros((3, 4, 5)),
        affine=np.diag([0.5, 0.6, -3.5, 1.0]),
        slice_thickness_mm=thickness_mm,
        frame_of_reference_uid="1",
        series_uid="2",
        prone=True,
    )
    assert smallest_branch_mm(volume) == wanted_mm
