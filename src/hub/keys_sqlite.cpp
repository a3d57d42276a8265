// SPDX-License-Identifier: Apache-2.0
#include "hub/keys_sqlite.h"

#include "hub/log.h"
#include "hub/row_values.h"
#include "hub/schema_sqlite.h"

namespace nthtree::hub {

void KeysSqlite::add_code(const sync::Digest& hash, std::int64_t expires_ms,
                           const CodeFor& who) {
  Statement insert(database_, "INSERT OR REPLACE INTO join_codes VALUES (?, ?, 0, ?, ?, ?)");
  insert.bind_blob(1, view(hash)).bind(2, expires_ms).bind_text(3, role_name(who.role));
  insert.bind_text(4, who.person).bind_text(5, who.name).run();
}

CodeUse KeysSqlite::use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who) {
  Statement use(database_,
                "UPDATE join_codes SET used_ms = ?1 WHERE hash = ?2 AND used_ms = 0 AND "
                "expires_ms > ?1 RETURNING role, person, name");
  use.bind(1, now_ms).bind_blob(2, view(hash));
  bool taken = false;
  while (use.next()) {
    taken = true;
    who = {role_of(use.blob(0)), std::string(use.blob(1)), std::string(use.blob(2))};
  }
  if (taken) return CodeUse::taken;
  Statement find(database_, "SELECT used_ms FROM join_codes WHERE hash = ?");
  find.bind_blob(1, view(hash));
  CodeUse why = CodeUse::unknown;
  while (find.next()) why = find.integer(0) != 0 ? CodeUse::used : CodeUse::expired;
  return why;
}

std::vector<sync::Digest> KeysSqlite::codes(std::int64_t now_ms) {
  std::vector<sync::Digest> codes;
  Statement list(database_, "SELECT hash FROM join_codes WHERE used_ms = 0 AND expires_ms > ?");
  list.bind(1, now_ms);
  while (list.next()) codes.push_back(digest_of(list.blob(0)));
  return codes;
}

void KeysSqlite::add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
                          std::int64_t now_ms) {
  Statement insert(database_,
                   "INSERT INTO keys (hash, name, joined_ms, withdrawn_ms, role, person) "
                   "VALUES (?, ?, ?, 0, ?, ?)");
  insert.bind_blob(1, view(hash)).bind_text(2, who.name.empty() ? name : who.name);
  insert.bind(3, now_ms).bind_text(4, role_name(who.role)).bind_text(5, who.person).run();
}

bool KeysSqlite::withdraw(std::int64_t id, std::int64_t now_ms,
                          const std::string& path) {
  Statement withdraw(database_,
                     "UPDATE keys SET withdrawn_ms = ? WHERE id = ? AND withdrawn_ms = 0 "
                     "RETURNING hash");
  withdraw.bind(1, now_ms).bind(2, id);
  bool withdrawn = false;
  while (withdraw.next()) {
    withdrawn = true;
    if (note_withdrawn(path, withdraw.blob(0), now_ms)) continue;
    // A restored backup will not know.
    log(Level::error, "withdrawal_not_noted", {{"file", path + ".withdrawn"}});
  }
  return withdrawn;
}

bool KeysSqlite::change(std::int64_t id, const std::string& name, const CodeFor& who) {
  Statement change(database_,
                   "UPDATE keys SET name = ?, role = ?, person = ? WHERE id = ? RETURNING 1");
  const std::string role = role_name(who.role);
  change.bind_text(1, name).bind_text(2, role).bind_text(3, who.person).bind(4, id);
  bool changed = false;
  while (change.next()) changed = true;
  return changed;
}

base::Result<std::vector<KeyOfPhone>> KeysSqlite::all() {
  std::vector<KeyOfPhone> keys;
  Statement list(database_,
                 "SELECT id, hash, name, joined_ms, withdrawn_ms, person, role FROM keys "
                 "ORDER BY id");
  while (list.next()) {
    KeyOfPhone key{list.integer(0), {}, std::string(list.blob(2)), list.integer(3),
                   list.integer(4), std::string(list.blob(5)), role_of(list.blob(6))};
    key.hash = digest_of(list.blob(1));
    keys.push_back(std::move(key));
  }
  if (database_.failure()) return *database_.failure();
  return keys;
}

std::map<std::int64_t, KeyUse> KeysSqlite::uses() {
  std::map<std::int64_t, KeyUse> uses;
  Statement list(database_, "SELECT key, records, bytes, last_ms FROM key_uses");
  while (list.next()) {
    uses[list.integer(0)] = {static_cast<std::uint64_t>(list.integer(1)),
                             static_cast<std::uint64_t>(list.integer(2)), list.integer(3)};
  }
  return uses;
}

std::vector<HourOfKey> KeysSqlite::hours(std::int64_t since_ms) {
  std::vector<HourOfKey> hours;
  Statement list(database_,
                 "SELECT key, hour * 3600000, sum(records), sum(size), sum(garbage) FROM ("
                 "SELECT sender AS key, received_ms / 3600000 AS hour, 1 AS records, "
                 "length(bytes) AS size, 0 AS garbage FROM records WHERE received_ms >= ?1 "
                 "UNION ALL SELECT key, received_ms / 3600000, 0, length(bytes), 1 FROM set_aside "
                 "WHERE received_ms >= ?1) WHERE key > 0 GROUP BY key, hour ORDER BY hour");
  list.bind(1, since_ms);
  const auto number = [&](int column) { return static_cast<double>(list.integer(column)); };
  while (list.next()) {
    hours.push_back({list.integer(0), list.integer(1), number(2), number(3), number(4)});
  }
  return hours;
}

std::optional<std::string> KeysSqlite::last_record_of(std::int64_t key) {
  std::optional<std::string> last;
  Statement find(database_,
                 "SELECT records.bytes FROM records JOIN key_uses ON arrival = last_arrival "
                 "WHERE key = ?");
  find.bind(1, key);
  while (find.next()) last = std::string(find.blob(0));
  return last;
}

}  // namespace nthtree::hub
