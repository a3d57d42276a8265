// SPDX-License-Identifier: Apache-2.0
//
// What to change when one more record arrives, from anywhere: the hub, a phone, a QR code, a file.
// Set union; where two records claim one id, both are kept (rehome.h).
//
// Which of two keeps the id: the one that its owner's key vouches for; of two with the same rank
// the one with the smaller digest. A re-homed record is worked out from its own bytes and so cannot
// be forged; it says that another record claims its first id only where that one is here too, and
// never moves what stands there undisputed.
//
// Commutative, associative and idempotent: after any order of the same arrivals, with repeats,
// the holdings are the same. Phone and hub share this one function.
// Not here: storage, transactions, and what a record says.
//
//   Admission admission = admit(holdings, id, bytes, Rank::owned);
//   for (const Held& put : admission.puts) …
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sync/rehome.h"
#include "sync/standing.h"

namespace nthtree::sync {

// What somebody holds, as far as merging asks.
class Holdings {
 public:
  virtual ~Holdings() = default;
  // The bytes under an id; empty where nothing is held.
  virtual std::optional<std::string> bytes(const ledger::RecordId& id) const = 0;
  virtual bool holds(const ledger::RecordId& id) const = 0;
  virtual Rank rank(const ledger::RecordId& id) const = 0;  // of what is held
  // True where a re-homed record is held, or was, that once stood under this id.
  virtual bool ceded(const ledger::RecordId& id) const = 0;
};

struct Put {
  RawRecord record;
  Rank rank = Rank::owned;
};

struct Admission {
  enum class Outcome {
    added,         // new
    confirmed,     // held already as hearsay; now its owner has brought it
    already_held,  // changes nothing
    conflict,      // two records with this id: both are held now
    no_place,      // lost its id and is too long to be re-homed: to be kept apart, if at all
  };
  Outcome outcome = Outcome::already_held;
  std::vector<Put> puts;                // in this order; may replace what stands under an id
  std::vector<ledger::RecordId> drops;  // ids that a record leaves for another
  std::vector<RawRecord> out;           // what lost its id and is too long to be re-homed
  // A re-homed record was brought whose first id is undisputed here: who holds the other one
  // should bring that.
  std::optional<ledger::RecordId> wanted;
};

// `bytes` is well formed (rehome.h) and has this id.
Admission admit(const Holdings& holdings, const ledger::RecordId& id, std::string_view bytes,
                Rank rank);

}  // namespace nthtree::sync
