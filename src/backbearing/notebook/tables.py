"""What the notebook's tables are: their names as a GIS sees them, and the statements that
make them.

What a desktop GIS lists: tracks, notes, trees, passage_reports (attributes), segments, waypoints,
routes, subjects, camera_positions, edge_readings, lines, passages, photos (features). What it does
not: originals, settings, the bin, terrain, skylines, the schema's own table; they are named in
gpkg_extensions as the tables of our extension, as the standard asks.

Every table a GIS edits has room for what a GIS leaves out: columns are nullable with plain
defaults, names are kept unique by our own writing (see `subjects`), not by an index whose key
a GIS could not compute. Ids are AUTOINCREMENT: an id in the bin is never given away.
"""

from __future__ import annotations

APPLICATION_ID = 0x47504B47  # "GPKG" (OGC 12-128r18, requirement 2)
USER_VERSION = 10300  # GeoPackage 1.3
SCHEMA_TABLE = "backbearing_schema"
EXTENSION = "backbearing_notebook"

Shape = tuple[str, int, int]  # geometry type, z, m (1 = always there, 0 = never)
FIRST_FEATURES: dict[str, Shape] = {
    "segments": ("LINESTRING", 1, 1),
    "waypoints": ("POINT", 1, 0),
    "routes": ("LINESTRING", 1, 0),
    "subjects": ("POINT", 1, 0),
    "camera_positions": ("POINT", 1, 0),
}
READING_FEATURES: dict[str, Shape] = {"edge_readings": ("POINT", 1, 0)}
LINE_FEATURES: dict[str, Shape] = {"lines": ("LINESTRING", 1, 0), "passages": ("POINT", 1, 0)}
PHOTO_FEATURES: dict[str, Shape] = {"photos": ("POINT", 1, 0)}
FEATURES = {**FIRST_FEATURES, **READING_FEATURES, **LINE_FEATURES, **PHOTO_FEATURES}
UNPLACED = frozenset(PHOTO_FEATURES)  # layers whose rows may have no geometry
FIRST_ATTRIBUTES = ("tracks", "notes")
ATTRIBUTES = (*FIRST_ATTRIBUTES, "trees", "passage_reports", "kit", "plates", "clues", "looks")
FIRST_HIDDEN = ("originals", "settings", "bin", "bin_rows", SCHEMA_TABLE)
TERRAIN_HIDDEN = ("terrain_layers", "skylines")
ZONE_HIDDEN = ("zones",)
HIDDEN = (*FIRST_HIDDEN, *TERRAIN_HIDDEN, *ZONE_HIDDEN)
OWN_TABLES = frozenset((*FEATURES, *ATTRIBUTES, *HIDDEN))

WGS84 = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,'
    'AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,'
    'AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],'
    'AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]]'
)

GEOPACKAGE = """
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name)
)
"""

