"""The sheet of one skin, ready for the compiled sums."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._kernels import assemble, node_forces, sheet_energy
from crena.mechanics._pattern import SPARE
from crena.mechanics.material import Skin, law_numbers
from crena.mechanics.prepared import Prepared

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class System:
    """One skin on one prepared sheet; force and stiffness are written anew at each place."""

    prepared: Prepared
    body: tuple[Any, ...]  #: triangles, gradients per stress-free mm, stress-free volumes
    law: Floats  #: (8,)
    hold: Floats  #: (n,) N/mm, the fascia's hold of each node
    hold_of_dof: Floats  #: (2 f,) the same for each unknown
    force: Floats  #: (2 f + 2,) N
    stiffness: Floats  #: N/mm

    def energy(self, places: Floats) -> float:
        """Return the energy at places (n, 2), N mm."""
        off = places - self.prepared.sheet.nodes_mm
        held = 0.5 * float((self.hold * (off**2).sum(axis=1)).sum())
        return float(sheet_energy(places, self.body, self.law)) + held

    def fill(self, places: Floats) -> float:
        """Write force and stiffness at places; return the energy, N mm."""
        return _fill(self, places, 0)

    def fill_convex(self, places: Floats) -> float:
        """Write force and the positive-definite stiffness at places; return the energy."""
        return _fill(self, places, 1)

    def out_of_balance_n(self) -> float:
        """Return the largest force on an unknown."""
        return float(np.abs(self.force[:-SPARE]).max(initial=0.0))

    def forces_at_work_n(self, places: Floats) -> float:
        """Return the order of the forces in the sheet, which a balance is measured by.

        The mean force on an open node, plus what shears a triangle by its own size, so that
        a sheet at rest has a measure too.
        """
        forces = node_forces(places, self.body, self.law)
        size_mm = float(np.sqrt(self.prepared.areas_mm2.mean()))
        thickness_mm = float(self.body[2].sum() / self.prepared.areas_mm2.sum())
        return float(np.abs(forces).mean() + self.law[0] * thickness_mm * size_mm)


def system_of(prepared: Prepared, skin: Skin, stretch: Floats) -> System:
    """Put a skin, prestretched by (2, 2), on a prepared sheet."""
    pattern = prepared.pattern
    volumes = skin.thickness_mm * prepared.areas_mm2 / np.linalg.det(stretch)
    body = (prepared.triangles, prepared.gradients @ stretch, volumes)
    hold = skin.foundation_n_per_mm3 * prepared.held_mm2
    per_node = np.bincount(pattern.node_dofs, hold, pattern.size + SPARE)[: pattern.size : 2]
    return System(
        prepared=prepared, body=body, law=law_numbers(skin), hold=hold,
        hold_of_dof=np.repeat(per_node, 2), force=np.zeros(pattern.size + SPARE),
        stiffness=np.zeros(pattern.pointers[-1] + SPARE),
    )  # fmt: skip


def admitted(start: Floats, prepared: Prepared) -> Floats | None:
    """Return a start with its seams closed to the last bit; None if it is no set of places."""
    places = np.array(start, dtype=np.float64)
    if places.shape != prepared.sheet.nodes_mm.shape or not np.isfinite(places).all():
        return None
    return places[prepared.ties.first][prepared.ties.joined]


def _fill(system: System, places: Floats, convex: int) -> float:
    pattern = system.prepared.pattern
    scatter, out = (pattern.element_dofs, pattern.slots), (system.force, system.stiffness)
    total = assemble(places, system.body, system.law, scatter, convex, out)
    off = places - system.prepared.sheet.nodes_mm
    pull = system.hold[:, None] * off
    for axis in range(2):
        system.force[axis:] += np.bincount(pattern.node_dofs, pull[:, axis], len(system.force))[
            : len(system.force) - axis
        ]
    system.stiffness[pattern.diagonal[: pattern.size]] += system.hold_of_dof
    return float(total) + 0.5 * float((pull * off).sum())
