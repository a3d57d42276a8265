// SPDX-License-Identifier: Apache-2.0
#include "hub/store_sqlite.h"

#include <map>

#include "base/text.h"
#include "hub/secret.h"
#include "hub/sqlite.h"

namespace nthtree::hub {
namespace {

constexpr const char* schema = R"(
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
)";

std::string key_bytes(const ledger::DeviceKey& key) {
  std::string bytes(16, '\0');
  for (int i = 0; i < 8; ++i) {
    bytes[static_cast<std::size_t>(i)] = static_cast<char>(key.high >> (56 - 8 * i));
    bytes[static_cast<std::size_t>(8 + i)] = static_cast<char>(key.low >> (56 - 8 * i));
  }
  return bytes;
}

ledger::DeviceKey key_of(std::string_view bytes) {
  ledger::DeviceKey key;
  for (std::size_t i = 0; i < 8 && bytes.size() == 16; ++i) {
    key.high = key.high << 8 | static_cast<unsigned char>(bytes[i]);
    key.low = key.low << 8 | static_cast<unsigned char>(bytes[8 + i]);
  }
  return key;
}

std::string_view view(const sync::Digest& digest) {
  return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

std::int64_t whole(std::uint64_t value) { return static_cast<std::int64_t>(value); }
std::uint64_t count(std::int64_t value) { return static_cast<std::uint64_t>(value); }

class SqliteStore : public Store {
 public:
  base::Status open(const std::string& path, const SqliteOptions& options);

  std::string epoch() override {
    return database_.value("SELECT value FROM meta WHERE key = 'epoch'");
  }
  std::uint64_t last_arrival() override;
  std::string opening_of(std::uint64_t arrival) override;
  std::optional<std::string> bytes(const ledger::RecordId& id) override;
  std::vector<sync::Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                  std::size_t bytes_max) override;
  std::uint64_t backed_up(const ledger::DeviceKey& device) override;
  void each_id(const std::function<void(const ledger::RecordId&)>& visit) override;
  void each_set_aside(const std::function<void(const ledger::RecordId&, const ledger::DeviceKey&)>&
                          visit) override;
  void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
           const sync::Provenance& from) override;
  void drop(const ledger::RecordId& id) override;
  void set_aside(const ledger::RecordId& id, std::string_view bytes, std::string_view reason,
                 const sync::Provenance& from) override;
  std::optional<base::Error> failure() override { return database_.failure(); }

  void begin() override { database_.execute("BEGIN IMMEDIATE"); }
  base::Status commit() override;
  void rollback() override;
  void note_opening() override;
  void set_epoch(const std::string& epoch) override { set_meta("epoch", epoch); }
  void set_backed_up(const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads)
      override;
  void add_code(const sync::Digest& hash, std::int64_t expires_ms) override;
  CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms) override;
  void add_key(const sync::Digest& hash, const std::string& name, std::int64_t now_ms) override;
  bool withdraw_key(std::int64_t id, std::int64_t now_ms) override;
  std::vector<KeyOfPhone> keys() override;
  std::optional<LastRecord> last_record_of(const std::string& carrier) override;
  std::vector<SetAside> set_aside_list() override;
  std::int64_t changes_of_others() override;

 private:
  base::Status check_settings();
  void set_meta(const char* key, const std::string& value);
  Statement& prepared(const char* sql);

  Database database_;
  std::map<const char*, std::unique_ptr<Statement>> statements_;  // by the address of their text
  std::map<ledger::DeviceKey, std::uint64_t> backed_up_;
  std::int64_t backed_up_of_change_ = -1;
};

base::Status SqliteStore::check_settings() {
  const std::pair<const char*, const char*> wanted[] = {
      {"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"},
      {"trusted_schema", "0"}, {"cell_size_check", "1"}, {"user_version", "1"}};
  for (const auto& [name, value] : wanted) {
    const std::string found = database_.value(std::string("PRAGMA ") + name);
    if (found != value) {
      return base::Error{"store_failed",
                         std::string(name) + " is " + found + " where " + value + " is needed", ""};
    }
  }
  return base::Ok{};
}

base::Status SqliteStore::open(const std::string& path, const SqliteOptions& options) {
  if (const auto opened = database_.open(path, false); !opened) return opened;
  for (const char* setting :
       {"journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "trusted_schema=OFF",
        "cell_size_check=ON"}) {
    database_.value(std::string("PRAGMA ") + setting);
  }
  if (options.pages_max > 0) {
    database_.value("PRAGMA max_page_count=" + std::to_string(options.pages_max));
  }
  database_.execute("BEGIN IMMEDIATE");
  if (database_.value("PRAGMA user_version") == "0") {
    database_.execute(schema);
    set_meta("epoch", random_text());
  }
  database_.execute("COMMIT");
  if (database_.failure()) return *database_.failure();
  return check_settings();
}

Statement& SqliteStore::prepared(const char* sql) {
  auto& statement = statements_[sql];
  if (!statement) statement = std::make_unique<Statement>(database_, sql);
  return *statement;
}

