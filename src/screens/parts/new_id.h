// SPDX-License-Identifier: Apache-2.0
//
// Short ids for new blocks and people, made on a phone that may be alone for days: a letter and
// the millisecond in base 36, so that two phones do not meet on the same one.
#pragma once

#include <cstdint>
#include <string>

namespace nthtree::screens {

inline std::string new_id(char kind, std::int64_t now_ms) {
  std::string digits;
  for (std::int64_t rest = now_ms; rest > 0; rest /= 36) {
    digits.insert(digits.begin(), "0123456789abcdefghijklmnopqrstuvwxyz"[rest % 36]);
  }
  return kind + digits;
}

}  // namespace nthtree::screens
