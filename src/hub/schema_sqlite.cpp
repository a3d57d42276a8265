// SPDX-License-Identifier: Apache-2.0
#include "hub/schema_sqlite.h"

#include <fcntl.h>
#include <unistd.h>

namespace nthtree::hub {

const char* const schema = R"(
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE records (
  arrival INTEGER PRIMARY KEY, device BLOB NOT NULL, sequence INTEGER NOT NULL,
  bytes BLOB NOT NULL, carrier TEXT NOT NULL, received_ms INTEGER NOT NULL,
  sender INTEGER NOT NULL DEFAULT 0, rank INTEGER NOT NULL DEFAULT 1,
  aside TEXT NOT NULL DEFAULT '', at_ms INTEGER NOT NULL DEFAULT 0, sum INTEGER NOT NULL DEFAULT 0,
  UNIQUE (device, sequence)) STRICT;
CREATE TABLE owners (device BLOB PRIMARY KEY, key INTEGER NOT NULL) STRICT;
CREATE TABLE key_uses (
  key INTEGER PRIMARY KEY, records INTEGER NOT NULL, bytes INTEGER NOT NULL,
  last_ms INTEGER NOT NULL, last_arrival INTEGER NOT NULL) STRICT;
CREATE TABLE set_aside (
  id INTEGER PRIMARY KEY, device BLOB NOT NULL, sequence INTEGER NOT NULL, bytes BLOB NOT NULL,
  reason TEXT NOT NULL, sender BLOB NOT NULL, carrier TEXT NOT NULL, received_ms INTEGER NOT NULL,
  key INTEGER NOT NULL DEFAULT 0,
  UNIQUE (device, sequence, sender, bytes)) STRICT;
CREATE TABLE openings (first_arrival INTEGER PRIMARY KEY, opening TEXT NOT NULL) STRICT;
CREATE TABLE backed_up (device BLOB PRIMARY KEY, head INTEGER NOT NULL) STRICT;
CREATE TABLE join_codes (
  hash BLOB PRIMARY KEY, expires_ms INTEGER NOT NULL, used_ms INTEGER NOT NULL,
  role TEXT NOT NULL DEFAULT 'pruner', person TEXT NOT NULL DEFAULT '',
  name TEXT NOT NULL DEFAULT '') STRICT;
CREATE TABLE keys (
  id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, name TEXT NOT NULL,
  joined_ms INTEGER NOT NULL, withdrawn_ms INTEGER NOT NULL,
  role TEXT NOT NULL DEFAULT 'manager', person TEXT NOT NULL DEFAULT '') STRICT;
PRAGMA user_version = 2;
)";

// A key of before could do everything, and still can until the manager says less. A device is the
// key's that brought most of it.
const char* const from_version_1 = R"(
ALTER TABLE records ADD COLUMN sender INTEGER NOT NULL DEFAULT 0;
ALTER TABLE records ADD COLUMN rank INTEGER NOT NULL DEFAULT 1;
ALTER TABLE records ADD COLUMN aside TEXT NOT NULL DEFAULT '';
ALTER TABLE records ADD COLUMN at_ms INTEGER NOT NULL DEFAULT 0;
ALTER TABLE records ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
ALTER TABLE set_aside ADD COLUMN key INTEGER NOT NULL DEFAULT 0;
ALTER TABLE join_codes ADD COLUMN role TEXT NOT NULL DEFAULT 'pruner';
ALTER TABLE join_codes ADD COLUMN person TEXT NOT NULL DEFAULT '';
ALTER TABLE join_codes ADD COLUMN name TEXT NOT NULL DEFAULT '';
ALTER TABLE keys ADD COLUMN role TEXT NOT NULL DEFAULT 'manager';
ALTER TABLE keys ADD COLUMN person TEXT NOT NULL DEFAULT '';
CREATE TABLE owners (device BLOB PRIMARY KEY, key INTEGER NOT NULL) STRICT;
CREATE TABLE key_uses (
  key INTEGER PRIMARY KEY, records INTEGER NOT NULL, bytes INTEGER NOT NULL,
  last_ms INTEGER NOT NULL, last_arrival INTEGER NOT NULL) STRICT;
CREATE TEMP TABLE carriers (carrier TEXT PRIMARY KEY, id INTEGER NOT NULL);
INSERT INTO temp.carriers SELECT name || ' #' || id, id FROM keys;
UPDATE records SET
  sum = record_sum(device, sequence, bytes),
  sender = coalesce((SELECT id FROM temp.carriers WHERE carriers.carrier = records.carrier), 0);
UPDATE set_aside SET
  key = coalesce((SELECT id FROM temp.carriers WHERE carriers.carrier = set_aside.carrier), 0);
INSERT OR IGNORE INTO owners SELECT device, sender FROM records WHERE sender > 0
  GROUP BY device, sender ORDER BY count(*) DESC, min(arrival);
INSERT INTO key_uses SELECT sender, count(*), sum(length(bytes)), max(received_ms), max(arrival)
  FROM records WHERE sender > 0 GROUP BY sender;
DROP TABLE temp.carriers;
PRAGMA user_version = 2;
)";

bool note_withdrawn(const std::string& path, std::string_view hash, std::int64_t now_ms) {
  constexpr const char* digits = "0123456789abcdef";
  std::string line;
  for (const char c : hash) {
    const auto byte = static_cast<unsigned char>(c);
    line += {digits[byte >> 4], digits[byte & 15]};
  }
  line += ' ' + std::to_string(now_ms) + '\n';
  const int file = open((path + ".withdrawn").c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC,
                        0600);
  if (file < 0) return false;
  const bool written = write(file, line.data(), line.size()) == static_cast<ssize_t>(line.size());
  const bool synced = fsync(file) == 0;
  close(file);
  return written && synced;
}

}  // namespace nthtree::hub
