// SPDX-License-Identifier: Apache-2.0
//
// How values stand in the columns of either store.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "ledger/record.h"
#include "orchard/person.h"
#include "sync/digest.h"
#include "sync/standing.h"

namespace nthtree::hub {

enum RowRank : std::int64_t { row_hearsay = 0, row_owned = 1, row_removed = 2 };

inline std::int64_t row_rank(sync::Rank rank) {
  return rank == sync::Rank::owned ? row_owned : row_hearsay;
}
inline sync::Rank rank_of_row(std::int64_t rank) {
  return rank == row_hearsay ? sync::Rank::hearsay : sync::Rank::owned;
}

inline std::int64_t whole(std::uint64_t value) { return static_cast<std::int64_t>(value); }
inline std::uint64_t count(std::int64_t value) { return static_cast<std::uint64_t>(value); }

// 16 bytes, highest first.
std::string key_bytes(const ledger::DeviceKey& key);
ledger::DeviceKey key_of(std::string_view bytes);

std::string_view view(const sync::Digest& digest);
sync::Digest digest_of(std::string_view bytes);

// A word of a later version is the least of roles.
orchard::Role role_of(std::string_view name);

// CRC-32 over all that a row says of its record: against accidents of the disk, not against people.
std::int64_t sum_of(std::string_view device, std::int64_t sequence, std::string_view bytes);
// The same, and says in the log where it is another.
bool is_whole(std::string_view device, std::int64_t sequence, std::string_view bytes,
              std::int64_t sum);

}  // namespace nthtree::hub
