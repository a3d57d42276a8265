// SPDX-License-Identifier: Apache-2.0
//
// Who may write what: the least role for each kind of record. A pruner counts, a lead also
// re-counts, advises and looks after the day, a manager sets everything else.
//
// Not here: whose a record is (sync/hub_side.h asks the key it came with), and what happens to one
// that its writer might not write (it is kept, set aside and told, and changes no number).
//
//   if (author.role < role_needed(record.body)) …
#pragma once

#include "ledger/kinds.h"

namespace nthtree::ledger {

// The least role whose key may bring it. A withdrawal needs what its target needs; alone it needs
// nothing, and neither does a kind that this version does not know and that changes no number.
orchard::Role role_needed(const Body& body);

// The least role its author must have: the same, but for counts of an exercise, which everybody
// makes on the lead's phone.
orchard::Role role_needed_of_author(const Body& body);

}  // namespace nthtree::ledger
