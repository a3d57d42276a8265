-- The tables of the hub's file as the first version made them. Do not change.
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE records (
  arrival INTEGER PRIMARY KEY, device BLOB NOT NULL, sequence INTEGER NOT NULL,
  bytes BLOB NOT NULL, carrier TEXT NOT NULL, received_ms INTEGER NOT NULL,
  UNIQUE (device, sequence)) STRICT;
CREATE TABLE set_aside (
  id INTEGER PRIMARY KEY, device BLOB NOT NULL, sequence INTEGER NOT NULL, bytes BLOB NOT NULL,
  reason TEXT NOT NULL, sender BLOB NOT NULL, carrier TEXT NOT NULL, received_ms INTEGER NOT NULL,
  UNIQUE (device, sequence, sender, bytes)) STRICT;
CREATE TABLE openings (first_arrival INTEGER PRIMARY KEY, opening TEXT NOT NULL) STRICT;
CREATE TABLE backed_up (device BLOB PRIMARY KEY, head INTEGER NOT NULL) STRICT;
CREATE TABLE join_codes (
  hash BLOB PRIMARY KEY, expires_ms INTEGER NOT NULL, used_ms INTEGER NOT NULL) STRICT;
CREATE TABLE keys (
  id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, name TEXT NOT NULL,
  joined_ms INTEGER NOT NULL, withdrawn_ms INTEGER NOT NULL) STRICT;
PRAGMA user_version = 1;
