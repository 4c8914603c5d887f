from crewjobs.domain.sheets import Blank, Table


def test_a_table_tells_its_readers_which_cells_are_figures() -> None:
    table = Table(title="T", head=("Name", "Mass"), rows=(("A", "91 kg"),), figures=frozenset({1}))
    assert table.heads == (("Name", False), ("Mass", True))
    assert table.cells == ((("A", False, "Name"), ("91 kg", True, "Mass")),)


def test_blank_lines_are_as_many_as_were_asked_for() -> None:
    assert len(Blank(title="Notes", lines=8).each) == 8
