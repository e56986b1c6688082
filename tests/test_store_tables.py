"""The tables: what is refused at reading, and that marks stay with their figures."""

from collections import Counter

import pytest

from crena.records import Basis, InputError, Mark, Material, basis_words, mark_words
from crena.store.tables import suture_tables, table_from

HEAD = "day,low_fraction,high_fraction,source,mark\n"


def read(line):
    return table_from(HEAD + line, "wound.csv", wound_row)


def wound_row(row):
    return row.number("day"), row.fractions(), row.basis()


def test_a_sourced_line_is_read_with_its_mark():
    basis = Basis(source="A 1999", mark=Mark.MEMORY)
    assert read("7,0.03,0.04,A 1999,memory\n") == ((7.0, (0.03, 0.04), basis),)


@pytest.mark.parametrize(
    ("line", "missing"),
    [
        ("7,0.03,0.04,,published\n", "source"),
        ("7,0.03,0.04,  ,published\n", "source"),
        ("7,0.03,0.04,A 1999,\n", "mark"),
        ("7,0.03,0.04,A 1999\n", "mark"),
    ],
)
def test_a_line_without_source_or_mark_is_refused(line, missing):
    with pytest.raises(InputError, match=f"Line 2 of wound.csv has no {missing}"):
        read(line)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("7,0.03,0.04,A 1999,Published\n", "is not one of: published, low-authority"),
        ("7,0.04,0.03,A 1999,memory\n", "Swap"),
        ("7,0.03,3,A 1999,memory\n", "not a fraction"),
        ("one,0.03,0.04,A 1999,memory\n", "not one plain number"),
    ],
)
def test_a_line_that_cannot_be_relied_on_is_refused(line, words):
    with pytest.raises(InputError, match=words):
        read(line)


def test_what_is_marked_memory_is_never_shown_as_published():
    for mark in set(Mark) - {Mark.PUBLISHED}:
        said = basis_words(Basis(source="USP <881>", mark=mark))
        assert "published" not in said and "check by hand" in said
    assert mark_words(Mark.PUBLISHED) == "published"


def test_every_strength_in_the_tables_is_from_memory():
    assert {pull.basis.mark for pull in suture_tables().knot_pulls} == {Mark.MEMORY}


def test_published_retention_is_that_of_ray_1981_alone():
    rows = suture_tables().retention
    published = [(r.material, r.day) for r in rows if r.basis.mark is Mark.PUBLISHED]
    assert published == [(Material.POLYDIOXANONE, 28.0), (Material.POLYDIOXANONE, 56.0)]


def test_a_thicker_thread_is_stronger_in_every_class():
    tables = suture_tables()
    order = [size.size for size in tables.sizes]
    for kind in {pull.strength_class for pull in tables.knot_pulls}:
        pulls = [p for p in tables.knot_pulls if p.strength_class is kind]
        pulls.sort(key=lambda p: order.index(p.size))
        strengths = [p.least_n for p in pulls]
        assert strengths == sorted(strengths) and len(set(strengths)) == len(pulls)


def test_bands_of_diameter_do_not_overlap_and_metric_is_its_lower_end():
    sizes = suture_tables().sizes
    for thin, thick in zip(sizes, sizes[1:], strict=False):
        assert thin.diameter_high_mm < thick.diameter_low_mm
    tenths = [float(size.metric) for size in sizes]
    assert tenths == pytest.approx([10 * size.diameter_low_mm for size in sizes])


def test_sizes_and_materials_of_all_tables_agree():
    tables = suture_tables()
    sizes = Counter(size.size for size in tables.sizes)
    assert set(sizes.values()) == {1}
    used = [p.size for p in tables.knot_pulls] + [layer.size for layer in tables.layers]
    assert set(used) <= set(sizes)
    assert {r.material for r in tables.retention} == set(Material)
