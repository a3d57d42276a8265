// SPDX-License-Identifier: Apache-2.0
//
// The hub's store on a PostgreSQL database, which any number of hubs and farms share. A store is
// bound to one farm.
//
// A transaction takes the farm's lock first, so that what one hub reads no other changes, and ends
// with the farm's row, whose counter of changes must be the one it began with: without both, or on
// an engine whose advisory locks do nothing, the commit fails and is tried again. Arrival numbers
// are given under that lock and kept in that row. So a reader who sees arrival n sees all below it:
// a sequence would not do, because its numbers are committed in any order.
// What is put is gathered and goes in one statement.
//
//   auto store = open_postgresql_store({"postgresql://hub@db.farm/nthtree", "north"});
#pragma once

#include <memory>
#include <string>

#include "hub/store.h"

namespace nthtree::hub {

struct PostgresqlPlace {
  std::string address;  // libpq's: a URI or "host=… dbname=…"
  std::string farm = "farm";
  bool new_farm = false;  // makes it where there is none
};

inline bool is_postgresql_address(const std::string& text) {
  return text.rfind("postgresql://", 0) == 0 || text.rfind("postgres://", 0) == 0 ||
         text.find("host=") != std::string::npos;
}

// Makes the tables where there are none. An error that says what to install
// where this program was built without PostgreSQL.
base::Result<std::unique_ptr<Store>> open_postgresql_store(const PostgresqlPlace& place);

extern const char* const postgresql_support;  // for --version: "with PostgreSQL" or "without …"

}  // namespace nthtree::hub
