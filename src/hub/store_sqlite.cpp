// SPDX-License-Identifier: Apache-2.0
#include "hub/store_sqlite.h"

#include <map>

#include "base/text.h"
#include "hub/keys_sqlite.h"
#include "hub/row_values.h"
#include "hub/schema_sqlite.h"
#include "hub/secret.h"
#include "hub/sqlite.h"

namespace nthtree::hub {
namespace {

void sum_in_sql(sqlite3_context* context, int, sqlite3_value** values) {
  const auto blob = [&](int i) {
    const void* bytes = sqlite3_value_blob(values[i]);
    const auto size = static_cast<std::size_t>(sqlite3_value_bytes(values[i]));
    return bytes ? std::string_view(static_cast<const char*>(bytes), size) : std::string_view();
  };
  sqlite3_result_int64(context, sum_of(blob(0), sqlite3_value_int64(values[1]), blob(2)));
}

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
  void each_held(const std::function<void(const sync::HeldRecord&)>& visit) override;
  void each_removed(const std::function<void(const ledger::RecordId&)>& visit) override;
  void each_set_aside(
      const std::function<void(const ledger::RecordId&, std::int64_t)>& visit) override;
  void each_owner(
      const std::function<void(const ledger::DeviceKey&, std::int64_t)>& visit) override;
  void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
           const sync::Standing& standing, const sync::Provenance& from) override;
  void drop(const ledger::RecordId& id) override;
  void remove(std::uint64_t arrival, const ledger::RecordId& id) override;
  void set_owner(const ledger::DeviceKey& device, std::int64_t key) override;
  void set_aside(const ledger::RecordId& id, std::string_view bytes, std::string_view reason,
                 const sync::Provenance& from) override;
  std::optional<base::Error> failure() override { return database_.failure(); }

  void begin() override { database_.execute("BEGIN IMMEDIATE"); }
  void begin_to_read() override { database_.execute("BEGIN"); }
  base::Status commit() override;
  void rollback() override;
  base::Result<std::unique_ptr<Store>> open_again() const override;
  void note_opening() override;
  void note_health(std::int64_t now_ms) override { set_meta("health_ms", std::to_string(now_ms)); }
  void set_epoch(const std::string& epoch) override { set_meta("epoch", epoch); }
  void set_backed_up(const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads)
      override;
  void add_code(const sync::Digest& hash, std::int64_t expires_ms, const CodeFor& who) override {
    keys_.add_code(hash, expires_ms, who);
  }
  CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who) override {
    return keys_.use_code(hash, now_ms, who);
  }
  std::vector<sync::Digest> codes(std::int64_t now_ms) override { return keys_.codes(now_ms); }
  void add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
               std::int64_t now_ms) override {
    keys_.add_key(hash, name, who, now_ms);
  }
  bool withdraw_key(std::int64_t id, std::int64_t now_ms) override {
    return keys_.withdraw(id, now_ms, path_);
  }
  bool change_key(std::int64_t id, const std::string& name, const CodeFor& who) override {
    return keys_.change(id, name, who);
  }
  base::Result<std::vector<KeyOfPhone>> keys() override { return keys_.all(); }
  std::map<std::int64_t, KeyUse> uses_of_keys() override { return keys_.uses(); }
  std::vector<HourOfKey> hours_of_keys(std::int64_t since_ms) override {
    return keys_.hours(since_ms);
  }
  std::optional<std::string> last_record_of(std::int64_t key) override {
    return keys_.last_record_of(key);
  }
  const std::vector<ledger::RecordId>& damaged() const override { return damaged_; }
  std::vector<SetAside> set_aside_list() override;
  std::int64_t office_version() override;

 private:
  base::Status check_settings();
  void note_uses();
  void set_meta(const char* key, const std::string& value);
  Statement& prepared(const char* sql);

  Database database_;
  KeysSqlite keys_{database_};
  std::string path_;
  struct Brought {
    KeyUse use;
    std::uint64_t last_arrival = 0;
  };
  std::map<std::int64_t, Brought> brought_;  // since the last commit, by key
  std::vector<ledger::RecordId> damaged_;
  std::map<const char*, std::unique_ptr<Statement>> statements_;  // by the address of their text
  std::map<ledger::DeviceKey, std::uint64_t> backed_up_;
  std::int64_t backed_up_of_change_ = -1;
};

