// SPDX-License-Identifier: Apache-2.0
#include "stats/interval.h"

#include <cmath>

#include "base/text.h"

namespace nthtree::stats {

Error too_few(const char* name, std::size_t held, std::size_t wanted) {
  return {"too_few_values",
          base::print("%s holds %zu values; at least %zu are needed.", name, held, wanted), name};
}

Error out_of_range(const char* name, double value, const char* allowed) {
  return {"out_of_range", base::print("%s is %g; allowed is %s.", name, value, allowed), name};
}

Error not_finite(const char* name, std::size_t index) {
  return {"not_finite", base::print("%s[%zu] is not a finite number.", name, index), name};
}

std::optional<Error> check_values(std::span<const double> values, const char* name,
                                  std::size_t wanted) {
  if (values.size() < wanted) return too_few(name, values.size(), wanted);
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!std::isfinite(values[i])) return not_finite(name, i);
    if (std::fabs(values[i]) > value_size_max) {
      return out_of_range(name, values[i], "a size of at most 1e90");
    }
  }
  return std::nullopt;
}

std::optional<Error> check_counts(std::span<const double> values, const char* name,
                                  std::size_t wanted) {
  if (auto error = check_values(values, name, wanted)) return error;
  for (double value : values) {
    if (value < 0) return out_of_range(name, value, "zero or more");
  }
  return std::nullopt;
}

std::optional<Error> check_confidence(double confidence) {
  return check_open_unit(confidence, "confidence");
}

std::optional<Error> check_positive(double value, const char* name) {
  if (!(value >= 1 / value_size_max && value <= value_size_max)) {
    return out_of_range(name, value, "a number above 0, at most 1e90");
  }
  return std::nullopt;
}

std::optional<Error> check_open_unit(double value, const char* name) {
  if (!(value > 0 && value < 1)) {
    return out_of_range(name, value, "a number above 0 and below 1");
  }
  return std::nullopt;
}

}  // namespace nthtree::stats
