"""Coordinates as people write them, and back: every notation names the same spot."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.coordinates import (
    decimal_text,
    dms_text,
    geo_text,
    looks_like_coordinate,
    mgrs_text,
    read_coordinate,
    utm_text,
)
from backbearing.places.geodesy import inverse
from backbearing.records import Place

latitudes = st.floats(-89.9, 89.9)
longitudes = st.floats(-180.0, 180.0, exclude_max=True)


def metres_between(place: Place, latitude_deg: float, longitude_deg: float) -> float:
    return inverse(place.latitude_deg, place.longitude_deg, latitude_deg, longitude_deg)[1]


SPOT = (47 + 44.4 / 3600, -(21 + 2 / 60 + 44.4 / 3600))  # 47°00'44.4"N 21°02'44.4"W


@pytest.mark.parametrize(
    "text",
    [
        "47.0123333, -21.0456667",
        "47.0123333 -21.0456667",
        "47.0123333,-21.0456667",
        "47.0123333;-21.0456667",
        "47.0123333 / -21.0456667",
        "+47.0123333 −21.0456667",
        "47.0123333 N 21.0456667 W",
        "N 47.0123333 W 21.0456667",
        "N47.0123333W21.0456667",
        "47.0123333°N, 21.0456667°W",
        "47.0123333 north, 21.0456667 west",
        "21.0456667 W, 47.0123333 N",
        "lat 47.0123333 lon -21.0456667",
        "longitude: -21.0456667, latitude: 47.0123333".replace(":", ""),
        "47 00.74 N 21 02.74 W",
        "N47 00.74 W021 02.74",
        "47°00.74'N 21°02.74'W",
        "47° 00.74′ N, 21° 02.74′ W",
        "47-00.74N 21-02.74W",
        "47:00.74 -21:02.74",
        "47 00.74, -21 02.74",
        "47 00 44.4 N 21 02 44.4 W",
        "47°00'44.4\"N 21°02'44.4\"W",
        "47º00’44.4”N 21º02’44.4”W",
        "47°00′44.4″ N 21°02′44.4″ W",
        "47° 0' 44.4'' N 21° 2' 44.4'' W",
        "47d00m44.4sN 21d02m44.4sW",
        "47 deg 0 min 44.4 sec N 21 deg 2 min 44.4 sec W",
        "47:00:44.4N 21:02:44.4W",
        "47°00'44.4\" -21°02'44.4\"",
        "  47 00 44.4 \u00a0 -21 02 44.4  ",
        "geo:47.0123333,-21.0456667",
        "GEO:47.0123333,-21.0456667;crs=WGS84",
    ],
)
def test_one_spot_in_the_usual_notations(text: str) -> None:
    assert metres_between(read_coordinate(text), *SPOT) < 0.5
    assert looks_like_coordinate(text)


@given(latitudes, longitudes)
def test_decimal_comes_back(latitude_deg: float, longitude_deg: float) -> None:
    place = read_coordinate(decimal_text(latitude_deg, longitude_deg))
    assert metres_between(place, latitude_deg, longitude_deg) < 0.11


@given(latitudes, longitudes)
def test_degrees_minutes_seconds_come_back(latitude_deg: float, longitude_deg: float) -> None:
    place = read_coordinate(dms_text(latitude_deg, longitude_deg))
    assert metres_between(place, latitude_deg, longitude_deg) < 2.3  # half of 0.1″ each way


@given(latitudes, longitudes)
def test_utm_comes_back_with_ups_at_the_poles(latitude_deg: float, longitude_deg: float) -> None:
    place = read_coordinate(utm_text(latitude_deg, longitude_deg))
    assert metres_between(place, latitude_deg, longitude_deg) < 0.8


@given(latitudes, longitudes)
def test_mgrs_comes_back(latitude_deg: float, longitude_deg: float) -> None:
    place = read_coordinate(mgrs_text(latitude_deg, longitude_deg))
    assert metres_between(place, latitude_deg, longitude_deg) < 1.5


@given(latitudes, longitudes, st.floats(1.0, 500.0))
def test_geo_uri_comes_back_with_its_error(
    latitude_deg: float, longitude_deg: float, error_m: float
) -> None:
    written = Place(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, error_m=error_m, error_basis="given"
    )
    place = read_coordinate(geo_text(written))
    assert metres_between(place, latitude_deg, longitude_deg) < 0.11
    assert error_m <= place.error_m + 1e-6 < error_m + 1  # whole metres, as everywhere
    assert place.error_basis == "given"


@given(st.text(max_size=60) | st.text(alphabet="0123456789NSEWnsewgo°'\":,;-+./ TM", max_size=40))
def test_any_text_is_a_place_or_one_sentence(text: str) -> None:
    try:
        place = read_coordinate(text)
    except BadInput as error:
        sentence = str(error)
    else:
        assert -90 <= place.latitude_deg <= 90
        assert -180 <= place.longitude_deg < 180
        return
    assert sentence.isprintable()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("120.5, 45.5", "latitude and longitude look swapped"),
        ("-150 20", "latitude and longitude look swapped"),
        ("geo:120.5,45.5", "latitude and longitude look swapped"),
        ("120.5 N 45.5 E", "latitude 120.5 is outside"),
        ("90 30 N 10 E", "latitude 90.5 is outside"),
        ("90 0 0.5 N 10 E", "latitude 90.0001389 is outside"),
        ("95, 95", "latitude 95 is outside"),
        ("47, 339", "write 21 W if it counts east from 0 to 360"),
        ("47 N 200 E", "longitude 200 is outside"),
        ("47 61 N 21 0 W", "latitude minutes 61 are not below 60"),
        ("47 0 60 N 21 0 0 W", "latitude seconds 60 are not below 60"),
        ("47 0 N 21 -5 W", "longitude minutes -5 carry a sign"),
        ("47.5 30 N 21 0 W", "latitude degrees 47.5 have decimals and more follows"),
        ("-47 N 21 W", "latitude in '-47 N 21 W' has both a sign and a letter"),
        ("47 N 21 N", "both parts"),
        ("47 N 21", "one letter"),
        ("47N, 21 E W", "two letters"),
        ("47,21", "may be a decimal comma"),
        ("47,0123 -21,0456", "may be a decimal comma"),
        ("47 30 21", "where latitude ends and longitude begins is not clear"),
        ("47.1, -21.0, 300", "more than two parts"),
        ("47 N 21 O", "O in '47 N 21 O' may mean west"),
        ("47", "holds 1 number"),
        ("", "holds no number"),
        ("47' N, 21 W", "stands in the wrong place"),
        ("47.1.2 21", "malformed"),
        ("winding house", "'winding' is not understood"),
        ("٤٧, ٢١", "not understood"),
        ("nan, inf", "'nan' is not understood"),
        ("9" * 300, "longer than 200 characters"),
        ("geo:47.0, 21.0", "not a geo: URI"),
        ("geo:47.0,21.0;crs=moon", "reference system 'moon' is not known"),
        ("geo:47.0,21.0;u=5;crs=wgs84", "crs must be the first"),
        ("geo:47.0,21.0;x=1;u=5", "u must stand before"),
        ("geo:47.0,21.0;u=-5", "is no number of metres"),
        ("geo:47.0,21.0;u=5;u=6", "stands twice"),
        ("61T 500000 5200000", "UTM zone 61 is outside"),
        ("27I 500000 5200000", "I is no UTM latitude band"),
        ("27T 5200000 500000", "easting 5200000 is outside"),
        ("27T 500000 12000000", "northing 12000000 is above"),
        ("27T 500000 100000", "northing 100000 is not in band T but in N"),
        ("27S 500000 5200000", "may be the band 32–40° N or the southern hemisphere"),
        ("27X 100000 9300000", "outside zone 27"),
        ("32X 500000 8700000", "there is no UTM zone 32X"),
        ("34X 500000 8700000", "there is no UTM zone 34X"),
        ("47.0, -21.0 ± 5000 km", "longer than 1000 km"),
        ("geo:47.0,-21.0;u=5000000", "longer than 1000 km"),
        ("27T WN 123", "do not halve"),
        ("27T WN 12 345", "do not halve"),
        ("27T AA 12 34", "is no MGRS zone"),
        ("27N WN 12 34", "does not lie in band N"),
    ],
)
def test_bad_input_names_the_part(text: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_coordinate(text, where="--at")
    assert str(caught.value).startswith("--at")
    assert said in str(caught.value)


def test_control_characters_never_reach_the_message() -> None:
    with pytest.raises(BadInput) as caught:
        read_coordinate("47.0 \x1b[31m -21.0")
    assert "\x1b" not in str(caught.value)


class TestHemisphereOrBand:
    """S is a latitude band in UTM; which reading was taken is said."""

    def test_s_is_the_band(self) -> None:
        place = read_coordinate("34S 600000 4000000")
        assert 32 <= place.latitude_deg <= 40
        assert "S read as the latitude band" in place.source

    def test_south_in_full_is_the_hemisphere(self) -> None:
        assert read_coordinate("34 south 600000 6000000").latitude_deg < 0

    def test_n_is_north_either_way(self) -> None:
        assert read_coordinate("27N 500000 100000").source == "typed"
        place = read_coordinate("27N 500000 5200000")
        assert 40 < place.latitude_deg < 48
        assert "N read as the northern hemisphere" in place.source


class TestError:
    """Where no error is given the one assumed is named; a coarse coordinate carries its own."""

    @pytest.mark.parametrize(
        ("sky", "error_m", "basis"),
        [
            (None, 10.0, "assumed: open sky"),
            ("open", 10.0, "assumed: open sky"),
            ("trees", 20.0, "assumed: trees"),
            ("walls", 40.0, "assumed: under walls"),
            ("memory", 100.0, "assumed: pin from memory"),
        ],
    )
    def test_assumed_by_the_sky(self, sky: str | None, error_m: float, basis: str) -> None:
        place = read_coordinate("47.01234, -21.04567", sky=sky)  # type: ignore[arg-type]
        assert (place.error_m, place.error_basis) == (error_m, basis)

    def test_given_by_option_by_suffix_and_by_uri(self) -> None:
        for place in (
            read_coordinate("47.01234, -21.04567", error_m=12.0),
            read_coordinate("47.01234, -21.04567 ±12 m"),
            read_coordinate("27T 496533 5206530 +/- 12m"),
            read_coordinate("geo:47.01234,-21.04567;u=12"),
            read_coordinate("geo:47.01234,-21.04567;u=99", error_m=12.0),
        ):
            assert (place.error_m, place.error_basis) == (12.0, "given")

    @given(st.integers(0, 3), latitudes, longitudes)
    def test_a_rounded_coordinate_covers_the_true_spot(
        self, decimals: int, latitude_deg: float, longitude_deg: float
    ) -> None:
        text = f"{latitude_deg:.{decimals}f}, {longitude_deg:.{decimals}f}"
        place = read_coordinate(text)
        # 1.01: a degree of latitude is up to 0.4 % longer than the round figure used
        assert metres_between(place, latitude_deg, longitude_deg) <= 1.01 * place.error_m

    @given(st.integers(0, 4), st.floats(-79, 83), longitudes)
    def test_a_coarse_grid_square_covers_the_true_spot(
        self, figures: int, latitude_deg: float, longitude_deg: float
    ) -> None:
        zone, square, easting, northing = mgrs_text(latitude_deg, longitude_deg).split()
        place = read_coordinate(f"{zone} {square} {easting[:figures]} {northing[:figures]}")
        # the grid is drawn with a scale of 0.9996 to 1.001
        assert metres_between(place, latitude_deg, longitude_deg) <= 1.002 * place.error_m + 1
        if figures < 4:
            assert place.error_basis == "assumed: somewhere in the grid square"

    def test_a_negative_error_is_refused(self) -> None:
        with pytest.raises(BadInput, match="not a length"):
            read_coordinate("47.01234, -21.04567", error_m=-1.0)


def test_the_antimeridian_has_one_name() -> None:
    east = read_coordinate("17.5 S 180 E")
    west = read_coordinate("17.5 S 180 W")
    assert east.longitude_deg == west.longitude_deg == -180.0


def test_minus_zero_degrees_keeps_its_sign() -> None:
    place = read_coordinate("-0 30, -0 15 36")
    assert (place.latitude_deg, place.longitude_deg) == pytest.approx((-0.5, -0.26))


@pytest.mark.parametrize(
    "text",
    [
        *("winding house", "track 3 at 14:32", "wpt 012", "215M 8m", "arch 2", "7", "N"),
        # without figures these would be squares of the polar grid, 100 km wide
        *("art", "bay", "arc", "ash", "zag", "bay 7", "bay 12"),
    ],
)
def test_names_do_not_look_like_coordinates(text: str) -> None:
    assert not looks_like_coordinate(text)


def test_a_polar_square_with_figures_is_a_coordinate() -> None:
    assert read_coordinate("ZAH 12 34").latitude_deg > 84


def test_longitude_first_in_degrees_and_minutes_is_no_utm() -> None:
    place = read_coordinate("21 E 47 30 N")
    assert (place.latitude_deg, place.longitude_deg) == (47.5, 21.0)


def test_the_height_of_a_geo_uri_is_left_out_and_said() -> None:
    # RFC 5870 counts heights from the ellipsoid, a notebook from the sea
    place = read_coordinate("geo:47.01234,-21.04567,183")
    assert place.height_m is None
    assert "183 m above the ellipsoid left out" in place.source


def test_a_bad_coordinate_still_looks_like_one() -> None:
    assert looks_like_coordinate("120.5, 45.5")
    assert looks_like_coordinate("geo:nonsense")
    assert looks_like_coordinate("32X 500000 8700000")  # no such zone, and the reader says so
    assert looks_like_coordinate("27T 5200000 500000")


def test_reading_a_typed_pair_loads_nothing_heavy() -> None:
    code = (
        "import sys; from backbearing.places import coordinates, lengths, zones, bearings, geodesy;"
        "coordinates.read_coordinate('47.01, -21.04'); "
        "print([m for m in ('numpy', 'pyproj', 'mgrs', 'pygeomag', 'tzfpy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