void SqliteStore::set_meta(const char* key, const std::string& value) {
  Statement put(database_, "INSERT OR REPLACE INTO meta VALUES (?, ?)");
  put.bind_text(1, key).bind_text(2, value).run();
}

base::Status SqliteStore::commit() {
  database_.execute("COMMIT");
  if (!database_.failure()) return base::Ok{};
  const base::Error error = *database_.failure();
  rollback();
  return error;
}

void SqliteStore::rollback() {
  database_.clear_failure();
  if (!sqlite3_get_autocommit(database_.handle())) database_.execute("ROLLBACK");
  database_.clear_failure();
  statements_.clear();  // one that failed while being prepared must not stay
}

std::uint64_t SqliteStore::last_arrival() {
  // The highest number ever given, also where its record has been replaced since.
  Statement last(database_,
                 "SELECT max(coalesce((SELECT max(arrival) FROM records), 0), coalesce((SELECT "
                 "CAST(value AS INTEGER) FROM meta WHERE key = 'last_arrival'), 0))");
  std::uint64_t arrival = 0;
  while (last.next()) arrival = count(last.integer(0));
  return arrival;
}

std::string SqliteStore::opening_of(std::uint64_t arrival) {
  if (arrival == 0) return "";
  Statement& find = prepared(
      "SELECT opening FROM openings WHERE first_arrival <= ? ORDER BY first_arrival DESC LIMIT 1");
  std::string opening;
  find.bind(1, whole(arrival));
  while (find.next()) opening = std::string(find.blob(0));
  return opening;
}

void SqliteStore::note_opening() {
  // Starts that gave out nothing leave no trace.
  Statement note(database_, "INSERT OR REPLACE INTO openings VALUES (?, ?)");
  const std::string opening = random_text();
  note.bind(1, whole(last_arrival() + 1)).bind_text(2, opening).run();
}

std::optional<std::string> SqliteStore::bytes(const ledger::RecordId& id) {
  Statement& find = prepared("SELECT bytes FROM records WHERE device = ? AND sequence = ?");
  std::optional<std::string> bytes;
  const std::string device = key_bytes(id.device);
  find.bind_blob(1, device).bind(2, whole(id.sequence));
  while (find.next()) bytes = std::string(find.blob(0));
  return bytes;
}

std::vector<sync::Arrival> SqliteStore::page(std::uint64_t after, std::uint64_t records_max,
                                             std::size_t bytes_max) {
  Statement& list = prepared(
      "SELECT arrival, device, sequence, bytes FROM records WHERE arrival > ? ORDER BY arrival "
      "LIMIT ?");
  std::vector<sync::Arrival> page;
  std::size_t bytes = 0;
  list.bind(1, whole(after)).bind(2, whole(records_max));
  while (list.next()) {
    bytes += list.blob(3).size() + 1;
    if (bytes > bytes_max && !page.empty()) break;
    page.push_back({count(list.integer(0)), {key_of(list.blob(1)), count(list.integer(2))},
                    std::string(list.blob(3))});
  }
  list.reset();
  return page;
}

std::uint64_t SqliteStore::backed_up(const ledger::DeviceKey& device) {
  // A backup is made by another process; its marks are read again when the file has changed.
  const std::int64_t change = changes_of_others();
  if (change != backed_up_of_change_) {
    backed_up_.clear();
    Statement list(database_, "SELECT device, head FROM backed_up");
    while (list.next()) backed_up_[key_of(list.blob(0))] = count(list.integer(1));
    backed_up_of_change_ = change;
  }
  const auto head = backed_up_.find(device);
  return head == backed_up_.end() ? 0 : head->second;
}

void SqliteStore::each_id(const std::function<void(const ledger::RecordId&)>& visit) {
  Statement list(database_, "SELECT device, sequence FROM records ORDER BY device, sequence");
  while (list.next()) visit({key_of(list.blob(0)), count(list.integer(1))});
}

void SqliteStore::each_set_aside(
    const std::function<void(const ledger::RecordId&, const ledger::DeviceKey&)>& visit) {
  Statement list(database_, "SELECT device, sequence, sender FROM set_aside ORDER BY id");
  while (list.next()) {
    visit({key_of(list.blob(0)), count(list.integer(1))}, key_of(list.blob(2)));
  }
}

void SqliteStore::put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
                      const sync::Provenance& from) {
  const std::string device = key_bytes(id.device);
  Statement& insert = prepared(
      "INSERT INTO records VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (device, sequence) DO UPDATE SET "
      "arrival = excluded.arrival, bytes = excluded.bytes, carrier = excluded.carrier, "
      "received_ms = excluded.received_ms");
  insert.bind(1, whole(arrival)).bind_blob(2, device).bind(3, whole(id.sequence));
  insert.bind_blob(4, bytes).bind_text(5, from.carrier).bind(6, from.wall_ms).run();
}

void SqliteStore::drop(const ledger::RecordId& id) {
  set_meta("last_arrival", std::to_string(last_arrival()));  // its number is never given again
  const std::string device = key_bytes(id.device);
  Statement& erase = prepared("DELETE FROM records WHERE device = ? AND sequence = ?");
  erase.bind_blob(1, device).bind(2, whole(id.sequence)).run();
}

