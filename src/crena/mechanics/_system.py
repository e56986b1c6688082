"""The sheet of one skin, ready for the compiled sums."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._kernels import assemble, node_forces
from crena.mechanics._pattern import SPARE
from crena.mechanics.material import Skin, law_numbers
from crena.mechanics.prepared import Prepared

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class System:
    """One skin on one prepared sheet; force and stiffness are written anew at each place."""

    prepared: Prepared
    body: tuple[Any, ...]  #: triangles, gradients per stress-free mm, stress-free volumes
    held: tuple[Floats, Floats]  #: (n,) N/mm, the fascia's hold; (n, 2) where it holds, mm
    law: Floats  #: (8,)
    force: Floats  #: (2 f + 2,) N
    stiffness: Floats  #: N/mm

    @property
    def is_held(self) -> bool:
        """Say whether something keeps the sheet from turning: the fascia, or two fixed places."""
        fixed = ~self.prepared.ties.free
        return bool(self.held[0].any()) or int(fixed.sum()) >= 2

    def fill(self, places: Floats) -> float:
        """Write force and stiffness at places; return the energy, N mm."""
        return _fill(self, places, 0)

    def fill_convex(self, places: Floats) -> float:
        """Write force and the positive-definite stiffness at places; return the energy."""
        return _fill(self, places, 1)

    def out_of_balance_n(self) -> float:
        """Return the largest force on an unknown."""
        return float(np.abs(self.force[:-SPARE]).max(initial=0.0))

    def open_forces_n(self, places: Floats) -> Floats:
        """Return the force at every node of the open mesh (n, 2); joined ones cancel."""
        return np.asarray(node_forces(places, self.body, self.held, self.law))

    def forces_at_work_n(self, places: Floats) -> float:
        """Return the order of the forces in the sheet, which a balance is measured by.

        The mean force on an open node, plus what shears a triangle by its own size, so that
        a sheet at rest has a measure too.
        """
        forces = self.open_forces_n(places)
        size_mm = float(np.sqrt(self.prepared.areas_mm2.mean()))
        thickness_mm = float(self.body[2].sum() / self.prepared.areas_mm2.sum())
        return float(np.abs(forces).mean() + self.law[0] * thickness_mm * size_mm)

    def energy_at_work_n_mm(self) -> float:
        """Return the order of the terms that the energy is summed from, also of a sheet at rest."""
        return float(self.law[0] * self.body[2].sum())


def system_of(prepared: Prepared, skin: Skin, stretch: Floats) -> System:
    """Put a skin, prestretched by (2, 2), on a prepared sheet."""
    pattern = prepared.pattern
    volumes = skin.thickness_mm * prepared.areas_mm2 / np.linalg.det(stretch)
    return System(
        prepared=prepared,
        body=(prepared.triangles, prepared.gradients @ stretch, volumes),
        held=(skin.foundation_n_per_mm3 * prepared.held_mm2, prepared.nodes_mm),
        law=law_numbers(skin),
        force=np.zeros(pattern.size + SPARE),
        stiffness=np.zeros(pattern.pointers[-1] + SPARE),
    )


def admitted(start: Floats, prepared: Prepared) -> Floats | None:
    """Return a start with its seams closed to the last bit; None if it is no set of places."""
    places = np.array(start, dtype=np.float64)
    if places.shape != prepared.sheet.nodes_mm.shape or not np.isfinite(places).all():
        return None
    return places[prepared.ties.first][prepared.ties.joined]


def _fill(system: System, places: Floats, convex: int) -> float:
    pattern = system.prepared.pattern
    into = (pattern.element_dofs, pattern.slots, pattern.node_dofs, pattern.diagonal,
            system.force, system.stiffness)  # fmt: skip
    return float(assemble(places, system.body, system.held, system.law, convex, into))
