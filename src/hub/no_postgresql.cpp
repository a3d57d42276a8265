// SPDX-License-Identifier: Apache-2.0
//
// In the place of store_postgresql.cpp where libpq was not found.
#include "hub/store_postgresql.h"

namespace nthtree::hub {

const char* const postgresql_support = "without PostgreSQL";

base::Result<std::unique_ptr<Store>> open_postgresql_store(const PostgresqlPlace&) {
  return base::Error{"store_unsupported",
                     "this program was built without PostgreSQL: install libpq-dev and build it "
                     "again, or leave --store out for a file on this machine", "--store"};
}

}  // namespace nthtree::hub
