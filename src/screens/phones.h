// SPDX-License-Identifier: Apache-2.0
//
// The phones that have joined the farm's hub, as the manager's phone was told of them: part of the
// session, told by news (news.h). Which phone may do what, the hub alone decides.
//
//   for (const JoinedPhone& phone : session.phones.list) …
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "orchard/person.h"

namespace nthtree::screens {

struct JoinedPhone {
  std::int64_t id = 0;            // the key's number at the hub
  std::string name;
  std::string person;             // whose phone it is; empty: shared
  orchard::Role role = orchard::Role::pruner;
  std::int64_t joined_ms = 0;
  std::int64_t withdrawn_ms = 0;  // 0: good
  std::int64_t last_ms = 0;       // when its last record came; 0: none yet
  std::int64_t records = 0;
  std::int64_t hearsay = 0;       // of them, of other phones
  std::int64_t aside = 0;         // … and those that change no number
};

struct Phones {
  enum class State { unasked, asking, told, refused };
  State state = State::unasked;
  std::string trouble;        // an id of the hub's, "no_answer", or "alone": not joined
  std::vector<JoinedPhone> list;
  std::int64_t own = 0;       // the one in the hand
  bool backup_old = false;    // the hub's last backup; it makes them itself and does not any more
  std::int64_t backup_ms = 0; // when that was made; 0: never, or it makes none
  std::string code;           // for the next phone; empty until one was made
  std::int64_t code_until_ms = 0;
};

}  // namespace nthtree::screens
