"""Threads looked up in the tables: sizes that cannot be mixed up, and what their knots hold."""

from crena.records import InputError, KnotPull, Material, SutureSize, SutureTables


def size_named(tables: SutureTables, size: str) -> SutureSize:
    """Return the size of a name, and refuse what is not on the list.

    Parameters
    ----------
    tables : SutureTables
        With the list of sizes.
    size : str
        As 2-0 or 2; they are different threads.

    Raises
    ------
    InputError
        If there is no such size.
    """
    for known in tables.sizes:
        if known.size == size:
            return known
    names = ", ".join(known.size for known in tables.sizes)
    raise InputError(f"“{size}” is not a size on the list. Take one of {names}.")


def knot_pull_of(tables: SutureTables, size: str, material: Material) -> KnotPull:
    """Return the least knot-pull strength of a thread.

    Parameters
    ----------
    tables : SutureTables
        With the strengths.
    size : str
        On the list of sizes.
    material : Material
        Its class decides which strength is asked for.

    Raises
    ------
    InputError
        If no strength is known for this size and class.
    """
    for pull in tables.knot_pulls:
        if pull.size == size and pull.strength_class is material.strength_class:
            return pull
    raise InputError(
        f"No strength is known of {material} in size {size}. Take another size or material."
    )
