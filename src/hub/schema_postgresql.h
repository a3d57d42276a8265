// SPDX-License-Identifier: Apache-2.0
//
// The tables of the hub's PostgreSQL database, and how an older one becomes a newer one.
//
// Every table is by farm, and row-level security shows a connection the rows of no other farm than
// the one that it has said is its own: the second wall behind the WHERE of each statement. Forced,
// because the tables belong to the role that the hub has; a role that passes security is refused.
// Each version has been in use somewhere: its step stays for good.
#pragma once

#include "hub/postgresql.h"

namespace nthtree::hub {

// Makes the tables where there are none. Several hubs may start at once.
base::Status prepare_schema(PgConnection& database);

}  // namespace nthtree::hub
