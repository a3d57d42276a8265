// SPDX-License-Identifier: Apache-2.0
#include "advice/known/count_doubt.h"

#include <algorithm>

namespace nthtree::advice {
namespace {

constexpr double times_off = 3;
constexpr std::size_t earlier_least = 3, earlier_most = 9;

// The median: one slip among the earlier ones does not move it.
double level_of(const std::vector<int>& earlier) {
  if (earlier.size() < earlier_least) return 0;
  const auto last = static_cast<std::ptrdiff_t>(std::min(earlier.size(), earlier_most));
  std::vector<int> latest(earlier.end() - last, earlier.end());
  const auto middle = latest.begin() + last / 2;
  std::nth_element(latest.begin(), middle, latest.end());
  return *middle;
}

bool is_far(double count, double usual) {
  return usual > 0 && (count >= times_off * usual || count * times_off <= usual);
}

}  // namespace

CountDoubt count_doubt(int count, const std::vector<int>& earlier, double target) {
  using Why = CountDoubt::Why;
  const double own = level_of(earlier);
  if (is_far(count, own)) return {Why::far_from_own, own};
  if (is_far(count, target)) return {Why::far_from_target, target};
  return {count == 0 ? Why::nothing : Why::none, 0};
}

}  // namespace nthtree::advice
