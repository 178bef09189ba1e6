"""The library from disk: all that is shipped reads and passes every check; what is wrong is said with its place."""

from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen
from app.interchange.library_file import SHIPPED, check_library, load_library


def test_everything_shipped_reads_and_passes_every_check():
    library = load_library()
    assert library.problems == ()
    assert [finding.what for finding in check_library(library)] == []
    assert len(library.assemblies) == len(list((SHIPPED / "assemblies").glob("*.toml")))
    assert len(library.assemblies) >= 10
    assert len(library.materials) >= 30
    assert len(library.tasks) >= 20
    assert library.labor_classes["crew"].burden["social security"].as_tuple().exponent == -3
    assert "Call 811" in library.cautions["dig"].words


def test_everything_shipped_says_a_known_caution():
    library = load_library()
    for assembly in library.assemblies.values():
        assert set(assembly.cautions) <= library.cautions.keys(), assembly.key


def test_any_material_of_a_role_can_take_its_place():
    library = load_library()
    basis = library.basis()
    for assembly in library.assemblies.values():
        for part in assembly.parts:
            for material in library.materials.values():
                if material.role == part.role:
                    compiled = compile_assembly(assembly, basis, Chosen(finishes={part.role: material.key}))
                    assert [f.what for f in compiled.findings] == [], (assembly.key, material.key)


def write(folder, name, text):
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def test_wrong_files_and_keys_are_said_and_the_rest_is_read(tmp_path):
    write(tmp_path, "assemblies/a.toml", 'key = "a"\ntitle = "A"')
    write(tmp_path, "assemblies/b.toml", 'key = "a"\ntitle = "A again"')
    write(tmp_path, "assemblies/c.toml", 'key = "c"\ntitel = "C"')
    write(tmp_path, "assemblies/d.toml", "key = ")
    write(
        tmp_path,
        "materials/m.toml",
        '[material.m]\ntitle = "M"\nrole = "r"\nbuy = "ton"\n[material.n]\ntitle = "N"\nrole = "r"\nbuyy = "ton"',
    )
    write(tmp_path, "materials/o.toml", '[material.m]\ntitle = "M"\nrole = "r"\nbuy = "ton"')
    write(tmp_path, "tasks/t.toml", '[tsak.t]\ntitle = "T"')
    write(tmp_path, "labor.toml", "[labor]\ncrew = 5")
    library = load_library(tmp_path)
    assert set(library.assemblies) == {"a"}
    assert set(library.materials) == {"m"}
    expected = (
        ("assemblies/b.toml", "another file"),
        ("assemblies/c.toml", "Did you mean “title”?"),
        ("assemblies/d.toml", "TOML"),
        ("materials/m.toml, n", "Did you mean “buy”?"),
        ("materials/o.toml", "stands twice"),
        ("tasks/t.toml", "Did you mean “task”?"),
        ("labor.toml, crew", "table"),
    )
    assert len(library.problems) == len(expected)
    for place, words in expected:
        assert any(p.startswith(place) and words in p for p in library.problems), (place, library.problems)


def test_check_finds_what_cannot_be_bought(tmp_path):
    write(
        tmp_path, "assemblies/a.toml", 'key = "a"\ntitle = "A"\n[[part]]\nrole = "r"\namount = "area"\nmaterial = "m"'
    )
    write(tmp_path, "materials/m.toml", '[material.m]\ntitle = "M"\nrole = "r"\nbuy = "ton"\nplaced_density = "140*lb"')
    sentences = [finding.what for finding in check_library(load_library(tmp_path))]
    assert any("140*lb gives lb" in s for s in sentences)
    assert any("area gives sq ft" in s for s in sentences)
