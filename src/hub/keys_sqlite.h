// SPDX-License-Identifier: Apache-2.0
//
// The tables of the phones' keys and of the join codes in the hub's SQLite file; store.h says what
// each call does.
#pragma once

#include "hub/sqlite.h"
#include "hub/store.h"
#include "sync/message.h"

namespace nthtree::hub {

class KeysSqlite {
 public:
  explicit KeysSqlite(Database& database) : database_(database) {}

  void add_code(const sync::Digest& hash, std::int64_t expires_ms, const CodeFor& who);
  CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who);
  std::vector<sync::Digest> codes(std::int64_t now_ms);
  void add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
               std::int64_t now_ms);
  // Also notes it beside the file at `path`, so that an older backup cannot undo it.
  bool withdraw(std::int64_t id, std::int64_t now_ms, const std::string& path);
  bool change(std::int64_t id, const std::string& name, const CodeFor& who);
  base::Result<std::vector<KeyOfPhone>> all();
  std::map<std::int64_t, KeyUse> uses();
  std::vector<HourOfKey> hours(std::int64_t since_ms);
  std::optional<std::string> last_record_of(std::int64_t key);

 private:
  Database& database_;
};

using sync::role_name;
using sync::role_named;

}  // namespace nthtree::hub