void SqliteStore::set_aside(const ledger::RecordId& id, std::string_view bytes,
                            std::string_view reason, const sync::Provenance& from) {
  const std::string device = key_bytes(id.device);
  Statement& insert = prepared(
      "INSERT OR IGNORE INTO set_aside (device, sequence, bytes, reason, sender, carrier, "
      "received_ms) VALUES (?, ?, ?, ?, ?, ?, ?)");
  const std::string sender = key_bytes(from.sender);
  insert.bind_blob(1, device).bind(2, whole(id.sequence)).bind_blob(3, bytes);
  insert.bind_text(4, reason).bind_blob(5, sender).bind_text(6, from.carrier);
  insert.bind(7, from.wall_ms).run();
}

std::vector<SetAside> SqliteStore::set_aside_list() {
  std::vector<SetAside> all;
  Statement list(database_,
                 "SELECT device, sequence, bytes, reason, carrier FROM set_aside ORDER BY id");
  while (list.next()) {
    all.push_back({{key_of(list.blob(0)), count(list.integer(1))}, std::string(list.blob(2)),
                   std::string(list.blob(3)), std::string(list.blob(4))});
  }
  return all;
}

void SqliteStore::set_backed_up(
    const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads) {
  database_.execute("DELETE FROM backed_up");
  Statement insert(database_, "INSERT INTO backed_up VALUES (?, ?)");
  for (const auto& [key, head] : heads) {
    const std::string device = key_bytes(key);
    insert.bind_blob(1, device).bind(2, whole(head)).run();
  }
  backed_up_of_change_ = -1;
}

void SqliteStore::add_code(const sync::Digest& hash, std::int64_t expires_ms) {
  Statement insert(database_, "INSERT OR REPLACE INTO join_codes VALUES (?, ?, 0)");
  insert.bind_blob(1, view(hash)).bind(2, expires_ms).run();
}

CodeUse SqliteStore::use_code(const sync::Digest& hash, std::int64_t now_ms) {
  Statement use(database_,
                "UPDATE join_codes SET used_ms = ?1 WHERE hash = ?2 AND used_ms = 0 AND "
                "expires_ms > ?1 RETURNING 1");
  use.bind(1, now_ms).bind_blob(2, view(hash));
  bool taken = false;
  while (use.next()) taken = true;
  if (taken) return CodeUse::taken;
  Statement find(database_, "SELECT used_ms FROM join_codes WHERE hash = ?");
  find.bind_blob(1, view(hash));
  CodeUse why = CodeUse::unknown;
  while (find.next()) why = find.integer(0) != 0 ? CodeUse::used : CodeUse::expired;
  return why;
}

void SqliteStore::add_key(const sync::Digest& hash, const std::string& name,
                          std::int64_t now_ms) {
  Statement insert(database_,
                   "INSERT INTO keys (hash, name, joined_ms, withdrawn_ms) VALUES (?, ?, ?, 0)");
  insert.bind_blob(1, view(hash)).bind_text(2, name).bind(3, now_ms).run();
}

bool SqliteStore::withdraw_key(std::int64_t id, std::int64_t now_ms) {
  Statement withdraw(database_,
                     "UPDATE keys SET withdrawn_ms = ? WHERE id = ? AND withdrawn_ms = 0 "
                     "RETURNING 1");
  withdraw.bind(1, now_ms).bind(2, id);
  bool withdrawn = false;
  while (withdraw.next()) withdrawn = true;
  return withdrawn;
}

std::vector<KeyOfPhone> SqliteStore::keys() {
  std::vector<KeyOfPhone> keys;
  Statement list(database_, "SELECT id, hash, name, joined_ms, withdrawn_ms FROM keys ORDER BY id");
  while (list.next()) {
    KeyOfPhone key{list.integer(0), {}, std::string(list.blob(2)), list.integer(3),
                   list.integer(4)};
    const std::string_view hash = list.blob(1);
    for (std::size_t i = 0; i < key.hash.size() && i < hash.size(); ++i) {
      key.hash[i] = static_cast<std::uint8_t>(hash[i]);
    }
    keys.push_back(std::move(key));
  }
  return keys;
}

std::optional<LastRecord> SqliteStore::last_record_of(const std::string& carrier) {
  std::optional<LastRecord> last;
  Statement find(database_,
                 "SELECT received_ms, bytes FROM records WHERE carrier = ? ORDER BY arrival DESC "
                 "LIMIT 1");
  find.bind_text(1, carrier);
  while (find.next()) last = LastRecord{find.integer(0), std::string(find.blob(1))};
  return last;
}

std::int64_t SqliteStore::changes_of_others() {
  Statement& version = prepared("PRAGMA data_version");
  std::int64_t value = 0;
  while (version.next()) value = version.integer(0);
  return value;
}

}  // namespace

base::Result<std::unique_ptr<Store>> open_sqlite_store(const std::string& path,
                                                       const SqliteOptions& options) {
  auto store = std::make_unique<SqliteStore>();
  if (const auto opened = store->open(path, options); !opened) return opened.error();
  return base::Result<std::unique_ptr<Store>>(std::move(store));
}

}  // namespace nthtree::hub
