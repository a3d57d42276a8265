// SPDX-License-Identifier: Apache-2.0
//
// One farm's phones' keys and join codes in a PostgreSQL database; store.h says what each call
// does.
#pragma once

#include "hub/postgresql.h"
#include "hub/store.h"

namespace nthtree::hub {

class KeysPostgresql {
 public:
  KeysPostgresql(PgConnection& database, const std::int64_t& farm)
      : database_(database), farm_(farm) {}

  void add_code(const sync::Digest& hash, std::int64_t expires_ms, const CodeFor& who);
  CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who);
  std::vector<sync::Digest> codes(std::int64_t now_ms);
  void add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
               std::int64_t now_ms);
  bool withdraw(std::int64_t id, std::int64_t now_ms);
  bool change(std::int64_t id, const std::string& name, const CodeFor& who);
  base::Result<std::vector<KeyOfPhone>> all();
  std::map<std::int64_t, KeyUse> uses();
  std::vector<HourOfKey> hours(std::int64_t since_ms);
  std::optional<std::string> last_record_of(std::int64_t key);

 private:
  PgValues of_farm() const { return PgValues().add(farm_); }

  PgConnection& database_;
  const std::int64_t& farm_;  // known once the farm is open
};

}  // namespace nthtree::hub
