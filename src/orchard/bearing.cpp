// SPDX-License-Identifier: Apache-2.0
#include "orchard/bearing.h"

#include <cmath>
#include <cstddef>

#include "base/text.h"

namespace nthtree::orchard {

base::Result<BiennialIndex> biennial_index(std::span<const double> crops) {
  if (crops.size() < 2) {
    return base::Error{"too_few_values", base::print("has %zu years, 2 are needed", crops.size()),
                       "crops"};
  }
  BiennialIndex index;
  double differences = 0;
  double sums = 0;
  for (std::size_t year = 0; year < crops.size(); ++year) {
    if (!(crops[year] >= 0) || std::isinf(crops[year])) {
      return base::Error{"out_of_range", base::print("year %zu: zero or more is allowed", year + 1),
                         "crops"};
    }
    if (year == 0) continue;
    const double difference = std::fabs(crops[year] - crops[year - 1]);
    const double sum = crops[year] + crops[year - 1];
    if (sum > 0) index.mean += difference / sum;
    differences += difference;
    sums += sum;
    ++index.pairs;
  }
  index.mean /= index.pairs;
  index.pooled = sums > 0 ? differences / sums : 0;
  return index;
}

}  // namespace nthtree::orchard
