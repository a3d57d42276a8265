// SPDX-License-Identifier: Apache-2.0
#include "advice/reason.h"

namespace nthtree::advice {

double Reason::number(std::string_view name) const {
  for (const auto& [key, value] : numbers) {
    if (key == name) return value;
  }
  return 0;
}

}  // namespace nthtree::advice