TABLES = """
CREATE TABLE originals (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  sha256 TEXT NOT NULL UNIQUE,
  file_name TEXT NOT NULL,
  media TEXT NOT NULL,
  imported_at DATETIME NOT NULL,
  size INTEGER NOT NULL,
  faults TEXT NOT NULL,
  content BLOB NOT NULL
);
CREATE TABLE tracks (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  original_id INTEGER REFERENCES originals(id),
  name TEXT DEFAULT '',
  comment TEXT DEFAULT '',
  description TEXT DEFAULT '',
  kind TEXT DEFAULT '',
  line INTEGER,
  points INTEGER,
  length_m DOUBLE,
  ascent_m DOUBLE,
  descent_m DOUBLE,
  moving_s DOUBLE,
  standing_s DOUBLE,
  suspect_fixes INTEGER,
  gaps INTEGER,
  started DATETIME,
  ended DATETIME,
  west_deg DOUBLE,
  south_deg DOUBLE,
  east_deg DOUBLE,
  north_deg DOUBLE
);
CREATE TABLE segments (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom LINESTRING,
  track_id INTEGER REFERENCES tracks(id) ON DELETE CASCADE,
  number INTEGER,
  points INTEGER,
  started DATETIME,
  ended DATETIME
);
CREATE INDEX segments_by_track ON segments (track_id, number);
CREATE TABLE waypoints (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  original_id INTEGER REFERENCES originals(id),
  name TEXT DEFAULT '',
  comment TEXT DEFAULT '',
  description TEXT DEFAULT '',
  symbol TEXT DEFAULT '',
  kind TEXT DEFAULT '',
  time DATETIME,
  line INTEGER
);
CREATE TABLE routes (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom LINESTRING,
  original_id INTEGER REFERENCES originals(id),
  name TEXT DEFAULT '',
  comment TEXT DEFAULT '',
  description TEXT DEFAULT '',
  line INTEGER,
  points TEXT
);
CREATE TABLE subjects (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  uid TEXT UNIQUE,
  name TEXT,
  state TEXT DEFAULT 'seen',
  words TEXT DEFAULT '',
  tall_m DOUBLE,
  wide_m DOUBLE,
  facing_deg DOUBLE,
  blocked TEXT DEFAULT '',
  next_time TEXT DEFAULT '',
  error_m DOUBLE,
  error_basis TEXT,
  place_source TEXT DEFAULT '',
  wanted TEXT,
  marked_at DATETIME
);
CREATE TABLE camera_positions (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  name TEXT DEFAULT 'main',
  error_m DOUBLE,
  error_basis TEXT,
  place_source TEXT DEFAULT '',
  bearing_true_deg DOUBLE,
  bearing_error_deg DOUBLE,
  bearing_as_written TEXT,
  bearing_declination_deg DOUBLE,
  bearing_basis TEXT,
  distance_m DOUBLE,
  top_deg DOUBLE,
  foot_deg DOUBLE,
  left_edge TEXT,
  right_edge TEXT,
  sightings TEXT
);
CREATE INDEX camera_positions_by_subject ON camera_positions (subject_id);
CREATE TABLE notes (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  text TEXT NOT NULL,
  written_at DATETIME,
  observed TEXT,
  source TEXT DEFAULT 'typed'
);
CREATE INDEX notes_by_subject ON notes (subject_id);
CREATE TRIGGER notes_are_never_changed BEFORE UPDATE ON notes
BEGIN SELECT RAISE(ABORT, 'notes are added, never changed'); END;
CREATE TABLE settings (
  key TEXT NOT NULL PRIMARY KEY,
  value TEXT NOT NULL
);
CREATE TABLE bin (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  deleted_at DATETIME NOT NULL
);
CREATE TABLE bin_rows (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  bin_id INTEGER NOT NULL REFERENCES bin(id) ON DELETE CASCADE,
  table_name TEXT NOT NULL,
  row TEXT NOT NULL,
  geom BLOB
);
CREATE INDEX bin_rows_by_bin ON bin_rows (bin_id)
"""

TERRAIN = """
CREATE TABLE terrain_layers (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  path TEXT NOT NULL UNIQUE,
  came_with TEXT NOT NULL,
  kind TEXT NOT NULL,
  crs TEXT NOT NULL,
  columns INTEGER NOT NULL,
  rows INTEGER NOT NULL,
  x_first DOUBLE NOT NULL,
  y_first DOUBLE NOT NULL,
  x_step DOUBLE NOT NULL,
  y_step DOUBLE NOT NULL,
  cell_m DOUBLE NOT NULL,
  ground TEXT NOT NULL,
  vertical_error_m DOUBLE NOT NULL,
  vertical_error_basis TEXT NOT NULL,
  unit_m DOUBLE NOT NULL,
  unit_basis TEXT NOT NULL,
  void_value DOUBLE,
  voids DOUBLE NOT NULL,
  lowest_m DOUBLE NOT NULL,
  highest_m DOUBLE NOT NULL,
  bounds_deg TEXT NOT NULL,
  fingerprint TEXT NOT NULL,
  stamp TEXT NOT NULL
);
CREATE TABLE skylines (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  key TEXT NOT NULL UNIQUE,
  latitude_deg DOUBLE NOT NULL,
  longitude_deg DOUBLE NOT NULL,
  made_at DATETIME NOT NULL,
  fields TEXT NOT NULL,
  numbers BLOB NOT NULL
)
"""

READINGS = """
ALTER TABLE subjects ADD COLUMN at_water BOOLEAN DEFAULT 0;
CREATE TABLE edge_readings (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  azimuth_true_deg DOUBLE,
  azimuth_error_deg DOUBLE,
  azimuth_as_written TEXT,
  azimuth_declination_deg DOUBLE,
  azimuth_basis TEXT,
  altitude_deg DOUBLE,
  altitude_error_deg DOUBLE,
  effect TEXT DEFAULT 'raises',
  note TEXT DEFAULT '',
  taken_at DATETIME
);
CREATE INDEX edge_readings_by_subject ON edge_readings (subject_id);
CREATE TABLE trees (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  tall_m DOUBLE,
  beyond_m DOUBLE,
  leaf_months TEXT DEFAULT '',
  evergreen BOOLEAN DEFAULT 0,
  note TEXT DEFAULT ''
);
CREATE INDEX trees_by_subject ON trees (subject_id)
"""