base::Status SqliteStore::check_settings() {
  const std::pair<const char*, const char*> wanted[] = {
      {"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"},
      {"trusted_schema", "0"}, {"cell_size_check", "1"}, {"user_version", schema_version}};
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
  sqlite3_busy_timeout(database_.handle(), options.busy_ms);
  if (options.pages_max > 0) {
    database_.value("PRAGMA max_page_count=" + std::to_string(options.pages_max));
  }
  path_ = path;
  sqlite3_create_function(database_.handle(), "record_sum", 3, SQLITE_UTF8 | SQLITE_DETERMINISTIC,
                          nullptr, sum_in_sql, nullptr, nullptr);
  database_.execute("BEGIN IMMEDIATE");
  const std::string version = database_.value("PRAGMA user_version");
  if (version == "0") {
    database_.execute(schema);
    set_meta("epoch", random_text());
  } else if (version == "1") {
    database_.execute(from_version_1);
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

// One row a key and commit, so that a list of the keys needs no look at their records.
void SqliteStore::note_uses() {
  Statement& add = prepared(
      "INSERT INTO key_uses VALUES (?, ?, ?, ?, ?) ON CONFLICT (key) DO UPDATE SET "
      "records = records + excluded.records, bytes = bytes + excluded.bytes, "
      "last_ms = excluded.last_ms, last_arrival = excluded.last_arrival");
  for (const auto& [key, brought] : brought_) {
    add.bind(1, key).bind(2, whole(brought.use.records)).bind(3, whole(brought.use.bytes));
    add.bind(4, brought.use.last_ms).bind(5, whole(brought.last_arrival)).run();
  }
  brought_.clear();
}

base::Status SqliteStore::commit() {
  if (!brought_.empty() && !database_.failure()) note_uses();
  database_.execute("COMMIT");
  if (!database_.failure()) return base::Ok{};
  const base::Error error = *database_.failure();
  rollback();
  return error;
}

void SqliteStore::rollback() {
  brought_.clear();
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
  Statement& find = prepared(
      "SELECT bytes, sum FROM records WHERE device = ? AND sequence = ? AND rank < 2");
  std::optional<std::string> bytes;
  const std::string device = key_bytes(id.device);
  find.bind_blob(1, device).bind(2, whole(id.sequence));
  while (find.next()) {
    if (is_whole(device, whole(id.sequence), find.blob(0), find.integer(1))) {
      bytes = std::string(find.blob(0));
    }
  }
  return bytes;
}

std::vector<sync::Arrival> SqliteStore::page(std::uint64_t after, std::uint64_t records_max,
                                             std::size_t bytes_max) {
  Statement& list = prepared(
      "SELECT arrival, device, sequence, bytes, rank, aside, at_ms, sum FROM records "
      "WHERE arrival > ? ORDER BY arrival LIMIT ?");
  std::vector<sync::Arrival> page;
  std::size_t bytes = 0;
  list.bind(1, whole(after)).bind(2, whole(records_max));
  while (list.next()) {
    bytes += list.blob(3).size() + 1;
    if (bytes > bytes_max && !page.empty()) break;
    if (!is_whole(list.blob(1), list.integer(2), list.blob(3), list.integer(7))) continue;
    page.push_back({count(list.integer(0)), {key_of(list.blob(1)), count(list.integer(2))},
                    std::string(list.blob(3)),
                    {rank_of_row(list.integer(4)),
                     std::string(list.blob(5)), list.integer(6)}});
  }
  list.reset();
  return page;
}

std::uint64_t SqliteStore::backed_up(const ledger::DeviceKey& device) {
  // A backup is made by another process; its marks are read again when the file has changed.
  const std::int64_t change = office_version();
  if (change != backed_up_of_change_) {
    backed_up_.clear();
    Statement list(database_, "SELECT device, head FROM backed_up");
    while (list.next()) backed_up_[key_of(list.blob(0))] = count(list.integer(1));
    backed_up_of_change_ = change;
  }
  const auto head = backed_up_.find(device);
  return head == backed_up_.end() ? 0 : head->second;
}

void SqliteStore::each_held(const std::function<void(const sync::HeldRecord&)>& visit) {
  damaged_.clear();
  Statement list(database_,
                 "SELECT device, sequence, rank, aside, at_ms, sender, received_ms, bytes, sum "
                 "FROM records WHERE rank < 2");
  while (list.next()) {
    const ledger::RecordId id{key_of(list.blob(0)), count(list.integer(1))};
    if (!is_whole(list.blob(0), list.integer(1), list.blob(7), list.integer(8))) {
      damaged_.push_back(id);
      continue;
    }
    visit({id,
           {rank_of_row(list.integer(2)),
            std::string(list.blob(3)), list.integer(4)},
           list.integer(5), list.integer(6), list.blob(7)});
  }
}

void SqliteStore::each_removed(const std::function<void(const ledger::RecordId&)>& visit) {
  Statement list(database_, "SELECT device, sequence FROM records WHERE rank = 2");
  while (list.next()) visit({key_of(list.blob(0)), count(list.integer(1))});
}

void SqliteStore::each_set_aside(
    const std::function<void(const ledger::RecordId&, std::int64_t)>& visit) {
  Statement list(database_, "SELECT device, sequence, key FROM set_aside ORDER BY id");
  while (list.next()) {
    visit({key_of(list.blob(0)), count(list.integer(1))}, list.integer(2));
  }
}

void SqliteStore::each_owner(
    const std::function<void(const ledger::DeviceKey&, std::int64_t)>& visit) {
  Statement list(database_, "SELECT device, key FROM owners");
  while (list.next()) visit(key_of(list.blob(0)), list.integer(1));
}

void SqliteStore::set_owner(const ledger::DeviceKey& device, std::int64_t key) {
  const std::string bytes = key_bytes(device);
  Statement& set = prepared("INSERT OR REPLACE INTO owners VALUES (?, ?)");
  set.bind_blob(1, bytes).bind(2, key).run();
}

void SqliteStore::put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
                      const sync::Standing& standing, const sync::Provenance& from) {
  const std::string device = key_bytes(id.device);
  Statement& insert = prepared(
      "INSERT INTO records VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (device, sequence) "
      "DO UPDATE SET arrival = excluded.arrival, bytes = excluded.bytes, carrier = "
      "excluded.carrier, received_ms = excluded.received_ms, sender = excluded.sender, rank = "
      "excluded.rank, aside = excluded.aside, at_ms = excluded.at_ms, sum = excluded.sum");
  insert.bind(1, whole(arrival)).bind_blob(2, device).bind(3, whole(id.sequence));
  insert.bind_blob(4, bytes).bind_text(5, from.carrier).bind(6, from.wall_ms);
  insert.bind(7, from.sender).bind(8, row_rank(standing.rank));
  insert.bind_text(9, standing.aside).bind(10, standing.at_ms);
  insert.bind(11, sum_of(device, whole(id.sequence), bytes)).run();
  Brought& brought = brought_[from.sender];
  brought.use = {brought.use.records + 1, brought.use.bytes + bytes.size(), from.wall_ms};
  brought.last_arrival = arrival;
}

void SqliteStore::remove(std::uint64_t arrival, const ledger::RecordId& id) {
  const std::string device = key_bytes(id.device);
  Statement& remove = prepared(
      "UPDATE records SET arrival = ?1, bytes = x'', carrier = '', rank = 2, aside = '', sum = "
      "record_sum(device, sequence, x'') WHERE device = ?2 AND sequence = ?3");
  remove.bind(1, whole(arrival)).bind_blob(2, device).bind(3, whole(id.sequence)).run();
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
      "received_ms, key) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
  const std::string sender = std::to_string(from.sender);
  insert.bind_blob(1, device).bind(2, whole(id.sequence)).bind_blob(3, bytes);
  insert.bind_text(4, reason).bind_blob(5, sender).bind_text(6, from.carrier);
  insert.bind(7, from.wall_ms).bind(8, from.sender).run();
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

std::int64_t SqliteStore::office_version() {
  Statement& version = prepared("PRAGMA data_version");
  std::int64_t value = 0;
  while (version.next()) value = version.integer(0);
  return value;
}

// In WAL a reader waits for no writer, and no writer for a reader.
base::Result<std::unique_ptr<Store>> SqliteStore::open_again() const {
  auto store = std::make_unique<SqliteStore>();
  if (const auto opened = store->open(path_, {}); !opened) return opened.error();
  store->database_.value("PRAGMA query_only=ON");
  return base::Result<std::unique_ptr<Store>>(std::move(store));
}

}  // namespace

base::Result<std::unique_ptr<Store>> open_sqlite_store(const std::string& path,
                                                       const SqliteOptions& options) {
  auto store = std::make_unique<SqliteStore>();
  if (const auto opened = store->open(path, options); !opened) return opened.error();
  return base::Result<std::unique_ptr<Store>>(std::move(store));
}

}  // namespace nthtree::hub
