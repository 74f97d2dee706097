"""Settings that travel with the notebook."""

import pytest

from backbearing.errors import BadInput
from backbearing.notebook import Notebook
from backbearing.notebook.settings import get_setting, list_settings, set_setting


def test_a_setting_is_kept_changed_and_taken_back(notebook: Notebook) -> None:
    assert get_setting(notebook, "zone") is None
    for value in ("Atlantic/Azores", "Europe/Lisbon"):
        with notebook.writing():
            set_setting(notebook, "zone", value)
        assert get_setting(notebook, "zone") == value
        assert list_settings(notebook) == {"zone": value}
    with notebook.writing():
        set_setting(notebook, "zone", None)
    assert list_settings(notebook) == {}


def test_an_unknown_setting_names_the_known_ones(notebook: Notebook) -> None:
    with pytest.raises(BadInput, match="no setting 'colour'; the settings are: zone"):
        get_setting(notebook, "colour")
    with notebook.writing(), pytest.raises(BadInput, match="zone"):
        set_setting(notebook, "colour", "red")