LINES = """
CREATE TABLE lines (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom LINESTRING,
  original_id INTEGER REFERENCES originals(id),
  name TEXT DEFAULT '',
  kind TEXT DEFAULT 'other',
  source TEXT DEFAULT ''
);
CREATE TABLE passages (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  uid TEXT UNIQUE,
  name TEXT,
  kind TEXT,
  error_m DOUBLE,
  error_basis TEXT,
  place_source TEXT DEFAULT ''
);
CREATE TABLE passage_reports (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  passage_id INTEGER REFERENCES passages(id) ON DELETE CASCADE,
  state TEXT,
  cause TEXT DEFAULT '',
  looked_on DATE,
  side TEXT DEFAULT '',
  note TEXT DEFAULT ''
);
CREATE INDEX passage_reports_by_passage ON passage_reports (passage_id);
CREATE TRIGGER passage_reports_are_never_changed BEFORE UPDATE ON passage_reports
BEGIN SELECT RAISE(ABORT, 'passage reports are added, never changed'); END
"""

KIT = """
CREATE TABLE kit (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  kind TEXT,
  name TEXT,
  fields TEXT
);
CREATE TABLE plates (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  holder TEXT,
  side TEXT,
  batch TEXT,
  state TEXT DEFAULT 'loaded',
  loaded_at DATETIME,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE SET NULL,
  exposed_at DATETIME,
  exposure_s DOUBLE,
  f_number DOUBLE,
  focus_mark TEXT DEFAULT '',
  distance_m DOUBLE,
  developed_at DATETIME,
  shadows TEXT DEFAULT '',
  highlights TEXT DEFAULT '',
  development TEXT DEFAULT '',
  note TEXT DEFAULT ''
);
CREATE INDEX plates_by_subject ON plates (subject_id)
"""

SEARCH = """
CREATE TABLE clues (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  kind TEXT,
  sure DOUBLE,
  told_on DATE,
  fields TEXT
);
CREATE INDEX clues_by_subject ON clues (subject_id);
CREATE TABLE looks (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE CASCADE,
  track_id INTEGER REFERENCES tracks(id) ON DELETE SET NULL,
  looked_on DATE,
  looking BOOLEAN DEFAULT 1,
  side TEXT DEFAULT '',
  range_m DOUBLE,
  snow BOOLEAN DEFAULT 0,
  law TEXT DEFAULT 'random',
  found BOOLEAN DEFAULT 0,
  note TEXT DEFAULT ''
);
CREATE INDEX looks_by_subject ON looks (subject_id)
"""

PHOTOS = """
CREATE TABLE photos (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  sha256 TEXT,
  file_name TEXT,
  subject_id INTEGER REFERENCES subjects(id) ON DELETE SET NULL,
  taken_at DATETIME,
  time_error_s DOUBLE,
  time_basis TEXT DEFAULT '',
  placed_by TEXT DEFAULT '',
  error_m DOUBLE,
  error_basis TEXT,
  place_source TEXT DEFAULT '',
  bearing_true_deg DOUBLE,
  bearing_error_deg DOUBLE,
  bearing_as_written TEXT,
  bearing_declination_deg DOUBLE,
  bearing_basis TEXT,
  focal_mm DOUBLE,
  thumbnail BLOB
);
CREATE INDEX photos_by_subject ON photos (subject_id)
"""

POSITION_WISHES = "ALTER TABLE camera_positions ADD COLUMN wanted TEXT"

WAYS_OF_LOOKING = """
ALTER TABLE looks ADD COLUMN ranges TEXT;
ALTER TABLE looks ADD COLUMN ahead BOOLEAN DEFAULT 0;
ALTER TABLE subjects ADD COLUMN range_m DOUBLE;
ALTER TABLE subjects ADD COLUMN ranges TEXT
"""

LINES_OF_LOOKS = """
ALTER TABLE looks ADD COLUMN line TEXT DEFAULT '';
ALTER TABLE looks ADD COLUMN towards TEXT;
ALTER TABLE looks ADD COLUMN found_at TEXT;
ALTER TABLE looks ADD COLUMN place_before TEXT
"""

DESCRIPTIONS = {
    "tracks": "Recorded walks in numbers; their lines are in segments",
    "segments": "Fixes recorded without a break; M is Unix seconds, nan where unknown",
    "waypoints": "Named points from files",
    "routes": "Planned walks from files",
    "subjects": "Things to be photographed",
    "camera_positions": "Where the camera stands for a subject",
    "notes": "Remarks, added and never changed",
    "edge_readings": "The skyline's height in one direction, measured by hand",
    "trees": "Canopies around subjects",
    "kit": "Emulsions, cameras, lenses, shutters and holders",
    "plates": "Plates from loading to the finished negative",
    "photos": "When, where and which way photos were taken, with a small picture of each",
    "lines": "Streams, paths, ridges and shores from files",
    "passages": "Bridges, fords, gaps and steps",
    "clues": "What is remembered of where a subject is",
    "looks": "Walks on which a subject was looked for",
    "passage_reports": "What was found at a passage, added and never changed",
}
