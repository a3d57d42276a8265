// SPDX-License-Identifier: Apache-2.0
//
// How a record stands with the hub: brought by the key that owns its device or only relayed,
// counted or set aside, ordered by its own stamp or by a later word.
//
// A standing is given by whoever takes the record in; the hub's replaces a phone's. Bytes are never
// touched. The usual standing, owned and counted as stamped, costs nothing anywhere.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace nthtree::sync {

// How far a record may be believed about its own id.
enum class Rank {
  hearsay,  // brought by somebody else, and nobody has vouched for it
  owned,    // brought by the key that owns its device (here: or written on this phone)
};

struct Standing {
  Rank rank = Rank::owned;
  std::string aside;       // why it changes no number, one of the words below; empty: it counts
  std::int64_t at_ms = 0;  // what it is ordered by where its stamp claims too much; 0: its stamp
  bool usual() const { return rank == Rank::owned && aside.empty() && at_ms == 0; }
  friend bool operator==(const Standing&, const Standing&) = default;
};

// Words on the wire and on the disk: add, never change.
inline constexpr std::string_view aside_role = "role";        // more than its author's role may say
inline constexpr std::string_view aside_author = "author";    // in the name of somebody else
inline constexpr std::string_view aside_not_own = "not_own";  // corrects what another person wrote
inline constexpr std::string_view aside_relayed = "relayed";  // a correction its owner has not sent
inline constexpr std::string_view aside_apart = "apart";      // the hub keeps it out of all this
inline constexpr std::string_view aside_removed = "removed";  // set aside by the manager

}  // namespace nthtree::sync
