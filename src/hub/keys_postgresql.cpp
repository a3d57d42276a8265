// SPDX-License-Identifier: Apache-2.0
#include "hub/keys_postgresql.h"

#include "hub/row_values.h"
#include "sync/message.h"

namespace nthtree::hub {

using sync::role_name;

void KeysPostgresql::add_code(const sync::Digest& hash, std::int64_t expires_ms,
                              const CodeFor& who) {
  database_.query(
      "INSERT INTO join_codes (farm, hash, expires_ms, used_ms, role, person, name) VALUES "
      "($1, $2, $3, 0, $4, $5, $6) ON CONFLICT (farm, hash) DO UPDATE SET expires_ms = "
      "excluded.expires_ms, used_ms = 0, role = excluded.role, person = excluded.person, "
      "name = excluded.name",
      of_farm().add_bytes(view(hash)).add(expires_ms).add_text(role_name(who.role))
          .add_bytes(who.person).add_bytes(who.name));
}

CodeUse KeysPostgresql::use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who) {
  const PgRows taken = database_.query(
      "UPDATE join_codes SET used_ms = $3 WHERE farm = $1 AND hash = $2 AND used_ms = 0 AND "
      "expires_ms > $3 RETURNING role, person, name",
      of_farm().add_bytes(view(hash)).add(now_ms));
  if (taken.size() == 1) {
    who = {role_of(taken.bytes(0, 0)), taken.text(0, 1), taken.text(0, 2)};
    return CodeUse::taken;
  }
  const PgRows known = database_.query(
      "SELECT used_ms FROM join_codes WHERE farm = $1 AND hash = $2",
      of_farm().add_bytes(view(hash)));
  if (known.size() == 0) return CodeUse::unknown;
  return known.integer(0, 0) != 0 ? CodeUse::used : CodeUse::expired;
}

std::vector<sync::Digest> KeysPostgresql::codes(std::int64_t now_ms) {
  const PgRows rows = database_.query(
      "SELECT hash FROM join_codes WHERE farm = $1 AND used_ms = 0 AND expires_ms > $2",
      of_farm().add(now_ms));
  std::vector<sync::Digest> codes;
  for (int row = 0; row < rows.size(); ++row) codes.push_back(digest_of(rows.bytes(row, 0)));
  return codes;
}

// The farm's lock is held, so nobody else takes the same number.
void KeysPostgresql::add_key(const sync::Digest& hash, const std::string& name,
                             const CodeFor& who, std::int64_t now_ms) {
  database_.query(
      "INSERT INTO keys (farm, id, hash, name, joined_ms, withdrawn_ms, role, person) VALUES ($1, "
      "(SELECT coalesce(max(id), 0) + 1 FROM keys WHERE farm = $1), $2, $3, $4, 0, $5, $6)",
      of_farm().add_bytes(view(hash)).add_bytes(who.name.empty() ? name : who.name).add(now_ms)
          .add_text(role_name(who.role)).add_bytes(who.person));
}

bool KeysPostgresql::withdraw(std::int64_t id, std::int64_t now_ms) {
  return database_.query(
                      "UPDATE keys SET withdrawn_ms = $3 WHERE farm = $1 AND id = $2 AND "
                      "withdrawn_ms = 0", of_farm().add(id).add(now_ms))
             .changed() == 1;
}

bool KeysPostgresql::change(std::int64_t id, const std::string& name, const CodeFor& who) {
  return database_.query(
                      "UPDATE keys SET name = $3, role = $4, person = $5 WHERE farm = $1 AND "
                      "id = $2",
                      of_farm().add(id).add_bytes(name).add_text(role_name(who.role))
                          .add_bytes(who.person))
             .changed() == 1;
}

base::Result<std::vector<KeyOfPhone>> KeysPostgresql::all() {
  const PgRows rows = database_.query(
      "SELECT id, hash, name, joined_ms, withdrawn_ms, person, role FROM keys WHERE farm = $1 "
      "ORDER BY id", of_farm());
  if (database_.failure()) return *database_.failure();
  std::vector<KeyOfPhone> keys;
  for (int row = 0; row < rows.size(); ++row) {
    keys.push_back({rows.integer(row, 0), digest_of(rows.bytes(row, 1)), rows.text(row, 2),
                    rows.integer(row, 3), rows.integer(row, 4), rows.text(row, 5),
                    role_of(rows.bytes(row, 6))});
  }
  return keys;
}

std::map<std::int64_t, KeyUse> KeysPostgresql::uses() {
  const PgRows rows = database_.query(
      "SELECT key, records, bytes, last_ms FROM key_uses WHERE farm = $1", of_farm());
  std::map<std::int64_t, KeyUse> uses;
  for (int row = 0; row < rows.size(); ++row) {
    uses[rows.integer(row, 0)] = {count(rows.integer(row, 1)), count(rows.integer(row, 2)),
                                  rows.integer(row, 3)};
  }
  return uses;
}

std::vector<HourOfKey> KeysPostgresql::hours(std::int64_t since_ms) {
  const PgRows rows = database_.query(
      "SELECT key, hour * 3600000, sum(records)::bigint, sum(size)::bigint, sum(garbage)::bigint "
      "FROM (SELECT sender AS key, received_ms / 3600000 AS hour, 1 AS records, length(bytes) AS "
      "size, 0 AS garbage FROM records WHERE farm = $1 AND received_ms >= $2 UNION ALL SELECT key, "
      "received_ms / 3600000, 0, length(bytes), 1 FROM set_aside WHERE farm = $1 AND "
      "received_ms >= $2) AS all_of_it WHERE key > 0 GROUP BY key, hour ORDER BY hour",
      of_farm().add(since_ms));
  std::vector<HourOfKey> hours;
  const auto number = [&](int row, int column) {
    return static_cast<double>(rows.integer(row, column));
  };
  for (int row = 0; row < rows.size(); ++row) {
    hours.push_back({rows.integer(row, 0), rows.integer(row, 1), number(row, 2), number(row, 3),
                     number(row, 4)});
  }
  return hours;
}

std::optional<std::string> KeysPostgresql::last_record_of(std::int64_t key) {
  const PgRows rows = database_.query(
      "SELECT records.bytes FROM records JOIN key_uses ON records.farm = key_uses.farm AND "
      "arrival = last_arrival WHERE records.farm = $1 AND key = $2", of_farm().add(key));
  if (rows.size() == 0) return std::nullopt;
  return rows.text(0, 0);
}

}  // namespace nthtree::hub
