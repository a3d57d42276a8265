// SPDX-License-Identifier: Apache-2.0
//
// A fresh store of each kind that this machine has, for one suite of tests.
//
//   for_each_store([](StoreOfTest& place) { auto store = place.open(); … });
#pragma once

#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "hub/store_postgresql.h"
#include "hub/store_sqlite.h"
#include "temporary_folder.h"

#ifdef NTHTREE_WITH_POSTGRESQL
#include "support/temporary_postgresql.h"
#endif

namespace nthtree::test {

#ifdef NTHTREE_WITH_POSTGRESQL
inline bool has_postgresql() { return TemporaryPostgresql::is_here(); }
inline std::string new_database() { return TemporaryPostgresql::get().new_database(); }
#else
inline bool has_postgresql() { return false; }
inline std::string new_database() { return ""; }
#endif

class StoreOfTest {
 public:
  explicit StoreOfTest(bool on_postgresql) : address_(on_postgresql ? new_database() : "") {}

  // The same store again, as another process would open it.
  std::unique_ptr<hub::Store> open() {
    auto store = address_.empty() ? hub::open_sqlite_store(folder_ / "s")
                                  : hub::open_postgresql_store({address_, "north", true});
    REQUIRE_MESSAGE(store.ok(), (store.ok() ? "" : store.error().text()));
    return std::move(*store);
  }
  const char* name() const { return address_.empty() ? "SQLite" : "PostgreSQL"; }

 private:
  TemporaryFolder folder_;
  std::string address_;
};

template <class Test>
void for_each_store(const Test& test) {
  for (const bool on_postgresql : {false, true}) {
    if (on_postgresql && !has_postgresql()) continue;
    StoreOfTest place(on_postgresql);
    INFO(place.name());
    test(place);
  }
}

}  // namespace nthtree::test
