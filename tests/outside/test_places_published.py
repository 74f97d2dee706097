"""Places against published examples; the source stands beside each."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from pyproj import Proj, Transformer

from backbearing.places.bearings import declination_deg
from backbearing.places.coordinates import mgrs_text, read_coordinate, utm_text
from backbearing.places.geodesy import inverse, offset
from backbearing.places.lengths import read_length
from backbearing.records import Bearing

# Flinders Peak and Buninyong: the worked line of the Geocentric Datum of Australia Technical
# Manual (ICSM), as many public test suites quote it. It is on GRS 80, which differs from WGS 84
# by 0.1 mm in the polar radius: nothing at the places given.
FLINDERS_PEAK = "37°57'03.72030\"S 144°25'29.52440\"E"
BUNINYONG = "37°39'10.15610\"S 143°55'35.38390\"E"


class TestGeodesicLine:
    def test_azimuth_and_distance(self) -> None:
        here, there = read_coordinate(FLINDERS_PEAK), read_coordinate(BUNINYONG)
        azimuth_deg, distance_m = inverse(
            here.latitude_deg, here.longitude_deg, there.latitude_deg, there.longitude_deg
        )
        back_deg, _ = inverse(
            there.latitude_deg, there.longitude_deg, here.latitude_deg, here.longitude_deg
        )
        assert distance_m == pytest.approx(54972.271, abs=0.0005)
        assert azimuth_deg == pytest.approx(306 + 52 / 60 + 5.37 / 3600, abs=0.005 / 3600)
        assert back_deg == pytest.approx(127 + 10 / 60 + 25.07 / 3600, abs=0.005 / 3600)

    def test_the_other_end_from_azimuth_and_distance(self) -> None:
        bearing = Bearing(true_deg=306 + 52 / 60 + 5.37 / 3600, error_deg=0.0, as_written="")
        found = offset(read_coordinate(FLINDERS_PEAK), bearing, 54972.271)
        there = read_coordinate(BUNINYONG)
        assert found.latitude_deg == pytest.approx(there.latitude_deg, abs=2e-8)
        assert found.longitude_deg == pytest.approx(there.longitude_deg, abs=2e-8)

    def test_a_long_line(self) -> None:
        # C. F. F. Karney's GeodSolve manual: New York to London Heathrow, to 1 mm (from memory)
        azimuth_deg, distance_m = inverse(40.6, -73.8, 51.6, -0.5)
        assert distance_m == pytest.approx(5551759.400, abs=0.001)
        assert azimuth_deg == pytest.approx(51.19888285, abs=1e-8)


class TestGrids:
    def test_flinders_peak_in_its_zone(self) -> None:
        # GDA Technical Manual, MGA zone 55: 273741.297 E 5796489.777 N (from memory)
        place = read_coordinate(FLINDERS_PEAK)
        assert utm_text(place.latitude_deg, place.longitude_deg) == "55H 273741 5796490"
        back = read_coordinate("55H 273741.297 5796489.777")
        assert back.latitude_deg == pytest.approx(place.latitude_deg, abs=1e-8)
        assert back.longitude_deg == pytest.approx(place.longitude_deg, abs=1e-8)

    @pytest.mark.parametrize(
        "text",
        [
            "33.3 44.4",
            "E44.4 N33.3",
            "33d18'N 44d24'E",
            "33:18 +44:24",
            "38N 444140.54 3684706.36",
            "38S 444140.54 3684706.36",
            "38SMB4414084706",
        ],
    )
    def test_one_place_in_many_notations(self, text: str) -> None:
        # the manual page of GeographicLib's coordinate converter gives these as equivalent
        place = read_coordinate(text)
        assert place.latitude_deg == pytest.approx(33.3, abs=1e-5)
        assert place.longitude_deg == pytest.approx(44.4, abs=1e-5)

    @pytest.mark.parametrize(
        ("latitude_deg", "longitude_deg", "mgrs"),
        [
            # GeographicLib's tests of its MGRS class, as a public port of them states
            (33.3, 44.4, "38S MB 44140 84706"),
            (0.0, 0.0, "31N AA 66021 00000"),
            (90.0, 0.0, "Z AH 00000 00000"),
            (-90.0, 0.0, "B AN 00000 00000"),
            (12.3456, 78.9012, "44P KU 71775 65663"),
        ],
    )
    def test_mgrs(self, latitude_deg: float, longitude_deg: float, mgrs: str) -> None:
        assert mgrs_text(latitude_deg, longitude_deg) == mgrs

    @pytest.mark.parametrize("figures", [0, 1, 2, 3, 4])
    def test_a_coarse_square_is_read_at_its_middle(self, figures: int) -> None:
        # the middle of the square, worked out in UTM by pyproj
        text = f"38S MB {'44140'[:figures]} {'84706'[:figures]}"
        side_m = 10 ** (5 - figures)
        easting_m = 400_000 + int("44140"[:figures] or 0) * side_m + side_m / 2
        northing_m = 3_600_000 + int("84706"[:figures] or 0) * side_m + side_m / 2
        longitude_deg, latitude_deg = Proj("EPSG:32638")(easting_m, northing_m, inverse=True)
        place = read_coordinate(text)
        distance_m = inverse(place.latitude_deg, place.longitude_deg, latitude_deg, longitude_deg)[
            1
        ]
        assert distance_m < 1.0

    @pytest.mark.parametrize(
        ("latitude_deg", "longitude_deg", "zone"),
        [(60.39, 5.32, "32V"), (78.22, 15.65, "33X"), (78.9, 11.9, "33X"), (47.0, -21.0, "27T")],
    )
    def test_the_wider_zones_of_norway_and_svalbard(
        self, latitude_deg: float, longitude_deg: float, zone: str
    ) -> None:
        # DMA TM 8358.1: 32V reaches west to 3° E, and 32X, 34X, 36X do not exist (from memory)
        assert utm_text(latitude_deg, longitude_deg).split()[0] == zone

    def test_utm_against_pyproj(self) -> None:
        generator = np.random.default_rng(5)
        for _ in range(200):
            latitude_deg = float(generator.uniform(-79.9, 83.9))
            longitude_deg = float(generator.uniform(-180, 180))
            head, easting, northing = utm_text(latitude_deg, longitude_deg).split()
            code = (32600 if latitude_deg >= 0 else 32700) + int(head[:-1])
            expected = Transformer.from_crs("EPSG:4326", f"EPSG:{code}", always_xy=True).transform(
                longitude_deg, latitude_deg
            )
            assert (float(easting), float(northing)) == pytest.approx(expected, abs=0.51)


class TestGeoUri:
    """RFC 5870 (June 2010): the examples of sections 1, 6.3 and 6.4, numbers as public tests
    of other readers quote them; the section numbers are from memory."""

    @pytest.mark.parametrize(
        ("uri", "latitude_deg", "longitude_deg"),
        [
            ("geo:13.4125,103.8667", 13.4125, 103.8667),
            ("geo:48.2010,16.3695,183", 48.201, 16.3695),
            ("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648),
            ("geo:90,-22.43;crs=WGS84", 90.0, -22.43),
            ("geo:66,30;u=6.500;FOo=this%2dthat", 66.0, 30.0),
            ("geo:66.0,30;u=6.5;foo=this-that", 66.0, 30.0),
            ("geo:70,20;foo=1.00;bar=white", 70.0, 20.0),
            ("geo:47,11;foo=blue;bar=white", 47.0, 11.0),
            ("geo:22,0;bar=Blue", 22.0, 0.0),
        ],
    )
    def test_examples(self, uri: str, latitude_deg: float, longitude_deg: float) -> None:
        place = read_coordinate(uri)
        assert place.latitude_deg == latitude_deg
        assert place.longitude_deg == longitude_deg
        # section 3.4.2 (from memory): heights count from the ellipsoid, so none is taken over
        assert place.height_m is None

    def test_uncertainty(self) -> None:
        assert read_coordinate("geo:48.198634,16.371648;crs=wgs84;u=40").error_m == 40.0
        assert read_coordinate("geo:66,30;u=6.500;FOo=this%2dthat").error_m == 6.5

    def test_the_two_names_of_the_antimeridian_are_one(self) -> None:
        # section 3.4.4: longitude 180 and -180 are the same
        assert read_coordinate("geo:10,180") == read_coordinate("geo:10,-180")


class TestDeclination:
    @pytest.mark.parametrize(
        ("latitude_deg", "longitude_deg", "height_m", "declination"),
        [
            # NOAA NCEI / BGS, test values of WMM2025 at 2025.0, given to 0.01°
            # (read where a public test quotes the official table)
            (80.0, 0.0, 0.0, 1.28),
            (0.0, 120.0, 0.0, -0.16),
            (-80.0, 240.0, 0.0, 68.78),
            (80.0, 0.0, 100_000.0, 0.85),
        ],
    )
    def test_wmm_2025(
        self, latitude_deg: float, longitude_deg: float, height_m: float, declination: float
    ) -> None:
        value_deg, _ = declination_deg(latitude_deg, longitude_deg, height_m, date(2025, 1, 1))
        assert value_deg == pytest.approx(declination, abs=0.005)

    @pytest.mark.parametrize(
        ("year", "declinations"),
        [
            # the official test values of the earlier models (from memory)
            (2010, (-6.13, 0.97, 70.21)),
            (2020, (-1.28, 0.16, 69.36)),
        ],
    )
    def test_earlier_epochs(self, year: int, declinations: tuple[float, ...]) -> None:
        places = ((80.0, 0.0), (0.0, 120.0), (-80.0, 240.0))
        for (latitude_deg, longitude_deg), expected in zip(places, declinations, strict=True):
            value_deg, _ = declination_deg(latitude_deg, longitude_deg, 0.0, date(year, 1, 1))
            assert value_deg == pytest.approx(expected, abs=0.005)

    @pytest.mark.parametrize(
        ("latitude_deg", "longitude_deg", "horizontal_nt"),
        [(80.0, 0.0, 6523.2), (0.0, 120.0, 39677.9), (-80.0, 240.0, 16898.1)],
    )
    def test_its_error(
        self, latitude_deg: float, longitude_deg: float, horizontal_nt: float
    ) -> None:
        # NOAA NCEI's error model of WMM2025: one sigma is √(0.26² + (5417/H)²) degrees.
        # The field strengths are pygeomag's own, which the official declinations bear out.
        expected_deg = (0.26**2 + (5417 / horizontal_nt) ** 2) ** 0.5
        _, sigma_deg = declination_deg(latitude_deg, longitude_deg, 0.0, date(2025, 1, 1))
        assert sigma_deg == pytest.approx(expected_deg, abs=0.0005)


def test_the_international_yard() -> None:
    # 1 yard = 0.9144 m exactly since the agreement of 1 July 1959
    assert read_length("1 yd") == 0.9144
    assert read_length("1 mi") == pytest.approx(1760 * 0.9144)
