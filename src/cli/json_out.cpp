// SPDX-License-Identifier: Apache-2.0
#include "cli/json_out.h"

#include <cmath>
#include <cstdlib>

#include "base/text.h"

namespace nthtree::cli {

Json number(double value) {
  if (!std::isfinite(value)) return nullptr;
  const double tidy = std::strtod(base::print("%.12g", value).c_str(), nullptr);
  if (tidy == std::floor(tidy) && std::fabs(tidy) < 1e15) return static_cast<std::int64_t>(tidy);
  return tidy;
}

void put_estimate(Json& object, const std::string& name, const orchard::Estimate& estimate) {
  object[name] = number(estimate.value);
  object[name + "_low"] = number(estimate.low);
  object[name + "_high"] = number(estimate.high);
}

std::string text_of(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace nthtree::cli
