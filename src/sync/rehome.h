// SPDX-License-Identifier: Apache-2.0
//
// A new place for a record whose id is taken by another one.
//
// When a phone is cloned, or set back from a backup, two records with the same id and different
// bytes come to exist, and both are true counts. One keeps the id; the other is written again,
// byte for byte but for its id, under an id that is worked out from its own bytes. Whoever does
// so (the phone, the hub, a third phone) gets the same record, so it can be done by all of them at
// once, in any order, and nothing is lost or doubled.
//
//   {"v":1,"id":"<device>-11",…}  becomes
//   {"v":1,"id":"<first 128 bits of SHA-256 of the old bytes>-1","first_id":"<device>-11",…}
//
// Invariants: original_of(rehome(x)) == x; a "first_id" that does not stand this test means
// nothing. A record that `replaces` by id still names the id, not the re-homed record: a
// correction made on a clone of what was itself in conflict is the one case that can miss.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/record.h"

namespace nthtree::sync {

struct RawRecord {  // a record as its id and its bytes
  ledger::RecordId id;
  std::string bytes;
  friend bool operator==(const RawRecord&, const RawRecord&) = default;
};

// The id in the text of a record, found without reading the rest. Empty where there is none.
std::optional<ledger::RecordId> peek_id(std::string_view bytes);

// A re-homed record is a little longer than the longest record that may be written.
inline constexpr std::size_t kept_bytes_max = ledger::record_bytes_max + 128;

// The id of what is kept and passed on: one line of JSON with an id, within the limits of size and
// depth, whether this version can read what it says or not. Empty for everything else.
std::optional<ledger::RecordId> well_formed_id(std::string_view bytes);

// The id that these bytes would be re-homed to.
ledger::RecordId rehomed_id(std::string_view bytes);

// Empty where the bytes are not well formed, or too long already.
std::optional<RawRecord> rehome(std::string_view bytes);

// What was re-homed to these bytes; empty where they are an ordinary record.
std::optional<RawRecord> original_of(const ledger::RecordId& id, std::string_view bytes);

// Of two records with one id: true where `left` keeps it. The same answer everywhere.
bool keeps_id(std::string_view left, std::string_view right);

}  // namespace nthtree::sync
