"""What is on the car, what came off, and what brings it back: by hand, for small cars."""

from __future__ import annotations

from pathlib import Path

from buildlog.proof.parts_on_car import CarOfParts, cars_of_parts
from tests.parts import PIPE, SITE, with_part
from tests.samples import open_site

Files = dict[str, str | bytes]
BUILT = "{fitted: as built}"


def part(standard: str, *history: str, more: str = "") -> str:
    lines = "".join(f"  - {line}\n" for line in history)
    return f"name: a\nstandard: {standard}\n{more}" + (f"history:\n{lines}" if lines else "")


def car(folder: Path, files: Files) -> CarOfParts:
    (found,) = cars_of_parts(open_site(folder, files))
    return found


def of_parts(folder: Path, **parts: str) -> CarOfParts:
    files: Files = {"index.md": "# A\n"}
    return car(folder, {**files, **{f"parts/{name}.yml": text for name, text in parts.items()}})


def way(told: CarOfParts) -> list[tuple[str, list[str]]]:
    """What comes off and what goes back, step by step."""
    return [
        (step.off.id if step.off is not None else "", [one.id for one in step.back]) for step in told.steps
    ]


def test_the_small_car(tmp_path: Path) -> None:
    told = car(tmp_path, SITE)
    assert told.day == "2024-05-04"
    assert [one.id for one in told.on] == ["pipe", "box-b"]
    assert [one.id for one in told.off] == ["box-a", "old-pipe", "old-box"]
    # The newest comes off first; the old box stood under two that followed each other.
    assert way(told) == [("box-b", ["old-box"]), ("pipe", ["old-pipe"])]
    assert [one.id for one in told.lost] == ["old-pipe"]
    mass = told.steps[0].mass
    assert mass is not None
    assert round(mass.si, 9) == round(1.40 - 1.03, 9)
    assert round(mass.standard_uncertainty, 9) == round(2**0.5 * 0.01, 9)
    assert told.steps[1].mass is None  # what is thrown away brings nothing back
    assert told.mass is None


def test_all_steps_together_where_every_mass_is_known(tmp_path: Path) -> None:
    kept = str(SITE["parts/old-pipe.yml"]).replace('  - {gone: 2024-04-07, why: "thrown away"}\n', "")
    told = car(tmp_path, with_part("old-pipe", kept))
    assert told.mass is not None
    assert round(told.mass.si, 9) == round(1.40 - 1.03 + 0.5 - 0.7, 9)
    assert told.lost == ()


def test_a_mass_that_is_missing_leaves_the_sum_open(tmp_path: Path) -> None:
    told = car(tmp_path, with_part("pipe", PIPE.replace("mass: 0.7 kg\nweighed: 2024-04-06\n", "")))
    assert told.steps[1].mass is None
    assert told.mass is None


def test_a_car_as_it_was_built_has_no_way_back(tmp_path: Path) -> None:
    told = of_parts(tmp_path, a=part("yes", BUILT))
    assert ([one.id for one in told.on], told.steps, told.day) == (["a"], (), "")


def test_several_in_one_place_come_off_before_the_old_one_goes_back(tmp_path: Path) -> None:
    told = of_parts(
        tmp_path,
        old=part("yes", BUILT, "{taken_off: 2024-01-01, lies: here}"),
        first=part("no", "{fitted: 2024-01-01}", more="replaces: [old]\n"),
        second=part("no", "{fitted: 2024-02-01}", more="replaces: [old]\n"),
        third=part("no", "{fitted: 2024-03-01}"),
    )
    assert way(told) == [("third", []), ("second", []), ("first", ["old"])]


def test_what_nothing_stands_in_place_of_goes_back_by_itself(tmp_path: Path) -> None:
    told = of_parts(
        tmp_path,
        seat=part("yes", BUILT, "{taken_off: 2024-02-01, lies: loft}"),
        early=part("no", "{fitted: 2024-01-01}"),
        late=part("no", "{fitted: 2024-03-01}"),
    )
    assert way(told) == [("late", []), ("", ["seat"]), ("early", [])]


def test_a_standard_part_that_stands_in_its_place_already_keeps_it(tmp_path: Path) -> None:
    told = of_parts(
        tmp_path,
        worn=part("yes", BUILT, "{taken_off: 2024-01-01}", "{gone: 2024-01-01, why: worn}"),
        new=part("yes", "{fitted: 2024-01-01}", more="replaces: [worn]\n"),
    )
    assert way(told) == []
    assert told.lost == ()


def test_a_spare_of_the_standard_kind_goes_back_for_the_worn_one(tmp_path: Path) -> None:
    told = of_parts(
        tmp_path,
        worn=part("yes", BUILT, "{taken_off: 2024-01-01}", "{gone: 2024-01-02, why: worn}"),
        spare=part("yes", "{stored: 2024-01-03, lies: shelf}", more="replaces: [worn]\n"),
        tuned=part("no", "{fitted: 2024-01-01}", more="replaces: [worn]\n"),
    )
    assert way(told) == [("tuned", ["spare"])]
    assert told.lost == ()


def test_where_the_last_that_could_go_back_is_gone_it_is_said(tmp_path: Path) -> None:
    told = of_parts(
        tmp_path,
        old=part("yes", BUILT, "{taken_off: 2024-01-01}", "{gone: 2024-01-02, why: sold}"),
        first=part(
            "no", "{fitted: 2024-01-01}", "{taken_off: 2024-02-01, lies: a}", more="replaces: [old]\n"
        ),
        second=part("no", "{fitted: 2024-02-01}", more="replaces: [first]\n"),
    )
    assert way(told) == [("second", ["old"])]
    assert [one.id for one in told.lost] == ["old"]


def test_of_one_day_the_later_episode_went_on_later(tmp_path: Path) -> None:
    def page(number: int) -> str:
        return f"---\nbuildlog: {{series: S, episode: {number}}}\n---\n\n# {number}\n"

    files: Files = {
        "z.md": page(1),
        "a.md": page(2),
        "parts/one.yml": part("no", "{fitted: 2024-01-01, by: z}"),
        "parts/two.yml": part("no", "{fitted: 2024-01-01, by: a}"),
    }
    assert way(car(tmp_path, files)) == [("two", []), ("one", [])]


def test_a_part_on_another_car_is_not_on_this_one(tmp_path: Path) -> None:
    sheet = "name: X\nabout: A.\nstate: a\ninputs: {}\n"
    files: Files = {
        "cars/a.yml": sheet,
        "cars/b.yml": sheet,
        "index.md": "# A\n",
        "parts/wheel.yml": part("no", "{fitted: 2024-01-01, car: a}", more="cars: [a, b]\n"),
        "parts/seat.yml": part("yes", BUILT, more="cars: b\n"),
    }
    first, second = cars_of_parts(open_site(tmp_path, files))
    assert (first.car, [one.id for one in first.on]) == ("a", ["wheel"])
    assert (second.car, [one.id for one in second.on]) == ("b", ["seat"])
