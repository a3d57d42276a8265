// SPDX-License-Identifier: Apache-2.0
//
// Who has a lock on this phone, as part of the session: a PIN, or the phone's own. What it takes to
// open one is known to the app alone (app/lock.h); screens see only that there is one.
//
//   if (session.locks.has(person)) …
#pragma once

#include <cstdint>
#include <set>
#include <string>

namespace nthtree::screens {

inline constexpr std::size_t pin_digits_min = 4, pin_digits_max = 8;

struct Locks {
  std::set<std::string> pins;    // person ids
  std::set<std::string> phones;  // of them, those who may open it by the phone's own lock
  bool has_phone_lock = false;   // the browser can ask for finger, face or pattern
  bool checking = false;
  bool wrong = false;            // the last try was
  std::int64_t until_ms = 0;     // no try before then
  bool unusable = false;         // the browser cannot keep a PIN here
  bool has(const std::string& person) const { return pins.count(person) > 0; }
};

}  // namespace nthtree::screens
