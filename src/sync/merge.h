// SPDX-License-Identifier: Apache-2.0
//
// What to change when one more record arrives, from anywhere: the hub, a phone, a QR code, a file.
// Set union; where two records claim one id, both are kept (rehome.h).
//
// Commutative, associative and idempotent: after any order of the same arrivals, with repeats,
// the holdings are the same. Phone and hub share this one function.
// Not here: storage, transactions, and what a record says.
//
//   Admission admission = admit(holdings, id, bytes);
//   for (const Place& place : admission.puts) …
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sync/rehome.h"

namespace nthtree::sync {

// What somebody holds, as far as merging asks.
class Holdings {
 public:
  virtual ~Holdings() = default;
  // The bytes under an id; empty where nothing is held.
  virtual std::optional<std::string> bytes(const ledger::RecordId& id) const = 0;
  // True where a re-homed record is held that once stood under this id.
  virtual bool ceded(const ledger::RecordId& id) const = 0;
};

struct Admission {
  enum class Outcome {
    added,         // new
    already_held,  // changes nothing
    conflict,      // two records with this id: both are held now
  };
  Outcome outcome = Outcome::already_held;
  std::vector<Place> puts;              // in this order; may replace what stands under an id
  std::vector<ledger::RecordId> drops;  // ids that a re-homed record leaves
};

// `bytes` is well formed (rehome.h) and has this id.
Admission admit(const Holdings& holdings, const ledger::RecordId& id, std::string_view bytes);

}  // namespace nthtree::sync
