from geometry.names import unique_names


def test_names_that_are_unique_stay() -> None:
    assert unique_names(["nut", "screw"]) == (("nut", "screw"), ())


def test_repeated_names_are_numbered_and_said() -> None:
    names, said = unique_names(["nut", "nut", "nut"])
    assert names == ("nut", "nut-2", "nut-3")
    assert said == ("name made unique: nut -> nut-2", "name made unique: nut -> nut-3")


def test_a_number_never_takes_a_name_that_is_there() -> None:
    names, _ = unique_names(["nut", "nut", "nut-2", "nut-2"])
    assert names == ("nut", "nut-3", "nut-2", "nut-2-2")
